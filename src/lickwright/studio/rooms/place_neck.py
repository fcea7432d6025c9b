"""The whole neck in Place: both triads where they lie, and where a hand can drag them.

The picture and what can be done on it are worked out after the page is up, by the worker for
errands, so that no page waits for it.  Dragging itself is the browser's (``drag.js``).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from lickwright.drawing import escape_xml, number, printed_symbol
from lickwright.errors import LickwrightError, OutputError
from lickwright.neck.shapes import Shape
from lickwright.studio.rooms import placing
from lickwright.studio.rooms.placing import Place, Placing
from lickwright.studio.session.tags import markup, tag, words
from lickwright.studio.work.preview import Order, worked_from

if TYPE_CHECKING:
    from lickwright.lesson.compile import Worked
    from lickwright.studio.session.tab import Visit

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


def board(order: Order) -> DraggedNeck:
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

    shop, worked = worked_from(order)
    guitar = worked.score.guitar
    shapes = shop.shapes(order.index)
    names = tuple(str(triad) for triad in worked.entry.triads or ())
    whole = (0, guitar.last_fret)
    svg = neck_svg(
        guitar,
        _marks(shapes, worked),
        whole,
        worked.entry.labels or shop.lesson.entry.labels,
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
    return DraggedNeck(inline_svg(svg, _PREFIX)[0], names, placing.places_of(shapes), points)


def _marks(shapes: Sequence[Shape], worked: Worked) -> list[Any]:
    """Every note of the shapes, also of those that the line does not come to."""
    from lickwright.drawing import NeckMark, lick_marks
    from lickwright.lick import LickNote
    from lickwright.theory import pitch_from_midi

    guitar, span = worked.score.guitar, worked.spans[0]
    fingers = {mark.position: mark.finger for mark in lick_marks(worked.score.lick)}
    marks = []
    for voice, shape in enumerate(shapes):
        names = {note.pc: note for note in shape.triad.notes}
        for place in shape.positions:
            midi = guitar.midi_at(place)
            pitch = pitch_from_midi(midi, names[midi % 12])
            name = span.name_of(LickNote(place, pitch, Fraction(0), Fraction(1)))
            degree = span.degree_of(name)
            marks.append(NeckMark(place, voice, degree, str(name), fingers.get(place)))
    return marks


async def put_up(visit: Visit) -> None:
    """Draw the board of the example at hand, then let the browser know where it can be dragged."""
    order = visit.order()
    if visit.notes_of.get("board-of") == order:
        return
    visit.notes_of["board-of"] = order
    if visit.entry.kind != "triads":
        visit.board.clear()
        visit.notes_of["board"] = None
        return
    try:
        made = await visit.desk.workers.errands.do(board, order)
        if _is_due(visit, order):
            _draw(visit, made)
        found = await placing.known(visit)
        if _is_due(visit, order):
            _let_drag(visit, made, found)
    except OutputError as error:
        visit.tell(f"{error.what}. {error.mend}.")
    except LickwrightError:
        # The proof has found the same fault and tells it; the last board stays to be mended.
        return


def _is_due(visit: Visit, order: Order) -> bool:
    """Whether no newer board is on its way, and somebody still looks."""
    return visit.notes_of["board-of"] == order and not visit.board.is_deleted


def _draw(visit: Visit, made: DraggedNeck) -> None:
    here = (visit.example, made)
    if visit.notes_of.get("board") == here:
        return  # a hand may be dragging on it
    visit.notes_of["board"] = here
    visit.board.clear()
    with visit.board:
        roll = tag(
            "div",
            "board-roll",
            tabindex="0",
            role="group",
            aria_label="The whole neck. Left and right go along it, up and down through the shapes"
            " of a place.",
            data_browse="",
            data_key="board",
        )
        with roll:
            markup(made.svg, "board-neck", id="board-neck")
        with tag("ul", "board-key", aria_label="The triads"):
            for voice, name in enumerate(made.names):
                markup(f"{_dress(voice)}{escape_xml(printed_symbol(name))}", name="li")
        words("p", _TOLD if len(made.shapes) < 3 else _TOO_MANY, "hint", id="board-said")


def _dress(voice: int) -> str:
    """How the marks of a triad look."""
    from lickwright.drawing import MARK_REACH, draw_mark

    size = number(2 * MARK_REACH)
    return (
        f'<svg class="lw-neck" aria-hidden="true" width="{size}" height="{size}">'
        f"{draw_mark(MARK_REACH, MARK_REACH, (voice,), '')}</svg>"
    )


def _let_drag(visit: Visit, made: DraggedNeck, found: Sequence[Placing]) -> None:
    facts = json.dumps(_facts(visit.example, made, found), separators=(",", ":"))
    visit.js(f"lickwrightDrag.show({facts})")


_TOLD = "Drag either triad along the neck; the other comes along where it has to. Esc lets go."
_TOO_MANY = "One triad or two can be dragged; place more of them by their frets and strings."


def _facts(example: int, made: DraggedNeck, found: Sequence[Placing]) -> dict[str, Any]:
    """What the browser has to know: the neck, what lies on it, where each triad can go.

    A move is its key, the places of every triad, and the reach of each in whole mm.
    """
    return {
        "example": example,
        "points": {f"{string}/{fret}": at for (string, fret), at in made.points.items()},
        "names": made.names,
        "shapes": [_written(shape) for shape in made.shapes],
        "moves": [
            [
                [move.key, list(map(_written, move.shapes)), list(map(round, move.reach_mm))]
                for move in placing.moves(found, made.shapes, voice)
            ]
            for voice in range(len(made.shapes))
        ]
        if found
        else [],
    }


def _written(shape: Sequence[Place]) -> list[str]:
    return [f"{string}/{fret}" for string, fret in shape]
