"""The same notes elsewhere: every way that keeps pitches, order of strings and one hand."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS
from lickwright.neck.shapes.other_places import elsewhere
from lickwright.neck.tunings import parse_tuning

PLACES = st.builds(Position, st.integers(1, 6), st.integers(0, 17))


def by_hand(line: list[Position], guitar: Guitar) -> set[tuple[Position, ...]]:
    """Every choice of a place for every note, kept where it is what the module promises."""
    given_mm = [guitar.finger_mm(place) for place in line if place.fret]
    own = max(given_mm) - min(given_mm) if given_mm else 0.0
    reach_mm = max(HANDS["medium"].greatest_reach_mm, own) + 1e-6
    everywhere = [Position(s, f) for s in range(1, 7) for f in range(guitar.last_fret + 1)]
    distinct = list(dict.fromkeys(line))
    found = set()
    for laid in product(
        *([p for p in everywhere if guitar.midi_at(p) == guitar.midi_at(note)] for note in distinct)
    ):
        mm = [guitar.finger_mm(place) for place in laid if place.fret]
        crosses = any(
            guitar.midi_at(a) < guitar.midi_at(b) and a.string < b.string
            for a in laid
            for b in laid
        )
        if not crosses and (not mm or max(mm) - min(mm) <= reach_mm):
            at = dict(zip(distinct, laid, strict=True))
            found.add(tuple(at[note] for note in line))
    return found


@settings(max_examples=60, deadline=None)
@given(st.lists(PLACES, min_size=1, max_size=5), st.sampled_from(("standard", "DADGAD")))
def test_it_finds_what_a_search_of_everything_finds(line: list[Position], tuning: str) -> None:
    guitar = Guitar(open_strings=parse_tuning(tuning))
    found = elsewhere(line, guitar)
    assert len(found) == len(set(found))
    assert set(found) == by_hand(line, guitar)


def test_it_stays_in_its_windows() -> None:
    line = [Position(4, 5), Position(4, 7), Position(3, 5), Position(2, 5), Position(2, 8)]
    found = elsewhere(line, frets="9-12", strings="3-5")
    assert found == [tuple(Position(s, f) for s, f in ((5, 10), (5, 12), (4, 10), (3, 9), (3, 12)))]


def test_it_may_lie_as_wide_as_it_is_given() -> None:
    wide = [Position(6, 1), Position(6, 9)]
    assert tuple(wide) in elsewhere(wide)


def test_no_notes_are_refused() -> None:
    with pytest.raises(NeckError, match="no notes"):
        elsewhere([])
