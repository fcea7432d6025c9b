"""A still page of tab.

Rows from the top: the parts where there are several, chord symbols, pick strokes, strings with
frets, fingers, beats.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.drawing import INK, QUIET, svg
from lickwright.lick import LickNote, Part, PartLink, Stroke, Technique
from lickwright.score import Score
from lickwright.video.frames import (
    CAPITAL_EM,
    SOFT,
    Anchor,
    Drawing,
    Words,
    line,
    stroke_sign,
)
from lickwright.video.panels.panel import even
from lickwright.video.panels.spacing import Page
from lickwright.video.words import signs

#: Width of a figure, in em.
FIGURE_EM = 0.52
#: What stands in the row of strokes where the pick does not strike.
UNPICKED = {Technique.HAMMER_ON: "h", Technique.PULL_OFF: "p", Technique.SLIDE: "sl."}

_TAKEN_UP = {
    PartLink.MIRROR: "strokes turned round",
    PartLink.REPEAT: "as {}",
    PartLink.ANSWER: "answers {}",
    PartLink.VARY: "varies {}",
}
#: About the width of a letter of a name.
_WORD_EM = 0.47

#: Sizes of signs and letters, in units.
STROKE = 21.0
TECHNIQUE = 27.0
FINGER = 32.0


@dataclass(frozen=True, slots=True)
class Rows:
    """Heights of the tab's rows in px from the top of the panel; middles, except base lines."""

    part_base: float
    chord_base: float
    mute_base: float
    stroke: float
    strings: tuple[float, ...]
    finger: float
    beat: float
    figure: float

    def string(self, string: int) -> float:
        return self.strings[string - 1]


def rows_of(height: float, unit: float, score: Score) -> Rows:
    """The rows of a panel ``height`` px high; the strings take what the others leave."""
    part = 32 * unit if len(score.lick.parts) > 1 else 0.0
    mute = 30 * unit if any(note.marks.palm_mute for note in score.lick.notes) else 0.0
    strings = score.guitar.string_count
    top, bottom = 122 * unit + part + mute, height - 87 * unit
    gap = (bottom - top) / (strings - 1)
    return Rows(
        part_base=32 * unit,
        chord_base=46 * unit + part,
        mute_base=46 * unit + part + mute,
        stroke=77 * unit + part + mute,
        strings=tuple(top + gap * index for index in range(strings)),
        finger=height - 45 * unit,
        beat=height - 17 * unit,
        figure=min(40 * unit, 1.5 * gap),
    )


def taken_up(part: Part, parts: Sequence[Part]) -> str:
    """What a part does with an earlier one, in a few words."""
    if part.link is None or part.of is None:
        return ""
    return _TAKEN_UP[part.link].format(parts[part.of].name)


def figure(note: LickNote, onset: Fraction | None = None) -> str:
    """A note's figure; in brackets on a page that begins, at ``onset``, while it lasts."""
    plain = "×" if note.marks.dead else str(note.position.fret)
    return f"({plain})" if onset is not None and note.onset < onset else plain


@dataclass(frozen=True, slots=True)
class PageMaker:
    """Draws the pages of one score, each ``width`` by ``height`` px."""

    score: Score
    rows: Rows
    width: float
    height: int
    unit: float

    def blank(self) -> Drawing:
        """Strings without anything on them."""
        lines = (line(0, y, self.width, y, 1.8 * self.unit, QUIET) for y in self.rows.strings)
        return Drawing(even(self.width), self.height, "".join(lines))

    def page(self, page: Page) -> Drawing:
        """A page with all that stands on it."""
        drawn = _DrawnPage(self, page)
        return Drawing(even(self.width), self.height, "".join(drawn.shapes), tuple(drawn.words))


class _DrawnPage:
    """The shapes and words of one page."""

    def __init__(self, maker: PageMaker, page: Page) -> None:
        self.page, self.score, self.rows = page, maker.score, maker.rows
        self.width, self.unit = maker.width, maker.unit
        self.shapes: list[str] = []
        self.words: list[Words] = []
        notes = maker.score.lick.notes
        first = bisect_left(notes, page.onset, key=lambda note: note.onset)
        tied = [note for note in notes[max(0, first - 1) : first] if note.end > page.onset]
        self._notes = maker.score.lick.notes_in(page.onset, page.end)
        self._strings([*tied, *self._notes])
        self._beats()
        self._tuplets()
        self._bars()
        self._chords()
        self._parts()
        for note in [*tied, *self._notes]:
            self._note(note)
        self._joins()
        self._mutes()

    def _x(self, note: LickNote) -> float:
        return self.page.x(max(note.onset, self.page.onset))

    def _half_figure(self, note: LickNote) -> float:
        return len(figure(note, self.page.onset)) * FIGURE_EM * self.rows.figure / 2

    # --- strings, bars, beats, chords -------------------------------------------------------------

    def _strings(self, notes: Sequence[LickNote]) -> None:
        """Each string, open where a figure stands on it."""
        thin = 1.8 * self.unit
        for string, y in enumerate(self.rows.strings, start=1):
            at = 0.0
            for note in notes:
                if note.position.string == string:
                    half = self._half_figure(note) + 3 * self.unit
                    if self._x(note) - half > at:
                        self.shapes.append(line(at, y, self._x(note) - half, y, thin, QUIET))
                    at = self._x(note) + half
            if at < self.width:
                self.shapes.append(line(at, y, self.width, y, thin, QUIET))

    def _beats(self) -> None:
        size = 23 * self.unit
        base = self.rows.beat + CAPITAL_EM / 2 * size
        for bar in self.score.bars_over(self.page.onset, self.page.end):
            for onset, number in bar.felt_beats:
                if self.page.onset <= onset < self.page.end:
                    x = self.page.x(onset)
                    self.words.append(Words(str(number), x, base, size, SOFT, "semibold"))

    def _tuplets(self) -> None:
        """A bracket under each tuplet that begins on the page and has room for one."""
        size, y, room = 23 * self.unit, self.rows.beat, 11 * self.unit
        for tuplet in self.score.lick.tuplets:
            if not self.page.onset <= tuplet.onset < self.page.end:
                continue
            end = tuplet.onset + tuplet.length
            onsets = [note.onset for note in self._notes if tuplet.onset <= note.onset < end]
            left = self.page.x(tuplet.onset) + 14 * self.unit
            right = self.page.x(max([tuplet.onset, *onsets])) + 8 * self.unit
            middle = (left + right) / 2
            if right - left <= 3 * room:
                continue
            for x1, x2 in ((left, middle - room), (middle + room, right)):
                self.shapes.append(line(x1, y, x2, y, 1.8 * self.unit, QUIET))
            base = y + CAPITAL_EM / 2 * size
            self.words.append(
                Words(str(tuplet.actual), middle, base, size, SOFT, "regular", italic=True)
            )

    def _bars(self) -> None:
        top, bottom, unit = self.rows.strings[0], self.rows.strings[-1], self.unit
        for bar in self.score.bars_over(self.page.onset, self.page.end):
            if self.page.onset <= bar.onset < self.page.end:
                x = self._bar_x(bar.onset)
                self.shapes.append(line(x, top, x, bottom, 2.6 * unit, SOFT))
                if bar.number:
                    place = (x, top - 19 * unit, 20 * unit)
                    anchor: Anchor = "middle" if x > 12 * unit else "start"
                    self.words.append(Words(str(bar.number), *place, SOFT, "regular", True, anchor))
        if self.page.end == self.score.length:
            for inset, thick in ((4, 6), (14, 2)):
                x = self.width - inset * unit
                self.shapes.append(line(x, top, x, bottom, thick * unit, SOFT))

    def _bar_x(self, onset: Fraction) -> float:
        """Where the bar line before a moment stands."""
        index = self.page.times.index(onset)
        before = self.page.xs[index - 1] if index else -self.page.xs[0]
        x = max(self.page.xs[index] - 30 * self.unit, (self.page.xs[index] + before) / 2)
        return max(x, 1.5 * self.unit)

    def _chords(self) -> None:
        """Each chord where it begins; the one that lasts from the page before in light letters."""
        page, unit = self.page, self.unit
        chords = [
            chord
            for chord in self.score.chords
            if chord.onset < page.end and chord.onset + chord.length > page.onset
        ]
        lefts = [page.x(max(chord.onset, page.onset)) - 16 * unit for chord in chords]
        for chord, left, right in zip(chords, lefts, [*lefts, self.width][1:], strict=True):
            self.words.append(
                Words(
                    signs(chord.symbol or f"/{chord.bass}"),
                    max(left, 2 * unit),
                    self.rows.chord_base,
                    44 * unit,
                    weight="regular" if chord.onset < page.onset else "bold",
                    anchor="start",
                    room=right - left - 14 * unit,
                )
            )

    def _parts(self) -> None:
        """Each part from its first note on, what it does with which other, and how far it goes."""
        page, unit, parts = self.page, self.unit, self.score.lick.parts
        for part in parts if len(parts) > 1 else ():
            if part.onset >= page.end or part.end <= page.onset:
                continue
            left = max(2 * unit, page.x(max(part.onset, page.onset)) - 16 * unit)
            right = self.width if part.end >= page.end else self._bar_x_or_note(part.end)
            right -= 14 * unit
            base, size = self.rows.part_base, 27 * unit
            begun = part.onset < page.onset
            name = f"({part.name})" if begun else part.name
            room = right - left
            self.words.append(
                Words(name, left, base, size, INK, "semibold", anchor="start", room=room)
            )
            taken = min(room, _WORD_EM * size * len(name)) + 12 * unit
            said = "" if begun else taken_up(part, parts)
            wide = 0.86 * _WORD_EM * size * len(said)
            if said and taken + wide < room:
                left_of = left + taken
                self.words.append(
                    Words(said, left_of, base, 0.86 * size, SOFT, "regular", True, "start")
                )
                taken += wide + 12 * unit
            y = base - 9 * unit
            if room - taken > 20 * unit:
                self.shapes.append(line(left + taken, y, right, y, 2 * unit, SOFT))
                if part.end <= page.end:
                    self.shapes.append(line(right, y, right, y + 12 * unit, 2 * unit, SOFT))

    def _bar_x_or_note(self, moment: Fraction) -> float:
        """Where a part ends that is over before its page: at its bar line, or the next note."""
        if any(bar.onset == moment for bar in self.score.bars):
            return self._bar_x(moment)
        return self.page.x(moment) - 16 * self.unit

    # --- notes ------------------------------------------------------------------------------------

    def _note(self, note: LickNote) -> None:
        unit, size = self.unit, self.rows.figure
        x, y = self._x(note), self.rows.string(note.position.string)
        text = figure(note, self.page.onset)
        self.words.append(Words(text, x, y + CAPITAL_EM / 2 * size, size))
        self._tail(note)
        if note.onset < self.page.onset:
            return
        if note.stroke is not None:
            down = note.stroke is Stroke.DOWN
            self.shapes.append(stroke_sign(down, x, self.rows.stroke, STROKE * unit, INK))
        elif note.technique in UNPICKED:
            base = self.rows.stroke + 8 * unit
            text = UNPICKED[note.technique]
            self.words.append(Words(text, x, base, TECHNIQUE * unit, italic=True))
        if note.finger is not None:
            base = self.rows.finger + CAPITAL_EM / 2 * FINGER * unit
            self.words.append(Words(str(note.finger), x, base, FINGER * unit))

    def _tail(self, note: LickNote) -> None:
        """How long a note sounds, where there is room to show it."""
        unit, page = self.unit, self.page
        if note.marks.dead or self._slides_on(note):
            return
        y = self.rows.string(note.position.string)
        left = self._x(note) + self._half_figure(note) + 5 * unit
        right = page.x(min(note.end, page.end)) - 0.55 * self.rows.figure
        if note.end > page.end:
            right = self.width
        elif any(bar.onset == note.end < page.end for bar in self.score.bars):
            right = self._bar_x(note.end) - 8 * unit
        # By the note's whole room: a figure of one digit alone makes no note long.
        if right - self._x(note) < 1.1 * self.rows.figure or right - left < 14 * unit:
            return
        if note.marks.vibrato:
            step, rise = 9 * unit, 5 * unit
            count = int((right - left) / step)
            wave = [(left + i * step, y + (-rise, rise)[i % 2]) for i in range(count + 1)]
            self.shapes.append(svg.path(wave, 3.4 * unit, SOFT))
        else:
            self.shapes.append(line(left, y, right, y, 6 * unit, SOFT))

    def _slides_on(self, note: LickNote) -> bool:
        return any(
            after.onset == note.end and after.technique is Technique.SLIDE
            for after in self.score.lick.notes
        )

    def _joins(self) -> None:
        """Slurs of hammer-ons and pull-offs, and the lines of slides."""
        size, unit = self.rows.figure, self.unit
        for first, second in pairwise(self._notes):
            joined = second.technique in UNPICKED and first.end == second.onset
            if not joined or first.position.string != second.position.string:
                continue
            x1, x2 = self._x(first), self._x(second)
            y = self.rows.string(first.position.string)
            if second.technique is not Technique.SLIDE:
                self.shapes.append(svg.arc(x1, x2, y - 0.44 * size, 0.2 * size, 2.6 * unit, INK))
            elif x2 - x1 > 1.2 * size:
                rise = 0.2 * size * (1 if second.position.fret > first.position.fret else -1)
                ends = [(x1 + 0.6 * size, y + rise), (x2 - 0.6 * size, y - rise)]
                self.shapes.append(svg.path(ends, 3 * unit, INK))

    def _mutes(self) -> None:
        """One P.M. for each run of muted notes, and how far it goes."""
        unit, base = self.unit, self.rows.mute_base
        for index, note in enumerate(self._notes):
            if not note.marks.palm_mute or (index and self._notes[index - 1].marks.palm_mute):
                continue
            last = index
            while last + 1 < len(self._notes) and self._notes[last + 1].marks.palm_mute:
                last += 1
            left = self._x(note) - 14 * unit
            self.words.append(Words("P.M.", left, base, 24 * unit, INK, "semibold", anchor="start"))
            start, end = left + 62 * unit, self._x(self._notes[last]) + 10 * unit
            if end > start:
                y, dash = base - 7 * unit, f"{6 * unit:.1f} {8 * unit:.1f}"
                self.shapes.append(line(start, y, end, y, 2 * unit, SOFT, dash=dash))
