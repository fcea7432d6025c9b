"""How does a triad look on the screen?

Each triad has a *dress*, its look (:mod:`lickwright.drawing.looks`) in the sizes of the screen.  A
note of two triads wears both, one inside the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lickwright.drawing import INK, LOOKS, PAPER, PLAIN_LOOK, Look
from lickwright.errors import OutputError
from lickwright.video.frames import CAPITAL_EM, Words, shape


@dataclass(frozen=True, slots=True)
class ScreenMark:
    """How large a look is worn on the screen.

    ``alone``, ``around`` and ``inside`` are its reach from the centre when it is worn alone,
    around another dress and inside one; ``room`` is the width it leaves a label.  Both are in
    units of the mark's size.
    """

    look: Look
    alone: float
    around: float
    inside: float
    room: float


#: One dress a voice.
DRESSES = (
    ScreenMark(LOOKS[0], alone=1.0, around=1.24, inside=0.84, room=1.7),
    ScreenMark(LOOKS[1], alone=0.95, around=1.14, inside=0.76, room=1.5),
    ScreenMark(LOOKS[2], alone=1.3, around=1.36, inside=1.06, room=1.22),
    ScreenMark(LOOKS[3], alone=1.13, around=1.33, inside=0.98, room=1.34),
)
PLAIN = ScreenMark(PLAIN_LOOK, alone=0.9, around=0.9, inside=0.9, room=1.6)

#: No mark reaches further than this from its centre, in units of its size.
MARK_REACH = 1.45
_LABEL_EM = 1.4


def check_voice(voice: int | None) -> None:
    """Refuse a fifth triad: four are the most that eyes can tell apart.

    Raises
    ------
    OutputError
    """
    if voice is not None and not 0 <= voice < len(DRESSES):
        raise OutputError(
            f"the screen cannot show voice {voice}",
            mend=f"Show at most {len(DRESSES)} triads in one example",
        )


def mark(
    x: float, y: float, size: float, voices: Sequence[int], label: str
) -> tuple[str, tuple[Words, ...]]:
    """The shapes and the label of one place on the neck."""
    if not voices:
        inner, reach = PLAIN, PLAIN.alone
        shapes = _worn(x, y, PLAIN, reach * size, size)
    elif len(voices) == 1:
        inner = DRESSES[voices[0]]
        reach = inner.alone
        shapes = _worn(x, y, inner, reach * size, size)
    else:
        inner, outer = DRESSES[voices[0]], DRESSES[voices[1]]
        reach = inner.inside
        shapes = _worn(x, y, outer, outer.around * size, size)
        shapes += _worn(x, y, inner, reach * size, size)
        for index, voice in enumerate(voices[2:]):
            badge_y = y + (2 * index - 1) * 0.92 * size
            shapes += _worn(x + size, badge_y, DRESSES[voice], 0.45 * size, size)
    if not label:
        return shapes, ()
    em = _LABEL_EM * size * (1.0 if len(voices) < 2 else 0.86)
    colour = PAPER if inner.look.filled else INK
    room = inner.room * reach * size
    return shapes, (Words(label, x, y + CAPITAL_EM / 2 * em, em, colour, room=room),)


def _worn(x: float, y: float, dress: ScreenMark, extent: float, size: float) -> str:
    look = dress.look
    if look.filled:
        # A rim of paper lifts the shape off string and wire, and off a dress around it.
        return shape(look.shape, x, y, extent, look.colour, PAPER, 0.11 * size)
    width = min(0.22 * size, extent / 4.0)
    dash = f"{0.36 * size:.2f} {0.2 * size:.2f}" if look.dashed else ""
    rim = shape(look.shape, x, y, extent, PAPER)
    return rim + shape(look.shape, x, y, extent - width / 2, PAPER, look.colour, width, dash)
