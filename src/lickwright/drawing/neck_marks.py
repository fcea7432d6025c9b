"""How is a note shown on the neck?  The mark, the dress of its triad, the label inside.

Each triad has a *dress*, its look (:mod:`lickwright.drawing.looks`) in the sizes of print.  A note
of two triads wears both dresses, one inside the other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lickwright.drawing import svg as ink
from lickwright.drawing.looks import INK, LOOKS, PAPER, PLAIN_LOOK, Look
from lickwright.lick import Lick
from lickwright.neck import Position

Labels = Literal["degrees", "notes", "fingers", "none"]


@dataclass(frozen=True, slots=True)
class NeckMark:
    """One note shown on the neck.

    Parameters
    ----------
    voice : which of the example's triads it belongs to (0-3), ``None`` for neither.  Two marks at
        one position with different voices make a shared note.
    degree : over the sounding bass, such as ``"b3"``.
    note : the note name, such as ``"Bb"``.
    finger : 1-4, 0 for an open string, ``None`` for no finger.
    """

    position: Position
    voice: int | None = None
    degree: str = ""
    note: str = ""
    finger: int | None = None

    def label(self, labels: Labels) -> str:
        """The text inside the mark."""
        if labels == "degrees":
            return self.degree
        if labels == "notes":
            return self.note
        if labels == "fingers" and self.finger is not None:
            return str(self.finger)
        return ""


@dataclass(frozen=True, slots=True)
class TriadMark:
    """How large a look is worn on paper.

    ``alone``, ``around`` and ``inside`` are its reach from the centre in px when it is worn alone,
    around another dress and inside one; ``room`` is the width it leaves a label, per px of reach.
    """

    look: Look
    alone: float
    around: float
    inside: float
    room: float


#: One dress a voice.
DRESSES = (
    TriadMark(LOOKS[0], alone=12.5, around=15.5, inside=10.0, room=1.62),
    TriadMark(LOOKS[1], alone=12.0, around=14.2, inside=9.0, room=1.45),
    TriadMark(LOOKS[2], alone=16.4, around=16.8, inside=13.2, room=1.22),
    TriadMark(LOOKS[3], alone=14.2, around=16.6, inside=12.0, room=1.3),
)
PLAIN = TriadMark(PLAIN_LOOK, alone=10.5, around=10.5, inside=10.5, room=1.55)

#: No mark reaches further than this from its place, in px.
MARK_REACH = 18.5


def lick_marks(lick: Lick) -> tuple[NeckMark, ...]:
    """The marks of a lick: each place once for each triad, in the order first played.

    A damped string has no pitch and no mark.  A place that different fingers play shows the one
    that plays it most often, the earliest where they tie.
    """
    first: dict[tuple[Position, int | None], NeckMark] = {}
    fingers: dict[tuple[Position, int | None], list[int]] = {}
    for note in lick.notes:
        if note.marks.dead:
            continue
        for voice in note.triads or (None,):
            key = (note.position, voice)
            mark = NeckMark(note.position, voice, note.degree or "", str(note.pitch.name))
            first.setdefault(key, mark)
            if note.finger is not None:
                fingers.setdefault(key, []).append(note.finger)
    return tuple(
        NeckMark(
            mark.position, mark.voice, mark.degree, mark.note, _commonest(fingers.get(key, []))
        )
        for key, mark in first.items()
    )


def _commonest(fingers: Sequence[int]) -> int | None:
    return max(fingers, key=fingers.count) if fingers else None


def voices_of(marks: Sequence[NeckMark]) -> tuple[int, ...]:
    """The triads that the marks of one place belong to."""
    return tuple(mark.voice for mark in marks if mark.voice is not None)


def draw_mark(x: float, y: float, voices: Sequence[int], label: str) -> str:
    """One place: a dress alone, or two, one inside the other; a third and fourth as badges."""
    if not voices:
        size, reach, inner = 11.5, PLAIN.alone, PLAIN
        parts = [_draw_dress(x, y, PLAIN, reach, "v-none")]
    elif len(voices) == 1:
        inner = DRESSES[voices[0]]
        size, reach = 12.5, inner.alone
        parts = [_draw_dress(x, y, inner, reach, f"v{voices[0]}")]
    else:
        inner, outer = DRESSES[voices[0]], DRESSES[voices[1]]
        size, reach = 11.0, inner.inside
        parts = [
            _draw_dress(x, y, outer, outer.around, f"v{voices[1]}"),
            _draw_dress(x, y, inner, reach, f"v{voices[0]}"),
        ]
        for index, voice in enumerate(voices[2:]):
            badge_y = y - 11.5 + 23.0 * index
            parts.append(_draw_dress(x + 12.5, badge_y, DRESSES[voice], 5.5, f"v{voice}"))
    colour, names = (PAPER, "on") if inner.look.filled else (INK, "ink")
    parts.append(draw_label(x, y, label, colour, size, names, inner.room * reach))
    return "".join(parts)


def _draw_dress(x: float, y: float, dress: TriadMark, extent: float, voice: str) -> str:
    look = dress.look
    if look.filled:
        # A rim of paper lifts the shape off string and wire, and off a dress around it.
        return ink.shape(look.shape, x, y, extent, look.colour, f"{voice} full", PAPER, 1.4)
    width = 1.3 if dress is PLAIN else min(2.6, extent / 4.4)
    dash = "4.4 2.4" if look.dashed else ""
    extent -= width / 2
    return ink.shape(look.shape, x, y, extent, PAPER, f"{voice} hollow", look.colour, width, dash)


_DEGREE = re.compile(r"([b#]*)(\d+)()")
_NOTE = re.compile(r"()([A-G])(#*|b*)")


def draw_label(
    x: float, y: float, label: str, colour: str, size: float, names: str, room: float
) -> str:
    """A degree, note name or finger centred on a point, smaller where ``room`` px are too few."""
    if not label:
        return ""
    match = _DEGREE.fullmatch(label) or _NOTE.fullmatch(label)
    before, words, after = match.groups() if match else ("", label, "")
    before, after = before.replace("##", "x"), after.replace("##", "x")
    if match:
        words_em = sum(0.74 if char.isalpha() else 0.54 for char in words)
    else:
        words_em = ink.text_width(words, 1.0)
    total_em = words_em + sum(ink.ACCIDENTAL_EM[sign] for sign in before + after)
    size = min(size, room / total_em)
    pen = x - total_em * size / 2
    parts: list[str] = []
    for sign in before:
        parts.append(ink.accidental(sign, pen, y, size, colour, names))
        pen += ink.ACCIDENTAL_EM[sign] * size
    middle = pen + words_em * size / 2
    parts.append(ink.text(middle, y + 0.345 * size, words, colour, size, "bold", names))
    pen += words_em * size
    for sign in after:
        parts.append(ink.accidental(sign, pen, y, size, colour, names))
        pen += ink.ACCIDENTAL_EM[sign] * size
    return "".join(parts)
