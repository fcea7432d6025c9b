"""How is a note shown on the neck?  The mark of its triad, the label inside.

Each triad has a mark: its look (:mod:`lickwright.drawing.looks`) in the sizes of a medium.  A note
of two triads bears both marks, one inside the other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lickwright.drawing import svg
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
    fingers : those that play it, as they first do: 1-4, 0 for an open string.
    """

    position: Position
    voice: int | None = None
    degree: str = ""
    note: str = ""
    fingers: tuple[int, ...] = ()

    def label(self, labels: Labels) -> str:
        """The text inside the mark."""
        if labels == "degrees":
            return self.degree
        if labels == "notes":
            return self.note
        if labels == "fingers" and len(self.fingers) <= _FINGERS_SHOWN:
            return " ".join(map(str, self.fingers))
        return ""


@dataclass(frozen=True, slots=True)
class MarkSize:
    """How large the mark of a triad is.

    ``alone``, ``around`` and ``inside`` are its reach from the centre when it stands alone, around
    another mark and inside one; ``room`` is the width it leaves a label, per unit of reach.
    """

    look: Look
    alone: float
    around: float
    inside: float
    room: float


@dataclass(frozen=True, slots=True)
class SizedMark:
    """One mark of a place: how far it reaches, and how far it stands from the middle."""

    size: MarkSize
    voice: int | None
    reach: float
    dx: float = 0.0
    dy: float = 0.0


@dataclass(frozen=True, slots=True)
class MarkSizes:
    """The marks of a medium, in its units: one a voice, and one for a note of no triad.

    ``badge`` is the reach, and how far to the right and up or down, of a third and fourth mark.
    """

    voices: tuple[MarkSize, ...]
    plain: MarkSize
    badge: tuple[float, float, float]

    def at(self, voices: Sequence[int]) -> tuple[SizedMark, tuple[SizedMark, ...]]:
        """The marks of one place: the one that bears the label, and all in the order of drawing.

        One alone, or two, one inside the other; a third and fourth as badges.
        """
        if len(voices) < 2:
            voice = voices[0] if voices else None
            size = self.plain if voice is None else self.voices[voice]
            only = SizedMark(size, voice, size.alone)
            return only, (only,)
        inner, outer = self.voices[voices[0]], self.voices[voices[1]]
        inside = SizedMark(inner, voices[0], inner.inside)
        reach, right, down = self.badge
        badges = tuple(
            SizedMark(self.voices[voice], voice, reach, right, (2 * index - 1) * down)
            for index, voice in enumerate(voices[2:])
        )
        return inside, (SizedMark(outer, voices[1], outer.around), inside, *badges)


#: On paper, in px.
MARK_SIZES = MarkSizes(
    (
        MarkSize(LOOKS[0], alone=12.5, around=15.5, inside=10.0, room=1.62),
        MarkSize(LOOKS[1], alone=12.0, around=14.2, inside=9.0, room=1.45),
        MarkSize(LOOKS[2], alone=16.4, around=16.8, inside=13.2, room=1.22),
        MarkSize(LOOKS[3], alone=14.2, around=16.6, inside=12.0, room=1.3),
    ),
    MarkSize(PLAIN_LOOK, alone=10.5, around=10.5, inside=10.5, room=1.55),
    badge=(5.5, 12.5, 11.5),
)

#: A place that more fingers play is no place for a label.
_FINGERS_SHOWN = 2

#: No mark reaches further than this from its place, in px.
MARK_REACH = 18.5


def lick_marks(lick: Lick) -> tuple[NeckMark, ...]:
    """The marks of a lick: each place once for each triad, in the order first played.

    A damped string has no pitch and no mark.  A place that two fingers play has both, whichever
    triad they play it for, so that the neck says what the page says.
    """
    first: dict[tuple[Position, int | None], NeckMark] = {}
    fingers: dict[Position, list[int]] = {}
    for note in lick.notes:
        if note.marks.dead:
            continue
        for voice in note.triads or (None,):
            key = (note.position, voice)
            mark = NeckMark(note.position, voice, note.degree or "", str(note.pitch.name))
            first.setdefault(key, mark)
        played = fingers.setdefault(note.position, [])
        if note.finger is not None and note.finger not in played:
            played.append(note.finger)
    return tuple(replace(mark, fingers=tuple(fingers[mark.position])) for mark in first.values())


def voices_of(marks: Sequence[NeckMark]) -> tuple[int, ...]:
    """The triads that the marks of one place belong to."""
    return tuple(mark.voice for mark in marks if mark.voice is not None)


def draw_mark(x: float, y: float, voices: Sequence[int], label: str) -> str:
    """One place: the marks of its triads, and a label in them."""
    labelled, marks = MARK_SIZES.at(voices)
    parts = [_draw_sized(x + mark.dx, y + mark.dy, mark) for mark in marks]
    size = (11.5, 12.5)[len(voices)] if len(voices) < 2 else 11.0
    colour, names = (PAPER, "on") if labelled.size.look.filled else (INK, "ink")
    room = labelled.size.room * labelled.reach
    parts.append(draw_label(x, y, label, colour, size, names, room))
    return "".join(parts)


def _draw_sized(x: float, y: float, mark: SizedMark) -> str:
    look, reach = mark.size.look, mark.reach
    name = "v-none" if mark.voice is None else f"v{mark.voice}"
    if look.filled:
        # A rim of paper lifts the shape off string and wire, and off a mark around it.
        return svg.shape(look.shape, x, y, reach, look.colour, f"{name} full", PAPER, 1.4)
    width = 1.3 if mark.voice is None else min(2.6, reach / 4.4)
    dash = "4.4 2.4" if look.dashed else ""
    reach -= width / 2
    return svg.shape(look.shape, x, y, reach, PAPER, f"{name} hollow", look.colour, width, dash)


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
        words_em = svg.text_width(words, 1.0)
    total_em = words_em + sum(svg.ACCIDENTAL_EM[sign] for sign in before + after)
    size = min(size, room / total_em)
    pen = x - total_em * size / 2
    parts: list[str] = []
    for sign in before:
        parts.append(svg.accidental(sign, pen, y, size, colour, names))
        pen += svg.ACCIDENTAL_EM[sign] * size
    middle = pen + words_em * size / 2
    parts.append(svg.text(middle, y + 0.345 * size, words, colour, size, "bold", names))
    pen += words_em * size
    for sign in after:
        parts.append(svg.accidental(sign, pen, y, size, colour, names))
        pen += svg.ACCIDENTAL_EM[sign] * size
    return "".join(parts)
