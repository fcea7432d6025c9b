"""The engraved page: every note in its place, nothing on top of anything, nothing from outside."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lickwright.drawing.letters import letter, text_width
from lickwright.drawing.symbols import printed_symbol
from lickwright.engrave.page.boxes import Box
from lickwright.engrave.page.chord_row import GAP, SIZE, SMALLEST, ChordWord, set_chords
from lickwright.engrave.page.cleaning import CleanSystem, read_page
from lickwright.engrave.page.engine import OPTIONS, STAFF_UNITS, lay_out, music_glyph
from lickwright.engrave.page.engine_input import page_input
from lickwright.engrave.page.systems import STAFF_MM, Engraving, check_heads, engrave
from lickwright.engrave.page.tab_heads import tablature_of
from lickwright.errors import OutputError
from lickwright.formats.musicxml.writing import score_element
from lickwright.score.notation.bars import write_bars
from lickwright.score.notation.written import write
from lickwright.score.score import Score

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"


@pytest.fixture(scope="module")
def pages(cases: dict[str, Score]) -> dict[str, Engraving]:
    return {name: engrave(score) for name, score in cases.items()}


def drawings(score: Score, width_mm: float = 170.0) -> Iterator[CleanSystem]:
    """The systems of a Score before they become text."""
    written = write(score)
    tab = tablature_of(written)
    measure = 0
    for page in lay_out(page_input(score_element(written)), width_mm / STAFF_MM * STAFF_UNITS):
        drawing, measures = read_page(page, tab, measure)
        measure += measures
        yield drawing


def labels(svg: str, kind: str) -> list[str]:
    """What the words of a kind say, in the order drawn."""
    root = ET.fromstring(svg)
    return [
        word.get("aria-label", "")
        for group in root.iter(f"{SVG}g")
        if kind in group.get("class", "").split()
        for word in group.iter(f"{SVG}g")
        if word.get("aria-label")
    ]


def test_every_note_is_on_the_page_in_both_staves(
    cases: dict[str, Score], pages: dict[str, Engraving]
) -> None:
    for name, score in cases.items():
        pieces = [piece for bar in write_bars(score) for piece in bar.pieces]
        wanted = sorted(
            f"{staff}{piece.note + 1}" + (f"-{piece.part + 1}" if piece.part else "")
            for piece in pieces
            if piece.note is not None
            for staff in "nt"
        )
        ids = re.findall(r'<g id="([nt][\d-]+)"', pages[name].svg)
        assert sorted(ids) == wanted
        assert sorted(head.id for system in pages[name].systems for head in system.heads) == wanted
        assert list(pages[name].note_ids) == list(range(len(score.lick.notes)))


def test_heads_stand_where_pitch_and_string_put_them(
    cases: dict[str, Score], pages: dict[str, Engraving]
) -> None:
    """Half a staff space a step; one line of the tablature a string; the number under its note."""
    for name, score in cases.items():
        written = write(score)
        steps = [
            written.clef.written_step(note.pitch) + 7 * shift
            for note, shift in zip(score.lick.notes, written.shifts, strict=True)
        ]
        for system in pages[name].systems:
            heads = {(head.note, head.part, head.tablature): head for head in system.heads}
            notation = [head for head in system.heads if not head.tablature]
            first = notation[0]
            for head in notation:
                rise = (steps[head.note] - steps[first.note]) * STAFF_MM / 8
                assert first.y_mm - head.y_mm == pytest.approx(rise, abs=0.03)
                number = heads[head.note, head.part, True]
                assert number.x_mm == pytest.approx(head.x_mm, abs=0.6)
            assert all(a.x_mm < b.x_mm for a, b in pairwise(notation))
            numbers = [head for head in system.heads if head.tablature]
            strings = {score.lick.notes[head.note].position.string: head.y_mm for head in numbers}
            ordered = sorted(strings.items())
            for (string, y), (lower, y_lower) in pairwise(ordered):
                assert (y_lower - y) / (lower - string) == pytest.approx(2.8, abs=0.03)


def test_the_layout_engine_reads_the_pitches_that_sound(cases: dict[str, Score]) -> None:
    """Verovio's own MIDI values for each head, clef and octave brackets applied."""
    import verovio

    for score in cases.values():
        toolkit = verovio.toolkit()
        toolkit.setOptions({**OPTIONS, "pageWidth": 1900})
        toolkit.loadData(page_input(score_element(write(score))))
        toolkit.renderToMIDI()
        for index, note in enumerate(score.lick.notes, start=1):
            assert toolkit.getMIDIValuesForElement(f"n{index}")["pitch"] == note.pitch.midi


def test_a_picture_stands_on_its_own(pages: dict[str, Engraving]) -> None:
    for page in pages.values():
        for svg in (*page.svgs, page.svg):
            root = ET.fromstring(svg)
            tags = {element.tag.removeprefix(SVG) for element in root.iter()}
            assert tags <= {
                "svg",
                "defs",
                "g",
                "path",
                "polygon",
                "polyline",
                "use",
                "rect",
                "ellipse",
            }
            ids = [element.get("id") for element in root.iter() if element.get("id")]
            assert len(ids) == len(set(ids))
            links = {element.get(f"{XLINK}href", "") for element in root.iter(f"{SVG}use")}
            assert {link.removeprefix("#") for link in links} <= set(ids)
            assert "url(" not in svg
            assert "http" not in svg.replace("http://www.w3.org/", "")


def test_the_page_is_as_wide_as_asked_and_as_high_as_its_content(
    cases: dict[str, Score],
) -> None:
    for width in (120.0, 170.0):
        page = engrave(cases["twelve bars"], width)
        for system in page.systems:
            root = ET.fromstring(system.svg)
            assert root.get("width") == f"{system.width_mm:.2f}mm"
            assert system.width_mm == pytest.approx(width, abs=0.2)
            _, _, w, h = map(float, root.get("viewBox", "").split())
            assert h / w == pytest.approx(system.height_mm / system.width_mm, rel=1e-3)
            assert all(0 < head.y_mm < system.height_mm for head in system.heads)
        together = ET.fromstring(page.svg)
        total = sum(system.height_mm for system in page.systems) + 4 * (len(page.systems) - 1)
        assert float(together.get("height", "").removesuffix("mm")) == pytest.approx(total, abs=0.1)


def extents(element: ET.Element, x: float = 0.0, y: float = 0.0) -> Iterator[tuple[float, float]]:
    """Points that the elements of a picture draw from or through, definitions aside."""
    moved = re.match(r"translate\(([-\d.]+),([-\d.]+)\)", element.get("transform", ""))
    if moved is not None:
        x, y = x + float(moved[1]), y + float(moved[2])
    if element.tag == f"{SVG}use":
        yield x, y
    # Only absolute moves and lines: relative curves hang on them.
    for command in re.finditer(r"[ML](-?[\d.]+)[ ,](-?[\d.]+)", element.get("d", "")):
        yield x + float(command[1]), y + float(command[2])
    for pair in re.finditer(r"(-?[\d.]+),(-?[\d.]+)", element.get("points", "")):
        yield x + float(pair[1]), y + float(pair[2])
    for child in element:
        if child.tag != f"{SVG}defs":
            yield from extents(child, x, y)


def test_nothing_drawn_lies_outside_the_picture(pages: dict[str, Engraving]) -> None:
    assert len(pages["high over systems"].systems) > 1
    for name, page in pages.items():
        for system in page.systems:
            root = ET.fromstring(system.svg)
            _, _, width, height = map(float, root.get("viewBox", "").split())
            for x, y in extents(root):
                assert -1 <= x <= width + 6, name  # 0.05 mm: half a bar line
                assert -1 <= y <= height + 1, name


def test_systems_break_at_bar_lines(cases: dict[str, Score], pages: dict[str, Engraving]) -> None:
    score, page = cases["twelve bars"], pages["twelve bars"]
    assert len(page.systems) > 1
    held = [
        {bar.number for bar in score.bars for head in system.heads
         if bar.onset <= score.lick.notes[head.note].onset < bar.end}
        for system in page.systems
    ]  # fmt: skip
    for before, after in pairwise(held):
        assert max(before) + 1 == min(after)


#: Things that may touch by what they are: lines that end at heads, curves in their boxes.
_CURVES = {"slur", "tie", "arc", "slide"}
_LINES = {"stem", "beam", "barLine", "staff", "tablature", "layer", "measure", "ledgerLines",
          "dashes", "octave", "tupletBracket"}  # fmt: skip
_PRINT = {"fing", "artic", "harm", "number", "word", "vibrato", "tupletNum", "note", "accid",
          "clef", "meterSig", "keySig", "rest", "dots", "mNum", "flag"}  # fmt: skip
_TOUCHING = {frozenset(pair) for pair in (("note", "flag"), ("keySig", "keySig"))}


def collisions(drawing: CleanSystem) -> list[tuple[Box, Box]]:
    """Pairs of printed things whose boxes share more than a hair (0.12 mm)."""
    hair = 0.12 / STAFF_MM * STAFF_UNITS
    printed = sorted((box for box in drawing.boxes if box.kind in _PRINT), key=lambda box: box.left)
    found = []
    for index, box in enumerate(printed):
        for other in printed[index + 1 :]:
            if other.left >= box.right - hair:
                break
            deep = min(box.bottom, other.bottom) - max(box.top, other.top) > hair
            wide = min(box.right, other.right) - other.left > hair
            if deep and wide and frozenset((box.kind, other.kind)) not in _TOUCHING:
                found.append((box, other))
    return found


def test_nothing_collides_and_nothing_is_cut(cases: dict[str, Score]) -> None:
    for name, score in cases.items():
        for width in (110.0, 170.0):
            for drawing in drawings(score, width):
                assert not collisions(drawing), name
                known = _PRINT | _CURVES | _LINES
                assert {box.kind for box in drawing.boxes} <= known | {"keyAccid", "dot"}
                for box in drawing.boxes:
                    if box.kind in _PRINT - {"mNum"}:
                        assert box.left > -1, (name, box)
                        assert box.right < drawing.width + 1, (name, box)


@given(data=st.data())
@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_nothing_collides_in_any_lick(
    data: st.DataObject, scores: st.SearchStrategy[Score]
) -> None:
    for drawing in drawings(data.draw(scores)):
        assert not collisions(drawing)


def test_the_words_are_those_of_the_score(
    cases: dict[str, Score], pages: dict[str, Engraving]
) -> None:
    for name, score in cases.items():
        svg = pages[name].svg
        symbols = [printed_symbol(chord.symbol) for chord in score.chords]
        assert sorted(labels(svg, "lw-harm")) == sorted(symbols)
        fingers = [str(note.finger) for note in score.lick.notes if note.finger is not None]
        assert sorted(labels(svg, "lw-fing")) == sorted(fingers)
    joined = labels(pages["joined"].svg, "lw-tab-marks")
    assert joined == ["H", "P"] * 4 + ["P.M."]


def test_notes_without_a_common_name_print_their_bass(lay: Callable[..., Score]) -> None:
    score = lay([(1, 5)], Fraction(4), chords="Bb")
    nameless = replace(score, chords=(replace(score.chords[0], chord=None),))
    assert labels(engrave(nameless).svg, "lw-harm") == ["B♭ ped."]


def test_a_number_that_only_goes_on_stands_in_brackets(pages: dict[str, Engraving]) -> None:
    numbers = labels(pages["long notes"].svg, "lw-note")
    assert numbers[:4] == ["8", "(8)", "8", "(8)"]


def test_ids_take_a_prefix(cases: dict[str, Score]) -> None:
    page = engrave(cases["bass"], prefix="ex2-")
    root = ET.fromstring(page.svg)
    ids = [element.get("id", "") for element in root.iter() if element.get("id")]
    assert ids
    assert all(name.startswith("ex2-") for name in ids)
    assert page.systems[0].heads[0].id == "ex2-n1"
    assert page.note_ids[0] == ("ex2-n1", "ex2-t1")


def test_the_typesetter_prints_the_heads_where_we_say(
    cases: dict[str, Score], pages: dict[str, Engraving]
) -> None:
    """Typst sets the picture, PDFium rasters the page: black heads are black at their middle."""
    import numpy as np
    import pypdfium2
    import typst

    page = pages["sixteenths"]
    program = (
        "#set page(width: 170mm, height: auto, margin: 0mm)\n"
        '#image(bytes(sys.inputs.picture), format: "svg", width: 100%)'
    )
    pdf = typst.compile(program.encode(), format="pdf", sys_inputs={"picture": page.systems[0].svg})
    dots_per_mm = 12.0
    bitmap = pypdfium2.PdfDocument(pdf)[0].render(scale=dots_per_mm * 25.4 / 72, grayscale=True)
    grey = np.asarray(bitmap.to_numpy()).squeeze()
    heads = [head for head in page.systems[0].heads if not head.tablature]
    assert len(heads) == len(cases["sixteenths"].lick.notes)
    for head in heads:
        assert grey[round(head.y_mm * dots_per_mm), round(head.x_mm * dots_per_mm)] < 80
    assert 0.01 < (grey < 128).mean() < 0.2


def test_the_layout_engine_has_nothing_to_complain_of(
    cases: dict[str, Score], capfd: pytest.CaptureFixture[str]
) -> None:
    """With its log switched on, it says nothing about what we give it."""
    import verovio

    for score in cases.values():
        document = page_input(score_element(write(score)))
        verovio.enableLog(verovio.LOG_WARNING)
        try:
            toolkit = verovio.toolkit()
            assert toolkit.setOptions({**OPTIONS, "pageWidth": 1900})
            assert toolkit.loadData(document)
            toolkit.renderToSVG(1)
        finally:
            verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


@given(
    starts=st.lists(st.integers(0, 18000), min_size=1, max_size=6, unique=True),
    data=st.data(),
)
def test_chord_symbols_keep_clear_of_each_other(starts: list[int], data: st.DataObject) -> None:
    symbols = st.sampled_from(["C", "Dm9", "B♭maj7♯5/D", "C13♯11"])
    words = [ChordWord(data.draw(symbols), x, 0) for x in sorted(starts)]
    settled = set_chords(words, 19000)
    assert all(0 < word.size <= SIZE for word in settled)
    for before, after in pairwise(settled):
        assert before.x < after.x or before.size <= SMALLEST * SIZE * 1.001
        assert before.right <= after.x - GAP + 1 or before.size <= SMALLEST * SIZE * 1.001
    for word, moved in zip(words, settled, strict=True):
        assert moved.x <= word.x
    roomy = [ChordWord("Dm9", 3000.0 * index, 0) for index in range(5)]
    assert set_chords(roomy, 19000) == roomy


def test_letters_are_outlines_of_one_face() -> None:
    assert letter("A").path.startswith("M")
    assert letter("A").path != letter("A", "bold").path != letter("A", "italic").path
    assert letter(" ").path == ""
    # Figures of one width (tabular): so numbers stand straight under one another.
    assert len({letter(figure).advance for figure in "0123456789"}) == 1
    assert text_width("ii", 100) < text_width("MM", 100)
    assert letter("é").path
    assert music_glyph("E0A4")


def test_what_cannot_be_engraved_is_said_in_one_sentence(cases: dict[str, Score]) -> None:
    def said(action: Callable[[], object]) -> str:
        with pytest.raises(OutputError) as caught:
            action()
        return str(caught.value)

    score = cases["bass"]
    assert "no room" in said(lambda: engrave(score, 20))
    assert "no glyph" in said(lambda: music_glyph("FFFF"))
    assert "drew 1 of 2 notes: n1" in said(lambda: check_heads(["n1", "t1"], ["t1"]))
    assert "twice" in said(lambda: check_heads(["n1"], ["n1", "n1"]))
