from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pyloudnorm
import pytest

from lickwright.errors import LickwrightError, OutputError, RhythmError
from lickwright.lick.hands.practice import tempo_rungs
from lickwright.sound.band.feel import FEELS
from lickwright.sound.midi import midi_bytes
from lickwright.sound.mix import bank
from lickwright.sound.mix.ladders import ladder
from lickwright.sound.mix.rendering import TAIL_S, Playing, lead_stem, loop, render, stems

RATE = 44100
BEAT = Fraction(1)


def test_a_rendering_is_as_long_as_its_music(changes):
    wave = render(changes, 90, Playing(count_in_bars=2))
    music = (8 + float(changes.length)) * 60 / 90
    assert wave.shape == (int(np.ceil((music + TAIL_S) * RATE)), 2)
    assert wave.dtype == np.float32
    assert np.isfinite(wave).all()


def test_the_stems_add_up_to_the_mix(sweep):
    parts = stems(sweep, 100)
    total = parts.lead + parts.backing + parts.click
    assert np.allclose(total, render(sweep, 100), atol=1e-6)
    assert parts.start_s == pytest.approx(2.4)


def test_nothing_but_clicks_sounds_before_the_music(sweep):
    parts = stems(sweep, 100)
    before = int(parts.start_s * RATE)
    assert np.abs(parts.lead[: before - 1]).max() < 1e-6
    assert np.abs(parts.backing[: before - 64]).max() < 1e-4
    assert not parts.click[before:].any()


def test_a_click_stands_on_each_beat(sweep):
    click = np.abs(stems(sweep, 100).click[:, 0])
    starts = np.flatnonzero((click[1:] > 0) & (click[:-1] == 0))
    beats = np.round(np.arange(4) * 0.6 * RATE)
    assert all(np.abs(starts - beat).min() <= 1 for beat in beats)


def test_parts_can_be_left_out(sweep):
    parts = stems(sweep, 100)
    minus_one = render(sweep, 100, Playing(with_lead=False))
    assert np.allclose(minus_one, parts.backing + parts.click, atol=1e-6)
    alone = render(sweep, 100, Playing(with_backing=False, count_in_bars=0))
    lead = stems(sweep, 100, Playing(count_in_bars=0)).lead
    assert np.allclose(alone, lead, atol=1e-6)


@pytest.mark.parametrize("feel", FEELS)
def test_the_band_starts_with_the_lead(changes, feel):
    # Judged on the samples: the renderer's own grid of 64 samples, and the attack of the bank's
    # instruments, a pad's aside.
    backing = np.abs(stems(changes, 120, Playing(feel=feel)).backing).max(axis=1)
    first = np.flatnonzero(backing > 0.02 * backing.max())[0] / RATE
    assert 2.0 - 0.002 <= first <= 2.0 + (0.15 if feel == "drone" else 0.02)


def test_sound_ends_in_silence(changes):
    wave = render(changes, 120)
    assert np.abs(wave[-1]).max() < 1e-5
    steps = np.abs(np.diff(wave[-RATE // 4 :], axis=0)).max()
    assert steps < 0.01


def test_the_same_score_sounds_the_same_each_time(changes):
    assert np.array_equal(render(changes, 112), render(changes, 112))


@pytest.mark.parametrize("tempo", [97.3, 112.0])
@pytest.mark.parametrize("tone", ["clean", "driven"])
def test_a_loop_joins_without_a_step(changes, tempo, tone):
    body = loop(changes, tempo, Playing(feel="straight", tone=tone))
    assert len(body) == round(16 * 60 / tempo * RATE)
    twice = np.concatenate([body, body])
    # third differences make a step stand out; at the join they are as elsewhere on a beat
    rough = np.abs(np.diff(twice, 3, axis=0)).max(axis=1)
    join = rough[len(body) - 8 : len(body) + 2].max()
    assert join <= rough[: len(body) - 8].max()
    before = rough[len(body) - 2000 : len(body) - 8].max()
    assert rough[len(body) - 8 : len(body) - 2].max() < 3 * before


def test_a_loop_keeps_what_rings_over_its_end(changes):
    body = loop(changes, 112, Playing(with_lead=False))
    whole = render(changes, 112, Playing(with_lead=False, count_in_bars=0))
    assert body.sum() == pytest.approx(whole.sum(), abs=1.0)
    assert not np.allclose(body[: RATE // 10], whole[: RATE // 10], atol=1e-4)


def test_a_loop_shorter_than_its_tail_wraps_more_than_once(score_of):
    body = loop(score_of([(3, 7)], meter=(1, 4)), 240)
    assert len(body) == RATE // 4
    assert np.isfinite(body).all()


def test_a_ladder_climbs_from_slow_to_target(sweep):
    steps = ladder(sweep, (66, 100), Playing(with_backing=False))
    assert [rung.tempo_bpm for rung in steps.rungs] == [66, 100]
    for rung in steps.rungs:
        assert rung.music_s - rung.start_s == pytest.approx(4 * 60 / rung.tempo_bpm)
        assert rung.end_s - rung.music_s == pytest.approx(4 * 60 / rung.tempo_bpm)
        alone = render(sweep, rung.tempo_bpm, Playing(with_backing=False))
        first = round(rung.start_s * RATE)
        assert np.array_equal(steps.samples[first : first + len(alone)], alone)


@pytest.mark.parametrize(("slow", "target", "count"), [(66, 112, 5), (60, 63, 8), (90, 90, 4)])
def test_rungs_rise_from_slow_to_target(slow, target, count):
    rungs = tempo_rungs(slow, target, count)
    assert rungs[0] == slow
    assert rungs[-1] == target
    assert list(rungs) == sorted(set(rungs))
    assert len(rungs) <= count


def test_rungs_rise_by_about_the_same_share():
    rungs = np.array(tempo_rungs(60, 120, 5))
    assert rungs[1:] / rungs[:-1] == pytest.approx(2 ** (1 / 4), rel=0.02)


@pytest.mark.parametrize(("slow", "target", "count"), [(112, 66, 5), (66, 112, 1), (0, 60, 3)])
def test_a_ladder_that_leads_nowhere_is_refused(slow, target, count):
    with pytest.raises(RhythmError, match="ladder"):
        tempo_rungs(slow, target, count)


@pytest.mark.parametrize(
    ("tempo", "playing"),
    [
        (5, Playing()),
        (100, Playing(feel="swung")),
        (100, Playing(tone="fuzzy")),
        (100, Playing(count_in_bars=-1)),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_sentence(sweep, tempo, playing):
    with pytest.raises(LickwrightError) as error:
        render(sweep, tempo, playing)
    assert error.value.mend


def test_a_missing_bank_is_one_clear_sentence(sweep, monkeypatch):
    bank._bank.cache_clear()
    monkeypatch.setattr(bank, "find_spec", lambda name: None)
    with pytest.raises(OutputError, match=r"sound bank .* is missing\. Install the Python package"):
        render(sweep, 100)
    render(sweep, 100, Playing(with_backing=False))  # the lead needs no bank


def test_bytes_that_are_no_midi_are_refused():
    with pytest.raises(OutputError, match="backing could not be sounded"):
        bank.sound_midi(b"nonsense")


def test_the_bank_sounds_in_tune_and_in_time(changes):
    # the renderer runs at another rate: a wrong one would shift pitch and time
    wave = bank.sound_midi(midi_bytes(changes, 120, feel="drone", lead=False, count_in_bars=0))
    assert len(wave) == pytest.approx(8 * RATE, abs=64)
    stretch = wave[int(0.5 * RATE) : int(1.9 * RATE), 0]
    spectrum = np.abs(np.fft.rfft(stretch * np.hanning(len(stretch)), 1 << 19))
    hz = 440 * 2 ** ((50 - 69) / 12)  # D3
    low, high = (int(hz * ratio * (1 << 19) / RATE) for ratio in (0.97, 1.03))
    peak = (low + np.argmax(spectrum[low:high])) * RATE / (1 << 19)
    assert abs(1200 * np.log2(peak / hz)) < 8


def test_let_ring_lets_notes_ring(sweep):
    dry = render(sweep, 112, Playing(with_backing=False, count_in_bars=0))
    ringing = render(
        sweep, 112, replace(Playing(with_backing=False, count_in_bars=0), let_ring=True)
    )
    tail = slice(int(2.3 * RATE), int(2.8 * RATE))
    assert np.square(ringing[tail]).mean() > 100 * np.square(dry[tail]).mean()


def test_a_score_without_chords_or_notes_still_counts_in(sweep):
    bare = replace(sweep, chords=(), lick=replace(sweep.lick, notes=()))
    wave = render(bare, 100, Playing(feel="vamp"))
    assert np.abs(wave[: 2 * RATE]).max() > 0.1
    assert midi_bytes(bare, 100)[:4] == b"MThd"


# --- levels, the picture, the amplifiers ------------------------------------------------------


@pytest.mark.parametrize("feel", FEELS)
@pytest.mark.parametrize("tone", ["clean", "high gain"])
def test_the_band_is_heard_beside_the_lead(changes, feel, tone):
    # by pyloudnorm's own meter (ITU-R BS.1770)
    parts = stems(changes, 96, Playing(feel=feel, tone=tone))
    meter = pyloudnorm.Meter(RATE)
    lead, band = (meter.integrated_loudness(part) for part in (parts.lead, parts.backing))
    assert band - lead == pytest.approx(-2.0, abs=1.0)


def test_the_band_is_as_loud_as_it_is_set(changes):
    meter = pyloudnorm.Meter(RATE)
    usual, soft = (
        meter.integrated_loudness(stems(changes, 96, Playing(band_lu=lu)).backing)
        for lu in (-2.0, -10.0)
    )
    assert usual - soft == pytest.approx(8.0, abs=0.1)


def test_the_picture_is_wide_in_the_band_and_safe_in_mono(changes):
    parts = stems(changes, 96, Playing(feel="straight"))

    def side_db(samples):
        mid, side = samples.mean(axis=1), (samples[:, 0] - samples[:, 1]) / 2
        return 10 * np.log10((side**2).mean() / (mid**2).mean())

    assert -14 < side_db(parts.backing) < -5
    assert side_db(parts.lead) < side_db(parts.backing) - 3
    mix = parts.lead + parts.backing
    meter = pyloudnorm.Meter(RATE)
    mono = np.repeat(mix.mean(axis=1, keepdims=True), 2, axis=1)
    assert meter.integrated_loudness(mono) > meter.integrated_loudness(mix) - 1


def harmonics_db(wave, hz):
    """How much lies above the fourth harmonic, against the first four."""
    power = np.abs(np.fft.rfft(wave * np.hanning(len(wave)))) ** 2
    at = np.fft.rfftfreq(len(wave), 1 / RATE)
    low, high = power[at < 4.5 * hz].sum(), power[(at > 4.5 * hz) & (at < 6000)].sum()
    return 10 * np.log10(high / low)


def test_amplifiers_go_from_clean_to_high_gain(score_of):
    score = score_of([(3, 9)], 2 * BEAT)
    found = []
    for tone in ("clean", "crunch", "driven", "high gain"):
        wave = lead_stem(score, 60, Playing(tone=tone, count_in_bars=0)).mean(axis=1)
        found.append(harmonics_db(wave[RATE // 2 : RATE + RATE // 2], 329.63))
    assert found == sorted(found)
    assert found[-1] > found[0] + 6


@pytest.mark.parametrize("what", ["pickup", "pick"])
def test_near_the_bridge_is_brighter(score_of, what):
    score = score_of([(5, 7)], 2 * BEAT)

    def brightness(place):
        wave = lead_stem(score, 60, Playing(count_in_bars=0, **{what: place})).mean(axis=1)
        return harmonics_db(wave[: RATE // 2], 164.81)

    assert brightness("bridge") > brightness("neck") + 1


def test_an_unknown_pickup_is_refused(sweep):
    with pytest.raises(OutputError, match="no pickup 'brige'") as refused:
        render(sweep, 90, Playing(pickup="brige"))
    assert "bridge" in refused.value.mend
