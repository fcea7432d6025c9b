"""The moving tab: still pages, a playhead, and light on the figure, stroke and finger that sound.

Rows from the top: chord symbols, pick strokes, strings with frets, fingers, beats.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from lickwright.lick.notes import LickNote, Stroke, Technique
from lickwright.video.clock import Clock, beats_in
from lickwright.video.outline import arc, line, path, rect, stroke_sign
from lickwright.video.painter import Box, Placed
from lickwright.video.palette import INK, LAMP, PAPER, QUIET, SOFT
from lickwright.video.picture import CAPITAL_EM, Album, Drawing, Sprite, Words
from lickwright.video.plate import centred, even, lamp, sheet_of_paper, words_sprite
from lickwright.video.spacing import Page, pages_of
from lickwright.video.words import signs

_FIGURE_EM = 0.52
#: From one note to the next: two figures of two digits on one string do not touch.
_COLUMN_EM = 1.1
_UNPICKED = {Technique.HAMMER_ON: "h", Technique.PULL_OFF: "p", Technique.SLIDE: "sl."}


@dataclass(frozen=True, slots=True)
class Rows:
    """Heights of the tab's rows in px from the top of the plate; middles, except base lines."""

    chord_base: float
    mute_base: float
    stroke: float
    strings: tuple[float, ...]
    finger: float
    beat: float
    figure: float

    def string(self, string: int) -> float:
        return self.strings[string - 1]


def rows_of(height: float, unit: float, strings: int, muted: bool) -> Rows:
    """The rows of a plate ``height`` px high; the strings take what the others leave."""
    mute = 30 * unit if muted else 0.0
    top = 122 * unit + mute
    bottom = height - 87 * unit
    gap = (bottom - top) / (strings - 1)
    figure = min(40 * unit, 1.5 * gap)
    return Rows(
        chord_base=46 * unit,
        mute_base=46 * unit + mute,
        stroke=77 * unit + mute,
        strings=tuple(top + gap * index for index in range(strings)),
        finger=height - 45 * unit,
        beat=height - 17 * unit,
        figure=figure,
    )


class TabPlate:
    """The tab of one passage in a box of the screen."""

    def __init__(self, clock: Clock, box: Box, album: Album, unit: float, alpha: float) -> None:
        self.clock, self.box, self.unit = clock, box, unit
        self._album = album
        score = clock.passage.score
        self.notes = score.lick.notes
        self._paper = sheet_of_paper(album, box, unit, alpha)
        self._margin = 12 * unit
        width = box.right - box.left - 2 * self._margin
        muted = any(note.palm_mute for note in self.notes)
        self.rows = rows_of(box.bottom - box.top, unit, score.guitar.string_count, muted)
        self.pages = pages_of(score, width, _COLUMN_EM * self.rows.figure)
        self._page_width = width if len(self.pages) == 1 else width / 2
        self._starts_s = [clock.passage.seconds(page.onset) for page in self.pages]
        self._stills = [self._still(page) for page in self.pages]
        self._blank = album.add(self._drawing(self._empty_strings(), ()))
        self._veil = self._veil_sprite()
        self._playhead = self._playhead_sprite()
        self._lit = [self._lit_sprites(note) for note in self.notes]
        self._tied = [self._figure_lit(f"({self.figure(note)})") for note in self.notes]

    # --- what stands where ----------------------------------------------------------------------

    def slot_x(self, page: int) -> float:
        """The left edge of a page on the screen."""
        return self.box.left + self._margin + (page % 2) * self._page_width

    def page_at(self, time_s: float) -> int:
        """The page that is played."""
        return max(0, bisect_right(self._starts_s, time_s) - 1)

    def figure_centre(self, index: int, page: int) -> tuple[float, float]:
        """Where a note's figure stands on a page: at its onset, or tied over at the beginning."""
        note, shown = self.notes[index], self.pages[page]
        x = self.slot_x(page) + shown.x(max(note.onset, shown.onset))
        return x, self.box.top + self.rows.string(note.position.string)

    @staticmethod
    def figure(note: LickNote) -> str:
        return "×" if note.dead else str(note.position.fret)

    def at(self, time_s: float) -> Iterator[Placed]:
        yield self._paper
        page = self.page_at(time_s)
        other = self._other(page)
        if time_s < self.clock.passage.music_end_s:
            # Under the figures, which stay readable while it passes.
            yield self._playhead_at(page, time_s)
        for shown in (page, other):
            if shown is not None:
                sprite = self._blank if shown >= len(self.pages) else self._stills[shown]
                yield Placed(sprite, round(self.slot_x(shown)), self.box.top)
        if other is not None and other > page:
            left = self.box.left if other % 2 == 0 else self.box.right - self._veil.width
            yield Placed(self._veil, left, self.box.top)
        yield from self._lights(page, time_s)

    def _other(self, page: int) -> int | None:
        """The page beside the one that is played: the next one, at the end the one before.

        An end on the left has nothing beside it, or the one before would seem to follow.
        """
        count = len(self.pages)
        if count == 1:
            return None
        return page - 1 if page == count - 1 and page % 2 else page + 1

    def _playhead_at(self, page: int, time_s: float) -> Placed:
        """Even between two columns; in the last quarter note of the count-in it moves in."""
        passage, shown = self.clock.passage, self.pages[page]
        quarters = (time_s - passage.start_s) * passage.tempo_bpm / 60.0
        x = self.slot_x(page) + shown.x(quarters)
        x -= 0.75 * shown.xs[0] * min(1.0, max(0.0, -quarters))
        y = self.box.top + (self.rows.strings[0] + self.rows.strings[-1]) / 2
        return centred(self._playhead, x, y)

    def _lights(self, page: int, time_s: float) -> Iterator[Placed]:
        shown = self.pages[page]
        index = self.clock.note_at(time_s)
        if index is None:
            return
        x, y = self.figure_centre(index, page)
        if self.notes[index].onset < shown.onset:
            yield centred(self._tied[index], x, y)
            return
        figure, stroke, finger = self._lit[index]
        yield centred(figure, x, y)
        if stroke is not None:
            yield centred(stroke, x, self.box.top + self.rows.stroke)
        if finger is not None:
            yield centred(finger, x, self.box.top + self.rows.finger)

    # --- light ----------------------------------------------------------------------------------

    def _figure_width(self, text: str) -> float:
        return len(text) * _FIGURE_EM * self.rows.figure

    def _figure_lit(self, text: str) -> Sprite:
        size = self.rows.figure
        width = max(self._figure_width(text) + 0.34 * size, 0.95 * size)
        height = 0.94 * size
        return words_sprite(
            self._album, Words(text, 0, 0, size), width, height, lamp(width, height, self.unit)
        )

    def _lit_sprites(self, note: LickNote) -> tuple[Sprite, Sprite | None, Sprite | None]:
        figure = self._figure_lit(self.figure(note))
        side = 35 * self.unit
        ground = lamp(side, side, self.unit)
        stroke = None
        if note.stroke is not None:
            middle = even(side) / 2
            sign = stroke_sign(note.stroke is Stroke.DOWN, middle, middle, 21 * self.unit, INK)
            stroke = self._album.add(Drawing(even(side), even(side), ground + sign))
        elif note.technique in _UNPICKED:
            words = Words(_UNPICKED[note.technique], 0, 0, 27 * self.unit, italic=True)
            stroke = words_sprite(self._album, words, side, side, ground)
        finger = None
        if note.finger is not None:
            words = Words(str(note.finger), 0, 0, 32 * self.unit)
            finger = words_sprite(self._album, words, side, side, ground)
        return figure, stroke, finger

    def _veil_sprite(self) -> Sprite:
        """Thin paper over what is still to come."""
        width = round(self._page_width + self._margin)
        height = self.box.bottom - self.box.top
        shapes = rect(0, 0, width, height, PAPER, 14 * self.unit, opacity=0.38)
        return self._album.add(Drawing(width, height, shapes))

    def _playhead_sprite(self) -> Sprite:
        top, bottom = self.rows.strings[0], self.rows.strings[-1]
        reach = 0.62 * self.rows.figure
        width, height = even(22 * self.unit), even(bottom - top + 2 * reach)
        middle = width / 2
        shapes = rect(
            middle - 8 * self.unit,
            0,
            middle + 8 * self.unit,
            height,
            LAMP,
            8 * self.unit,
            opacity=0.62,
        )
        shapes += line(middle, 2 * self.unit, middle, height - 2 * self.unit, 3 * self.unit, INK)
        return self._album.add(Drawing(width, height, shapes))

    # --- still pages ----------------------------------------------------------------------------

    def _drawing(self, shapes: str, words: tuple[Words, ...]) -> Drawing:
        return Drawing(even(self._page_width), self.box.bottom - self.box.top, shapes, words)

    def _empty_strings(self) -> str:
        return "".join(
            line(0, y, self._page_width, y, 1.8 * self.unit, QUIET) for y in self.rows.strings
        )

    def _still(self, page: Page) -> Sprite:
        notes = [note for note in self.notes if page.onset <= note.onset < page.end]
        tied = [note for note in self.notes if note.onset < page.onset < note.end]
        shapes: list[str] = []
        words: list[Words] = []
        self._draw_strings(page, [*tied, *notes], shapes)
        self._draw_beats(page, shapes, words)
        self._draw_bars(page, shapes, words)
        self._draw_chords(page, words)
        for note in [*tied, *notes]:
            self._draw_note(page, note, shapes, words)
        self._draw_joins(page, notes, shapes)
        self._draw_mutes(page, notes, shapes, words)
        return self._album.add(self._drawing("".join(shapes), tuple(words)))

    def _text_of(self, page: Page, note: LickNote) -> str:
        return f"({self.figure(note)})" if note.onset < page.onset else self.figure(note)

    def _draw_strings(self, page: Page, notes: list[LickNote], shapes: list[str]) -> None:
        """Each string, open where a figure stands on it."""
        for string, y in enumerate(self.rows.strings, start=1):
            at = 0.0
            for note in notes:
                if note.position.string == string:
                    x = page.x(max(note.onset, page.onset))
                    half = self._figure_width(self._text_of(page, note)) / 2 + 3 * self.unit
                    if x - half > at:
                        shapes.append(line(at, y, x - half, y, 1.8 * self.unit, QUIET))
                    at = x + half
            if at < self._page_width:
                shapes.append(line(at, y, self._page_width, y, 1.8 * self.unit, QUIET))

    def _draw_beats(self, page: Page, shapes: list[str], words: list[Words]) -> None:
        size = 23 * self.unit
        base = self.rows.beat + CAPITAL_EM / 2 * size
        for bar in self.clock.passage.score.bars:
            for onset, number in beats_in(bar):
                if page.onset <= onset < page.end:
                    x = page.x(onset)
                    words.append(Words(str(number), x, base, size, SOFT, "semibold"))
        for tuplet in self.clock.passage.score.lick.tuplets:
            if page.onset <= tuplet.onset < page.end:
                inside = [
                    note.onset
                    for note in self.notes
                    if tuplet.onset <= note.onset < tuplet.onset + tuplet.length
                    and note.onset < page.end
                ]
                left = page.x(tuplet.onset) + 14 * self.unit
                right = page.x(max([tuplet.onset, *inside])) + 8 * self.unit
                middle, y = (left + right) / 2, self.rows.beat
                room = 11 * self.unit
                if right - left > 3 * room:
                    for x1, x2 in ((left, middle - room), (middle + room, right)):
                        shapes.append(line(x1, y, x2, y, 1.8 * self.unit, QUIET))
                    words.append(
                        Words(str(tuplet.actual), middle, base, size, SOFT, "regular", italic=True)
                    )

    def _draw_bars(self, page: Page, shapes: list[str], words: list[Words]) -> None:
        top, bottom = self.rows.strings[0], self.rows.strings[-1]
        score = self.clock.passage.score
        for bar in score.bars:
            if page.onset <= bar.onset < page.end:
                index = page.times.index(bar.onset)
                before = page.xs[index - 1] if index else -page.xs[0]
                x = max(page.xs[index] - 30 * self.unit, (page.xs[index] + before) / 2)
                x = max(x, 1.5 * self.unit)
                shapes.append(line(x, top, x, bottom, 2.6 * self.unit, SOFT))
                if bar.number:
                    base = top - 5 * self.unit
                    words.append(
                        Words(
                            str(bar.number),
                            x,
                            base,
                            19 * self.unit,
                            SOFT,
                            "regular",
                            italic=True,
                            anchor="middle" if x > 12 * self.unit else "start",
                        )
                    )
        if page.end == score.length:
            right = self._page_width - 4 * self.unit
            shapes.append(line(right, top, right, bottom, 6 * self.unit, SOFT))
            thin = right - 10 * self.unit
            shapes.append(line(thin, top, thin, bottom, 2 * self.unit, SOFT))

    def _draw_chords(self, page: Page, words: list[Words]) -> None:
        """Each chord where it begins; the one that lasts from the page before in light letters."""
        chords = [
            chord
            for chord in self.clock.passage.score.chords
            if chord.onset < page.end and chord.onset + chord.length > page.onset
        ]
        lefts = [page.x(max(chord.onset, page.onset)) - 16 * self.unit for chord in chords]
        for chord, left, right in zip(chords, lefts, [*lefts[1:], self._page_width], strict=True):
            goes_on = chord.onset < page.onset
            words.append(
                Words(
                    signs(chord.symbol or f"/{chord.bass}"),
                    max(left, 2 * self.unit),
                    self.rows.chord_base,
                    44 * self.unit,
                    INK,
                    "regular" if goes_on else "bold",
                    anchor="start",
                    room=right - left - 14 * self.unit,
                )
            )

    def _draw_note(self, page: Page, note: LickNote, shapes: list[str], words: list[Words]) -> None:
        unit, size = self.unit, self.rows.figure
        x, y = page.x(max(note.onset, page.onset)), self.rows.string(note.position.string)
        text = self._text_of(page, note)
        words.append(Words(text, x, y + CAPITAL_EM / 2 * size, size))
        self._draw_tail(page, note, x + self._figure_width(text) / 2, y, shapes)
        if note.onset < page.onset:
            return
        if note.stroke is not None:
            down = note.stroke is Stroke.DOWN
            shapes.append(stroke_sign(down, x, self.rows.stroke, 21 * unit, INK))
        elif note.technique in _UNPICKED:
            base = self.rows.stroke + 8 * unit
            words.append(Words(_UNPICKED[note.technique], x, base, 27 * unit, italic=True))
        if note.finger is not None:
            base = self.rows.finger + CAPITAL_EM / 2 * 32 * unit
            words.append(Words(str(note.finger), x, base, 32 * unit))

    def _draw_tail(
        self, page: Page, note: LickNote, left: float, y: float, shapes: list[str]
    ) -> None:
        """How long a note sounds, where there is room to show it."""
        unit = self.unit
        if note.dead or self._slides_on(note):
            return
        right = page.x(min(note.end, page.end)) - 0.55 * self.rows.figure
        if note.end > page.end:
            right = self._page_width
        left += 5 * unit
        if right - left < 14 * unit:
            return
        if note.vibrato:
            step = 9 * unit
            count = int((right - left) / step)
            rise = 5 * unit
            points = [(left + i * step, y + (-rise, rise)[i % 2]) for i in range(count + 1)]
            shapes.append(path(points, 3.4 * unit, SOFT))
        else:
            shapes.append(line(left, y, right, y, 6 * unit, SOFT))

    def _slides_on(self, note: LickNote) -> bool:
        after = next((other for other in self.notes if other.onset >= note.end), None)
        return after is not None and after.technique is Technique.SLIDE

    def _draw_joins(self, page: Page, notes: list[LickNote], shapes: list[str]) -> None:
        """Slurs of hammer-ons and pull-offs, and the lines of slides."""
        for first, second in pairwise(notes):
            if second.technique not in _UNPICKED:
                continue
            if first.position.string != second.position.string or first.end < second.onset:
                continue
            x1, x2 = page.x(first.onset), page.x(second.onset)
            y, size = self.rows.string(first.position.string), self.rows.figure
            if second.technique is Technique.SLIDE:
                half = 0.3 * size
                rise = half * (1 if second.position.fret > first.position.fret else -1) * 0.7
                inset = 0.6 * size
                if x2 - x1 > 2 * inset:
                    shapes.append(
                        path([(x1 + inset, y + rise), (x2 - inset, y - rise)], 3 * self.unit, INK)
                    )
                continue
            shapes.append(arc(x1, x2, y - 0.44 * size, 0.2 * size, 2.6 * self.unit, INK))

    def _draw_mutes(
        self, page: Page, notes: list[LickNote], shapes: list[str], words: list[Words]
    ) -> None:
        """One P.M. for each run of muted notes, and how far it goes."""
        run: list[LickNote] = []
        for note in [*notes, None]:
            if note is not None and note.palm_mute:
                run.append(note)
            elif run:
                left, size = page.x(run[0].onset) - 14 * self.unit, 24 * self.unit
                words.append(
                    Words("P.M.", left, self.rows.mute_base, size, INK, "semibold", anchor="start")
                )
                start, end = left + 62 * self.unit, page.x(run[-1].onset) + 10 * self.unit
                if end > start:
                    y = self.rows.mute_base - 7 * self.unit
                    dash = f"{6 * self.unit:.1f} {8 * self.unit:.1f}"
                    shapes.append(line(start, y, end, y, 2 * self.unit, SOFT, dash))
                run = []
