"""How are triads joined other than run by run, and how is each approached?

Cells
-----
``3 + 3 + 2`` takes three notes of the first triad, three of the second, two of the next in turn,
and so on until every triad is played once; ``1`` joins note by note; ``5`` makes groups of five
that run across the beat.  What a triad plays, and in which order, its contour says.

Approaches
----------
``half step below`` (or ``above``): chromatic, whatever the key.  ``scale step below`` (``above``):
the next tone of the key.  ``enclosure``: the scale step above, then the half step below.  They
stand before the first note of each triad, on the string of that note where it has the fret, and are
left out where the line comes from there already.  They belong to no triad and change no chord.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import cycle

from lickwright.errors import ContourError
from lickwright.lick.phrase.contour import Contour, PathNote, trace
from lickwright.neck import Guitar, Position

#: The smallest cell that an approach note may lead into: else there would be one for every note.
_SMALLEST_APPROACHED = 2
_FORM = re.compile(r"(half|scale) step (below|above)")
_MEND = "Write half step below, half step above, scale step below, scale step above or enclosure"


@dataclass(frozen=True, slots=True)
class Approach:
    """The notes that lead to a target, in order.

    Parameters
    ----------
    steps : of each, whether it is a ``"half"`` step or a ``"scale"`` step away, and on which side:
        1 above, -1 below.
    """

    steps: tuple[tuple[str, int], ...]

    def __str__(self) -> str:
        if len(self.steps) > 1:
            return "enclosure"
        kind, side = self.steps[0]
        return f"{kind} step {'above' if side > 0 else 'below'}"


def parse_approach(text: str) -> Approach:
    """Read an approach (see the module).

    Parameters
    ----------
    text : such as ``"half step below"`` or ``"enclosure"``.

    Returns
    -------
    Approach
        One step, or of an enclosure two.

    Raises
    ------
    ContourError
        When it is none.

    Examples
    --------
    >>> parse_approach("half step below").steps
    (('half', -1),)
    """
    words = " ".join(text.lower().split())
    if words == "enclosure":
        return Approach((("scale", 1), ("half", -1)))
    found = _FORM.fullmatch(words)
    if found is None:
        raise ContourError(f"'{text}' is no way to approach a note", mend=_MEND)
    return Approach(((found[1], 1 if found[2] == "above" else -1),))


def parse_cells(text: str) -> tuple[int, ...]:
    """Read how many notes of each triad are taken in turn.

    Parameters
    ----------
    text : numbers from 1 to 8, parted by ``+``.

    Returns
    -------
    tuple of int
        The sizes in turn.

    Raises
    ------
    ContourError
        When it is no such list.

    Examples
    --------
    >>> parse_cells("3 + 3 + 2")
    (3, 3, 2)
    """
    words = text.replace(" ", "").split("+")
    if not all(re.fullmatch("[1-8]", word) for word in words) or len(words) > 8:
        raise ContourError(
            f"'{text}' does not say how many notes of each triad",
            mend="Write sizes from 1 to 8, such as 1, or 3 + 3 + 2",
        )
    return tuple(map(int, words))


def in_cells(
    contour: Contour, shapes: Sequence[Sequence[Position]], cells: Sequence[int]
) -> list[PathNote]:
    """The path of a contour through shapes that are joined cell by cell, once.

    Parameters
    ----------
    contour, shapes : as :func:`~lickwright.lick.phrase.contour.trace` has them.
    cells : sizes in turn.

    Returns
    -------
    list of PathNote
        Every note of every shape's way, each once.

    Raises
    ------
    ContourError
        As :func:`trace` does.
    """
    left = []
    for index, shape in enumerate(shapes):
        way = contour.ways[index % len(contour.ways)]
        own = trace(Contour((way,)), [shape])
        left.append([replace(note, shape=index) for note in own])
    path: list[PathNote] = []
    sizes, at = cycle(cells), 0
    while any(left):
        if left[at]:
            size = next(sizes)
            path += left[at][:size]
            del left[at][:size]
        at = (at + 1) % len(left)
    return path


def approached(
    path: Sequence[PathNote],
    approach: Approach,
    guitar: Guitar,
    scale: int,
    cells: Sequence[int] = (),
) -> list[PathNote]:
    """A path with approach notes before the first note of each of its shapes.

    Parameters
    ----------
    path : in order.
    approach : what leads to each.
    guitar : the instrument.
    scale : mask of the pitch classes that a scale step goes by.
    cells : as the path was joined; empty for run by run.

    Returns
    -------
    list of PathNote
        Approach notes are marked.

    Raises
    ------
    ContourError
        When the cells are too small to be approached.
    """
    if cells and min(cells) < _SMALLEST_APPROACHED:
        raise ContourError(
            f"cells of {min(cells)} leave no room for approach notes",
            mend=f"Join in cells of {_SMALLEST_APPROACHED} or more, or run by run",
        )
    line: list[PathNote] = []
    for note in path:
        if not line or line[-1].shape != note.shape:
            for kind, side in approach.steps:
                midi = _beside(guitar.midi_at(note.position), kind, side, scale)
                place = _near(midi, note.position, guitar)
                if place is None or (line and guitar.midi_at(line[-1].position) == midi):
                    continue
                line.append(PathNote(place, note.shape, approach=True))
        line.append(note)
    return line


def _beside(midi: int, kind: str, side: int, scale: int) -> int:
    """The key beside a target."""
    near = midi + side
    if kind == "scale" and scale:
        while not scale >> near % 12 & 1:
            near += side
    return near


def _near(midi: int, target: Position, guitar: Guitar) -> Position | None:
    """Where a key lies nearest to a target: on its string, else on the next."""
    strings = sorted(
        range(1, guitar.string_count + 1),
        key=lambda string: (abs(string - target.string), string),
    )
    for string in strings[:3]:
        place = Position(string, midi - guitar.midi_at(Position(string, 0)))
        if place.fret >= 0 and guitar.has(place) and abs(place.fret - target.fret) <= 5:
            return place
    return None
