"""The verdict on each note, from starts that are given: no sound, so each limit can be met exactly.

What is heard in sound is tested elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from lickwright.lick import Lick, LickNote, Marks
from lickwright.neck import Guitar, Position
from lickwright.score import Bar, Score
from lickwright.take.errors import TakeError
from lickwright.take.judging import check
from lickwright.take.judging.check import TOLERANCE_S, check_take
from lickwright.take.judging.follow import Followed
from lickwright.take.judging.tempo_line import TempoLine
from lickwright.take.listening import PITCHES, Events
from lickwright.take.report import NoteVerdict, Pause, Take
from lickwright.theory import Key, parse_note_name, parse_pitch

PLAYED, EARLY, LATE = NoteVerdict.PLAYED, NoteVerdict.EARLY, NoteVerdict.LATE
WRONG, MISSING, UNJUDGED = NoteVerdict.WRONG, NoteVerdict.MISSING, NoteVerdict.UNJUDGED
C4 = 60


@dataclass
class Start:
    """One start in the sound: the pitches that rise in it, how surely it is one."""

    time_s: float
    pitches: dict[int, float]
    belief: float = 3.0
    clarity: float = 0.8


def on(time_s: float, midi: int = C4, strength: float = 1.0, **more: float) -> Start:
    return Start(time_s, {midi: strength}, **more)


def events_of(starts: list[Start]) -> Events:
    fit = np.zeros((len(starts), len(PITCHES)), np.float32)
    features = np.zeros((len(starts), 4))
    for row, start in enumerate(starts):
        features[row, 1] = start.clarity
        for midi, strength in start.pitches.items():
            fit[row, midi - PITCHES[0]] = strength
    belief = np.array([start.belief for start in starts])
    times = np.array([start.time_s for start in starts])
    return Events(times, fit, np.zeros_like(fit), features, belief, np.full(len(starts), -9.0))


def score_of(count: int, dead: tuple[int, ...] = ()) -> Score:
    pitch = parse_pitch("C4")
    line = tuple(
        LickNote(Position(2, 1), pitch, Fraction(n), Fraction(1), marks=Marks(dead=n in dead))
        for n in range(count)
    )
    bar = Bar(1, Fraction(0), Fraction(count), count, 4, Key(parse_note_name("C"), "ionian"))
    return Score("trial", Guitar(), Lick(line, Fraction(count)), (bar,), (), 60.0, 120.0)


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Judge starts at 60 to the minute, note n due at n seconds."""

    def now(
        starts: list[Start],
        chosen: list[int],
        dead: tuple[int, ...] = (),
        pauses: tuple[Pause, ...] = (),
        line: TempoLine | None = None,
        clipped: bool = False,
        **more: Any,
    ) -> Take:
        count = len(chosen) + len(dead)
        score = score_of(count, dead)
        due = np.array([float(n) for n in range(count) if n not in dead])
        followed = Followed(
            np.array(chosen), due, line or TempoLine((0.0, 1.0), (0.0, 1.0)), pauses
        )
        sound = SimpleNamespace(tuning_cents=3.0)
        monkeypatch.setattr(check, "listen", lambda _: sound)
        monkeypatch.setattr(check, "find_events", lambda *_: events_of(starts))
        monkeypatch.setattr(check, "follow", lambda *_: followed)
        monkeypatch.setattr(check, "ringing", lambda _, __, heard, ___: [0.1] * len(heard))
        return check_take(score, SimpleNamespace(clipped=clipped), **more)  # type: ignore[arg-type]

    return now


def verdicts(take: Take) -> list[NoteVerdict]:
    return [note.verdict for note in take.notes]


# ---------------------------------------------------------------------------------- in its time


def test_a_note_further_from_its_place_than_the_tolerance_is_early_or_late(judge: Any) -> None:
    times = [0.0, 1.0249, 2.0251, 2.9751, 3.9749, 5.0]
    take = judge([on(time) for time in times], list(range(6)))
    assert verdicts(take) == [PLAYED, PLAYED, LATE, PLAYED, EARLY, PLAYED]
    assert [note.heard_s for note in take.notes] == times
    assert [note.expected_s for note in take.notes] == [0, 1, 2, 3, 4, 5]
    assert [note.heard_midi for note in take.notes] == [C4] * 6
    assert take.tolerance_s == TOLERANCE_S


def test_the_tolerance_is_a_fortieth_of_a_second_where_none_is_given(judge: Any) -> None:
    # Above what listeners notice (6 ms, Friberg and Sundberg 1995), below a 32nd at 120 (62 ms).
    assert 0.006 < TOLERANCE_S < 0.0625
    assert TOLERANCE_S == 1 / 40
    wide = judge([on(0.0), on(1.05), on(2.11)], [0, 1, 2], tolerance_s=0.1)
    assert verdicts(wide) == [PLAYED, PLAYED, LATE]
    assert wide.tolerance_s == 0.1


# -------------------------------------------------------------------------------------- pitches


def test_another_pitch_near_by_is_wrong_and_one_far_off_is_the_bands(judge: Any) -> None:
    right = [on(float(n)) for n in range(4)]
    take = judge([*right, on(4.0, C4 + 9), on(5.0, C4 + 10), on(6.0, C4 - 9)], list(range(7)))
    assert verdicts(take) == [PLAYED] * 4 + [WRONG, MISSING, WRONG]
    assert [note.heard_midi for note in take.notes[4:]] == [C4 + 9, None, C4 - 9]
    assert take.notes[5].heard_s is None


def test_a_wrong_pitch_must_fit_nearly_as_well_as_the_best(judge: Any) -> None:
    right = [on(float(n)) for n in range(4)]

    def of(**fits: float) -> list[NoteVerdict]:
        pitches = {C4 + int(step.strip("n")): fit for step, fit in fits.items()}
        return verdicts(judge([*right, Start(4.0, pitches)], list(range(5))))[4:]

    assert of(n2=0.81, n20=1.0) == [WRONG]
    assert of(n2=0.79, n20=1.0) == [MISSING]
    # The printed pitch itself, at half of the best, is taken for played: the rest is the band's.
    assert of(n0=0.51, n20=1.0) == [PLAYED]
    assert of(n0=0.49, n20=1.0) == [MISSING]
    assert of(n0=0.75, n2=1.0) == [PLAYED]  # close to the best: the very pitch


def test_a_start_that_is_none_says_nothing_of_its_pitch(judge: Any) -> None:
    right = [on(float(n)) for n in range(4)]
    doubtful = judge([*right, on(4.0, C4 + 2, belief=0.4)], list(range(5)))
    assert verdicts(doubtful)[4] is PLAYED
    clear = judge([*right, on(4.0, C4 + 2, belief=0.6)], list(range(5)))
    assert verdicts(clear)[4] is WRONG


def test_what_has_no_start_is_missing_and_is_surer_where_nothing_is_near(judge: Any) -> None:
    right = [on(0.0), on(1.0), on(2.0)]
    silent = judge(right, [0, 1, 2, -1]).notes[3]
    near = judge([*right, on(3.02, belief=1.0)], [0, 1, 2, -1]).notes[3]
    far = judge([*right, on(3.04, belief=1.0)], [0, 1, 2, -1]).notes[3]
    assert silent.verdict is near.verdict is MISSING
    assert silent.heard_s is silent.heard_midi is None
    assert silent.sure > 0.95
    assert near.sure < 0.5
    assert far.sure == silent.sure


def test_a_clear_start_is_surer_than_a_doubtful_one(judge: Any) -> None:
    take = judge([on(0.0, belief=3.0), on(1.0, belief=0.0), on(2.0)], [0, 1, 2])
    # Log odds of 3 are 20 to 1, of 0 are even.
    assert take.notes[0].sure == pytest.approx(20.09 / 21.09, abs=1e-3)
    assert take.notes[1].sure == pytest.approx(0.5)
    assert all(note.ring_s == 0.1 for note in take.notes)


# --------------------------------------------------------------------------------------- extras


def extras(judge: Any, *more: Start) -> list[tuple[int, float, int]]:
    starts = sorted([*(on(float(n)) for n in range(4)), *more], key=lambda one: one.time_s)
    times = [start.time_s for start in starts]
    take = judge(starts, [times.index(float(n)) for n in range(4)])
    return [(one.after, one.heard_s, one.midi) for one in take.extras]


def test_a_clear_note_between_two_is_extra_after_the_one_before(judge: Any) -> None:
    assert extras(judge, on(1.5, C4 + 3)) == [(1, 1.5, C4 + 3)]
    assert extras(judge, on(0.5), on(2.5)) == [(0, 0.5, C4), (2, 2.5, C4)]


@pytest.mark.parametrize(
    ("start", "told"),
    [
        (on(1.5, belief=0.51), True),
        (on(1.5, belief=0.49), False),
        (on(1.5, strength=0.46), True),
        (on(1.5, strength=0.44), False),
        (on(1.5, C4 + 9), True),
        (on(1.5, C4 + 10), False),  # the band's, or a partial
        (on(1.031), True),
        (on(1.029), False),  # of the note itself
        (on(-0.5), False),  # before the first and after the last nothing is extra
        (on(3.5), False),
    ],
)
def test_what_is_an_extra_note_and_what_is_none(judge: Any, start: Start, told: bool) -> None:
    assert bool(extras(judge, start)) == told


def test_an_extra_note_is_as_strong_as_half_a_usual_one_or_nearly(judge: Any) -> None:
    def count(strength: float) -> int:
        loud = [on(0.0, strength=2.0), on(1.0, strength=2.0), on(2.0, strength=2.0)]
        starts = [*loud[:2], on(1.5, strength=strength), loud[2]]
        return len(judge(starts, [0, 1, 3]).extras)

    assert (count(0.85), count(0.95)) == (0, 1)


def test_what_is_none_hides_no_extra_note_behind_it(judge: Any) -> None:
    band, double = on(0.5, C4 + 20), on(1.01)
    assert extras(judge, band, double, on(2.5)) == [(2, 2.5, C4)]


# ------------------------------------------------------------------------------- dead and pauses


def test_a_dead_note_is_not_judged_and_the_others_keep_their_places(judge: Any) -> None:
    take = judge([on(0.0), on(2.0), on(2.5), on(3.0)], [0, 1, 3], dead=(1,))
    assert verdicts(take) == [PLAYED, UNJUDGED, PLAYED, PLAYED]
    assert [note.index for note in take.notes] == [0, 1, 2, 3]
    assert take.notes[1].expected_s == 1.0
    assert [extra.after for extra in take.extras] == [2]


def test_pauses_are_told_by_the_printed_note_and_shift_what_is_due(judge: Any) -> None:
    pauses = (Pause(1, 0.5),)
    take = judge([on(0.0), on(2.0), on(4.0)], [0, 1, 2], dead=(1, 3), pauses=pauses)
    assert take.pauses == (Pause(2, 0.5),)
    assert take.notes[1].expected_s == 1.0
    assert take.notes[3].expected_s == 3.5


def test_tempo_drift_start_and_the_rest(judge: Any) -> None:
    # Six beats at 60, then six at 80: the end is a third faster than the beginning.
    line = TempoLine((0.0, 6.0, 12.0), (1.0, 7.0, 11.5))
    starts = [on(float(n)) for n in range(13)]
    take = judge(starts, list(range(13)), line=line, clipped=True)
    assert take.drift == pytest.approx(1 / 3)
    assert take.tempo_bpm == pytest.approx(60 * 12 / 10.5)
    assert take.start_s == 1.0
    assert (take.tuning_cents, take.clipped) == (3.0, True)
    one = judge([on(0.0)], [0])
    assert one.drift == 0
    assert one.tempo_bpm == pytest.approx(60)


# ------------------------------------------------------------------------------------- refusals


def test_a_recording_of_something_else_is_refused(judge: Any) -> None:
    two_of_five = [on(0.0), on(1.0), *(on(float(n), C4 + 2) for n in (2, 3, 4))]
    assert len(judge(two_of_five, list(range(5))).right) == 2
    with pytest.raises(TakeError) as caught:
        judge([on(0.0), *(on(float(n), C4 + 5) for n in (1, 2, 3, 4))], list(range(5)))
    assert "of 5 printed notes only 1 could be found in the take" in caught.value.what


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (1, "a half step above"),
        (-1, "a half step below"),
        (2, "2 half steps above"),
        (-3, "3 half steps below"),
        (12, "an octave above"),
    ],
)
def test_another_tuning_is_named(judge: Any, shift: int, words: str) -> None:
    words = words.replace("a half", "1 half")
    with pytest.raises(TakeError, match=f"the take sounds {words} what is printed"):
        judge([on(float(n), C4 + shift) for n in range(5)], list(range(5)))


def test_noise_is_refused_and_clear_pitches_are_not(judge: Any) -> None:
    with pytest.raises(TakeError, match="no clear notes can be heard"):
        judge([on(float(n), clarity=0.41) for n in range(3)], [0, 1, 2])
    assert judge([on(float(n), clarity=0.43) for n in range(3)], [0, 1, 2]).notes


def test_an_example_without_pitches_has_nothing_to_listen_for(judge: Any) -> None:
    with pytest.raises(TakeError, match="no notes to listen for"):
        judge([], [], dead=(0, 1))
