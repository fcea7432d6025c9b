"""A take as a picture: its tab with what was heard on it, and how early or late each note came.

Every verdict has a shape of its own besides its colour.  The colours are those of Okabe and Ito
(*Color Universal Design*, 2008), which people with any common colour blindness tell apart; from
memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement, tostring

from lickwright.score import Bar
from lickwright.take.report import HeardNote, NoteVerdict, Take

_BLUE, _ORANGE, _VERMILION, _PURPLE, _GREEN = "#0072B2", "#E69F00", "#D55E00", "#CC79A7", "#009E73"
_INK, _SOFT, _FAINT, _PAPER = "#222222", "#666666", "#cccccc", "#ffffff"
_COLOURS = {
    NoteVerdict.PLAYED: _GREEN,
    NoteVerdict.EARLY: _BLUE,
    NoteVerdict.LATE: _ORANGE,
    NoteVerdict.WRONG: _VERMILION,
    NoteVerdict.MISSING: _VERMILION,
    NoteVerdict.UNJUDGED: _SOFT,
}
_WIDTH, _MARGIN = 1040.0, 56.0
_HEAD, _STRING_GAP, _LANE_GAP, _LANE, _SYSTEM_GAP = 74.0, 18.0, 34.0, 30.0, 40.0
_LANE_S = 0.080  # the lane reaches so far to both sides
_LEAST_QUARTER, _LEAST_NOTE = 60.0, 24.0
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_FONT = "Avenir Next, Segoe UI, Helvetica Neue, Arial, Liberation Sans, sans-serif"


def take_svg(take: Take) -> str:
    """A take as one self-contained SVG 1.1 picture, without ids, styles or scripts."""
    systems = _systems(take)
    strings = take.score.guitar.string_count
    height_each = (strings - 1) * _STRING_GAP + _LANE_GAP + 2 * _LANE + _SYSTEM_GAP
    height = _HEAD + len(systems) * height_each + 30.0
    svg = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {_WIDTH:.0f} {height:.0f}",
            "width": f"{_WIDTH:.0f}",
            "height": f"{height:.0f}",
            "font-family": _FONT,
            "role": "img",
        },
    )
    SubElement(svg, "title").text = _printable(f"Take of {take.score.name}")
    _rect(svg, 0, 0, _WIDTH, height, _PAPER)
    _heading(svg, take)
    for number, bars in enumerate(systems):
        _PictureSystem(svg, take, bars, _HEAD + 14.0 + number * height_each).draw()
    return tostring(svg, encoding="unicode") + "\n"


def _systems(take: Take) -> list[list[Bar]]:
    """The bars that stand side by side, as many as leave every note room."""
    systems: list[list[Bar]] = []
    room = _WIDTH - 2 * _MARGIN
    for bar in take.score.bars:
        bars = [*systems[-1], bar] if systems else [bar]
        if systems and _needed(take, bars) <= room:
            systems[-1].append(bar)
        else:
            systems.append([bar])
    return systems


def _needed(take: Take, bars: list[Bar]) -> float:
    """The width that some bars need in px: the shortest step decides."""
    low, high = bars[0].onset, bars[-1].end
    onsets = [n.onset for n in take.score.lick.notes if low <= n.onset < high]
    steps = [after - before for before, after in pairwise(onsets)]
    quarter = max(_LEAST_QUARTER, _LEAST_NOTE / float(min(steps, default=Fraction(1))))
    return float(high - low) * quarter


def _printable(text: str) -> str:
    """Text without the characters that XML 1.0 (fifth edition, 2.2) forbids, escaped or not."""
    return _NOT_XML.sub("", text)


def _rect(parent: Element, x: float, y: float, width: float, height: float, fill: str) -> None:
    place = {"x": _n(x), "y": _n(y), "width": _n(width), "height": _n(height), "fill": fill}
    SubElement(parent, "rect", place)


def _n(value: float) -> str:
    return f"{round(value, 1) + 0.0:g}"


def _line(
    parent: Element, x1: float, y1: float, x2: float, y2: float, colour: str, width: float = 1.0
) -> None:
    ends = {"x1": _n(x1), "y1": _n(y1), "x2": _n(x2), "y2": _n(y2)}
    SubElement(parent, "line", {**ends, "stroke": colour, "stroke-width": _n(width)})


def _text(
    parent: Element,
    x: float,
    y: float,
    words: str,
    size: float,
    colour: str = _INK,
    anchor: str = "middle",
    weight: str = "normal",
    halo: bool = False,
) -> None:
    look = {"x": _n(x), "y": _n(y), "font-size": _n(size), "fill": colour, "text-anchor": anchor}
    if halo:
        look |= {"stroke": _PAPER, "stroke-width": "3", "paint-order": "stroke"}
    SubElement(parent, "text", {**look, "font-weight": weight}).text = _printable(words)


def _mark(parent: Element, verdict: NoteVerdict, x: float, y: float, reach: float = 8.5) -> None:
    """The shape of a verdict: ring, flags to the left and right, kite, dashed ring."""
    colour = _COLOURS[verdict]
    look = {"fill": _PAPER, "stroke": colour, "stroke-width": "2"}
    r = reach
    corners: tuple[tuple[float, float], ...]
    if verdict is NoteVerdict.WRONG:
        corners = ((0, -1.25 * r), (1.25 * r, 0), (0, 1.25 * r), (-1.25 * r, 0))
    elif verdict is NoteVerdict.EARLY:
        corners = ((r, -r), (r, r), (-0.5 * r, r), (-1.5 * r, 0), (-0.5 * r, -r))
    elif verdict is NoteVerdict.LATE:
        corners = ((-r, -r), (-r, r), (0.5 * r, r), (1.5 * r, 0), (0.5 * r, -r))
    else:
        circle = {"cx": _n(x), "cy": _n(y), "r": _n(r), **look}
        if verdict is NoteVerdict.MISSING:
            circle["stroke-dasharray"] = "3 3"
        SubElement(parent, "circle", circle)
        return
    points = " ".join(f"{_n(x + dx)},{_n(y + dy)}" for dx, dy in corners)
    SubElement(parent, "polygon", {"points": points, "stroke-linejoin": "round", **look})


def _heading(svg: Element, take: Take) -> None:
    _text(svg, _MARGIN - 20, 28, take.score.name, 18, anchor="start", weight="600")
    judged = sum(note.verdict is not NoteVerdict.UNJUDGED for note in take.notes)
    said = f"{len(take.right)} of {judged} notes at their pitch"
    said += f", {take.tempo_bpm:.0f} quarter notes a minute"
    _text(svg, _MARGIN - 20, 48, said, 12.5, _SOFT, "start")
    x = _WIDTH - 560.0
    for verdict in (
        NoteVerdict.PLAYED,
        NoteVerdict.EARLY,
        NoteVerdict.LATE,
        NoteVerdict.WRONG,
        NoteVerdict.MISSING,
    ):
        _mark(svg, verdict, x, 24, 7)
        _text(svg, x + 15, 28.5, verdict.value, 12.5, anchor="start")
        x += 30 + 7.2 * len(verdict.value) + 14
    _extra_mark(svg, x, 24)
    _text(svg, x + 12, 28.5, "extra", 12.5, anchor="start")


def _extra_mark(parent: Element, x: float, y: float) -> None:
    points = " ".join(f"{_n(x + dx)},{_n(y + dy)}" for dx, dy in ((-6, -5), (6, -5), (0, 6)))
    SubElement(parent, "polygon", {"points": points, "fill": _PURPLE})


class _PictureSystem:
    """Some bars side by side: the tab above, the lane of early and late below."""

    def __init__(self, svg: Element, take: Take, bars: list[Bar], top: float) -> None:
        self.svg, self.take, self.bars, self.top = svg, take, bars, top
        self.low, self.high = bars[0].onset, bars[-1].end
        widest = (_WIDTH - 2 * _MARGIN) / float(self.high - self.low)
        self.quarter = min(widest, 220.0)
        self.right = _MARGIN + float(self.high - self.low) * self.quarter
        self.lane = top + (take.score.guitar.string_count - 1) * _STRING_GAP + _LANE_GAP + _LANE

    def x(self, quarters: float) -> float:
        """Where a moment stands; the first note a little off the bar line."""
        share = (quarters - float(self.low)) / float(self.high - self.low)
        return _MARGIN + 14.0 + share * (self.right - _MARGIN - 14.0)

    def y(self, string: int) -> float:
        return self.top + (string - 1) * _STRING_GAP

    def notes(self) -> Iterator[HeardNote]:
        for note in self.take.notes:
            if self.low <= self.take.score.lick.notes[note.index].onset < self.high:
                yield note

    def draw(self) -> None:
        self._staff()
        self._lane()
        for note in sorted(self.notes(), key=lambda note: note.verdict is NoteVerdict.WRONG):
            self._note(note)
        for extra in self.take.extras:
            onset = self.take.score.lick.notes[extra.after].onset
            if self.low <= onset < self.high:
                due = self.take.notes[extra.after].expected_s
                later = (extra.heard_s - due) * self.take.tempo_bpm / 60.0
                string = self.take.score.lick.notes[extra.after].position.string
                _extra_mark(self.svg, self.x(float(onset) + later), self.y(string) - 9)

    def _staff(self) -> None:
        guitar = self.take.score.guitar
        for string in range(1, guitar.string_count + 1):
            y = self.y(string)
            _line(self.svg, _MARGIN, y, self.right, y, _FAINT)
            name = str(guitar.open_strings[string - 1].name)
            _text(self.svg, _MARGIN - 14, y + 4, name, 11, _SOFT)
        bottom = self.y(guitar.string_count)
        for bar in self.bars:
            x = self.x(float(bar.onset)) - 14.0
            _line(self.svg, x, self.top, x, bottom, _SOFT)
            _text(self.svg, x + 3, self.top - 10, str(bar.number), 10, _SOFT, "start")
        _line(self.svg, self.right, self.top, self.right, bottom, _SOFT)

    def _lane(self) -> None:
        width = self.right - _MARGIN
        reach = self.take.tolerance_s / _LANE_S * _LANE
        _rect(self.svg, _MARGIN, self.lane - reach, width, 2 * reach, "#eef2f4")
        _line(self.svg, _MARGIN, self.lane, self.right, self.lane, _SOFT)
        _text(self.svg, _MARGIN - 8, self.lane - _LANE + 12, "late", 10, _SOFT, "end")
        _text(self.svg, _MARGIN - 8, self.lane + _LANE - 4, "early", 10, _SOFT, "end")

    def _note(self, note: HeardNote) -> None:
        printed = self.take.score.lick.notes[note.index]
        x, y = self.x(float(printed.onset)), self.y(printed.position.string)
        _mark(self.svg, note.verdict, x, y)
        fret = "x" if printed.marks.dead else str(printed.position.fret)
        _text(self.svg, x, y + 4, fret, 11, weight="600")
        if note.verdict is NoteVerdict.WRONG and note.heard_midi is not None:
            heard = printed.position.fret + note.heard_midi - note.midi
            _text(self.svg, x, y + 21, f"heard {heard}", 9.5, _VERMILION, halo=True)
        if note.late_s is None:
            return
        bounded = max(-_LANE_S, min(_LANE_S, note.late_s))
        at = self.lane - bounded / _LANE_S * _LANE
        colour = _COLOURS[note.verdict]
        _line(self.svg, x, self.lane, x, at, colour, 2)
        SubElement(self.svg, "circle", {"cx": _n(x), "cy": _n(at), "r": "3", "fill": colour})
        if note.verdict in (NoteVerdict.EARLY, NoteVerdict.LATE):
            label = f"{1000 * note.late_s:+.0f}"
            _text(self.svg, x + 5, at + 3, label, 9.5, _INK, "start")
