"""How does a triad look on the screen?  The marks that print has too, in the screen's sizes."""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.drawing import (
    INK,
    LOOKS,
    PAPER,
    PLAIN_LOOK,
    MarkSize,
    MarkSizes,
    SizedMark,
    svg,
)
from lickwright.errors import OutputError
from lickwright.video.frames import CAPITAL_EM, Words

#: In units of a mark's size.
SCREEN_MARKS = MarkSizes(
    (
        MarkSize(LOOKS[0], alone=1.0, around=1.24, inside=0.84, room=1.7),
        MarkSize(LOOKS[1], alone=0.95, around=1.14, inside=0.76, room=1.5),
        MarkSize(LOOKS[2], alone=1.3, around=1.36, inside=1.06, room=1.22),
        MarkSize(LOOKS[3], alone=1.13, around=1.33, inside=0.98, room=1.34),
    ),
    MarkSize(PLAIN_LOOK, alone=0.9, around=0.9, inside=0.9, room=1.6),
    badge=(0.45, 1.0, 0.92),
)

#: No mark reaches further than this from its centre, in units of its size.
MARK_REACH = 1.45
_LABEL_EM = 1.4


def check_voice(voice: int | None) -> None:
    """Refuse a fifth triad: four are the most that eyes can tell apart.

    Raises
    ------
    OutputError
    """
    if voice is not None and not 0 <= voice < len(SCREEN_MARKS.voices):
        raise OutputError(
            f"the screen cannot show voice {voice}",
            mend=f"Show at most {len(SCREEN_MARKS.voices)} triads in one example",
        )


def mark(
    x: float, y: float, size: float, voices: Sequence[int], label: str
) -> tuple[str, tuple[Words, ...]]:
    """The shapes and the label of one place on the neck."""
    labelled, marks = SCREEN_MARKS.at(voices)
    shapes = "".join(_draw(x + each.dx * size, y + each.dy * size, each, size) for each in marks)
    if not label:
        return shapes, ()
    em = _LABEL_EM * size * (1.0 if len(voices) < 2 else 0.86)
    colour = PAPER if labelled.size.look.filled else INK
    room = labelled.size.room * labelled.reach * size
    return shapes, (Words(label, x, y + CAPITAL_EM / 2 * em, em, colour, room=room),)


def _draw(x: float, y: float, mark: SizedMark, size: float) -> str:
    look, reach = mark.size.look, mark.reach * size
    if look.filled:
        # A rim of paper lifts the shape off string and wire, and off a mark around it.
        return svg.shape(look.shape, x, y, reach, look.colour, "", PAPER, 0.11 * size)
    width = min(0.22 * size, reach / 4.0)
    dash = f"{0.36 * size:.2f} {0.2 * size:.2f}" if look.dashed else ""
    rim = svg.shape(look.shape, x, y, reach, PAPER)
    return rim + svg.shape(look.shape, x, y, reach - width / 2, PAPER, "", look.colour, width, dash)
