"""Drawings as SVG text: one system, or several below one another, with the outlines they use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from lickwright.drawing import escape_xml, letter
from lickwright.engrave.page.elements import STYLES, is_letter
from lickwright.engrave.page.engine import music_glyph

_XMLNS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


@dataclass(frozen=True, slots=True)
class Picture:
    """The inside of an SVG, in units; its origin is its top left corner.

    Parameters
    ----------
    body : what is drawn.
    outlines : ids and attributes of the paths that it draws on.
    """

    body: str
    outlines: dict[str, str]
    width: float
    height: float


def picture(
    group: Element, glyphs: dict[str, str], top: float, size: tuple[float, float], prefix: str
) -> Picture:
    """Bring a drawing into its final form.

    Parameters
    ----------
    group : what is drawn; it is used up.
    glyphs : music glyphs by code; the font is asked for others.
    top : the height at which the picture begins.
    size : width and height.
    prefix : stands before every id.
    """
    outlines = {}
    for element in group.iter():
        if "id" in element.attrib:
            element.set("id", prefix + element.get("id", ""))
        href = element.get("href")
        if href is not None:
            name = href[1:].partition("-")[0]
            outlines[prefix + name] = _outline(name, glyphs)
            element.set("href", f"#{prefix}{name}")
    group.set("transform", f"translate(0,{-top:.0f})")
    parts: list[str] = []
    _write(group, parts)
    return Picture("".join(parts), outlines, *size)


def svg_text(pictures: Sequence[Picture], mm_per_unit: float, gap: float = 0.0) -> str:
    """Pictures below one another, ``gap`` units apart, as one SVG document."""
    outlines: dict[str, str] = {}
    parts, y = [], 0.0
    for each in pictures:
        outlines |= each.outlines
        parts.append(f'<g transform="translate(0,{y:.0f})">{each.body}</g>' if y else each.body)
        y += each.height + gap
    width, height = max(each.width for each in pictures), y - gap
    paths = "".join(f'<path id="{name}" {path}/>' for name, path in sorted(outlines.items()))
    return (
        f'<svg {_XMLNS} class="lw-music" width="{width * mm_per_unit:.2f}mm" '
        f'height="{height * mm_per_unit:.2f}mm" viewBox="0 0 {width:.0f} {height:.0f}">'
        f"<defs>{paths}</defs>"
        f'<g fill="currentColor" stroke="currentColor" stroke-width="0">{"".join(parts)}</g>'
        "</svg>\n"
    )


def _write(element: Element, parts: list[str]) -> None:
    """Serialise a drawing, which holds no text but in attributes."""
    parts.append(f"<{element.tag}")
    for name, value in element.attrib.items():
        # SVG 1.1 writes the link of a ``use`` so; programs that print want it still.
        full = "xlink:href" if name == "href" else name
        parts.append(f' {full}="{escape_xml(value)}"')
    if len(element):
        parts.append(">")
        for child in element:
            _write(child, parts)
        parts.append(f"</{element.tag}>")
    else:
        parts.append("/>")


def _outline(name: str, glyphs: dict[str, str]) -> str:
    """The attributes of the path that an id stands for: a letter, or a music glyph."""
    if is_letter(name):
        return f'd="{letter(chr(int(name[1:], 16)), STYLES[name[0]]).path}"'
    return f'transform="scale(1,-1)" d="{glyphs.get(name) or music_glyph(name)}"'
