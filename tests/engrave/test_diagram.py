"""The neck diagram: geometry against a published table, legibility, two triads told apart."""

from __future__ import annotations

import io
import itertools
from dataclasses import replace
from fractions import Fraction
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.drawing.looks import INK, PAPER
from lickwright.drawing.neck_marks import MARK_SIZES, NeckMark, lick_marks
from lickwright.drawing.svg import text_width
from lickwright.engrave.diagram import neck_svg
from lickwright.errors import NeckError, OutputError
from lickwright.lick.notes import Lick, LickNote
from lickwright.neck.instrument import Guitar, Position
from lickwright.theory.pitch import parse_note_name, parse_pitch

SVG = "{http://www.w3.org/2000/svg}"
D = parse_note_name("D")


def guitar(tuning: str = "E2 A2 D3 G3 B3 E4", **rest: object) -> Guitar:
    return Guitar(tuple(parse_pitch(note) for note in reversed(tuning.split())), **rest)  # type: ignore[arg-type]


def drawn(*args: object, **kwargs: object) -> ElementTree.Element:
    return ElementTree.fromstring(neck_svg(*args, **kwargs))  # type: ignore[arg-type]


def of_class(svg: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [node for node in svg.iter() if f"lw-{name}" in node.get("class", "").split()]


def wire_places(svg: ElementTree.Element) -> list[float]:
    return sorted({float(wire.get("x1", "")) for wire in of_class(svg, "wire")})


def texts(svg: ElementTree.Element) -> list[str]:
    return [node.text or "" for node in svg.iter(f"{SVG}text")]


# --- geometry ---------------------------------------------------------------------------------


def test_wires_stand_where_a_published_fret_table_puts_them() -> None:
    # Published fret table for a 25.5 in scale, inches from the nut (as luthiers' suppliers print
    # it; the values follow from twelve-tone equal temperament).
    table = {1: 1.431, 5: 6.397, 12: 12.750}
    svg = drawn(guitar(), [NeckMark(Position(1, 3))], (1, 12))
    nut = max(
        float(rect.get("x", "")) + float(rect.get("width", ""))
        for rect in of_class(svg, "ink")
        if rect.tag == f"{SVG}rect"
    )
    wires = wire_places(svg)
    assert len(wires) == 12
    px_per_inch = (wires[11] - nut) / table[12]
    for fret, inches in table.items():
        assert (wires[fret - 1] - nut) / px_per_inch == pytest.approx(inches, abs=0.01)


def test_a_whole_neck_is_eased_to_two_to_one() -> None:
    svg = drawn(guitar(), [], (1, 24))
    wires = wire_places(svg)
    widths = [high - low for low, high in itertools.pairwise(wires)]
    assert all(first > second for first, second in itertools.pairwise(widths))
    assert widths[0] / widths[-1] < 2.0
    assert min(widths) > 36


def test_the_lowest_string_is_at_the_bottom_as_in_tab() -> None:
    svg = drawn(guitar(), [NeckMark(Position(6, 5), 0), NeckMark(Position(1, 5), 0)])
    low, high = of_class(svg, "v0")[:2]
    names = [t for t in svg.iter(f"{SVG}text") if t.text in set("EADGB")]
    assert [t.text for t in sorted(names, key=lambda t: float(t.get("y", "")))] == list("EBGDAE")
    strings = [float(line.get("y1", "")) for line in of_class(svg, "string")]
    assert float(low.get("cy", "")) == max(strings)
    assert float(high.get("cy", "")) == min(strings)


def test_a_left_handed_neck_is_the_mirror_image_with_readable_labels() -> None:
    marks = [NeckMark(Position(5, 8), 0, "b3"), NeckMark(Position(2, 5), 1, "9")]
    right = drawn(guitar(), marks, legend=False)
    left = drawn(guitar(left_handed=True), marks, legend=False)
    width = float(right.get("width", ""))
    assert left.get("width") == right.get("width")
    places = [
        sorted(float(disc.get("cx", "")) for disc in of_class(svg, "v0")) for svg in (right, left)
    ]
    assert [width - x for x in places[0]] == pytest.approx(places[1])
    for svg in (right, left):
        digit = next(t for t in svg.iter(f"{SVG}text") if t.text == "3")
        flat = next(p for p in of_class(svg, "on-line"))
        flat_x = float(flat.get("d", "M0 0")[1:].split()[0])
        assert flat_x < float(digit.get("x", ""))


@pytest.mark.parametrize(
    ("frets", "marked", "shown"),
    [
        (None, [10, 14], [10, 11, 12, 13, 14]),
        (None, [12], [12, 13, 14, 15]),
        (None, [24], [21, 22, 23, 24]),
        (None, [2, 4], [1, 2, 3, 4]),
        ((9, 12), [14], [9, 10, 11, 12, 13, 14]),
        ((9, 12), [0, 10], [9, 10, 11, 12]),
        (None, [], [1, 2, 3, 4]),
    ],
)
def test_the_window_holds_every_mark(
    frets: tuple[int, int] | None, marked: list[int], shown: list[int]
) -> None:
    marks = [NeckMark(Position(1, fret)) for fret in marked]
    numbers = texts(drawn(guitar(), marks, frets, "none", legend=False))
    assert [int(number) for number in numbers if number.isdigit()] == shown


def test_a_capo_moves_inlays_and_bass_but_frets_count_from_it() -> None:
    svg = drawn(
        guitar(capo=2), [NeckMark(Position(5, 1), 0)], (1, 6), "none", bass=parse_note_name("E")
    )
    # The open D string sounds E at a capo on the second fret.
    rings = [ring for ring in of_class(svg, "ring") if float(ring.get("r", "")) > 12]
    assert len(rings) == 1
    bold = [t.text for t in svg.iter(f"{SVG}text") if t.get("font-weight") == "bold"]
    assert {"1", "3", "5"} <= set(bold)  # real frets 3, 5 and 7 carry the inlays
    assert "capo at fret 2, frets count from it" in texts(svg)


# --- nothing collides, nothing is cut ---------------------------------------------------------


def letter_widths() -> dict[str, float]:
    """Advance widths of DejaVu Sans in em: a wide face that many systems fall back to."""
    from fontTools.ttLib import TTFont
    from matplotlib.font_manager import findfont

    font = TTFont(findfont("DejaVu Sans"))
    metrics, em = font["hmtx"], font["head"].unitsPerEm
    return {chr(code): metrics[name][0] / em for code, name in font.getBestCmap().items()}


WIDTHS = letter_widths()


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=40))
def test_text_is_never_wider_than_reckoned(text: str) -> None:
    assert sum(WIDTHS[char] for char in text) <= text_width(text, 1.0) + 1e-9


def box(node: ElementTree.Element) -> tuple[float, float, float, float]:
    size = float(node.get("font-size", ""))
    width = sum(WIDTHS.get(char, 1.0) for char in node.text or "") * size
    x, y = float(node.get("x", "")), float(node.get("y", ""))
    left = x if node.get("text-anchor") == "start" else x - width / 2
    return left, y - 0.76 * size, left + width, y + 0.24 * size


@st.composite
def necks(draw: st.DrawFn) -> tuple[Guitar, list[NeckMark], tuple[int, int] | None]:
    names = ["C", "C#", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "F##", "Bbb"]
    count = draw(st.integers(4, 9))
    strings = tuple(
        parse_pitch(f"{draw(st.sampled_from(names))}{octave}")
        for octave in draw(st.lists(st.integers(1, 5), min_size=count, max_size=count))
    )
    frets = draw(st.integers(12, 36))
    capo = draw(st.integers(0, 7))
    instrument = Guitar(strings, frets, capo=capo, left_handed=draw(st.booleans()))
    mark = st.builds(
        NeckMark,
        st.builds(Position, st.integers(1, count), st.integers(0, instrument.last_fret)),
        st.sampled_from([None, 0, 1, 2, 3]),
        st.sampled_from(["1", "b3", "#11", "b13", "bb7", "13"]),
        st.sampled_from(names),
        st.sampled_from([(), (0,), (1,), (4,), (2, 3), (1, 2, 3)]),
    )
    marks = draw(st.lists(mark, max_size=14))
    window = st.tuples(st.integers(0, 3), st.integers(4, 5)) | st.none()
    return instrument, marks, draw(window)


@settings(max_examples=80, deadline=None)
@given(
    necks(),
    st.sampled_from(["degrees", "notes", "fingers", "none"]),
    st.sampled_from([(), ("F", "Am"), ("F# dim", "Bbaug", "Gsus4", "a name that goes on and on")]),
)
def test_no_text_collides_or_is_cut(
    neck: tuple[Guitar, list[NeckMark], tuple[int, int] | None],
    labels: str,
    voices: tuple[str, ...],
) -> None:
    instrument, marks, frets = neck
    svg = drawn(instrument, marks, frets, labels, voices=voices, bass=D)
    width, height = float(svg.get("width", "")), float(svg.get("height", ""))
    boxes = [box(node) for node in svg.iter(f"{SVG}text")]
    for left, top, right, bottom in boxes:
        assert left >= 0
        assert top >= 0
        assert right <= width
        assert bottom <= height
    for one, other in itertools.combinations(boxes, 2):
        apart_x = one[2] <= other[0] + 0.2 or other[2] <= one[0] + 0.2
        apart_y = one[3] <= other[1] + 0.2 or other[3] <= one[1] + 0.2
        assert apart_x or apart_y, (one, other)
    for disc in svg.iter(f"{SVG}circle"):
        x, y, r = (float(disc.get(name, "")) for name in ("cx", "cy", "r"))
        assert r <= x <= width - r
        assert r <= y <= height - r


# --- two triads told apart ----------------------------------------------------------------------


def linear(colour: str) -> list[float]:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    # IEC 61966-2-1 (sRGB), as WCAG 2.2 quotes it.
    return [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2 (W3C), section "relative luminance"."""
    light = [
        0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05 for r, g, b in (linear(one), linear(other))
    ]
    return max(light) / min(light)


def lab(rgb: list[float]) -> tuple[float, float, float]:
    """CIE 1976 L*a*b* of linear sRGB under D65 (CIE 15:2004)."""
    x = (0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505
    y = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
    z = (0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.0890
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


#: What a dichromat sees, on linear RGB: Machado, Oliveira and Fernandes, IEEE TVCG 15:6 (2009),
#: severity 1.0.  From memory.
DICHROMATS = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


@pytest.mark.parametrize("eye", sorted(DICHROMATS))
def test_two_triads_differ_in_colour_to_a_colour_blind_eye(eye: str) -> None:
    seen = []
    for size in MARK_SIZES.voices[:2]:
        rgb = linear(size.look.colour)
        simulated = [
            min(1.0, max(0.0, sum(m * c for m, c in zip(row, rgb, strict=True))))
            for row in DICHROMATS[eye]
        ]
        seen.append(lab(simulated))
    # A just noticeable difference is about 2.3 (Mahy, Van Eycken, Oosterlinck 1994).
    assert sum((a - b) ** 2 for a, b in zip(*seen, strict=True)) ** 0.5 > 23


def test_every_dress_has_its_own_shape_and_its_label_reads() -> None:
    assert len({size.look.shape for size in MARK_SIZES.voices}) == len(MARK_SIZES.voices)
    for size in MARK_SIZES.voices:
        # WCAG 2.2, success criteria 1.4.3 (text) and 1.4.11 (graphics).
        assert contrast(size.look.colour, PAPER) >= 4.5
    assert contrast(INK, PAPER) >= 7


def test_a_grey_print_shows_a_dark_disc_beside_a_light_tile() -> None:
    import typst
    from PIL import Image

    first, second = Position(4, 6), Position(2, 8)
    svg = neck_svg(
        guitar(), [NeckMark(first, 0), NeckMark(second, 1)], (5, 8), "none", legend=False
    )
    root = ElementTree.fromstring(svg)
    program = b"""#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.svg), format: "svg", width: float(sys.inputs.width) * 1pt)"""
    png = typst.compile(
        program, format="png", ppi=72, sys_inputs={"svg": svg, "width": root.get("width", "")}
    )
    grey = Image.open(io.BytesIO(png)).convert("L")
    disc = next(node for node in of_class(root, "v0"))
    tile = next(node for node in of_class(root, "v1"))
    disc_grey = grey.getpixel((float(disc.get("cx", "")), float(disc.get("cy", ""))))
    tile_x, tile_y, tile_side = (float(tile.get(key, "")) for key in ("x", "y", "width"))
    tile_grey = grey.getpixel((tile_x + tile_side / 2, tile_y + tile_side / 2))
    edge_grey = grey.getpixel((tile_x, tile_y + tile_side / 2))
    assert disc_grey < 90  # type: ignore[operator]
    assert tile_grey > 240  # type: ignore[operator]
    assert edge_grey < 140  # type: ignore[operator]


def test_a_shared_note_wears_both_dresses_and_the_legend_says_so() -> None:
    place = Position(3, 5)
    svg = drawn(guitar(), [NeckMark(place, 1, "b7"), NeckMark(place, 0, "b7")], voices=("F", "Am"))
    assert len(of_class(svg, "v0")) == len(of_class(svg, "v1")) == 2  # on the neck, in the legend
    disc, tile = of_class(svg, "v0")[0], of_class(svg, "v1")[0]
    assert 2 * float(disc.get("r", "")) < float(tile.get("width", ""))
    assert "F and Am" in texts(svg)
    assert "Am" not in texts(svg)  # no note of the second triad alone


def test_the_legend_names_only_what_is_there() -> None:
    svg = drawn(guitar(), [NeckMark(Position(3, 5), None, "4")], voices=("F", "Am"), bass=D)
    words = texts(svg)
    assert "in no triad" in words
    assert "numbers are degrees over D" in words
    assert "open string sounds the bass D" in words
    assert "F" not in words


# --- words, errors, safety --------------------------------------------------------------------


def test_a_screen_reader_hears_every_note() -> None:
    svg = drawn(
        guitar(left_handed=True),
        [NeckMark(Position(5, 8), 0, "b3", "F", (1,)), NeckMark(Position(4, 0), 1, "1", "D", (0,))],
        voices=("F", "Am"),
        bass=D,
        title="The pair",
    )
    assert svg.get("role") == "img"
    assert svg[0].tag == f"{SVG}title"
    assert svg[0].text == "The pair"
    said = svg[1].text or ""
    assert "String 5 fret 8: F, degree b3, finger 1, F." in said
    assert "String 4 open: D, degree 1, Am." in said
    assert "left-handed" in said


def test_what_the_neck_does_not_have_is_one_clear_sentence() -> None:
    with pytest.raises(NeckError, match="no string 7"):
        neck_svg(guitar(), [NeckMark(Position(7, 3))])
    with pytest.raises(NeckError, match="no string 1 fret 25"):
        neck_svg(guitar(), [NeckMark(Position(1, 25))])
    with pytest.raises(NeckError, match="frets 9 to 30"):
        neck_svg(guitar(), [], (9, 30))
    with pytest.raises(OutputError, match="voice 4"):
        neck_svg(guitar(), [NeckMark(Position(1, 3), 4)])


HOSTILE = ["<script>alert(1)</script>", '"onload="alert(1)', "]]><x/>", "&lt;\x00\x1b\ud800", "'/>"]


@pytest.mark.parametrize("text", HOSTILE)
def test_text_stays_text(text: str) -> None:
    mark = NeckMark(Position(3, 5), 0, text, text, (1,))
    for labels in ("degrees", "notes"):
        svg = drawn(guitar(), [mark], None, labels, voices=(text,), title=text)
        tags = {node.tag.removeprefix(SVG) for node in svg.iter()}
        assert tags <= {"svg", "title", "desc", "rect", "line", "circle", "path", "text", "polygon"}
        assert not [name for node in svg.iter() for name in node.attrib if name.startswith("on")]
        printable = "".join(c for c in text if c.isprintable() and not "\ud800" <= c <= "\udfff")
        assert printable in texts(svg)


def test_a_lick_gives_each_place_once_for_each_triad() -> None:
    def note(onset: int, string: int, fret: int, finger: int | None, voice: int) -> LickNote:
        pitch = parse_pitch("A3")
        return LickNote(
            Position(string, fret), pitch, Fraction(onset), Fraction(1), finger, voice=voice
        )

    lick = Lick(
        (
            note(0, 4, 7, 1, 0),
            note(1, 3, 5, 2, 0),
            note(2, 4, 7, 3, 0),
            note(3, 4, 7, 3, 0),
            note(4, 4, 7, None, 1),
        ),
        Fraction(5),
    )
    marks = lick_marks(lick)
    assert [(m.position.string, m.voice, m.fingers) for m in marks] == [
        (4, 0, (1, 3)),
        (3, 0, (2,)),
        (4, 1, (1, 3)),  # the place's, whichever triad it is shown for
    ]
    assert marks[0].note == "A"


def test_a_place_that_two_fingers_play_has_both_and_one_of_three_has_none() -> None:
    pitch = parse_pitch("A4")
    notes = [
        LickNote(Position(1, 5), pitch, Fraction(at), Fraction(1), voice=voice, finger=finger)
        for at, voice, finger in ((0, 0, 1), (1, 1, 4), (2, 0, 1))
    ]
    both = lick_marks(Lick(tuple(notes), Fraction(4)))
    assert [mark.fingers for mark in both] == [(1, 4), (1, 4)]
    assert {mark.label("fingers") for mark in both} == {"1 4"}
    more = lick_marks(Lick((*notes, replace(notes[0], onset=Fraction(3), finger=2)), Fraction(4)))
    assert {mark.label("fingers") for mark in more} == {""}
