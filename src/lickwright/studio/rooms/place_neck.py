"""The whole neck in Place: both triads where they lie, and where a hand can drag them.

The picture and what can be done on it are worked out after the page is up, by a worker, so that
no page waits for it.  Dragging itself is the browser's (``drag.js``).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from lickwright.drawing import escape_xml, number, printed_symbol
from lickwright.errors import LickwrightError, OutputError
from lickwright.studio.rooms.place_acts import PlaceState, known
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import markup, tag, words
from lickwright.studio.work.dragged_neck import DraggedNeck, dragged_neck_of
from lickwright.studio.work.placings import Place, Placing, moves
from lickwright.studio.work.preview import ExampleRequest


async def put_up(tab: Tab) -> None:
    """Draw the neck of the example at hand, then let the browser know where it can be dragged."""
    request, state = tab.request(), tab.state(PlaceState)
    if state.neck_of == request:
        return
    state.neck_of = request
    if tab.entry.kind != "triads":
        tab.stand.whole_neck.clear()
        state.neck = None
        return
    try:
        made = await tab.open_lesson.workers.others.do(dragged_neck_of, request)
        if _is_due(tab, request):
            _draw(tab, made)
        # What is merged has one shape, and no triad of it goes anywhere alone.
        found = [] if tab.entry.joined == "merged" else await known(tab)
        if _is_due(tab, request):
            _let_drag(tab, made, found)
    except OutputError as error:
        tab.tell(f"{error.what}. {error.mend}.")
    except LickwrightError:
        # The preview has found the same fault and tells it; the last neck stays to be mended.
        return


def _is_due(tab: Tab, request: ExampleRequest) -> bool:
    """Whether no newer neck is on its way, and somebody still looks."""
    return tab.state(PlaceState).neck_of == request and not tab.stand.whole_neck.is_deleted


def _draw(tab: Tab, made: DraggedNeck) -> None:
    here, state = (tab.example, made), tab.state(PlaceState)
    if state.neck == here:
        return  # a hand may be dragging on it
    state.neck = here
    tab.stand.whole_neck.clear()
    with tab.stand.whole_neck:
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
                markup(f"{_mark(voice)}{escape_xml(printed_symbol(name))}", name="li")
        told = _TOLD if len(made.shapes) < 3 else _TOO_MANY
        if tab.entry.joined == "merged":
            told = _MERGED
        words("p", told, "hint", id="board-said")


def _mark(voice: int) -> str:
    """How the marks of a triad look."""
    from lickwright.drawing import MARK_REACH, draw_mark

    size = number(2 * MARK_REACH)
    return (
        f'<svg class="lw-neck" aria-hidden="true" width="{size}" height="{size}">'
        f"{draw_mark(MARK_REACH, MARK_REACH, (voice,), '')}</svg>"
    )


def _let_drag(tab: Tab, made: DraggedNeck, found: Sequence[Placing]) -> None:
    facts = json.dumps(_facts(tab.example, made, found), separators=(",", ":"))
    tab.js(f"lickwrightDrag.show({facts})")


_TOLD = "Drag either triad along the neck; the other comes along where it has to. Esc lets go."
_MERGED = "Merged triads go along the neck by the arrow keys, or by frets and strings."
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
                for move in moves(found, made.shapes, voice)
            ]
            for voice in range(len(made.shapes))
        ]
        if found
        else [],
    }


def _written(shape: Sequence[Place]) -> list[str]:
    return [f"{string}/{fret}" for string, fret in shape]
