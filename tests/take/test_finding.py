"""Every playing of a lesson in a long recording: found, named, placed, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.neck import Guitar
from lickwright.take import TakeError
from lickwright.take.finding import (
    Playthrough,
    alongside,
    find_playings,
    listen_through,
    playing_between,
)
from lickwright.take.finding.choosing import PossiblePlaying, best_apart
from lickwright.take.listening.recording import RATE_HZ, recording_of

VOICE, START_NUMBER = "modes", 42


@pytest.fixture(scope="module")
def heard(scenes: ModuleType) -> tuple[object, object, tuple[Playthrough, ...]]:
    """Two minutes of talk, noodling and playing, by a voice that nothing was fitted to."""
    scene = scenes.scene(START_NUMBER, 2.4)
    wave = np.concatenate(list(scenes.blocks_of(scene, VOICE, "room 0.4 s", START_NUMBER)))
    film = listen_through(recording_of(wave, 44_100), Guitar())
    return scene, film, find_playings([e.score for e in scene.examples], film)


def test_all_playings_are_found_and_nothing_else(
    heard: tuple[object, object, tuple[Playthrough, ...]], film_bench: ModuleType
) -> None:
    scene, _, playings = heard
    tally = film_bench.tally(scene, playings, VOICE)
    assert tally.true >= 5
    assert (tally.wrong, tally.false) == (0, 0), tally.misses
    # One of them is broken off after eleven notes of which two are missing: too little evidence.
    assert len(tally.misses) <= 1, tally.misses
    assert not [miss for miss in tally.misses if "whole" in miss]
    assert tally.f1 > 0.9
    assert tally.parts_named >= tally.parts - 1
    # Goals of the film: median under 8 ms, 95 % under 25 ms.
    assert np.median(tally.off_s) < 0.008
    assert np.percentile(tally.off_s, 95) < 0.025


def test_what_was_found_is_said_in_the_words_of_the_score(
    heard: tuple[object, object, tuple[Playthrough, ...]],
) -> None:
    _, _, playings = heard
    starts = [playing.start_s for playing in playings]
    assert starts == sorted(starts)
    for before, after in pairwise(playings):
        assert before.notes[-1].index == before.last
        onset = next(n.heard_s for n in reversed(before.notes) if n.heard_s is not None)
        assert onset < after.start_s
    for playing in playings:
        count = len(playing.score.lick.notes)
        assert playing.whole == ((playing.first, playing.last) == (0, count - 1))
        assert 0 < playing.sure <= 1


def test_nothing_is_found_where_only_talk_and_other_notes_are(scenes: ModuleType) -> None:
    scene = scenes.scene(START_NUMBER, 4.0)
    other = [piece for piece in scene.pieces if piece.kind in ("talk", "noodling", "silence")]
    waves = [scenes.sound_of(piece, VOICE, "dry", n) for n, piece in enumerate(other)]
    assert len(waves) >= 5
    wave = np.concatenate(waves)
    film = listen_through(recording_of(wave, 44_100), Guitar())
    assert find_playings([e.score for e in scene.examples], film) == ()


def test_a_line_that_opens_with_anothers_bars_bears_both_names(
    heard: tuple[object, object, tuple[Playthrough, ...]],
) -> None:
    """The last line of a scene opens with the first bar of the first."""
    scene, _, _ = heard
    scores = [example.score for example in scene.examples]  # type: ignore[attr-defined]
    first = [n for n in scores[0].lick.notes if n.onset < 4]
    last = scores[-1].lick.notes
    assert [n.pitch.midi for n in first] == [n.pitch.midi for n in last[: len(first)]]
    from lickwright.take.finding.shared import shared_passages
    from lickwright.take.finding.walking import sought_line

    lines = [sought_line(score) for score in scores]
    shared = shared_passages(lines, len(lines) - 1, 0, len(last) - 1)
    named = {passage.line: passage for passage in shared}
    assert named[0].last >= len(first) - 1
    assert named[0].pace == pytest.approx(1.0)
    assert len(lines) - 1 not in named


def test_a_teacher_may_say_where_a_playing_is(
    heard: tuple[object, object, tuple[Playthrough, ...]],
) -> None:
    scene, film, playings = heard
    scores = [example.score for example in scene.examples]  # type: ignore[attr-defined]
    known = playings[0]
    told = playing_between(scores, known.line, film, known.start_s, known.end_s)  # type: ignore[arg-type]
    assert told is not None
    assert (told.first, told.last) == (known.first, known.last)
    assert playing_between(scores, known.line, film, 0.0, 0.4) is None  # type: ignore[arg-type]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 20), st.integers(0, 6), st.floats(1.0, 60.0)), max_size=9))
def test_the_best_way_to_lay_playings_side_by_side_is_the_best_of_all(
    rows: list[tuple[int, int, float]],
) -> None:
    """Against all subsets."""
    candidates = [PossiblePlaying(0, 0, 9, b, b + n, e) for b, n, e in rows]

    def worth(some: tuple[PossiblePlaying, ...]) -> float:
        apart = all(a.end < b.begin or b.end < a.begin for a, b in combinations(some, 2))
        return sum(c.evidence - 14.0 for c in some) if apart else -1.0

    best = max(
        worth(some) for n in range(len(candidates) + 1) for some in combinations(candidates, n)
    )
    assert worth(best_apart(candidates, 14.0)) == pytest.approx(best)


def test_two_recordings_of_one_room_are_laid_beside_one_another(scenes: ModuleType) -> None:
    scene = scenes.scene(5, 2.0)
    wave = np.concatenate(list(scenes.blocks_of(scene, "strings clean", "dry", 5)))
    near = recording_of(wave, 44_100, "recorder")
    far_wave = np.convolve(wave[44_100 * 3 :], [0.4, 0.2], "same")
    far_wave = far_wave + 0.004 * np.random.default_rng(2).standard_normal(len(far_wave))
    beside = alongside(near, recording_of(far_wave.astype(np.float32), 44_100, "camera"))
    assert beside.start_s == pytest.approx(3.0, abs=0.004)
    assert beside.theirs(beside.own(12.5)) == pytest.approx(12.5)
    # A clock that is 200 ppm slow shows in the pace.
    slow = np.interp(np.arange(0, len(wave) - 1, 1.0002), np.arange(len(wave)), wave)
    drifting = alongside(near, recording_of(slow.astype(np.float32), 44_100, "slow"))
    assert drifting.pace == pytest.approx(1.0002, abs=6e-5)


def test_recordings_of_different_rooms_are_refused(scenes: ModuleType) -> None:
    one, other = (scenes.speech(40.0, number) for number in (1, 2))
    with pytest.raises(TakeError, match="do not hold the same sound"):
        alongside(recording_of(one, 44_100, "a.wav"), recording_of(other, 44_100, "b.wav"))


def test_a_pause_in_a_line_does_not_part_it(players: ModuleType, bench: ModuleType) -> None:
    score = players.random_score(3, 100, "16ths", 8, 4, 9)
    habits = players.Habits(start_s=(1.0, 1.0))
    played = players.perform(score, 100, habits, 3)
    stopped = tuple(
        n
        if n.onset_s < played.notes[16].onset_s
        else replace(n, onset_s=n.onset_s + 1.2, end_s=n.end_s + 1.2)
        for n in played.notes
    )
    paused = replace(played, notes=stopped, length_s=played.length_s + 1.2)
    film = listen_through(recording_of(players.VOICES["bank 27 clean"](paused), 44_100), Guitar())
    (found,) = find_playings([score], film)
    assert found.whole
    assert [pause.index for pause in found.take.pauses] == [16]
    assert found.take.pauses[0].seconds == pytest.approx(1.2, abs=0.1)


def test_a_player_who_goes_back_is_followed(players: ModuleType) -> None:
    """A stop, four notes once more, and on: no note is a fault for it."""
    for number, stop in ((3, 14), (11, 20), (12, 24)):
        score = players.random_score(number, 100, "16ths", 10, 4, 9)
        habits = players.Habits(start_s=(1.0, 1.0))
        played = players.perform(score, 100, habits, number)
        shift = played.notes[stop - 1].onset_s + 0.8 - played.notes[stop - 4].onset_s
        again = tuple(
            replace(n, onset_s=n.onset_s + shift, end_s=n.end_s + shift)
            for n in played.notes[stop - 4 :]
        )
        back = replace(
            played, notes=(*played.notes[:stop], *again), length_s=played.length_s + shift
        )
        wave = players.VOICES["bank 27 clean"](back)
        film = listen_through(recording_of(wave, 44_100), Guitar())
        (found,) = find_playings([score], film)
        assert found.whole
        assert found.faults == 0
        (went,) = found.take.returns
        assert (went.after, went.to) == (stop - 1, stop - 4)
        assert went.seconds == pytest.approx(0.8, abs=0.05)


def test_lines_of_few_notes_are_not_looked_for(players: ModuleType) -> None:
    score = players.line_score([(3, 5), (2, 6), (1, 7)], [Fraction(1)] * 3)
    wave = 0.1 * np.random.default_rng(1).standard_normal(3 * RATE_HZ).astype(np.float32)
    film = listen_through(recording_of(wave, RATE_HZ), Guitar())
    assert find_playings([score], film) == ()
