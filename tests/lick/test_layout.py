"""Notes in time: exact onsets, ties over bar lines, tuplets cut at bar lines, endings."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import RhythmError
from lickwright.lick.notes import Lick, LickNote, Tuplet
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.lick.rhythm.timing import Meter, attacks_within, lay_out
from lickwright.lick.rhythm.writing import rhythm_of
from lickwright.neck.instrument import Position
from lickwright.theory.pitch import parse_pitch

F = Fraction
TEXTS = [
    "16ths", "8ths", "8th triplets", "quintuplets", "septuplets", "quarter triplets", "q e e",
    "q. e", "3(e e e) s x4", "q+s e.", "rq 3(q e)", "e q+s s", "3(e e e)+q s s", "5(e s x3) rq e",
    "3(re e e) q.", "dotted 8ths",
]  # fmt: skip


def lick_of(laid_spans: tuple[tuple[F, F], ...], length: F, tuplets: tuple[Tuplet, ...]) -> Lick:
    a = parse_pitch("A4")
    notes = tuple(LickNote(Position(1, 5), a, onset, time) for onset, time in laid_spans)
    return Lick(notes, length, tuplets)


def test_sixteenths_are_quarter_beats() -> None:
    laid = lay_out(parse_rhythm("16ths"), 6)
    assert laid.spans == tuple((F(n, 4), F(1, 4)) for n in range(6))
    assert laid.length == 4
    assert laid.tuplets == ()


def test_a_tie_is_one_note_and_a_rest_is_none() -> None:
    laid = lay_out(parse_rhythm("q+s rs e"), 4)
    assert laid.spans == ((0, F(5, 4)), (F(3, 2), F(1, 2)), (2, F(5, 4)), (F(7, 2), F(1, 2)))


def test_a_group_of_three_in_sixteenths_crosses_the_bar_line() -> None:
    # Dotted eighths in 4/4: the sixth starts at 3 3/4 and is held over the bar line.
    laid = lay_out(parse_rhythm("dotted 8ths"), 6)
    assert laid.spans[-1] == (F(15, 4), F(3, 4))
    assert laid.length == 8


def test_a_triplet_over_the_bar_line_is_written_as_two() -> None:
    # Quarter triplets in 3/4: the second begins on beat 3 and is cut by the bar line.  Elementary
    # notation, no source: each half is a triplet of eighths.
    laid = lay_out(parse_rhythm("quarter triplets"), 6, meter=Meter(bar=F(3)))
    assert laid.tuplets == (
        Tuplet(F(0), F(2), 3, 2), Tuplet(F(2), F(1), 3, 2), Tuplet(F(3), F(1), 3, 2),
    )  # fmt: skip
    assert [onset for onset, _ in laid.spans] == [F(2 * n, 3) for n in range(6)]


def test_a_tuplet_that_no_value_can_cut_is_refused() -> None:
    with pytest.raises(RhythmError, match="crosses a bar line"):
        lay_out(parse_rhythm("e 3(q q q)"), 12, meter=Meter(bar=F(4, 3)))


@pytest.mark.parametrize(
    ("ending", "duration"), [("written", F(1, 4)), ("beat", F(3, 4)), ("bar", F(11, 4))]
)
def test_endings(ending: str, duration: Fraction) -> None:
    assert lay_out(parse_rhythm("16ths"), 6, ending=ending).spans[-1] == (F(5, 4), duration)


def test_a_line_that_stops_inside_a_tuplet_keeps_the_tuplet_whole() -> None:
    laid = lay_out(parse_rhythm("8th triplets"), 4)
    assert laid.tuplets[-1] == Tuplet(F(1), F(1), 3, 2)
    assert laid.length == 4


def test_bar_marks_are_checked() -> None:
    assert lay_out(parse_rhythm("q q q q | h h |"), 6).length == 8
    with pytest.raises(RhythmError, match=r"bar 2 of the rhythm holds 3 quarter notes .* 4"):
        lay_out(parse_rhythm("q q q q | h q |"), 8)
    pickup = Meter(pickup=F(1))
    assert lay_out(parse_rhythm("e e | q q q q | rq rq rh |"), 6, meter=pickup).length == 5


def test_the_meter_knows_its_bars_and_strong_beats() -> None:
    common, waltz, fast = Meter(), Meter(bar=F(3)), Meter(bar=F(3), beat=F(3, 2))
    assert [common.is_strong(F(n)) for n in range(5)] == [True, False, True, False, True]
    assert [waltz.is_strong(F(n)) for n in range(4)] == [True, False, False, True]
    assert [fast.is_strong(F(n, 2)) for n in range(7)] == [True] + [False] * 5 + [True]
    pickup = Meter(pickup=F(1))
    assert [pickup.bar_of(F(n)) for n in (0, 1, 4, 5)] == [0, 1, 1, 2]
    assert [pickup.bar_end(F(n)) for n in (0, 1, 2, 5, 6)] == [1, 1, 5, 5, 9]


def test_beats_may_differ() -> None:
    # 7/8 felt as 2+2+3 (common practice, no source).
    meter = Meter(bar=F(7, 2), beats=(F(1), F(1), F(3, 2)))
    eighths = [F(n, 2) for n in range(8)]
    assert [n for n, moment in enumerate(eighths) if meter.on_beat(moment)] == [0, 2, 4, 7]
    assert [meter.beat_end(moment) for moment in eighths[3:8]] == [2, 2, F(7, 2), F(7, 2), F(7, 2)]
    assert [n for n, moment in enumerate(eighths) if meter.is_strong(moment)] == [0, 7]


meters = st.sampled_from([Meter(), Meter(bar=F(3)), Meter(bar=F(7, 2)), Meter(pickup=F(1))])


@given(st.sampled_from(TEXTS), st.integers(1, 40), meters)
def test_laws_of_layout(text: str, count: int, meter: Meter) -> None:
    rhythm = parse_rhythm(text)
    laid = lay_out(rhythm, count, meter=meter)
    assert len(laid.spans) == count
    for (onset, duration), (after, _) in zip(laid.spans, laid.spans[1:], strict=False):
        assert duration > 0
        assert onset + duration <= after
    assert laid.length == meter.bar_end(laid.length)
    for tuplet in laid.tuplets:
        assert tuplet.onset + tuplet.length <= meter.bar_line_after(tuplet.onset)
        unit = tuplet.length / tuplet.normal
        assert unit.numerator & (unit.numerator - 1) == 0  # a plain written value
        assert unit.denominator & (unit.denominator - 1) == 0
    assert attacks_within(rhythm, laid.spans[-1][0] + F(1, 1000), meter=meter) == count


@given(st.sampled_from(TEXTS), st.integers(1, 24), st.sampled_from([Meter(), Meter(bar=F(3))]))
def test_a_lick_writes_its_rhythm_back(text: str, count: int, meter: Meter) -> None:
    laid = lay_out(parse_rhythm(text), count, meter=meter, ending="beat")
    written = rhythm_of(lick_of(laid.spans, laid.length, laid.tuplets))
    again = lay_out(parse_rhythm(str(written)), count, meter=meter)
    assert again.spans == laid.spans
    assert again.tuplets == laid.tuplets
