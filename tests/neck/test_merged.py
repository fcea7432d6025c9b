"""Triads merged into one arpeggio: complete, found exactly, swept first, honest where it breaks."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import NeckError, TheoryError
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.strokes import assign_strokes
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS, HandProfile
from lickwright.neck.shapes.merged import (
    MergedArpeggio,
    find_merged,
    ranked_merged,
    triads_with,
    why_not_merged,
)
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.pitch import parse_pitch
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
TUNINGS = ("standard", "drop D", "DADGAD", "7-string", "8-string", "bass", "open G")


def any_triad(draw: random.Random) -> Triad:
    return parse_triad(draw.choice(ROOTS) + draw.choice(list(TriadQuality)).value)


def some_triads(draw: random.Random, count: int) -> tuple[Triad, ...]:
    while len({*(chosen := tuple(any_triad(draw) for _ in range(count)))}) < count:
        pass
    return chosen


def by_hand(
    triads: tuple[Triad, ...],
    guitar: Guitar,
    frets: tuple[int, int],
    strings: tuple[int, int],
    reach_mm: float,
) -> set[tuple[Position, ...]]:
    """Every merged arpeggio in a place, from every choice of places on every run of strings.

    The definition of the module read anew, on pitches and millimetres instead of steps.
    """
    tones = {note.pc for triad in triads for note in triad.notes}
    subsets = {}
    for string in range(strings[0], strings[1] + 1):
        places = [
            Position(string, fret)
            for fret in range(frets[0], frets[1] + 1)
            if guitar.midi_at(Position(string, fret)) % 12 in tones
        ]
        subsets[string] = [c for size in (1, 2, 3) for c in combinations(places, size)]

    def consecutive(line: tuple[Position, ...]) -> bool:
        keys = [guitar.midi_at(place) for place in line]
        return all(
            b > a and not any(key % 12 in tones for key in range(a + 1, b))
            for a, b in pairwise(keys)
        )

    found = set()
    for bottom in range(strings[1], strings[0] + 1, -1):
        lines = [[part] for part in subsets[bottom] if consecutive(part)]
        for string in range(bottom - 1, strings[0] - 1, -1):
            lines = [
                [*line, part]
                for line in lines
                if len(line) == 1 or len(line[-1]) <= 2
                for part in subsets[string]
                if consecutive((*line[-1], *part))
            ]
            for parts in lines:
                line = tuple(place for part in parts for place in part)
                mm = [guitar.finger_mm(place) for place in line if place.fret]
                whole = {guitar.midi_at(place) % 12 for place in line} == tones
                if len(parts) >= 3 and whole and (not mm or max(mm) - min(mm) <= reach_mm):
                    found.add(line)
    return found


def test_c_and_a_minor_are_one_arpeggio() -> None:
    """The shape that players mean (common practice, no source)."""
    best = find_merged("C Am", frets="5-8", strings="2-4")[0]
    assert str(best) == "C and Am: 4/5 4/7 3/5 2/5 2/8"
    guitar = Guitar()
    assert [best.members(place, guitar) for place in best.positions] == [
        (0,),
        (1,),
        (0, 1),
        (0, 1),
        (0,),
    ]
    assert best.notes_per_string == (2, 1, 2)
    assert (best.sweep, best.breaks) == (3, ())
    assert [str(shape) for shape in best.shapes(guitar)] == [
        "C: 4/5 3/5 2/5 2/8",
        "Am: 4/7 3/5 2/5",
    ]


def test_the_search_finds_what_a_search_of_everything_finds() -> None:
    """500 random tunings, places and groups of triads, in any order and none twice."""
    draw = random.Random(20)
    filled = 0
    for case in range(500):
        guitar = Guitar(
            open_strings=parse_tuning(draw.choice(TUNINGS)), capo=draw.choice((0, 0, 2))
        )
        if case % 5 == 0:  # a tuning of nobody's
            keys = sorted(draw.sample(range(28, 70), draw.randint(4, 7)), reverse=True)
            guitar = Guitar(
                open_strings=tuple(parse_pitch(f"{ROOTS[k % 12]}{k // 12 - 1}") for k in keys)
            )
        low = draw.randint(0, 15)
        frets = (low, low + draw.randint(3, 6))
        top = draw.randint(1, guitar.string_count - 2)
        strings = (top, min(guitar.string_count, top + draw.randint(2, 4)))
        hand = draw.choice(list(HANDS))
        triads = some_triads(draw, 2 + (case % 7 == 0))
        found = [a.positions for a in find_merged(triads, guitar, frets, strings, hand=hand)]
        assert len(found) == len(set(found))
        wanted = by_hand(triads, guitar, frets, strings, HANDS[hand].greatest_reach_mm)
        assert set(found) == wanted
        filled += bool(found)
    assert filled > 300  # the cases say something


def test_any_pair_of_triads_has_a_sweep_or_a_reason_and_strokes_that_can_be_played() -> None:
    draw = random.Random(8)
    for _ in range(200):
        pair = some_triads(draw, 2)
        place = {"frets": "3-12", "strings": "1-4"}
        found = find_merged(pair, **place)
        if all(arpeggio.breaks for arpeggio in found):
            assert why_not_merged(pair, **place)
            found = find_merged(pair)
        swept = any(not arpeggio.breaks for arpeggio in found)
        assert swept or why_not_merged(pair).endswith("the sweep must break")
        for arpeggio in found[:3]:
            there_and_back = (*arpeggio.positions, *arpeggio.positions[-2::-1])
            for line in (arpeggio.positions, arpeggio.positions[::-1], there_and_back):
                assert not check_strokes(line, assign_strokes(line))


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000))
def test_every_arpeggio_is_what_it_says(start: int) -> None:
    draw = random.Random(start)
    guitar = Guitar()
    triads = some_triads(draw, 2)
    low = draw.randint(0, 17)
    ranked = ranked_merged(triads, guitar, (low, low + 5))
    assert [cost for cost, _ in ranked] == sorted(cost for cost, _ in ranked)
    for _, arpeggio in ranked:
        held = [arpeggio.members(place, guitar) for place in arpeggio.positions]
        assert all(held)
        for number, (triad, shape) in enumerate(zip(triads, arpeggio.shapes(guitar), strict=True)):
            sounding = {guitar.midi_at(place) % 12 for place in shape.positions}
            assert sounding == {note.pc for note in triad.notes}
            assert len(shape.positions) == sum(number in of for of in held)
        inner = arpeggio.notes_per_string[1:-1]
        assert len(arpeggio.breaks) == sum(count > 1 for count in inner)


def test_a_broken_sweep_ranks_behind_and_is_said() -> None:
    guitar = Guitar()
    found = find_merged("C Am", frets="5-9", strings="1-5")
    breaking = [bool(arpeggio.breaks) for arpeggio in found if len(arpeggio.notes_per_string) == 5]
    assert breaking == sorted(breaking)
    broken = next(arpeggio for arpeggio in found if arpeggio.breaks)
    assert f"breaks on string {broken.breaks[0]}" in broken.in_words(guitar) or (
        "breaks on strings" in broken.in_words(guitar)
    )


def test_six_tones_do_not_pass_five_strings_and_it_says_so() -> None:
    found = find_merged("C D", frets="5-9", strings="1-5")
    assert found
    assert all(a.breaks for a in found if len(a.notes_per_string) == 5)


def test_why_names_the_nearest_way_out() -> None:
    assert why_not_merged("C Am", frets="5-8", strings="2-4") == ""
    said = why_not_merged("C Am", frets="9-12", strings="1-3")
    assert "at frets 8-12 on these strings, or on strings 3-5 at these frets" in said
    assert find_merged("C Am", frets="8-12", strings="1-3")[0].breaks == ()
    assert find_merged("C Am", frets="9-12", strings="3-5")[0].breaks == ()
    assert why_not_merged("C Am", frets="5-6", strings="1-3").endswith("on these strings")
    ninths = Guitar(open_strings=parse_tuning("C2 D3 E4 F5"), frets=12)
    assert "do not fit a note a string" in why_not_merged("C F#", ninths)
    tiny = HandProfile("tiny", (8.0,) * 6, (9.0,) * 6)
    stopped = Guitar(capo=12)
    assert "but a tiny hand has 9 mm: the sweep must break" in why_not_merged(
        "C F#", stopped, frets="1-12", hand=tiny
    )


def test_a_window_that_is_used_whole_comes_first() -> None:
    assert len(find_merged("C Am", frets="5-9", strings="1-4")[0].notes_per_string) == 4


@pytest.mark.parametrize(
    ("triads", "arguments", "said"),
    [
        ("C", {}, "1 triad cannot be merged"),
        ("C Am F G", {}, "4 triads cannot be merged"),
        ("C C", {}, "merged with itself"),
        ("C Am", {"strings": "1-2"}, "too few for a merged arpeggio"),
        ("C Am", {"frets": "5-30"}, "run off the neck"),
        ("C Hm", {}, "not a triad"),
    ],
)
def test_what_cannot_be_merged_is_refused(
    triads: str, arguments: dict[str, str], said: str
) -> None:
    with pytest.raises((NeckError, TheoryError), match=said):
        find_merged(triads, **arguments)  # type: ignore[arg-type]


def test_on_fanned_frets_the_hand_lies_along_the_fan() -> None:
    fanned = Guitar(scale_mm=(648.0, 655.0, 662.0, 669.0, 676.0, 686.0))
    for arpeggio in find_merged("C Am", fanned):
        low, high = arpeggio.frame_mm(fanned)
        assert high - low <= HANDS["medium"].greatest_reach_mm


def test_members_are_by_pitch_class() -> None:
    triads = (parse_triad("C"), parse_triad("Am"), parse_triad("Em"))
    assert triads_with(4, triads) == (0, 1, 2)
    assert triads_with(4 + 60, triads) == (0, 1, 2)
    assert triads_with(1, triads) == ()
    assert str(MergedArpeggio(triads, (Position(1, 0),))) == "C, Am and Em: 1/0"
