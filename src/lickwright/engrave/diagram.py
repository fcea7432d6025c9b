"""Where do the notes lie on the neck?  One SVG picture of a stretch of frets.

Conventions
-----------
* The neck lies flat with its lowest string at the bottom, as in tab, the nut at the left (at the
  right for a left-handed player).  Frets count from the nut, or from the capo where there is one.
* Fret wires keep their true proportions (twelve-tone equal temperament) over up to an octave of
  frets.  A longer stretch is eased until its widest fret is twice its narrowest, or the first
  frets would swallow the page.
* One unit is one CSS pixel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from lickwright.drawing import (
    DRESSES,
    INK,
    QUIET,
    Labels,
    NeckMark,
    draw_label,
    draw_mark,
    number,
    printed_symbol,
    voices_of,
)
from lickwright.drawing import lick_marks as lick_marks
from lickwright.drawing import svg as ink
from lickwright.errors import NeckError, OutputError
from lickwright.neck import Guitar, Position, fret_mm, inlays
from lickwright.theory import NoteName

#: From a place along a right-handed neck to x in the picture.
_Turn = Callable[[float], float]

STRING_GAP = 34.0
TOP = 22.0
LEGEND_ROW = 28.0
BOARD = "#f5efe4"
INLAY = "#ddd2c0"


def neck_svg(
    guitar: Guitar,
    marks: Iterable[NeckMark],
    frets: tuple[int, int] | None = None,
    labels: Labels = "degrees",
    *,
    voices: Sequence[str] = (),
    bass: NoteName | None = None,
    title: str = "",
    legend: bool = True,
) -> str:
    """Draw the neck with its marks.

    Parameters
    ----------
    guitar : tuning, frets, capo and handedness.
    marks : the notes; several at one position make one shared mark.
    frets : first and last fret to show, 0 for the open strings; widened where a mark stands
        outside, and chosen from the marks where ``None``.
    labels : what stands inside the marks.
    voices : the triads' names by voice, for the legend.
    bass : the sounding bass; the legend names it and rings the open strings that sound it.
    title : what a screen reader says first.
    legend : whether to explain the marks under the neck.

    Returns
    -------
    str
        One ``<svg>`` element, without an XML declaration.

    Raises
    ------
    NeckError
        For a mark or a window that the instrument does not have.
    OutputError
        For a fifth voice: four are the most that eyes can tell apart.
    """
    places = _places(guitar, marks)
    first, last, has_open = _window(guitar, places, frets)
    drawing = _NeckDrawing(guitar, places, first, last, has_open, labels, tuple(voices), bass)
    return drawing.svg(title, legend)


def mark_places(
    guitar: Guitar, marks: Iterable[NeckMark], frets: tuple[int, int] | None = None
) -> dict[Position, tuple[float, float]]:
    """Where :func:`neck_svg` draws each marked position: x and y in px of the picture.

    Parameters and errors as there.
    """
    places = _places(guitar, marks)
    drawing = _NeckDrawing(guitar, places, *_window(guitar, places, frets), "none", (), None)
    wires = drawing.wires_x()
    return {
        place: (drawing.x(wires, drawing.place_x(place, wires)), drawing.string_y(place.string))
        for place in places
    }


def _places(guitar: Guitar, marks: Iterable[NeckMark]) -> dict[Position, tuple[NeckMark, ...]]:
    """Marks by position, each voice once and ascending; lowest string first."""
    found: dict[Position, dict[int, NeckMark]] = {}
    for mark in marks:
        if not guitar.has(mark.position):
            raise NeckError(
                f"there is no {mark.position} on this instrument",
                mend=f"It has strings 1 to {guitar.string_count} and frets 0 to {guitar.last_fret}",
            )
        voice = -1 if mark.voice is None else mark.voice
        if not -1 <= voice < len(DRESSES):
            raise OutputError(
                f"a neck diagram cannot show voice {voice}",
                mend=f"Show at most {len(DRESSES)} triads in one diagram",
            )
        found.setdefault(mark.position, {}).setdefault(voice, mark)
    places: dict[Position, tuple[NeckMark, ...]] = {}
    for position in sorted(found, key=lambda place: (-place.string, place.fret)):
        by_voice = found[position]
        in_triads = tuple(by_voice[voice] for voice in sorted(by_voice) if voice >= 0)
        places[position] = in_triads or tuple(by_voice.values())
    return places


def _window(
    guitar: Guitar, places: Iterable[Position], frets: tuple[int, int] | None
) -> tuple[int, int, bool]:
    """First and last fret of the picture, and whether the open strings have a column."""
    places = list(places)
    has_open = any(place.fret == 0 for place in places)
    stopped = [place.fret for place in places if place.fret > 0]
    if frets is not None:
        low, high = frets
        if not 0 <= low <= high <= guitar.last_fret:
            raise NeckError(
                f"a diagram cannot show frets {low} to {high}",
                mend=f"Choose a first and a last fret between 0 and {guitar.last_fret}",
            )
        return max(1, min([low, *stopped])), max([high, 1, *stopped]), has_open or low == 0
    low, high = (min(stopped), max(stopped)) if stopped else (1, 1)
    # A nut that would stand just outside the picture tells more than a cut edge.
    low = 1 if low <= 2 else low
    high = min(max(high, low + 3), guitar.last_fret)
    return max(1, min(low, high - 3)), high, has_open


@dataclass(frozen=True, slots=True)
class _NeckDrawing:
    guitar: Guitar
    places: dict[Position, tuple[NeckMark, ...]]
    first: int
    last: int
    has_open: bool
    labels: Labels
    voices: tuple[str, ...]
    bass: NoteName | None

    # --- where things stand, for a right-handed player ------------------------------------------

    @property
    def at_nut(self) -> bool:
        return self.first == 1

    @property
    def names_x(self) -> float:
        """The middle of the column of string names."""
        return 20.0

    @property
    def open_x(self) -> float:
        return self.names_x + 36.0

    @property
    def nut_x(self) -> float:
        return self.open_x + 26.0 if self.has_open else self.names_x + 22.0

    @property
    def board_x(self) -> float:
        """Where the board begins: at the nut, or past a break or a cut edge."""
        if self.at_nut:
            return self.nut_x
        return self.nut_x + (36.0 if self.has_open else 10.0)

    def wires_x(self) -> list[float]:
        """The wires ``first - 1`` to ``last``."""
        frets = range(self.first, self.last + 1)
        true = [fret_mm(1.0, fret) - fret_mm(1.0, fret - 1) for fret in frets]
        ease = min(1.0, 12.0 / len(true))
        narrowest = min(50.0, max(38.0, 330.0 / len(true)))
        wires = [self.board_x]
        for width in true:
            wires.append(wires[-1] + narrowest * (width / true[-1]) ** ease)
        return wires

    @property
    def bottom(self) -> float:
        return self.string_y(self.guitar.string_count)

    def string_y(self, string: int) -> float:
        return TOP + STRING_GAP * (string - 1)

    def place_x(self, place: Position, wires: Sequence[float]) -> float:
        if place.fret == 0:
            return self.open_x
        return (wires[place.fret - self.first] + wires[place.fret - self.first + 1]) / 2

    def neck_width(self, wires: Sequence[float]) -> float:
        return wires[-1] + 16.0

    def x(self, wires: Sequence[float], right_handed: float) -> float:
        """Where a place along a right-handed neck stands in the picture."""
        if self.guitar.left_handed:
            return self.neck_width(wires) - right_handed
        return right_handed

    # --- the picture ------------------------------------------------------------------------------

    def svg(self, title: str, legend: bool) -> str:
        wires = self.wires_x()
        neck_width = self.neck_width(wires)
        items = _legend(self) if legend else []
        width = max([neck_width, *(item.width + 8.0 for item in items)])
        rows = _rows(items, width - 8.0)
        legend_y = self.bottom + 64.0
        height = legend_y + LEGEND_ROW * (len(rows) - 1) + 20.0 if rows else self.bottom + 46.0

        def x(right_handed: float) -> float:
            return self.x(wires, right_handed)

        parts = [*self._board(x, wires), *self._strings(x, wires), *self._numbers(x, wires)]
        for place, marks in self.places.items():
            label = marks[0].label(self.labels)
            at_x, at_y = x(self.place_x(place, wires)), self.string_y(place.string)
            parts.append(draw_mark(at_x, at_y, voices_of(marks), label))
        for index, row in enumerate(rows):
            parts.append(_draw_row(row, legend_y + LEGEND_ROW * index))
        w, h = number(width), number(height)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="lw-neck" role="img" width="{w}" '
            f'height="{h}" viewBox="0 0 {w} {h}" font-family="{ink.FONTS}">'
            f"<title>{ink.escape_xml(title or f'Neck diagram, {_span(self)}')}</title>"
            f"<desc>{ink.escape_xml(_description(self))}</desc>{''.join(parts)}</svg>\n"
        )

    def _board(self, x: _Turn, wires: Sequence[float]) -> Iterable[str]:
        yield ink.rect(x(wires[0]), TOP, x(wires[-1]), self.bottom, BOARD, "board")
        for fret in range(self.first, self.last + 1):
            middle = x(self.place_x(Position(1, fret), wires))
            for gap in inlays(self.guitar, fret):
                inlay_y = TOP + STRING_GAP * (gap - 0.5)
                yield ink.shape("disc", middle, inlay_y, 4.5, INLAY, "inlay")
        for wire in wires[1:] if self.at_nut else wires:
            yield ink.line(x(wire), TOP, x(wire), self.bottom, 1.6, QUIET, "wire")
        if self.at_nut or self.has_open:
            nut = self.nut_x
            if self.guitar.capo:
                left, right, over = nut - 9.0, nut, 11.0
            else:
                left, right, over = nut - 5.0, nut, 1.0
            ends = (TOP - over, self.bottom + over)
            yield ink.rect(x(left), ends[0], x(right), ends[1], INK, "ink", over / 2.5)
        if self.has_open and not self.at_nut:
            for cut in (self.nut_x + 14.0, self.nut_x + 24.0):
                yield ink.line(
                    x(cut + 3.0), TOP - 9.0, x(cut - 3.0), self.bottom + 9.0, 1.2, QUIET, "wire"
                )

    def _strings(self, x: _Turn, wires: Sequence[float]) -> Iterable[str]:
        start = wires[0] if self.at_nut else wires[0] - 10.0
        for string in range(1, self.guitar.string_count + 1):
            y = self.string_y(string)
            weight = 0.9 + 1.4 * (string - 1) / (self.guitar.string_count - 1)
            yield ink.line(x(start), y, x(wires[-1] + 10.0), y, weight, INK, "string")
            if self.has_open and not self.at_nut:
                yield ink.line(x(self.nut_x), y, x(self.nut_x + 13.0), y, weight, INK, "string")
            names_x = x(self.names_x)
            if self.sounds_bass(string):
                yield ink.shape("disc", names_x, y, 13.0, "none", "ring", INK, 1.3, "3 2.2")
            name = str(self.guitar.open_strings[string - 1].name)
            yield draw_label(names_x, y, name, INK, 13.0, "ink", 22.0)

    def _numbers(self, x: _Turn, wires: Sequence[float]) -> Iterable[str]:
        for fret in range(self.first, self.last + 1):
            middle = x(self.place_x(Position(1, fret), wires))
            bold = bool(inlays(self.guitar, fret))
            look = (INK, 13.0, "bold", "ink") if bold else (ink.SOFT, 13.0, "normal", "soft")
            yield ink.text(middle, self.bottom + 37.0, str(fret), *look)

    def sounds_bass(self, string: int) -> bool:
        """Whether the open string (at the capo) sounds the bass."""
        if self.bass is None:
            return False
        return self.guitar.midi_at(Position(string, 0)) % 12 == self.bass.pc

    def voice_name(self, voice: int) -> str:
        if voice < len(self.voices) and self.voices[voice].strip():
            return self.voices[voice].strip()
        return ("first", "second", "third", "fourth")[voice] + " triad"


# --- words -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _NeckItem:
    """One entry of the legend; ``voices`` is the mark before it, ``None`` for none."""

    text: str
    voices: tuple[int, ...] | None = None
    ring: bool = False

    @property
    def words(self) -> str:
        return printed_symbol(self.text)

    @property
    def words_x(self) -> float:
        return 38.0 if self.ring or self.voices is not None else 6.0

    @property
    def width(self) -> float:
        return self.words_x + ink.text_width(self.words, 13.0) + 12.0


_LABELS_ARE = {
    "degrees": "numbers are degrees",
    "notes": "letters are notes",
    "fingers": "numbers are fingers",
}


def _legend(drawing: _NeckDrawing) -> list[_NeckItem]:
    """What each thing in the picture means, and only the things that are in it."""
    items: list[_NeckItem] = []
    seen = {voices_of(marks) for marks in drawing.places.values()}
    for voices in sorted(seen, key=lambda voices: (len(voices) or 9, voices)):
        names = " and ".join(drawing.voice_name(voice) for voice in voices)
        items.append(_NeckItem(names or "in no triad", voices))
    if any(marks[0].label(drawing.labels) for marks in drawing.places.values()):
        over = f" over {drawing.bass}" if drawing.bass and drawing.labels == "degrees" else ""
        items.append(_NeckItem(_LABELS_ARE[drawing.labels] + over))
    strings = range(1, drawing.guitar.string_count + 1)
    if any(drawing.sounds_bass(string) for string in strings):
        items.append(_NeckItem(f"open string sounds the bass {drawing.bass}", ring=True))
    if drawing.guitar.capo:
        items.append(_NeckItem(f"capo at fret {drawing.guitar.capo}, frets count from it"))
    return items


def _rows(items: Iterable[_NeckItem], width: float) -> list[list[_NeckItem]]:
    rows: list[list[_NeckItem]] = []
    for item in items:
        if rows and sum(other.width for other in rows[-1]) + item.width <= width:
            rows[-1].append(item)
        else:
            rows.append([item])
    return rows


def _draw_row(row: Iterable[_NeckItem], y: float) -> str:
    x, parts = 4.0, []
    for item in row:
        if item.voices is not None:
            parts.append(draw_mark(x + 18.0, y, item.voices, ""))
        elif item.ring:
            parts.append(ink.shape("disc", x + 18.0, y, 11.0, "none", "ring", INK, 1.3, "3 2.2"))
        parts.append(ink.text(x + item.words_x, y + 4.5, item.words, INK, 13.0, anchor="start"))
        x += item.width
    return "".join(parts)


def _span(drawing: _NeckDrawing) -> str:
    if drawing.first == drawing.last:
        return f"fret {drawing.first}"
    return f"frets {drawing.first} to {drawing.last}"


def _description(drawing: _NeckDrawing) -> str:
    """The picture in words, string by string from the lowest."""
    facts = [f"The neck lies flat, lowest string at the bottom, {_span(drawing)}"]
    if drawing.guitar.left_handed:
        facts.append("drawn for a left-handed player")
    if drawing.guitar.capo:
        facts.append(f"capo at fret {drawing.guitar.capo}, frets count from it")
    if drawing.bass is not None:
        facts.append(f"over the bass {drawing.bass}")
    sentences = [", ".join(facts) + "."]
    for place, marks in drawing.places.items():
        mark = marks[0]
        words = [mark.note] if mark.note else []
        if mark.degree:
            words.append(f"degree {mark.degree}")
        if mark.finger:
            words.append(f"finger {mark.finger}")
        names = " and ".join(drawing.voice_name(voice) for voice in voices_of(marks))
        words.append(names or "in no triad")
        where = "open" if place.fret == 0 else f"fret {place.fret}"
        sentences.append(f"String {place.string} {where}: {', '.join(words)}.")
    return " ".join(sentences)
