"""The layout of the neck that print, screen and film share."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.drawing import NeckLayout, NeckWindow, fret_shares, window_around, wires_of
from lickwright.engrave.diagram import SIZES
from lickwright.neck import Guitar, Position
from lickwright.video.panels.neck_layout import FilmNeck, sizes_of

places = st.builds(Position, st.integers(1, 6), st.integers(0, 22))
windows = st.builds(
    lambda first, more, has_open: NeckWindow(first, min(22, first + more), has_open),
    st.integers(1, 22),
    st.integers(0, 21),
    st.booleans(),
)


def layout(guitar: Guitar, window: NeckWindow) -> NeckLayout:
    wires = wires_of(SIZES.board_x(window), (40.0 * w for w in fret_shares(window, 12.0)))
    return NeckLayout(guitar, window, SIZES, wires, 20.0, 30.0, wires[-1] + 16.0)


@given(st.lists(places, max_size=6), st.integers(0, 2), st.integers(1, 6))
def test_a_window_holds_every_place_and_what_was_asked_to_spare(
    found: list[Position], spare: int, least: int
) -> None:
    guitar = Guitar()
    window = window_around(found, guitar, spare=spare, least=least)
    assert all(window.holds(place) for place in found)
    assert window.has_open == any(place.fret == 0 for place in found)
    assert 1 <= window.first <= window.last <= guitar.last_fret
    assert len(window.frets) >= min(least, guitar.last_fret)
    for fret in {place.fret for place in found} - {0}:
        assert window.holds(Position(1, max(1, fret - spare)))
        assert window.holds(Position(1, min(guitar.last_fret, fret + spare)))


@given(windows)
def test_frets_narrow_as_equal_temperament_has_it_or_are_eased(window: NeckWindow) -> None:
    shares = fret_shares(window, 12.0)
    assert shares[-1] == 1.0
    for wide, narrow in pairwise(shares):
        # Each fret is 2 ** (1 / 12) of the next: twelve-tone equal temperament.
        ease = min(1.0, 12.0 / len(shares))
        assert wide / narrow == pytest.approx(2 ** (ease / 12))
    assert shares[0] < 2.0 + 1e-9


@given(windows, st.sampled_from([0, 3]))
def test_a_left_handed_neck_is_the_other_one_turned_over(window: NeckWindow, capo: int) -> None:
    right = layout(Guitar(frets=25, capo=capo), window)
    left = replace(right, guitar=Guitar(frets=25, capo=capo, left_handed=True))

    def turned(ends: tuple[float, float, float, float]) -> list[float]:
        return [right.width - ends[0], ends[1], right.width - ends[2], ends[3]]

    assert list(left.board()) == pytest.approx(turned(right.board()))
    assert list(left.wire_xs()) == pytest.approx([right.width - x for x in right.wire_xs()])
    for mine, theirs in zip(left.cuts(), right.cuts(), strict=True):
        assert list(mine) == pytest.approx(turned(theirs))
    nut = right.nut()
    assert (nut is None) == (not window.has_nut)
    if nut is not None:
        assert list(left.nut() or ()) == pytest.approx(turned(nut))
        assert nut[1] < right.top < right.bottom < nut[3]
    for string in range(1, 7):
        lines = list(right.string_lines(string))
        assert len(lines) == (2 if window.is_broken else 1)
        for mine, theirs in zip(left.string_lines(string), lines, strict=True):
            assert list(mine) == pytest.approx(turned(theirs))


@given(windows)
def test_a_film_fills_its_picture_with_the_same_frets(window: NeckWindow) -> None:
    film = FilmNeck(Guitar(), window, 600.0, 350.0, 90.0, 1.0).layout
    assert film.wires[-1] == pytest.approx(600.0 - 16.0)
    assert film.wires[0] == sizes_of(1.0).board_x(window)
    widths = [b - a for a, b in pairwise(film.wires)]
    assert [width / widths[-1] for width in widths] == pytest.approx(fret_shares(window, 10.0))
    assert film.bottom < 350.0
