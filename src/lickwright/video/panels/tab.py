"""The moving tab: still pages, a playhead, and light on what sounds."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from lickwright.drawing import INK, PAPER, svg
from lickwright.lick import LickNote, Stroke
from lickwright.video.frames import (
    LAMP,
    Album,
    Area,
    Clock,
    Drawing,
    Placed,
    Sprite,
    Words,
    line,
    stroke_sign,
)
from lickwright.video.panels.panel import centred, even, lamp, sheet_of_paper, words_sprite
from lickwright.video.panels.spacing import pages_of
from lickwright.video.panels.tab_page import (
    FIGURE_EM,
    FINGER,
    STROKE,
    TECHNIQUE,
    UNPICKED,
    PageMaker,
    figure,
    rows_of,
)

#: From one note to the next: two figures of two digits on one string do not touch.
_COLUMN_EM = 1.1


class TabPanel:
    """The tab of one passage in a box of the screen."""

    def __init__(self, clock: Clock, box: Area, album: Album, unit: float, alpha: float) -> None:
        self.clock, self.box, self.unit = clock, box, unit
        self._album = album
        score = clock.passage.score
        self.notes = score.lick.notes
        self._paper = sheet_of_paper(album, box, unit, alpha)
        self._margin = 12 * unit
        width = box.right - box.left - 2 * self._margin
        height = box.bottom - box.top
        self.rows = rows_of(height, unit, score)
        self.pages = pages_of(score, width, _COLUMN_EM * self.rows.figure)
        self._page_width = width if len(self.pages) == 1 else width / 2
        self._starts_s = [clock.passage.seconds(page.onset) for page in self.pages]
        maker = PageMaker(score, self.rows, self._page_width, height, unit)
        self._stills = [album.add(maker.page(page)) for page in self.pages]
        self._blank = album.add(maker.blank())
        self._veil = self._veil_sprite()
        self._playhead = self._playhead_sprite()
        self._lit = [self._lit_sprites(note) for note in self.notes]
        self._tied = [self._figure_lit(figure(note, note.end)) for note in self.notes]

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
        quarters = passage.quarters(time_s)
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
        fret, stroke, finger = self._lit[index]
        yield centred(fret, x, y)
        if stroke is not None:
            yield centred(stroke, x, self.box.top + self.rows.stroke)
        if finger is not None:
            yield centred(finger, x, self.box.top + self.rows.finger)

    # --- light ----------------------------------------------------------------------------------

    def _figure_lit(self, text: str) -> Sprite:
        size = self.rows.figure
        width = max(len(text) * FIGURE_EM * size + 0.34 * size, 0.95 * size)
        height = 0.94 * size
        return words_sprite(
            self._album, Words(text, 0, 0, size), width, height, lamp(width, height, self.unit)
        )

    def _lit_sprites(self, note: LickNote) -> tuple[Sprite, Sprite | None, Sprite | None]:
        fret = self._figure_lit(figure(note))
        side = 35 * self.unit
        ground = lamp(side, side, self.unit)
        stroke = None
        if note.stroke is not None:
            middle = even(side) / 2
            sign = stroke_sign(note.stroke is Stroke.DOWN, middle, middle, STROKE * self.unit, INK)
            stroke = self._album.add(Drawing(even(side), even(side), ground + sign))
        elif note.technique in UNPICKED:
            words = Words(UNPICKED[note.technique], 0, 0, TECHNIQUE * self.unit, italic=True)
            stroke = words_sprite(self._album, words, side, side, ground)
        finger = None
        if note.finger is not None:
            words = Words(str(note.finger), 0, 0, FINGER * self.unit)
            finger = words_sprite(self._album, words, side, side, ground)
        return fret, stroke, finger

    def _veil_sprite(self) -> Sprite:
        """Thin paper over what is still to come."""
        width = round(self._page_width + self._margin)
        height = self.box.bottom - self.box.top
        shapes = svg.rect(0, 0, width, height, PAPER, rounding=14 * self.unit, opacity=0.38)
        return self._album.add(Drawing(width, height, shapes))

    def _playhead_sprite(self) -> Sprite:
        top, bottom = self.rows.strings[0], self.rows.strings[-1]
        reach = 0.62 * self.rows.figure
        width, height = even(22 * self.unit), even(bottom - top + 2 * reach)
        middle = width / 2
        shapes = svg.rect(
            middle - 8 * self.unit,
            0,
            middle + 8 * self.unit,
            height,
            LAMP,
            rounding=8 * self.unit,
            opacity=0.62,
        )
        shapes += line(middle, 2 * self.unit, middle, height - 2 * self.unit, 3 * self.unit, INK)
        return self._album.add(Drawing(width, height, shapes))
