"""What a take says as plain data: units, counting from one, which verdicts count as right."""

from __future__ import annotations

from fractions import Fraction

from lickwright.lick import Lick, LickNote
from lickwright.neck import Guitar, Position
from lickwright.score import Bar, Score
from lickwright.take.report import ExtraNote, HeardNote, NoteVerdict, Pause, Take
from lickwright.theory import Key, parse_note_name, parse_pitch


def take(*notes: HeardNote, extras: tuple[ExtraNote, ...] = (), clipped: bool = False) -> Take:
    pitch, quarter = parse_pitch("C4"), Fraction(1)
    line = tuple(
        LickNote(Position(2, fret), pitch, Fraction(fret - 1), quarter) for fret in (1, 2, 3, 4)
    )
    bar = Bar(1, Fraction(0), Fraction(4), 4, 4, Key(parse_note_name("C"), "ionian"))
    score = Score("The pair", Guitar(), Lick(line, Fraction(4)), (bar,), (), 60.0, 120.0)
    return Take(
        score,
        notes,
        extras,
        (Pause(1, 0.51239),),
        119.98765,
        0.0123456,
        1.2345678,
        -3.4,
        0.025,
        clipped,
    )


LATE = HeardNote(1, 61, 1.5, NoteVerdict.LATE, 1.54321, 61, 0.98765, 0.12345)
MISSING = HeardNote(2, 62, 2.0, NoteVerdict.MISSING, sure=0.5)


def test_late_is_after_its_time_and_early_before() -> None:
    assert round(LATE.late_s or 0, 5) == 0.04321
    early = HeardNote(0, 60, 1.0, NoteVerdict.EARLY, 0.9, 60)
    assert early.late_s is not None
    assert early.late_s < 0
    assert MISSING.late_s is None
    at_the_very_start = HeardNote(0, 60, 0.5, NoteVerdict.EARLY, 0.0, 60)
    assert at_the_very_start.late_s == -0.5


def test_right_are_the_notes_at_their_pitch_in_time_or_not() -> None:
    notes = tuple(HeardNote(n, 60, 0.0, verdict) for n, verdict in enumerate(NoteVerdict))
    held = take(*notes)
    assert [note.verdict for note in held.right] == [
        *(NoteVerdict.PLAYED, NoteVerdict.EARLY, NoteVerdict.LATE),
    ]
    (missing,) = held.with_verdict(NoteVerdict.MISSING)
    assert missing.index == 4
    assert held.with_verdict() == ()


def test_a_note_as_data_counts_from_one_and_in_milliseconds() -> None:
    late, missing = take(LATE, MISSING).as_data()["notes"]
    assert late == {
        "note": 2,
        "string": 2,
        "fret": 2,
        "expected": {"onset_s": 1.5, "midi": 61},
        "heard": {"onset_s": 1.5432, "midi": 61},
        "verdict": "late",
        "late_ms": 43.2,
        "ring_ms": 123,
        "sure": 0.99,
    }
    assert missing["heard"] is None
    assert missing["late_ms"] is None
    assert missing["ring_ms"] is None
    assert (missing["note"], missing["verdict"], missing["sure"]) == (3, "missing", 0.5)


def test_times_are_told_to_a_tenth_of_a_millisecond() -> None:
    due = HeardNote(0, 60, 1.23456, NoteVerdict.PLAYED, 1.23454, 60, 0.555, 0.00051)
    (told,) = take(due).as_data()["notes"]
    assert told["expected"]["onset_s"] == 1.2346
    assert told["heard"]["onset_s"] == 1.2345
    assert told["late_ms"] == -0.0
    assert told["ring_ms"] == 1


def test_a_second_is_a_thousand_milliseconds() -> None:
    second = HeardNote(0, 60, 1.0, NoteVerdict.LATE, 2.0, 60, 1.0, 1.0)
    (told,) = take(second).as_data()["notes"]
    assert (told["late_ms"], told["ring_ms"]) == (1000.0, 1000)


def test_the_take_as_data() -> None:
    extra = ExtraNote(1, 2.34567, 65, 0.876)
    data = take(LATE, extras=(extra,)).as_data()
    del data["notes"]
    assert data == {
        "example": "The pair",
        "tempo_bpm": 119.99,
        "drift": 0.0123,
        "start_s": 1.2346,
        "tuning_cents": -3,
        "tolerance_s": 0.025,
        "clipped": False,
        "extras": [
            {
                "after": 2,
                "heard": {"onset_s": 2.3457, "midi": 65},
                "verdict": "extra",
                "sure": 0.88,
            }
        ],
        "pauses": [{"before": 2, "seconds": 0.51}],
        "returns": [],
    }
    assert take(LATE, clipped=True).as_data()["clipped"] is True


def test_where_nothing_is_said_nothing_was_heard_and_nothing_clipped() -> None:
    bare = HeardNote(0, 60, 0.0, NoteVerdict.MISSING)
    assert (bare.heard_s, bare.heard_midi, bare.sure, bare.ring_s) == (None, None, 0, None)
    sound = take(LATE)
    fields = (sound.score, sound.notes, (), (), 120.0, 0.0, 0.0, 0.0, 0.025)
    assert Take(*fields).clipped is False
