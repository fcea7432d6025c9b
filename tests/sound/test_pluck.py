"""The lead voice, judged from its samples alone."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from lickwright.lick.notes import Marks, Stroke, Technique
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import parse_tuning
from lickwright.score import Swing
from lickwright.sound.mix.rendering import Playing, lead_stem
from lickwright.sound.strength import strengths_db
from lickwright.sound.strings.pluck import Pickup, Touch, lead, struck_notes

from .conftest import make_score

RATE = 44100
DRY = Playing(count_in_bars=0)


def partial_hz(samples: np.ndarray, near_hz: float) -> float:
    """The frequency of a spectral peak: FFT of a Hann-windowed stretch, a parabola through the
    logarithms of the three highest bins (Smith and Serra, PARSHL, 1987)."""
    size = 1 << 18
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    low, high = (int(near_hz * ratio * size / RATE) for ratio in (0.95, 1.05))
    peak = low + int(np.argmax(spectrum[low:high]))
    left, top, right = np.log(spectrum[peak - 1 : peak + 2])
    return (peak + 0.5 * (left - right) / (left - 2 * top + right)) * RATE / size


def period_hz(samples: np.ndarray, near_hz: float) -> float:
    """The frequency whose period the autocorrelation (unbiased) peaks at."""
    size = 1 << 17
    spectrum = np.fft.rfft(samples, size)
    match = np.fft.irfft(np.abs(spectrum) ** 2)[: len(samples) // 2]
    match /= len(samples) - np.arange(len(match))
    low, high = int(RATE / near_hz * 0.95), int(RATE / near_hz * 1.05) + 2
    peak = low + int(np.argmax(match[low:high]))
    left, top, right = match[peak - 1 : peak + 2]
    return RATE / (peak + 0.5 * (left - right) / (left - 2 * top + right))


def cents(hz: float, wanted_hz: float) -> float:
    return float(1200 * np.log2(hz / wanted_hz))


def note(string, fret, *, seconds=0.9, guitar=None, tone="clean", **how):
    """One note alone, and the frequency it should have (A4 = 440 Hz, ISO 16)."""
    score = make_score([(string, fret)], Fraction(4), guitar=guitar, **how)
    tempo = 240 / seconds
    key = score.guitar.midi_at(Position(string, fret))
    wave = lead_stem(score, tempo, replace(DRY, tone=tone))[:, 0]
    return wave[: int(seconds * RATE)], 440 * 2 ** ((key - 69) / 12)


@pytest.mark.parametrize("string", range(1, 7))
def test_every_fret_is_in_tune_within_two_cents(string):
    for fret in range(25):
        wave, hz = note(string, fret)
        ringing = wave[int(0.1 * RATE) :]
        assert abs(cents(partial_hz(ringing, hz), hz)) < 0.5
        assert abs(cents(period_hz(ringing, hz), hz)) < 2


@pytest.mark.parametrize(
    "guitar",
    [
        Guitar(parse_tuning("F#1 B1 E2 A2 D3 G3 B3 E4"), frets=24, scale_mm=(686.0,) * 8),
        Guitar(parse_tuning("D2 A2 D3 G3 A3 D4"), capo=3),
    ],
    ids=["eight strings", "capo"],
)
def test_other_guitars_are_in_tune_too(guitar):
    for string in range(1, guitar.string_count + 1):
        for fret in (0, guitar.last_fret // 2, guitar.last_fret):
            wave, hz = note(string, fret, guitar=guitar)
            assert abs(cents(partial_hz(wave[int(0.1 * RATE) :], hz), hz)) < 1


@pytest.mark.parametrize("start_s", [0.0, 0.1, 0.123456])
def test_a_note_starts_on_its_sample(score_of, start_s):
    wave = lead(score_of([(3, 7)]), 100, start_s=start_s, samples=RATE, pickup=Pickup())
    first = int(np.flatnonzero(wave)[0])
    assert first - start_s * RATE == pytest.approx(0.5, abs=1.6)
    assert np.abs(wave[first : first + 40]).max() > 0.05 * np.abs(wave).max()


def level_db(wave, start_s, end_s):
    stretch = wave[int(start_s * RATE) : int(end_s * RATE)].astype(np.float64)
    return float(10 * np.log10((stretch**2).mean() + 1e-20))


def raw(score, **how):
    """The pickup's signal at 60 quarter notes a minute, so that quarters are seconds."""
    how.setdefault("samples", int((float(score.length) + 1) * RATE))
    return lead(score, 60, start_s=0.0, pickup=Pickup(), **how)


def test_a_note_stops_when_its_time_is_over_unless_it_may_ring(score_of):
    score = score_of([(3, 7)], Fraction(1, 2))
    stopped, ringing = raw(score), raw(score, let_ring=True)
    assert level_db(stopped, 0.62, 0.67) < level_db(stopped, 0.4, 0.45) - 50
    assert level_db(ringing, 0.62, 0.67) > level_db(ringing, 0.4, 0.45) - 5


def test_a_string_sounds_one_note_at_a_time(score_of):
    both = raw(score_of([(3, 2), (3, 9)], Fraction(1, 2)), let_ring=True)
    alone = raw(score_of([(3, 2)], Fraction(1)), let_ring=True)
    stretch = both[int(0.52 * RATE) : int(0.9 * RATE)]
    ghost = alone[int(0.52 * RATE) : int(0.9 * RATE)]
    hz = 440 * 2 ** ((57 - 69) / 12)
    bins = np.exp(-2j * np.pi * hz * np.arange(len(stretch)) / RATE) * np.hanning(len(stretch))
    assert 20 * np.log10(abs(stretch @ bins) / abs(ghost @ bins)) < -45


def test_a_note_is_let_go_without_a_click(score_of):
    wave = raw(score_of([(3, 7)], Fraction(1, 2)))
    rough = np.abs(np.diff(wave, 3))
    before = rough[int(0.4 * RATE) : int(0.49 * RATE)].max()
    assert rough[int(0.49 * RATE) : int(0.6 * RATE)].max() < 1.5 * before


def test_up_and_down_strokes_sound_apart(score_of):
    down = raw(score_of([(3, 7)], Fraction(1), strokes=[Stroke.DOWN]))
    up = raw(score_of([(3, 7)], Fraction(1), strokes=[Stroke.UP]))
    spectra = [np.abs(np.fft.rfft(wave[:RATE])) for wave in (down, up)]
    hz = 440 * 2 ** ((62 - 69) / 12)
    partials = [
        np.array([s[int(k * hz) - 2 : int(k * hz) + 3].max() for k in range(1, 13)])
        for s in spectra
    ]
    difference = 20 * np.log10(partials[0] / partials[1])
    assert np.ptp(difference) > 2  # a change of colour, not of loudness alone


def test_a_mute_takes_the_ring_and_the_shine(score_of):
    open_ = raw(score_of([(6, 0)], Fraction(1)))
    muted = raw(score_of([(6, 0)], Fraction(1), marks=Marks(palm_mute=True)))
    assert level_db(muted, 0.3, 0.4) < level_db(open_, 0.3, 0.4) - 12
    assert level_db(muted, 0.0, 0.02) > level_db(open_, 0.0, 0.02) - 6


SLURS = [
    ("hammer-on", Technique.HAMMER_ON, 5, 7),
    ("pull-off", Technique.PULL_OFF, 7, 5),
    ("pull-off to the open string", Technique.PULL_OFF, 3, 0),
    ("slide up", Technique.SLIDE, 5, 12),
    ("slide down", Technique.SLIDE, 12, 5),
]


@pytest.mark.parametrize(
    ("technique", "fret", "to"), [s[1:] for s in SLURS], ids=[s[0] for s in SLURS]
)
def test_a_slur_brings_the_next_note_in_tune_and_loud_enough(score_of, technique, fret, to):
    wave = raw(
        score_of([(3, fret), (3, to)], Fraction(1, 2), techniques=[Technique.PICK, technique])
    )
    for at, wanted in ((0.05, fret), (0.52, to)):
        hz = 440 * 2 ** ((55 + wanted - 69) / 12)
        stretch = wave[int(at * RATE) : int((at + 0.3) * RATE)]
        assert abs(cents(partial_hz(stretch, hz), hz)) < 3
    assert level_db(wave, 0.52, 0.8) > level_db(wave, 0.05, 0.3) - 12


def test_a_slide_passes_the_frets_between(score_of):
    wave = raw(
        score_of([(3, 5), (3, 12)], Fraction(1, 2), techniques=[Technique.PICK, Technique.SLIDE]),
        touch=Touch(slide_s=0.2),
    )
    middle = wave[int(0.36 * RATE) : int(0.46 * RATE)]
    low, high = (440 * 2 ** ((55 + fret - 69) / 12) for fret in (6, 11))
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle)), 1 << 16))
    peak = np.argmax(spectrum[: int(1.2 * high * (1 << 16) / RATE)]) * RATE / (1 << 16)
    assert low < peak < high


def test_a_hammer_on_from_nowhere_sounds(score_of):
    wave = raw(score_of([(3, 7)], Fraction(1), techniques=[Technique.HAMMER_ON]))
    assert level_db(wave, 0.0, 0.5) > -45


def test_vibrato_goes_up_from_the_note_and_back(score_of):
    touch = Touch(vibrato_cents=40.0, vibrato_hz=5.0, vibrato_delay_s=0.2)
    wave = raw(score_of([(2, 10)], Fraction(2), marks=Marks(vibrato=True)), touch=touch)
    hz = 440 * 2 ** ((69 - 69) / 12)
    track = np.array(
        [
            cents(period_hz(wave[int(t * RATE) : int((t + 0.03) * RATE)], hz), hz)
            for t in np.arange(0.25, 1.2, 0.01)
        ]
    )
    assert track.max() == pytest.approx(40, abs=5)
    assert track.min() == pytest.approx(0, abs=5)
    rate = np.abs(np.fft.rfft((track - track.mean()) * np.hanning(len(track)), 4096))
    assert np.argmax(rate) / (4096 * 0.01) == pytest.approx(5.0, abs=0.4)


def test_a_lick_is_played_alike_each_time_and_no_two_strokes_are(score_of):
    score = score_of([(3, 7)] * 4, Fraction(1, 2), strokes=[Stroke.DOWN] * 4)
    wave = raw(score)
    assert np.array_equal(wave, raw(score))
    first, second = wave[: int(0.3 * RATE)], wave[int(0.5 * RATE) : int(0.8 * RATE)]
    assert np.abs(first - second).max() > 0.01 * np.abs(first).max()


def test_a_rest_between_slurred_notes_is_silent(score_of):
    score = score_of(
        [(3, 5), (3, 7)], Fraction(1, 2), techniques=[Technique.PICK, Technique.HAMMER_ON]
    )
    late = replace(score.lick.notes[1], onset=Fraction(1))
    score = replace(score, lick=replace(score.lick, notes=(score.lick.notes[0], late)))
    wave = raw(score)
    assert level_db(wave, 0.8, 0.95) < level_db(wave, 0.2, 0.4) - 50
    assert level_db(wave, 1.02, 1.3) > level_db(wave, 0.2, 0.4) - 15


# ---------------------------------------------------------------------------- how a hand plays it


def test_strokes_are_a_hair_from_their_time_and_the_first_is_on_it(score_of):
    score = score_of([(3, 7), (3, 9)] * 24)
    struck = struck_notes(score, 100, 1.0, Touch())
    away = [one.onset_s - 1.0 - float(one.note.onset) * 0.6 for one in struck]
    assert away[0] == 0
    assert max(map(abs, away)) <= 0.003
    assert np.std(away) > 0.001
    assert struck == struck_notes(score, 100, 1.0, Touch())


def test_a_swung_line_is_struck_where_it_swings(score_of):
    score = replace(score_of([(3, 7)] * 4, Fraction(1, 2)), swing=Swing(Fraction(2)))
    struck = struck_notes(score, 60, 0.0, Touch(timing_s=0.0))
    assert [one.onset_s for one in struck] == pytest.approx([0, 2 / 3, 1, 5 / 3])
    assert [one.end_s for one in struck] == pytest.approx([2 / 3, 1, 5 / 3, 2])


def test_a_line_leans_on_its_beats_and_its_landing(score_of):
    score = score_of([(3, 7)] * 16 + [(3, 7)], [Fraction(1, 4)] * 16 + [Fraction(2)])
    strengths = strengths_db(score)
    by_place = {
        place: np.mean(
            [
                s
                for n, s in zip(score.lick.notes[:16], strengths, strict=False)
                if n.onset % 1 == place
            ]
        )
        for place in (0, Fraction(1, 4))
    }
    assert by_place[0] > by_place[Fraction(1, 4)] + 1
    assert strengths[-1] > max(strengths[1:16])
    assert max(strengths) - min(strengths) < 8  # it breathes; it does not jump


def test_a_hard_stroke_is_louder_and_brighter(score_of):
    def spectrum(hard):
        one = score_of([(3, 7)], Fraction(1))
        wave = raw(one, touch=Touch(accents=hard, squeak=0.0))
        power = np.abs(np.fft.rfft(wave[: RATE // 2])) ** 2
        hz = np.fft.rfftfreq(RATE // 2, 1 / RATE)
        return power.sum(), float((power * hz).sum() / power.sum())

    soft, hard = spectrum(-2.0), spectrum(2.0)
    assert hard[0] > soft[0]
    assert hard[1] > soft[1]


@pytest.mark.parametrize(
    ("technique", "fret"),
    [(Technique.HAMMER_ON, 9), (Technique.PULL_OFF, 5), (Technique.SLIDE, 9)],
)
def test_legato_is_softer_than_picked(score_of, technique, fret):
    places, values = [(3, 7), (3, fret)], Fraction(1)
    slurred = raw(score_of(places, values, techniques=[Technique.PICK, technique]))
    picked = raw(score_of(places, values))
    assert level_db(slurred, 1.02, 1.3) < level_db(picked, 1.02, 1.3) - 0.5


def test_fingertips_are_heard_on_a_wound_string_where_the_hand_shifts(score_of):
    def before_second(places, squeak):
        wave = raw(score_of(places, Fraction(1)), touch=Touch(squeak=squeak))
        stretch = wave[int(0.905 * RATE) : int(0.975 * RATE)]
        power = np.abs(np.fft.rfft(stretch * np.hanning(len(stretch)))) ** 2
        hz = np.fft.rfftfreq(len(stretch), 1 / RATE)
        return 10 * np.log10(power[(hz > 1500) & (hz < 4000)].sum())

    shift, stay, plain = [(5, 3), (5, 12)], [(5, 3), (5, 4)], [(2, 3), (2, 12)]
    assert before_second(shift, 0.02) > before_second(shift, 0.0) + 6
    for places in (stay, plain):
        assert before_second(places, 0.02) == pytest.approx(before_second(places, 0.0))
