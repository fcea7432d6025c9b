"""Which way do stems point, and which tuplets need a bracket?

A stem points to the middle of the staff; notes under one beam follow the one farthest from it,
and down wins a tie.  A tuplet's number stands below, off the strokes and fingers; where a beam
lies there too it holds the group together, elsewhere a bracket does.  Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from lickwright.score.notation.bars import WrittenNote
from lickwright.score.notation.beams import Beam


def set_stems(
    pieces: Sequence[WrittenNote], heights: Sequence[int | None]
) -> tuple[WrittenNote, ...]:
    """The pieces of a bar with their stems and tuplet brackets.

    Parameters
    ----------
    heights : per piece the staff steps of its head above the middle line, ``None`` for a rest.
    """
    stemmed = list(pieces)
    for group in _groups(pieces):
        reach = [height for index in group if (height := heights[index]) is not None]
        for index in group:
            if heights[index] is not None:
                # The farthest head decides: where it lies below, the sum of the extremes does.
                stemmed[index] = replace(pieces[index], stem_up=max(reach) + min(reach) < 0)
    joined = {frozenset(group) for group in _groups(pieces) if len(group) > 1}
    for members in _tuplets(pieces):
        sounding = frozenset(index for index in members if heights[index] is not None)
        beam_below = sounding in joined and not any(stemmed[index].stem_up for index in sounding)
        edges_sound = heights[members[0]] is not None and heights[members[-1]] is not None
        first = stemmed[members[0]]
        if first.tuplet is not None:
            bracket = not (beam_below and edges_sound)
            stemmed[members[0]] = replace(first, tuplet=replace(first.tuplet, bracket=bracket))
    return tuple(stemmed)


def _groups(pieces: Sequence[WrittenNote]) -> Iterator[list[int]]:
    """Notes, by index, under one beam each; a note without a beam by itself."""
    group: list[int] = []
    for index, piece in enumerate(pieces):
        if piece.note is None:
            continue
        group.append(index)
        if not piece.beams or piece.beams[0] is Beam.END:
            yield group
            group = []


def _tuplets(pieces: Sequence[WrittenNote]) -> Iterator[list[int]]:
    """The symbols of each tuplet, by index."""
    members: list[int] = []
    for index, piece in enumerate(pieces):
        if piece.tuplet is not None:
            members.append(index)
            if piece.tuplet.stops:
                yield members
                members = []
