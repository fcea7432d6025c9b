"""What a teacher would say of a take: whose hand it was, where, by how much.

Judgements of how much is too much are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from lickwright.lick import Lick, LickNote, Stroke
from lickwright.neck import Guitar, Position
from lickwright.score import Bar, Score
from lickwright.take.judging.words import Remark, not_heard, remarks
from lickwright.take.listening import RING_S
from lickwright.take.report import ExtraNote, HeardNote, NoteVerdict, Pause, Take
from lickwright.theory import Key, parse_note_name, parse_pitch

D, U = Stroke.DOWN, Stroke.UP
EIGHTH = Fraction(1, 2)
#: String, fret, finger, stroke.
Row = tuple[int, int, int | None, Stroke | None]
PLAIN: tuple[Row, ...] = ((2, 5, 1, D), (2, 6, 2, U), (2, 5, 1, D), (2, 6, 2, U))
SWEEP: tuple[Row, ...] = ((4, 5, 1, D), (3, 5, 1, D), (2, 5, 1, D), (1, 5, 1, D))


def score_of(rows: tuple[Row, ...]) -> Score:
    pitch = parse_pitch("C4")
    line = tuple(
        LickNote(Position(string, fret), pitch, n * EIGHTH, EIGHTH, finger, stroke)
        for n, (string, fret, finger, stroke) in enumerate(rows)
    )
    bar = Bar(1, Fraction(0), Fraction(8), 8, 4, Key(parse_note_name("C"), "ionian"))
    return Score("trial", Guitar(), Lick(line, Fraction(8)), (bar,), (), 60.0, 120.0)


def played(
    rows: tuple[Row, ...],
    late_s: dict[int, float] | None = None,
    verdicts: dict[int, NoteVerdict] | None = None,
    heard_midi: dict[int, int] | None = None,
    ring_s: dict[int, float] | None = None,
    sure: float = 1.0,
    **more: Any,
) -> Take:
    """A take at 60: an eighth every half second, each on time where nothing else is said."""
    notes = []
    for n in range(len(rows)):
        late = (late_s or {}).get(n, 0.0)
        usual = NoteVerdict.LATE if late > 0.025 else NoteVerdict.PLAYED
        verdict = (verdicts or {}).get(n, usual)
        heard = verdict not in (NoteVerdict.MISSING, NoteVerdict.UNJUDGED)
        notes.append(
            HeardNote(
                n,
                60,
                0.5 * n,
                verdict,
                0.5 * n + late if heard else None,
                (heard_midi or {}).get(n, 60) if heard else None,
                sure,
                (ring_s or {}).get(n),
            )
        )
    what: dict[str, Any] = {
        "extras": (),
        "pauses": (),
        "drift": 0.0,
        "tuning_cents": 0.0,
        "clipped": False,
        **more,
    }
    return Take(
        score_of(rows),
        tuple(notes),
        what["extras"],
        what["pauses"],
        60.0,
        what["drift"],
        0.0,
        what["tuning_cents"],
        0.025,
        what["clipped"],
    )


def said(take: Take) -> list[tuple[str, tuple[int, ...], str]]:
    """All remarks but the first, which counts the notes."""
    return [(one.hand, one.notes, one.text) for one in remarks(take)[1:]]


# ---------------------------------------------------------------------------------------- whole


def test_the_first_remark_counts_the_notes_that_could_be_judged() -> None:
    take = played(PLAIN, {1: 0.05}, {2: NoteVerdict.MISSING, 3: NoteVerdict.UNJUDGED})
    assert remarks(take)[0] == Remark("both", (), "2 of 3 notes sounded at their pitch.")
    assert said(played(PLAIN)) == []


@pytest.mark.parametrize(
    ("drift", "words"),
    [
        (0.03, "The tempo gained 3 % on the way."),
        (0.6, "The tempo gained 60 % on the way."),
        (-0.05, "The tempo lost 5 % on the way."),
        (0.02, None),
        (-0.02, None),
        (0.0, None),
    ],
)
def test_a_tempo_that_drifts_by_more_than_a_fiftieth(drift: float, words: str | None) -> None:
    told = [("both", (), words)] if words else []
    assert said(played(PLAIN, drift=drift)) == told


def test_where_the_player_stopped_or_came_in_too_soon() -> None:
    take = played(PLAIN, pauses=(Pause(1, 1.25), Pause(2, -0.42)))
    assert said(take) == [
        ("both", (1,), "Before note 2 you stopped for 1.2 s."),
        ("both", (2,), "Before note 3 you came in too soon, by 0.4 s."),
    ]


def test_missing_and_extra_notes_are_named() -> None:
    gone = NoteVerdict.MISSING
    assert said(played(PLAIN, verdicts={1: gone})) == [("both", (1,), "Not heard: note 2.")]
    assert said(played(PLAIN, verdicts={0: gone, 2: gone})) == [
        ("both", (0, 2), "Not heard: notes 1, 3."),
    ]
    extra = ExtraNote(2, 1.2, 63, 0.9)
    assert said(played(PLAIN, extras=(extra,))) == [
        ("both", (2,), "Not printed but heard: a note after note 3."),
    ]


def test_more_than_eight_notes_are_counted() -> None:
    eight, nine, eleven = (
        said(played(PLAIN[:1] * count, verdicts=dict.fromkeys(range(count), NoteVerdict.MISSING)))
        for count in (8, 9, 11)
    )
    assert eight[0][2] == "Not heard: notes 1, 2, 3, 4, 5, 6, 7, 8."
    assert nine[0][2] == "Not heard: notes 1, 2, 3, 4, 5, 6, 7, 8 and 1 more."
    assert eleven[0][2] == "Not heard: notes 1, 2, 3, 4, 5, 6, 7, 8 and 3 more."


@pytest.mark.parametrize(
    ("cents", "words"),
    [
        (15.0, "The guitar sounds 15 cents above A = 440 Hz."),
        (-20.0, "The guitar sounds 20 cents below A = 440 Hz."),
        (12.0, None),
        (-12.0, None),
    ],
)
def test_a_guitar_an_eighth_of_a_half_step_out_of_tune(cents: float, words: str | None) -> None:
    assert said(played(PLAIN, tuning_cents=cents)) == ([("both", (), words)] if words else [])


# -------------------------------------------------------------------------------------- picking


def test_an_uneven_sweep_is_the_picking_hands() -> None:
    # Steps of 0.4, 0.6 and 0.5 s where 0.5 is printed: from 80 % to 120 %.
    take = played(SWEEP, {1: -0.1}, dict.fromkeys(range(4), NoteVerdict.PLAYED))
    assert said(take) == [
        (
            "picking",
            (0, 1, 2, 3),
            "The downward sweep of notes 1 to 4 is uneven: its steps run from 80% to 120% of what"
            " is printed. Let the pick fall through the strings in one even motion.",
        )
    ]
    # From 84 % to 116 % is a third of a step: even enough.
    assert said(played(SWEEP, {1: -0.08}, dict.fromkeys(range(4), NoteVerdict.PLAYED))) == []


def test_a_sweep_as_a_whole_hurried_or_dragged() -> None:
    even = dict.fromkeys(range(4), NoteVerdict.PLAYED)
    hurried = {n: -0.1 * n for n in range(4)}  # each step 0.4 of 0.5 s
    assert said(played(SWEEP, hurried, even)) == [
        (
            "picking",
            (0, 1, 2, 3),
            "The downward sweep of notes 1 to 4 is hurried: it takes 80% of its time.",
        )
    ]
    dragged = {n: 0.1 * n for n in range(4)}
    assert [text for _, _, text in said(played(SWEEP, dragged, even))] == [
        "The downward sweep of notes 1 to 4 is dragged: it takes 120% of its time."
    ]
    a_tenth = {n: 0.05 * n for n in range(4)}
    assert said(played(SWEEP, a_tenth, even)) == []


def test_an_upward_sweep_is_called_so_and_two_notes_are_none_to_speak_of() -> None:
    up: tuple[Row, ...] = ((1, 5, 1, U), (2, 5, 1, U), (3, 5, 1, U))
    even = dict.fromkeys(range(4), NoteVerdict.PLAYED)
    (one,) = said(played(up, {1: 0.2, 2: 0.2}, even))
    assert one[2].startswith("The upward sweep of notes 1 to 3 is uneven: its steps run from 100%")
    assert said(played(up[:2], {1: 0.2}, even)) == []


def test_a_sweep_with_a_note_missing_is_not_judged() -> None:
    take = played(
        SWEEP,
        {1: -0.2, 3: -0.2},
        {2: NoteVerdict.MISSING, 1: NoteVerdict.PLAYED, 3: NoteVerdict.PLAYED},
    )
    assert [hand for hand, _, _ in said(take)] == ["both"]


TURN: tuple[Row, ...] = ((3, 5, 1, D), (2, 5, 1, D), (2, 6, 2, U))


def test_a_late_turn_is_the_picking_hands() -> None:
    assert said(played(TURN, {2: 0.06})) == [
        ("picking", (2,), "The turn at note 3 comes 60 ms late."),
    ]
    assert said(played(TURN, {1: 0.06})) == []  # late within, not on the turn
    early = played(TURN, {2: -0.06}, {2: NoteVerdict.EARLY})
    assert said(early) == []


# ------------------------------------------------------------------------------------- fretting


@pytest.mark.parametrize(
    ("midi", "words"),
    [
        (61, "Note 2 sounds 1 fret above string 2, fret 6, if it was played on that string."),
        (58, "Note 2 sounds 2 frets below string 2, fret 6, if it was played on that string."),
    ],
)
def test_a_wrong_pitch_is_told_in_frets(midi: int, words: str) -> None:
    take = played(PLAIN, verdicts={1: NoteVerdict.WRONG}, heard_midi={1: midi})
    ((hand, notes, text),) = said(take)
    assert (hand, notes) == ("fretting", (1,))
    assert text == words.replace("string 2, fret 6", str(Position(2, 6)))


def shifted(fret: int, finger: int | None) -> tuple[Row, ...]:
    return ((2, 5, 1, D), (2, fret, finger, U))


def test_a_late_note_after_a_shift_is_the_fretting_hands() -> None:
    assert said(played(shifted(9, 3), {1: 0.06})) == [
        (
            "fretting",
            (1,),
            "After the shift, note 2 comes 60 ms late. Look ahead to fret 9 before the hand moves.",
        )
    ]
    # The third finger at fret 7 is where it lies; at 8 the hand goes one fret, at 9 two.
    assert said(played(shifted(7, 3), {1: 0.06})) == []
    assert said(played(shifted(8, 3), {1: 0.06})) == []
    assert len(said(played(shifted(1, 1), {1: 0.06}))) == 1  # downwards as well
    assert said(played(shifted(9, 3), {1: 0.01})) == []  # in time: nothing to say
    assert said(played(shifted(0, 0), {1: 0.06})) == []  # an open string needs no shift
    assert said(played(shifted(9, None), {1: 0.06})) == []


def test_late_after_a_shift_on_a_turn_is_told_once() -> None:
    rows: tuple[Row, ...] = ((3, 5, 1, D), (2, 5, 1, D), (2, 12, 2, U))
    assert [hand for hand, _, _ in said(played(rows, {2: 0.06}))] == ["picking"]


def test_strings_that_ring_on() -> None:
    take = played(PLAIN, ring_s={0: 0.5, 2: 0.6, 3: 0.0})
    assert said(take) == [
        (
            "fretting",
            (0, 2),
            "Ringing on over the next note, up to 600 ms: notes 1, 3. Lift the finger, or rest the"
            " picking hand on the strings it has left.",
        )
    ]


def test_a_string_rings_on_from_what_the_listener_can_tell() -> None:
    assert len(said(played(PLAIN, ring_s={0: RING_S}))) == 1
    assert said(played(PLAIN, ring_s={0: RING_S - 0.001})) == []


def test_the_whole_comes_first_then_hand_by_hand() -> None:
    rows = (*TURN, (2, 12, 2, D))
    take = played(
        rows,
        {2: 0.06, 3: 0.07},
        {0: NoteVerdict.WRONG},
        {0: 62},
        {1: 1.0},
        drift=0.1,
    )
    assert [hand for hand, _, _ in said(take)] == ["both", "picking", *("fretting",) * 3]


# ------------------------------------------------------------------------------------ not heard


def test_what_a_recording_cannot_tell() -> None:
    always = not_heard(played(PLAIN))
    assert len(always) == 2
    doubtful = not_heard(played(PLAIN[:1], sure=0.69))
    assert doubtful[2:] == ("Note 1 could not be heard clearly.",)
    assert len(not_heard(played(PLAIN[:1], sure=0.7))) == 2
    unheard = played(PLAIN[:1], verdicts={0: NoteVerdict.MISSING}, sure=0.1)
    assert len(not_heard(unheard)) == 2  # what was not heard is said elsewhere
    dead = not_heard(played(PLAIN, verdicts={1: NoteVerdict.UNJUDGED}))
    assert dead[2:] == ("Not judged, for want of a pitch that can be told: note 2.",)
    assert not_heard(played(PLAIN, clipped=True))[2:] == (
        "The recording is overdriven at its input; record it at a lower level.",
    )
