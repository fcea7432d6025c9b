"""The whole neck as a picture: the triads of an example where they lie, and every place of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from lickwright.lesson.compile import Worked
from lickwright.neck.shapes import Shape
from lickwright.studio.work.placings import Place, places_of
from lickwright.studio.work.preview import ExampleRequest, worked_for

#: Ids of the picture begin so.
_PREFIX = "kb"


@dataclass(frozen=True, slots=True)
class DraggedNeck:
    """The whole neck with the triads of an example.

    Parameters
    ----------
    shapes : the places of each triad.
    points : where every place of the neck stands in the picture, as shares of width and height.
    """

    svg: str
    names: tuple[str, ...]
    shapes: tuple[tuple[Place, ...], ...]
    points: dict[Place, tuple[float, float]]


def dragged_neck_of(request: ExampleRequest) -> DraggedNeck:
    """The whole neck of an example that is composed from triads.

    Raises
    ------
    LickwrightError
        Where it cannot be worked out.
    """
    from lickwright.drawing import NeckMark, inline_svg
    from lickwright.engrave import mark_places, neck_svg
    from lickwright.engrave.sheet import svg_size
    from lickwright.neck import Position

    workshop, worked = worked_for(request)
    guitar = worked.score.guitar
    shapes = workshop.shapes(request.index)
    names = tuple(str(triad) for triad in worked.entry.triads or ())
    whole = (0, guitar.last_fret)
    svg = neck_svg(
        guitar,
        _marks(shapes, worked),
        whole,
        worked.entry.labels or workshop.lesson.entry.labels,
        voices=names,
        bass=worked.spans[0].over,
        title=f"The whole neck with {' and '.join(names)}",
        legend=False,  # it would roll out of sight with the neck
    )
    width, height = svg_size(svg)
    every = [
        NeckMark(Position(string, fret))
        for string in range(1, guitar.string_count + 1)
        for fret in range(guitar.last_fret + 1)
    ]
    points = {
        (place.string, place.fret): (round(x / width, 4), round(y / height, 4))
        for place, (x, y) in mark_places(guitar, every, whole).items()
    }
    return DraggedNeck(inline_svg(svg, _PREFIX)[0], names, places_of(shapes), points)


def _marks(shapes: Sequence[Shape], worked: Worked) -> list[Any]:
    """Every note of the shapes, also of those that the line does not come to."""
    from lickwright.drawing import NeckMark, lick_marks
    from lickwright.lick import LickNote
    from lickwright.theory import pitch_from_midi

    guitar, span = worked.score.guitar, worked.spans[0]
    fingers = {mark.position: mark.fingers for mark in lick_marks(worked.score.lick)}
    marks = []
    for voice, shape in enumerate(shapes):
        names = {note.pc: note for note in shape.triad.notes}
        for place in shape.positions:
            midi = guitar.midi_at(place)
            pitch = pitch_from_midi(midi, names[midi % 12])
            name = span.name_of(LickNote(place, pitch, Fraction(0), Fraction(1)))
            degree = span.degree_of(name)
            marks.append(NeckMark(place, voice, degree, str(name), fingers.get(place, ())))
    return marks
