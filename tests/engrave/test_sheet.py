"""The printed sheet: keeps together what belongs together, and sets text as text."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from lickwright.engrave.sheet.sheet import (
    DIAGRAM_GAP_PT,
    TEXT_WIDTH_PT,
    Diagram,
    ImpliedRow,
    Sheet,
    SheetExample,
    diagram_rows,
    sheet_pdf,
    sheet_png,
    svg_size,
)
from lickwright.errors import OutputError


def picture(words: str, width: int = 700, height: int = 150) -> str:
    """A picture that a text extractor can find on the page."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
        f'<rect width="{width}" height="{height}" fill="#eee"/>'
        f'<text x="10" y="40" font-family="Libertinus Serif" font-size="20">{words}</text></svg>'
    )


FULL = Sheet(
    title="Two Triads over a Harbour Drone",
    number="7",
    byline="A lesson from the Saltmarsh Workshop",
    key="D dorian",
    tempo="♩ = 66, then 112",
    instrument="Six strings, E A D G B E",
    opening="The ferry idles on *one* low note.\n\n- first\n- second\n\n> slow\n\n```\ncode\n```",
    examples=(
        SheetExample(
            name="The pair",
            number="1",
            setting="slower than the rest",
            text="Sweep up, **turn**, come back. See [the notes](https://example.org/notes).",
            notation=(picture("SYSTEM-1-1"), picture("SYSTEM-1-2")),
            diagrams=(
                Diagram(picture("NECK-1", 300), "by degree"),
                Diagram(picture("NECK-2", 300)),
            ),
            implied=(ImpliedRow("Bbmaj9", "3 5 7 9", "The third sounds.", ("Gm/Bb",), "Bb"),),
            notes="1. Roll the finger.\n2. Rest the hand.",
            playability="Reach 78 mm.",
        ),
        SheetExample(name="The answer", number="2", notation=(picture("SYSTEM-2-1"),)),
    ),
    closing="Next month the bass moves.",
    cautions=("Stop at pain or numbness.", "Listen at a safe level."),
    footer="Saltmarsh Workshop",
)


def pages(sheet: Sheet) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(sheet_pdf(sheet))).pages]


def page_of(words: str, all_pages: list[str]) -> int:
    (index,) = [i for i, page in enumerate(all_pages) if words in page]
    return index


def test_everything_of_the_lesson_is_on_the_page_once() -> None:
    text = "\n".join(pages(FULL))
    for words in (
        "D dorian",
        "= 66, then 112",
        "Six strings",
        "The ferry idles on one low note.",
        "slower than the rest",
        "SYSTEM-1-1",
        "SYSTEM-1-2",
        "SYSTEM-2-1",
        "NECK-1",
        "by degree",
        "B♭maj9",
        "over B♭",
        "also heard as Gm/B♭",
        "Roll the finger.",
        "Reach 78 mm.",
        "https://example.org/notes",
        "Next month the bass moves.",
        "Stop at pain or numbness.",
    ):
        assert text.count(words) == 1, words


def test_print_shows_the_address_of_a_link_once() -> None:
    text = (
        "Ask [me](mailto:a@example.org) or see <https://example.org/x> or [b](https://b.example)."
    )
    (page,) = pages(Sheet(title="T", opening=text))
    assert (
        "Ask me (a@example.org) or see https://example.org/x or b (https://b.example)."
        in " ".join(page.split())
    )


def test_pages_are_numbered_and_headed() -> None:
    long = replace(FULL, opening="\n\n".join(["A line."] * 80))
    found = pages(long)
    for number, text in enumerate(found, 1):
        assert f"{number} / {len(found)}" in text
        assert "Saltmarsh Workshop" in text
        assert FULL.title in text  # on the first page the title itself, then the running head


def test_the_pdf_carries_its_title_and_an_outline_but_no_date() -> None:
    reader = PdfReader(io.BytesIO(sheet_pdf(FULL)))
    assert reader.metadata is not None
    assert reader.metadata.title == FULL.title
    assert "/CreationDate" not in reader.metadata
    assert "/ModDate" not in reader.metadata
    titles = str(reader.outline)
    assert "The pair" in titles
    assert "The answer" in titles


def test_only_the_faces_of_the_typesetter_are_used() -> None:
    reader = PdfReader(io.BytesIO(sheet_pdf(FULL)))
    faces = {
        str(font.get_object()["/BaseFont"]).split("+")[-1]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert faces
    assert all(face.startswith(("LibertinusSerif", "NewCM", "DejaVuSansMono")) for face in faces)


@pytest.mark.parametrize(
    ("paper", "size_pt"),
    # ISO 216 A4, 210 x 297 mm; ANSI/ASME Y14.1 A, 8.5 x 11 in; a point is 1/72 in.
    [("a4", (595.28, 841.89)), ("us-letter", (612.0, 792.0))],
)
def test_paper_is_a4_or_letter(paper: str, size_pt: tuple[float, float]) -> None:
    sheet = replace(FULL, paper=paper)
    box = PdfReader(io.BytesIO(sheet_pdf(sheet))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size_pt, abs=0.02)
    # The widest music reaches from margin to margin and not beyond.
    assert float(box.width) - TEXT_WIDTH_PT[paper] == pytest.approx(114, abs=0.5)


@pytest.mark.parametrize("fill", range(0, 42, 3))
def test_a_heading_its_text_and_its_music_stand_on_one_page(fill: int) -> None:
    example = SheetExample(
        name="HEADNAME",
        number="1",
        text="A word.\n\nAnother LASTWORD.",
        notation=(picture("SYSONE"), picture("SYSTWO")),
    )
    found = pages(Sheet(title="T", opening="\n\n".join(["line"] * fill), examples=(example,)))
    assert page_of("HEADNAME", found) == page_of("LASTWORD", found) == page_of("SYSONE", found)
    assert page_of("SYSTWO", found) >= page_of("SYSONE", found)


def test_long_text_keeps_its_last_block_with_the_music() -> None:
    example = SheetExample(
        name="HEADNAME",
        number="1",
        text="word " * 400 + "\n\nLASTWORD",
        notation=(picture("SYSONE"),),
    )
    for fill in (10, 14, 18, 22, 26):
        found = pages(Sheet(title="T", opening="\n\n".join(["line"] * fill), examples=(example,)))
        assert page_of("LASTWORD", found) == page_of("SYSONE", found)


HOSTILE = (
    '#import "x": *',
    '#eval("1+1")',
    '#read("/etc/hostname")',
    "$x^2$ @ref <label>",
    "]]> */ // \\u{41} \\",
    "<script>alert(1)</script>",
    "[#panic()] {panic()} `raw`",
    "__proto__ = -- ~ 'q'",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_stays_text(text: str) -> None:
    row = ImpliedRow(text, text, text, (text,), text)
    example = SheetExample(
        text, text, text, "", (), (Diagram(picture("n", 300), text),), (row,), "", text
    )
    sheet = Sheet(
        text, text, text, text, text, text, "", (example,), "", (text,), text, language="en"
    )
    found = "".join("".join(pages(sheet)).split())
    # Labels are set in capitals, lines break anywhere: compare without case and spaces.
    wanted = "".join(text.split()).lower()
    assert found.lower().count(wanted) >= 14


@given(st.text(max_size=60))
def test_no_text_stops_the_press(text: str) -> None:
    example = SheetExample("x", "1", text=text, notes=text)
    assert sheet_pdf(Sheet(title=text, opening=text, examples=(example,))).startswith(b"%PDF-")


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert sheet_pdf(FULL) == sheet_pdf(FULL)
    assert sheet_png(FULL, 50) == sheet_png(FULL, 50)


def test_pages_as_pictures() -> None:
    from PIL import Image

    pictures = sheet_png(FULL, 72)
    assert len(pictures) == len(pages(FULL))
    assert Image.open(io.BytesIO(pictures[0])).size == (595, 842)


def test_staves_of_a_lesson_are_of_one_size() -> None:
    """A short system is as much narrower on the page as it is in its picture."""
    from PIL import Image

    ink = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} 40">'
        '<rect width="{0}" height="40" fill="#f00"/></svg>'
    )
    sheet = Sheet(
        title="T",
        examples=(SheetExample("x", "1", notation=(ink.format(900), ink.format(300))),),
    )
    (page,) = sheet_png(sheet, 72)
    image = Image.open(io.BytesIO(page)).convert("RGB")
    widths = []
    for y in range(image.height):
        red = [x for x in range(image.width) if image.getpixel((x, y)) == (255, 0, 0)]
        if red:
            widths.append(red[-1] - red[0] + 1)
    assert max(widths) == pytest.approx(481, abs=2)
    assert min(widths) == pytest.approx(481 / 3, abs=2)


@given(st.lists(st.integers(60, 1600), max_size=9), st.sampled_from([481.0, 498.0]))
def test_diagrams_stand_side_by_side_as_far_as_they_fit(widths: list[int], room: float) -> None:
    diagrams = [Diagram(picture("n", width)) for width in widths]
    rows = diagram_rows(diagrams, room)
    assert [diagram for row in rows for diagram, _ in row] == diagrams
    lengths = [sum(width for _, width in row) + DIAGRAM_GAP_PT * (len(row) - 1) for row in rows]
    assert all(length <= room + 1e-6 for length in lengths)
    for length, row_after in zip(lengths, rows[1:], strict=False):
        assert length + DIAGRAM_GAP_PT + row_after[0][1] > room  # no row broke early


@pytest.mark.parametrize("svg", ["", "no picture", "<svg>", '<svg viewBox="0 0 0 9"/>'])
def test_a_picture_without_a_size_is_one_clear_sentence(svg: str) -> None:
    with pytest.raises(OutputError, match="view box"):
        svg_size(svg)


def test_a_broken_picture_is_one_clear_sentence() -> None:
    broken = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect</svg>'
    sheet = Sheet(title="T", examples=(SheetExample("x", "1", notation=(broken,)),))
    with pytest.raises(OutputError, match="could not be typeset") as caught:
        sheet_pdf(sheet)
    assert "\n" not in str(caught.value)
