"""Where do the notes lie on the neck?  One SVG picture of a stretch of frets.

Conventions
-----------
* The neck lies as :mod:`lickwright.drawing.neck_layout` has it.  Fret wires keep their true
  proportions over up to an octave of frets; in a longer stretch the widest fret is twice the
  narrowest.
* One unit is one CSS pixel.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.drawing import (
    INK,
    MARK_SIZES,
    QUIET,
    Labels,
    NeckLayout,
    NeckMark,
    NeckSizes,
    NeckWindow,
    draw_label,
    draw_mark,
    fret_shares,
    number,
    printed_symbol,
    svg,
    voices_of,
    window_around,
    wires_of,
)
from lickwright.errors import NeckError, OutputError
from lickwright.neck import Guitar, Position, inlays
from lickwright.theory import NoteName

STRING_GAP = 34.0
TOP = 22.0
#: From one row of the legend to the next; how much more where both have marks of several triads.
LEGEND_ROW, LEGEND_MORE = 28.0, 9.0
BOARD = "#f5efe4"
INLAY = "#ddd2c0"
SIZES = NeckSizes(
    names_x=20.0,
    open_x=56.0,
    nut_x=82.0,
    bare_nut_x=42.0,
    break_px=36.0,
    edge_px=10.0,
    nut_px=5.0,
    capo_px=9.0,
    nut_over=1.0,
    capo_over=11.0,
    stub_px=13.0,
    cuts_px=(14.0, 24.0),
    lean_px=3.0,
    cut_over=9.0,
    before_px=10.0,
    after_px=10.0,
)


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
    layout = _layout(guitar, _window(guitar, places, frets))
    return _NeckDrawing(layout, places, labels, tuple(voices), bass).svg(title, legend)


def mark_places(
    guitar: Guitar, marks: Iterable[NeckMark], frets: tuple[int, int] | None = None
) -> dict[Position, tuple[float, float]]:
    """Where :func:`neck_svg` draws each marked position: x and y in px of the picture.

    Parameters and errors as there.
    """
    places = _places(guitar, marks)
    layout = _layout(guitar, _window(guitar, places, frets))
    return {place: layout.place(place) for place in places}


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
        if not -1 <= voice < len(MARK_SIZES.voices):
            raise OutputError(
                f"a neck diagram cannot show voice {voice}",
                mend=f"Show at most {len(MARK_SIZES.voices)} triads in one diagram",
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
) -> NeckWindow:
    """The stretch that is asked for, widened to hold all places; or what holds them."""
    places = list(places)
    if frets is None:
        return window_around(places, guitar, spare=0, least=4)
    low, high = frets
    if not 0 <= low <= high <= guitar.last_fret:
        raise NeckError(
            f"a diagram cannot show frets {low} to {high}",
            mend=f"Choose a first and a last fret between 0 and {guitar.last_fret}",
        )
    stopped = [place.fret for place in places if place.fret > 0]
    has_open = low == 0 or any(place.fret == 0 for place in places)
    return NeckWindow(max(1, min([low, *stopped])), max([high, 1, *stopped]), has_open)


def _layout(guitar: Guitar, window: NeckWindow) -> NeckLayout:
    shares = fret_shares(window, 12.0)
    narrowest = min(50.0, max(38.0, 330.0 / len(shares)))
    wires = wires_of(SIZES.board_x(window), (narrowest * share for share in shares))
    return NeckLayout(guitar, window, SIZES, wires, TOP, STRING_GAP, wires[-1] + 16.0)


@dataclass(frozen=True, slots=True)
class _NeckDrawing:
    neck: NeckLayout
    places: dict[Position, tuple[NeckMark, ...]]
    labels: Labels
    voices: tuple[str, ...]
    bass: NoteName | None

    # --- the picture ------------------------------------------------------------------------------

    def svg(self, title: str, legend: bool) -> str:
        neck = self.neck
        items = _legend(self) if legend else []
        width = max([neck.width, *(item.width + 8.0 for item in items)])
        rows = _rows(items, width - 8.0)
        legend_y = neck.bottom + 64.0
        ys = _row_ys(rows, legend_y)
        height = ys[-1] + 20.0 if rows else neck.bottom + 46.0
        parts = [*self._board(), *self._strings(), *self._numbers()]
        for place, marks in self.places.items():
            parts.append(
                draw_mark(*neck.place(place), voices_of(marks), marks[0].label(self.labels))
            )
        for row, y in zip(rows, ys, strict=False):
            parts.append(_draw_row(row, y))
        w, h = number(width), number(height)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="lw-neck" role="img" width="{w}" '
            f'height="{h}" viewBox="0 0 {w} {h}" font-family="{svg.FONTS}">'
            f"<title>{svg.escape_xml(title or f'Neck diagram, {_span(self)}')}</title>"
            f"<desc>{svg.escape_xml(_description(self))}</desc>{''.join(parts)}</svg>\n"
        )

    def _board(self) -> Iterable[str]:
        yield svg.rect(*self.neck.board(), BOARD, "board")
        for x, y in self.neck.inlays():
            yield svg.shape("disc", x, y, 4.5, INLAY, "inlay")
        for x in self.neck.wire_xs():
            yield svg.line(x, TOP, x, self.neck.bottom, 1.6, QUIET, "wire")
        if nut := self.neck.nut():
            yield svg.rect(*nut, INK, "ink", self.neck.nut_over / 2.5)
        for cut in self.neck.cuts():
            yield svg.line(*cut, 1.2, QUIET, "wire")

    def _strings(self) -> Iterable[str]:
        guitar, x = self.neck.guitar, self.neck.names_x
        for string in range(1, guitar.string_count + 1):
            weight = 0.9 + 1.4 * (string - 1) / (guitar.string_count - 1)
            for ends in self.neck.string_lines(string):
                yield svg.line(*ends, weight, INK, "string")
            y = self.neck.string_y(string)
            if self.sounds_bass(string):
                yield svg.shape("disc", x, y, 13.0, "none", "ring", INK, 1.3, "3 2.2")
            name = str(guitar.open_strings[string - 1].name)
            yield draw_label(x, y, name, INK, 13.0, "ink", 22.0)

    def _numbers(self) -> Iterable[str]:
        for fret in self.neck.window.frets:
            bold = bool(inlays(self.neck.guitar, fret))
            look = (INK, 13.0, "bold", "ink") if bold else (svg.SOFT, 13.0, "normal", "soft")
            yield svg.text(self.neck.fret_x(fret), self.neck.bottom + 37.0, str(fret), *look)

    def sounds_bass(self, string: int) -> bool:
        """Whether the open string (at the capo) sounds the bass."""
        if self.bass is None:
            return False
        return self.neck.guitar.midi_at(Position(string, 0)) % 12 == self.bass.pc

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
        return self.words_x + svg.text_width(self.words, 13.0) + 12.0


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
    strings = range(1, drawing.neck.guitar.string_count + 1)
    if any(drawing.sounds_bass(string) for string in strings):
        items.append(_NeckItem(f"open string sounds the bass {drawing.bass}", ring=True))
    if drawing.neck.guitar.capo:
        items.append(_NeckItem(f"capo at fret {drawing.neck.guitar.capo}, frets count from it"))
    return items


def _rows(items: Iterable[_NeckItem], width: float) -> list[list[_NeckItem]]:
    rows: list[list[_NeckItem]] = []
    for item in items:
        if rows and sum(other.width for other in rows[-1]) + item.width <= width:
            rows[-1].append(item)
        else:
            rows.append([item])
    return rows


def _row_ys(rows: Sequence[Sequence[_NeckItem]], top: float) -> list[float]:
    """The middle of each row; a mark of several triads reaches further than a row of one."""
    wide = [any(len(item.voices or ()) > 1 for item in row) for row in rows]
    ys = [top + LEGEND_MORE / 2 if wide and wide[0] else top]
    for above, here in pairwise(wide):
        ys.append(ys[-1] + LEGEND_ROW + LEGEND_MORE * (above + here) / 2)
    return ys


def _draw_row(row: Iterable[_NeckItem], y: float) -> str:
    x, parts = 4.0, []
    for item in row:
        if item.voices is not None:
            parts.append(draw_mark(x + 18.0, y, item.voices, ""))
        elif item.ring:
            parts.append(svg.shape("disc", x + 18.0, y, 11.0, "none", "ring", INK, 1.3, "3 2.2"))
        parts.append(svg.text(x + item.words_x, y + 4.5, item.words, INK, 13.0, anchor="start"))
        x += item.width
    return "".join(parts)


def _span(drawing: _NeckDrawing) -> str:
    if drawing.neck.window.first == drawing.neck.window.last:
        return f"fret {drawing.neck.window.first}"
    return f"frets {drawing.neck.window.first} to {drawing.neck.window.last}"


def _description(drawing: _NeckDrawing) -> str:
    """The picture in words, string by string from the lowest."""
    facts = [f"The neck lies flat, lowest string at the bottom, {_span(drawing)}"]
    if drawing.neck.guitar.left_handed:
        facts.append("drawn for a left-handed player")
    if drawing.neck.guitar.capo:
        facts.append(f"capo at fret {drawing.neck.guitar.capo}, frets count from it")
    if drawing.bass is not None:
        facts.append(f"over the bass {drawing.bass}")
    sentences = [", ".join(facts) + "."]
    for place, marks in drawing.places.items():
        mark = marks[0]
        words = [mark.note] if mark.note else []
        if mark.degree:
            words.append(f"degree {mark.degree}")
        if any(mark.fingers):
            named = "finger" if len(mark.fingers) == 1 else "fingers"
            words.append(f"{named} {' and '.join(map(str, mark.fingers))}")
        names = " and ".join(drawing.voice_name(voice) for voice in voices_of(marks))
        words.append(names or "in no triad")
        where = "open" if place.fret == 0 else f"fret {place.fret}"
        sentences.append(f"String {place.string} {where}: {', '.join(words)}.")
    return " ".join(sentences)
