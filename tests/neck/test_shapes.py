"""Arpeggio shapes: complete, in tune, within reach, the usual ones first."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import HandError, NeckError, TheoryError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS, HandProfile
from lickwright.neck.shapes.search import find_shapes
from lickwright.neck.shapes.shape import Shape
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.triad import TriadQuality, parse_triad

TRIADS = st.builds(
    lambda root, quality: parse_triad(root + quality.value),
    st.sampled_from(["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]),
    st.sampled_from(list(TriadQuality)),
)
WINDOWS = st.tuples(st.integers(0, 19), st.integers(3, 5)).map(lambda w: (w[0], w[0] + w[1]))


def by_hand(triad_text: str, guitar: Guitar, frets: tuple[int, int]) -> set[tuple[Position, ...]]:
    """Every shape in a window, found by trying every choice of one or two places a string."""
    triad = parse_triad(triad_text)
    tones = {note.pc for note in triad.notes}
    reach = HANDS["medium"].greatest_reach_mm
    choices = {}
    for string in range(1, guitar.string_count + 1):
        places = [
            Position(string, fret)
            for fret in range(frets[0], frets[1] + 1)
            if guitar.midi_at(Position(string, fret)) % 12 in tones
        ]
        choices[string] = [(a,) for a in places] + [
            (a, b) for a, b in product(places, places) if a.fret < b.fret
        ]
    found = set()
    for bottom in range(guitar.string_count, 2, -1):
        for top in range(1, bottom - 1):
            for parts in product(*(choices[s] for s in range(bottom, top - 1, -1))):
                line = tuple(place for part in parts for place in part)
                keys = [guitar.midi_at(place) for place in line]
                neighbours = all(
                    b > a and not any(k % 12 in tones for k in range(a + 1, b))
                    for a, b in pairwise(keys)
                )
                stopped = [guitar.finger_mm(place) for place in line if place.fret]
                if neighbours and (not stopped or max(stopped) - min(stopped) <= reach):
                    found.add(line)
    return found


@pytest.mark.parametrize(
    ("triad", "tuning", "frets"),
    [
        ("Am", "standard", (5, 9)),
        ("F", "standard", (9, 14)),
        ("C#dim", "standard", (0, 4)),
        ("Gaug", "drop D", (3, 7)),
        ("Dsus4", "open G", (0, 5)),
        ("Ebm", "bass", (2, 8)),
    ],
)
def test_nothing_is_missed_and_nothing_invented(
    triad: str, tuning: str, frets: tuple[int, int]
) -> None:
    guitar = Guitar(parse_tuning(tuning))
    found = find_shapes(triad, guitar, frets=frets)
    assert len({shape.positions for shape in found}) == len(found)
    assert {shape.positions for shape in found} == by_hand(triad, guitar, frets)


@settings(max_examples=40, deadline=None)
@given(TRIADS, WINDOWS, st.sampled_from(["standard", "7-string", "DADGAD", "5-string bass"]))
def test_shapes_climb_through_neighbouring_strings_and_chord_tones(
    triad: object, frets: tuple[int, int], tuning: str
) -> None:
    guitar = Guitar(parse_tuning(tuning))
    for shape in find_shapes(triad, guitar, frets=frets):  # type: ignore[arg-type]
        keys = [guitar.midi_at(place) for place in shape.positions]
        assert keys == sorted(set(keys))
        assert {key % 12 for key in keys} == {note.pc for note in shape.triad.notes}
        assert all(a.string - b.string in (0, 1) for a, b in pairwise(shape.positions))
        assert set(shape.notes_per_string) <= {1, 2}
        assert len(shape.notes_per_string) >= 3
        assert frets[0] <= shape.lowest_fret <= shape.highest_fret <= frets[1]
        low, high = shape.frame_mm(guitar)
        assert high - low <= HANDS["medium"].greatest_reach_mm


@settings(max_examples=30, deadline=None)
@given(TRIADS, st.integers(1, 6))
def test_a_shape_moved_up_the_neck_takes_less_of_the_hand(triad: object, up: int) -> None:
    guitar = Guitar()
    for shape in find_shapes(triad, guitar, frets=(1, 12))[:40]:  # type: ignore[arg-type]
        moved = Shape(shape.triad, tuple(Position(p.string, p.fret + up) for p in shape.positions))
        low, high = shape.frame_mm(guitar)
        moved_low, moved_high = moved.frame_mm(guitar)
        assert moved_high - moved_low <= high - low


# Common practice, no source: the first shape a lead player shows in each window.
USUAL = [
    ("Am", (12, 14), "1-3", [(3, 14), (2, 13), (1, 12)]),  # root position, three strings
    ("A", (12, 14), "1-3", [(3, 14), (2, 14), (1, 12)]),
    ("Am", (17, 20), "1-3", [(3, 17), (2, 17), (1, 17)]),  # third lowest
    ("Am", (8, 12), "1-3", [(3, 9), (2, 10), (1, 8)]),  # fifth lowest
    ("D", (5, 7), "1-3", [(3, 7), (2, 7), (1, 5)]),
]


@pytest.mark.parametrize(("triad", "frets", "strings", "places"), USUAL)
def test_the_usual_shape_comes_first(
    triad: str, frets: tuple[int, int], strings: str, places: list[tuple[int, int]]
) -> None:
    found = find_shapes(triad, frets=frets, strings=strings, notes_per_string=1)
    assert [(p.string, p.fret) for p in found[0].positions] == places


def test_the_usual_five_string_shapes_are_found_by_their_pattern() -> None:
    # Common practice, no source: minor and major five-string sweep shapes.
    minor = find_shapes("Am", frets=(12, 17), strings="1-5", notes_per_string="21112")
    assert [(p.string, p.fret) for p in minor[0].positions] == [
        (5, 12), (5, 15), (4, 14), (3, 14), (2, 13), (1, 12), (1, 17),
    ]  # fmt: skip
    major = find_shapes("C", frets=(15, 20), strings="1-5", notes_per_string=(2, 1, 1, 1, 2))
    assert [(p.string, p.fret) for p in major[0].positions] == [
        (5, 15), (5, 19), (4, 17), (3, 17), (2, 17), (1, 15), (1, 20),
    ]  # fmt: skip


def test_a_reach_is_mm_not_frets() -> None:
    # Five frets that no medium hand spans at the nut lie under it at the 15th fret.
    high = find_shapes("C", frets=(15, 20), strings="1-5", notes_per_string="21112")
    low = find_shapes("C", frets=(3, 8), strings="1-5", notes_per_string="21112")
    assert high
    assert not low
    assert find_shapes("C", frets=(5, 10), strings="1-5", hand="large")


def test_shapes_on_all_the_asked_strings_come_first() -> None:
    found = find_shapes("F", frets="9-14", strings="1-5")
    widths = [len(shape.notes_per_string) for shape in found]
    assert widths[0] == 5
    assert min(widths) == 3
    assert all(place.string <= 5 for shape in found for place in shape.positions)


def test_two_notes_on_every_string_need_a_hand_wider_than_most() -> None:
    assert not find_shapes("Em", notes_per_string=2)
    wide = HandProfile("wide", (60, 90, 130, 50, 80, 50), (90, 130, 170, 70, 110, 70))
    found = find_shapes("Em", notes_per_string=2, hand=wide)
    assert found
    assert all(set(shape.notes_per_string) == {2} for shape in found)


def test_a_capo_moves_the_frets_with_it() -> None:
    plain = find_shapes("Am", Guitar(), frets=(12, 14))
    capo = find_shapes("Am", Guitar(capo=2), frets=(10, 12))
    assert {tuple((p.string, p.fret - 2) for p in s.positions) for s in plain} == {
        tuple((p.string, p.fret) for p in s.positions) for s in capo
    }


def test_a_fanned_neck_is_measured_along_the_fan() -> None:
    # One fret on two strings takes no reach, however unlike they are; else the longer tells.
    fan = Guitar(scale_mm=(648.0, 654.0, 660.0, 666.0, 672.0, 678.0))
    level = Shape(parse_triad("D"), (Position(4, 7), Position(3, 7), Position(2, 7)))
    assert level.frame_mm(fan)[0] == pytest.approx(level.frame_mm(fan)[1])
    shape = Shape(parse_triad("F"), (Position(4, 15), Position(3, 14), Position(2, 13)))
    (low, high), (fan_low, fan_high) = shape.frame_mm(Guitar()), shape.frame_mm(fan)
    assert fan_high - fan_low == pytest.approx((high - low) * 666.0 / 648.0)


def test_left_handed_changes_no_shape() -> None:
    assert find_shapes("Am", Guitar()) == find_shapes("Am", Guitar(left_handed=True))


def test_the_order_is_the_same_every_time() -> None:
    assert find_shapes("Bbdim") == find_shapes("Bbdim")


def test_inversions_are_told_by_the_lowest_note() -> None:
    guitar = Guitar()
    triad = parse_triad("Am")
    for fret, inversion in ((14, 0), (17, 1), (9, 2)):
        shape = Shape(triad, (Position(3, fret),))
        assert shape.inversion(guitar) == inversion


@pytest.mark.parametrize(
    ("arguments", "error"),
    [
        ({"triad": "H"}, TheoryError),
        ({"triad": "F", "frets": "9-40"}, NeckError),
        ({"triad": "F", "frets": "nine"}, NeckError),
        ({"triad": "F", "frets": (-3, 4)}, NeckError),
        ({"triad": "F", "strings": "0-3"}, NeckError),
        ({"triad": "F", "strings": "1-7"}, NeckError),
        ({"triad": "F", "strings": "1-2"}, NeckError),
        ({"triad": "F", "notes_per_string": 3}, NeckError),
        ({"triad": "F", "notes_per_string": "two"}, NeckError),
        ({"triad": "F", "notes_per_string": (1, 1)}, NeckError),
        ({"triad": "F", "notes_per_string": "1111111"}, NeckError),
        ({"triad": "F", "guitar": "drp D"}, NeckError),
        ({"triad": "F", "hand": "huge"}, HandError),
    ],
)
def test_what_cannot_be_is_refused(arguments: dict[str, object], error: type[Exception]) -> None:
    with pytest.raises(error):
        find_shapes(**arguments)  # type: ignore[arg-type]
