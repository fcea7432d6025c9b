"""Easy, medium and hard forms of one idea (what makes it easier: common practice, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.lick.hands.difficulty import playability
from lickwright.lick.phrase.composing import compose
from lickwright.lick.phrase.contour import parse_contour
from lickwright.lick.phrase.easier import slower, variations
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.neck.shapes.search import find_shapes
from lickwright.theory.triad import parse_triad

SHAPES = [find_shapes(parse_triad(name), frets=(8, 13), strings=(1, 5))[0] for name in ("G", "Em")]


def test_three_levels_of_one_idea() -> None:
    idea = parse_contour("up turn, down broken"), parse_rhythm("16ths")
    easy, medium, hard = variations(SHAPES, *idea)
    assert [len(shape.positions) for shape in easy.shapes] == [3, 3]  # type: ignore[union-attr]
    # What is kept lies at the join: the first shape's top, where the second one starts.
    assert easy.shapes[0].positions == SHAPES[0].positions[-3:]  # type: ignore[union-attr]
    assert easy.shapes[1].positions == SHAPES[1].positions[-3:]  # type: ignore[union-attr]
    assert str(easy.contour) == str(medium.contour) == "up down"
    assert str(easy.rhythm) == str(medium.rhythm) == "8ths"
    assert (medium.shapes, hard.shapes) == (tuple(SHAPES), tuple(SHAPES))
    assert (hard.contour, hard.rhythm, hard.changed) == (*idea, ())
    assert easy.changed == ("3 notes of each shape", "8ths instead of 16ths", "a plain contour")


@pytest.mark.parametrize(
    ("rhythm", "easier"),
    [
        ("16ths", "8ths"),
        ("8ths", "quarters"),
        ("wholes", "wholes"),
        ("sextuplets", "8th triplets"),
        ("quintuplets", "16ths"),
        ("septuplets", "16ths"),
        ("8th triplets", "8ths"),
        ("q. e", "h. q"),
        ("q+s e.", "h+e q."),
        ("3(q e)", "3(q e)"),
        ("2:3(e e)", "2:3(e e)"),
        ("q q q q |", "q q q q |"),
    ],
)
def test_slower_values(rhythm: str, easier: str) -> None:
    assert slower(parse_rhythm(rhythm)) == parse_rhythm(easier)


@given(
    st.sampled_from(["up down", "up-down turn", "up in threes, down broken", "down from 2, up"]),
    st.sampled_from(["16ths", "sextuplets", "quintuplets", "q e e", "e. s"]),
)
def test_easier_levels_leave_more_room_in_tempo(contour: str, rhythm: str) -> None:
    levels = variations(SHAPES, parse_contour(contour), parse_rhythm(rhythm))
    lines = [compose(level.shapes, level.contour, level.rhythm) for level in levels]
    ceilings = [playability(line, tempo_bpm=90).ceiling_bpm for line in lines]
    easy, medium, hard = (ceiling for ceiling in ceilings if ceiling is not None)
    assert min(easy, medium) >= hard
    assert len(lines[0].notes) <= len(lines[1].notes) <= len(lines[2].notes)
