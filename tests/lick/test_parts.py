"""A lick of parts: what each link promises, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import ContourError, HandError, NeckError, RhythmError
from lickwright.lick.hands.mirrored import part_strokes
from lickwright.lick.notes import Lick, PartLink, Stroke
from lickwright.lick.phrase.composing import AnyShape, compose, in_turn
from lickwright.lick.phrase.contour import parse_contour, turned_round
from lickwright.lick.phrase.part_places import PartTask, place_parts
from lickwright.lick.phrase.parts import PartFilling, PartPlan, join_parts
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.text import mirror_strokes, print_strokes
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.lick.rhythm.timing import Meter, written_end
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.shapes.merged import find_merged, ranked_merged

GUITAR = Guitar()
FIRST = find_merged("C Am", frets="5-8", strings="2-4")[0]
UP, DOWN = parse_contour("up"), parse_contour("down")
SIXTEENTHS = parse_rhythm("16ths")
METER = Meter()


def part(name: str = "A", shape: AnyShape = FIRST, **other: object) -> PartPlan:
    plan = PartPlan(name, (shape,), ((0, 1),), UP, SIXTEENTHS)
    return replace(plan, **other)  # type: ignore[arg-type]


def onsets(lick: Lick, index: int) -> list[Fraction]:
    return [note.onset for note in lick.notes_of(index)]


def test_notes_know_their_part_and_all_their_triads() -> None:
    lick = join_parts([part(), part("B", contour=DOWN)], GUITAR)
    assert [note.belongs.part for note in lick.notes] == [0] * 5 + [1] * 5
    assert [note.triads for note in lick.notes_of(0)] == [(0,), (1,), (0, 1), (0, 1), (0,)]
    assert [note.voice for note in lick.notes_of(0)] == [0, 1, 0, 0, 0]
    assert [(p.name, p.onset) for p in lick.parts] == [("A", 0), ("B", Fraction(5, 4))]
    assert lick.length == 4


def test_a_line_of_one_piece_has_no_parts() -> None:
    line = compose([[Position(3, 5), Position(2, 5)]], "up", "q")
    assert line.parts == ()
    assert {note.belongs.part for note in line.notes} == {None}
    assert [note.triads for note in line.notes] == [(0,), (0,)]


def test_merged_triads_go_there_and_back_in_one_contour() -> None:
    contour = parse_contour("up down")
    line = compose(in_turn([FIRST], contour), contour, "16ths", GUITAR)
    frets = [f"{n.position.string}/{n.position.fret}" for n in line.notes]
    assert frets == ["4/5", "4/7", "3/5", "2/5", "2/8", "2/5", "3/5", "4/7", "4/5"]
    assert {note.triads for note in line.notes} == {(0,), (1,), (0, 1)}


def test_a_mirror_has_contour_and_strokes_turned_round() -> None:
    """The lick that players mean: swept up, answered by another pair swept down."""
    half = Fraction(2)
    other = find_merged("C Em", frets="8-12", strings="2-4")
    second = next(a for a in other if a.notes_per_string == (2, 1, 2))
    lick = join_parts(
        [part(lasts=half), part("B", second, contour=DOWN, link=PartLink.MIRROR, of=0, lasts=half)],
        GUITAR,
    )
    strokes = part_strokes(lick, meter=METER)
    assert strokes is not None
    assert print_strokes(strokes[:5]) == "U DDD U"
    assert strokes[5:] == mirror_strokes(strokes[:5])
    assert not check_strokes([n.position for n in lick.notes], strokes)
    assert [o - 2 for o in onsets(lick, 1)] == onsets(lick, 0)
    assert [p.length for p in lick.parts] == [2, 2]


def test_a_mirror_that_does_not_fit_is_refused() -> None:
    other = next(a for a in find_merged("C Em") if a.notes_per_string == (2, 1, 1, 2))
    with pytest.raises(ContourError, match="6 notes and cannot mirror the 5"):
        join_parts([part(), part("B", other, contour=DOWN, link=PartLink.MIRROR, of=0)], GUITAR)
    with pytest.raises(ContourError, match="'B' does not mirror 'A'"):
        join_parts([part(), part("B", link=PartLink.MIRROR, of=0)], GUITAR)


def test_a_repeat_has_the_same_notes_and_strokes() -> None:
    lasts = Fraction(3, 2)
    lick = join_parts(
        [part(lasts=lasts), part("B", lasts=lasts, link=PartLink.REPEAT, of=0)], GUITAR
    )
    strokes = part_strokes(lick, meter=METER)
    assert strokes is not None
    assert strokes[:5] == strokes[5:]
    assert [n.position for n in lick.notes_of(0)] == [n.position for n in lick.notes_of(1)]


def test_own_strokes_of_a_part_win_and_are_mirrored() -> None:
    lick = join_parts([part(), part("B", contour=DOWN, link=PartLink.MIRROR, of=0)], GUITAR)
    own = [Stroke.DOWN, Stroke.UP, Stroke.DOWN, Stroke.UP, Stroke.DOWN]
    strokes = part_strokes(lick, meter=METER, own={0: own})
    assert strokes == [*own, *mirror_strokes(own)]


def test_parts_without_links_leave_the_strokes_open() -> None:
    assert part_strokes(join_parts([part(), part("B")], GUITAR), meter=METER) is None


def test_downstrokes_are_not_turned_round() -> None:
    lick = join_parts([part(), part("B", contour=DOWN, link=PartLink.MIRROR, of=0)], GUITAR)
    with pytest.raises(HandError, match="cannot be turned round"):
        part_strokes(lick, "down", meter=METER)


def test_strictly_alternate_strokes_turn_round_where_the_count_is_odd() -> None:
    lick = join_parts([part(), part("B", contour=DOWN, link=PartLink.MIRROR, of=0)], GUITAR)
    strokes = part_strokes(lick, "alternate", meter=METER)
    assert strokes is not None
    assert print_strokes(strokes) == "D U D U D U D U D U"
    four = find_merged("C Am", frets="5-8", strings="2-4")[1]
    assert len(four.positions) == 4
    even = join_parts([part(shape=four), part("B", four)], GUITAR)
    tied = replace(even, parts=(even.parts[0], replace(even.parts[1], link=PartLink.MIRROR, of=0)))
    with pytest.raises(HandError, match="not turned round"):
        part_strokes(tied, "alternate", meter=METER)


def test_an_answer_keeps_the_rhythm_and_comes_home() -> None:
    rhythm = parse_rhythm("e s s e")
    asked = []

    def home(index: int, moment: Fraction) -> tuple[int, ...]:
        asked.append((index, moment))
        return (9, 4)  # A, then E

    lick = join_parts(
        [
            part(rhythm=rhythm, lasts=Fraction(2)),
            part("B", rhythm=rhythm, lasts=Fraction(2), contour=DOWN, link=PartLink.ANSWER, of=0),
        ],
        GUITAR,
        home=home,
    )
    assert [o - 2 for o in onsets(lick, 1)] == onsets(lick, 0)
    last = lick.notes[-1]
    assert asked == [(1, last.onset)]
    # G E C A and then home: of A (struck already) and E, E is left.
    assert [str(note.pitch.name) for note in lick.notes_of(1)] == ["G", "E", "C", "A", "E"]
    with pytest.raises(ContourError, match="come home"):
        join_parts(
            [part(), part("B", contour=DOWN, link=PartLink.ANSWER, of=0)],
            GUITAR,
            home=lambda *_: (1,),
        )


@pytest.mark.parametrize(
    ("filling", "lengths"),
    [
        (PartFilling.HELD, ["1/4", "1/4", "1/4", "1/4", "1"]),
        (PartFilling.REST, ["1/4"] * 5),
        (PartFilling.ROUND, ["1/4"] * 8),
    ],
)
def test_what_fills_the_time_of_a_part(filling: PartFilling, lengths: list[str]) -> None:
    lick = join_parts([part(lasts=Fraction(2), filling=filling), part("B")], GUITAR)
    assert [str(note.duration) for note in lick.notes_of(0)] == lengths
    assert onsets(lick, 1)[0] == 2


def test_a_part_that_does_not_fit_its_time_is_refused() -> None:
    with pytest.raises(RhythmError, match="'A' has 5 notes, but its time holds 4"):
        join_parts([part(lasts=Fraction(1))], GUITAR)
    with pytest.raises(RhythmError, match="tuplet of 'A' is not over"):
        join_parts([part(lasts=Fraction(3, 2), rhythm=parse_rhythm("8th triplets"))], GUITAR)


def test_rests_that_are_written_stay() -> None:
    rhythm = parse_rhythm("s s s s e rq re")
    lick = join_parts([part(rhythm=rhythm), part("B", rhythm=rhythm)], GUITAR)
    assert lick.parts[0].length == 3
    assert onsets(lick, 1)[0] == 3
    assert written_end(rhythm, 5) == 3
    assert written_end(rhythm, 3) == Fraction(3, 4)
    assert written_end(parse_rhythm("8th triplets"), 4) == 2
    assert lick.notes[-1].duration == Fraction(1, 2)  # not held: a rest is written after it


def test_the_last_part_as_written_is_held_to_the_bar_line() -> None:
    lick = join_parts([part()], GUITAR)
    assert lick.notes[-1].end == 4
    assert lick.parts[0].length == 4


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["16ths", "8ths", "8th triplets", "e s s", "e re q", "sextuplets"]),
            st.sampled_from(["up", "down", "up-down", "up in threes"]),
            st.sampled_from([None, Fraction(4), Fraction(8)]),
            st.sampled_from(list(PartFilling)),
        ),
        min_size=1,
        max_size=4,
    ),
    st.sampled_from([Meter(), Meter(Fraction(3)), Meter(Fraction(7, 2), beat=Fraction(1, 2))]),
)
def test_parts_follow_each_other_without_a_hole(
    rows: list[tuple[str, str, Fraction | None, PartFilling]], meter: Meter
) -> None:
    plans = [
        part(
            str(number),
            rhythm=parse_rhythm(rhythm),
            contour=parse_contour(contour),
            lasts=lasts,
            filling=filling,
        )
        for number, (rhythm, contour, lasts, filling) in enumerate(rows)
    ]
    try:
        lick = join_parts(plans, GUITAR, meter=meter)
    except RhythmError as error:
        assert "tuplet" in error.what or "its time holds" in error.what  # noqa: PT017
        return
    now = Fraction(0)
    for index, made in enumerate(lick.parts):
        assert made.onset == now
        notes = lick.notes_of(index)
        assert notes
        assert all(made.onset <= note.onset and note.end <= made.end for note in notes)
        now = made.end
    assert meter.bar_end(now) == lick.length
    for before, after in zip(lick.notes, lick.notes[1:], strict=False):
        assert before.end <= after.onset
    for tuplet in lick.tuplets:
        assert tuplet.onset + tuplet.length <= lick.length


def test_turning_round_twice_is_the_contour_itself() -> None:
    for text in ("up", "up-down turn", "down in fours, up broken from 2"):
        contour = parse_contour(text)
        assert turned_round(turned_round(contour)) == contour
        assert turned_round(contour) != contour


def test_the_first_part_lies_best_and_a_mirror_finds_a_shape_that_fits() -> None:
    first = tuple((c, (a,)) for c, a in ranked_merged("C Am", GUITAR, "5-8", "2-4"))
    second = tuple((c, (a,)) for c, a in ranked_merged("C Em", GUITAR, "2-14", "2-4"))
    tasks = [PartTask("A", first, UP), PartTask("B", second, DOWN, mirrors=0)]
    placed = place_parts(tasks, GUITAR)
    assert placed[0] == (FIRST,)
    (shape,) = placed[1]
    assert shape.notes_per_string == (2, 1, 2)  # type: ignore[union-attr]
    nothing = [tasks[0], replace(tasks[1], ways=second[:0])]
    with pytest.raises(NeckError, match="'B' lies nowhere"):
        place_parts(nothing, GUITAR)


def test_a_part_may_lie_where_its_model_lies() -> None:
    first = tuple((c, (a,)) for c, a in ranked_merged("C Am", GUITAR, "5-8", "2-4"))
    tasks = [PartTask("A", first, UP), PartTask("B", (), DOWN, mirrors=0, same_as=0)]
    assert place_parts(tasks, GUITAR) == [(FIRST,), (FIRST,)]
