"""A take held against its score: known performances, known faults, several synthesisers.

The figures asserted here are the goals of the check or better; ``bench/take.py`` prints the whole
table on other seeds.  The judge of notes is ``mir_eval.transcription`` (Raffel et al., "mir_eval: A
Transparent Implementation of Common MIR Metrics", ISMIR 2014).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import ModuleType

import numpy as np
import pytest

from lickwright.lick.notes import Lick, Marks, Technique
from lickwright.score.score import Score
from lickwright.take.errors import TakeError
from lickwright.take.judging.check import check_take
from lickwright.take.listening.recording import RATE_HZ, Recording, recording_of
from lickwright.take.report import NoteVerdict
from lickwright.theory.pitch import parse_pitch

SEEDS = (696, 699, 701)  # sixteenths at 160, triplets at 100, quintuplets at 140
GOALS = {
    ("strings clean", "drift 3 %"): (0.98, 0.95, 0.90),
    ("bank 27 clean", "clean"): (0.98, 0.95, 0.90),
    ("bank 27 clean", "drift 3 %"): (0.98, 0.95, 0.90),
    ("bank 27 clean", "noise 20 dB"): (0.95, 0.90, 0.90),
    ("bank 25 steel", "drift 3 %"): (0.98, 0.90, 0.85),
    ("bank 25 steel", "band -12 dB"): (0.95, 0.85, 0.80),
}


def recorded(bench: ModuleType, played: object, voice: str = "bank 27 clean") -> Recording:
    return recording_of(bench.VOICES[voice](played), bench.RATE)


def plain(bench: ModuleType, **habits: object) -> object:
    """A performance of 16 beats of sixteenths at 120 without faults."""
    players = bench.players
    score = players.random_score(31, 120)
    return players.perform(score, 120, players.Habits(jitter_s=0.003, **habits), 31)


@pytest.mark.parametrize(("voice", "condition"), GOALS)
def test_notes_and_faults_are_heard_as_well_as_promised(
    bench: ModuleType, voice: str, condition: str
) -> None:
    tally = bench.Tally()
    for seed in SEEDS:
        played = bench.performance(seed, condition)
        samples = bench.audio(voice, played, condition, seed)
        take = check_take(played.score, recording_of(samples, bench.RATE))
        tally.add(take, played, bench.truth(voice, played))
    notes, precision, recall = GOALS[voice, condition]
    assert np.mean(tally.f1) >= notes
    assert tally.precision >= precision
    assert tally.recall >= recall
    assert np.median(tally.off_s) < 0.002
    assert np.percentile(tally.off_s, 95) < 0.010


def test_fluidsynth_agrees(bench: ModuleType) -> None:
    if bench.players.fluidsynth_path() is None:
        pytest.skip("FluidSynth's command is not installed here")
    played = bench.performance(701, "drift 3 %")
    samples = bench.audio("FluidSynth 27 clean", played, "drift 3 %", 701)
    take = check_take(played.score, recording_of(samples, bench.RATE))
    heard = bench.heard_notes(take)
    assert bench.f1(bench.truth("FluidSynth 27 clean", played), heard) >= 0.98


def test_it_beats_onsets_and_pitch_tracking_that_do_not_know_the_score(bench: ModuleType) -> None:
    players = bench.players
    score = players.random_score(9, 160, beats=4)
    played = players.perform(score, 160, players.Habits(ring_s=0.12, start_s=(0.2, 0.3)), 9)
    samples = players.with_noise(bench.VOICES["bank 27 clean"](played), 20.0, 9)
    reference = bench.truth("bank 27 clean", played)
    ours = bench.heard_notes(check_take(score, recording_of(samples, bench.RATE)))
    assert bench.f1(reference, ours) > bench.f1(reference, bench.baseline(samples)) + 0.2


def test_a_faultless_take_gets_no_fault(bench: ModuleType) -> None:
    played = plain(bench, drift=0.04)
    take = check_take(played.score, recorded(bench, played))
    assert {note.verdict for note in take.notes} == {NoteVerdict.PLAYED}
    assert take.extras == ()
    assert take.pauses == ()
    assert take.start_s == pytest.approx(played.start_s, abs=0.015)
    assert take.tempo_bpm == pytest.approx(120, rel=0.05)


def test_the_same_take_is_heard_the_same_twice(bench: ModuleType) -> None:
    played = bench.performance(702, "clean")
    recording = recorded(bench, played)
    assert check_take(played.score, recording) == check_take(played.score, recording)


@pytest.mark.parametrize("tempo", [44, 66, 97, 160])
def test_any_tempo_is_found_without_being_told(bench: ModuleType, tempo: int) -> None:
    players = bench.players
    score = players.random_score(5, tempo, beats=8)
    played = players.perform(score, tempo, players.Habits(), 5)
    take = check_take(score, recorded(bench, played))
    assert len(take.right) == len(take.notes)
    assert take.tempo_bpm == pytest.approx(tempo, rel=0.02)


def test_a_player_who_stops_and_goes_on_is_not_late_ever_after(bench: ModuleType) -> None:
    played = plain(bench)
    stop = 33
    notes = [
        replace(note, onset_s=note.onset_s + 1.7, end_s=note.end_s + 1.7) if i >= stop else note
        for i, note in enumerate(played.notes)
    ]
    stopped = replace(played, notes=tuple(notes), length_s=played.length_s + 1.7)
    take = check_take(played.score, recorded(bench, stopped))
    assert {note.verdict for note in take.notes} == {NoteVerdict.PLAYED}
    assert [pause.index for pause in take.pauses] == [stop]
    assert take.pauses[0].seconds == pytest.approx(1.7, abs=0.03)


def test_faults_are_told_by_note(bench: ModuleType) -> None:
    played = plain(bench)
    notes = list(played.notes)
    notes[10] = replace(notes[10], midi=notes[10].midi + 1)
    notes[20] = replace(notes[20], onset_s=notes[20].onset_s + 0.045)
    notes[30] = replace(notes[30], onset_s=notes[30].onset_s - 0.045)
    faulty = replace(played, notes=tuple(n for i, n in enumerate(notes) if i != 40))
    take = check_take(played.score, recorded(bench, faulty))
    told = {n.index: n for n in take.notes if n.verdict is not NoteVerdict.PLAYED}
    assert {i: n.verdict for i, n in told.items()} == {
        10: NoteVerdict.WRONG,
        20: NoteVerdict.LATE,
        30: NoteVerdict.EARLY,
        40: NoteVerdict.MISSING,
    }
    assert told[10].heard_midi == notes[10].midi
    assert told[20].late_s == pytest.approx(0.045, abs=0.012)
    assert told[30].late_s == pytest.approx(-0.045, abs=0.012)


def test_another_tuning_is_named(bench: ModuleType) -> None:
    played = plain(bench)
    lower = replace(played, notes=tuple(replace(n, midi=n.midi - 1) for n in played.notes))
    with pytest.raises(TakeError, match="1 half step below"):
        check_take(played.score, recorded(bench, lower))


def test_another_piece_is_refused(bench: ModuleType) -> None:
    other = bench.players.random_score(77, 120)
    with pytest.raises(TakeError, match="could be found"):
        check_take(other, recorded(bench, plain(bench)))


def test_noise_alone_is_refused(bench: ModuleType) -> None:
    noise = np.random.default_rng(2).standard_normal(5 * RATE_HZ)
    with pytest.raises(TakeError, match="no clear notes"):
        check_take(plain(bench).score, recording_of(noise, RATE_HZ))


def _with(score: Score, **changes: object) -> Score:
    notes = tuple(replace(note, **changes) for note in score.lick.notes)
    return replace(score, lick=Lick(notes, score.lick.length))


def test_dead_notes_are_not_judged(bench: ModuleType) -> None:
    played = plain(bench)
    notes = list(played.score.lick.notes)
    notes[7] = replace(notes[7], marks=Marks(dead=True))
    score = replace(played.score, lick=Lick(tuple(notes), played.score.lick.length))
    without = replace(played, notes=tuple(n for i, n in enumerate(played.notes) if i != 7))
    take = check_take(score, recorded(bench, without))
    verdicts = [note.verdict for note in take.notes]
    assert verdicts.pop(7) is NoteVerdict.UNJUDGED
    assert set(verdicts) == {NoteVerdict.PLAYED}
    last = replace(notes[-1], pitch=parse_pitch("C#1"))
    low = replace(score, lick=Lick((*notes[:-1], last), score.lick.length))
    assert check_take(low, recorded(bench, without)).notes[-1].verdict is NoteVerdict.UNJUDGED
    with pytest.raises(TakeError, match="no notes to listen for"):
        check_take(_with(score, marks=Marks(dead=True)), recorded(bench, without))


def test_notes_that_are_not_picked_are_heard(bench: ModuleType) -> None:
    players = bench.players
    places = [(2, 10), (2, 13), (1, 10), (1, 13), (1, 10), (2, 13), (2, 10), (3, 12)] * 4
    score = players.line_score(places, [Fraction(1, 4)] * 32, tempo_bpm=100)
    notes = list(score.lick.notes)
    for i in range(1, 32):
        before, note = notes[i - 1].position, notes[i].position
        if before.string == note.string:
            slurred = Technique.HAMMER_ON if note.fret > before.fret else Technique.PULL_OFF
            notes[i] = replace(notes[i], technique=slurred, stroke=None)
    score = replace(score, lick=Lick(tuple(notes), score.lick.length))
    from lickwright.sound.mix.rendering import Playing, lead_stem

    samples = lead_stem(score, 100, Playing(count_in_bars=1))
    take = check_take(score, recording_of(samples, 44100))
    assert len(take.right) >= 31
    assert take.start_s == pytest.approx(2.4, abs=0.01)


def test_a_count_and_a_band_before_and_under_it_do_no_harm(bench: ModuleType) -> None:
    from lickwright.sound.mix.rendering import Playing, render

    score = bench.players.random_score(41, 100)
    samples = render(score, 100, Playing(feel="vamp", count_in_bars=2))
    take = check_take(score, recording_of(samples, 44100))
    assert len(take.right) >= 0.95 * len(take.notes)
    assert take.start_s == pytest.approx(4.8, abs=0.015)
    rings = [note.ring_s for note in take.notes if note.ring_s is not None]
    assert np.mean(np.array(rings) > 0.06) < 0.1  # what the band holds is no ringing string


def test_strings_that_ring_over_are_measured(bench: ModuleType) -> None:
    short, long = (
        check_take(played.score, recorded(bench, played, "strings clean"))
        for played in (plain(bench, ring_s=0.0), plain(bench, ring_s=0.09))
    )
    for take, low, high in ((short, 0.0, 0.05), (long, 0.06, 0.125)):
        rings = [note.ring_s for note in take.notes if note.ring_s is not None]
        assert len(rings) > 10
        assert low <= np.median(rings) <= high


@pytest.mark.parametrize("given", [None, 90])
def test_a_take_is_expected_to_swing_where_the_score_does(given: int | None) -> None:
    from lickwright.score import Swing
    from lickwright.sound.mix.rendering import Playing, lead_stem

    from ..sound.conftest import make_score

    line = [(2, 8), (3, 9), (1, 8), (2, 10), (1, 12), (2, 8), (3, 7), (2, 10)]
    # By tempo the ratio at 90 is not that of the target, 200.
    score = replace(make_score(line * 4, Fraction(1, 2)), swing=Swing(), target_bpm=200.0)
    samples = lead_stem(score, 90, Playing(count_in_bars=1))
    take = check_take(score, recording_of(samples, 44100), given)
    off = {NoteVerdict.EARLY, NoteVerdict.LATE}
    assert len(take.right) == len(take.notes)
    assert not [note for note in take.notes if note.verdict in off]
    even = check_take(replace(score, swing=None), recording_of(samples, 44100), given)
    assert len([note for note in even.notes if note.verdict in off]) > len(even.notes) / 3
