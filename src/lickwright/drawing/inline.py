"""How does a picture stand safely inside a page?  SVG rewritten so that it can only be a picture.

An engraved page brings ids and a style sheet of its own; two of them in one page would mix.  So
every id gets a prefix, every reference to it follows, and whatever could act or fetch is left
out: elements and attributes that are not on the list, event handlers, addresses outside the
picture, style rules that load something.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from lickwright.drawing.svg import escape_xml
from lickwright.errors import OutputError

#: The drawing elements of SVG 1.1 that pictures of notes need; none can act or fetch.
_DRAWING = frozenset(
    re.findall(
        r"\w+",
        "svg g defs symbol use path rect circle ellipse line polyline polygon "
        "text tspan title desc style",
    )
)
_WORDS = frozenset({"text", "tspan", "title", "desc"})
_REFERENCE = re.compile(r"url\(\s*['\"]?#([^)'\"]*)['\"]?\s*\)")
#: Style that loads or acts; a backslash could spell any of it.
_FETCHES = re.compile(r"@import|url\((?!#)|expression|javascript:|[<\\]", re.IGNORECASE)
_NAME = re.compile(r"[A-Za-z_][\w.-]*")


def inline_svg(
    svg: str, prefix: str, label: str = "", width: str = ""
) -> tuple[str, tuple[str, ...]]:
    """A picture that can stand in an HTML page beside any other.

    Parameters
    ----------
    svg : the picture as a document.
    prefix : put before every id; letters, digits and hyphens.
    label : what a screen reader says; the picture's own title where empty.
    width : a CSS length in place of the picture's own size, its height following.

    Returns
    -------
    markup, styles : the element, and the text of each of its style sheets, for the page's
        content security policy.

    Raises
    ------
    OutputError
        When the text is not SVG.
    """
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        raise OutputError(
            f"a picture is not well-formed SVG: {error}", mend="Engrave the lesson again"
        ) from error
    if _local(root.tag) != "svg":
        raise OutputError("a picture is not SVG", mend="Engrave the lesson again")
    ids = {value for element in root.iter() if (value := element.get("id"))}
    styles: list[str] = []
    if label:
        root.set("role", "img")
        root.set("aria-label", label)
    if width:
        root.set("width", width)
        root.attrib.pop("height", None)
    return _markup(root, prefix, ids, styles), tuple(styles)


def _local(name: object) -> str:
    """A name without its namespace; ``""`` for a comment or a processing instruction."""
    return name.rsplit("}", 1)[-1] if isinstance(name, str) else ""


def _markup(element: ElementTree.Element, prefix: str, ids: set[str], styles: list[str]) -> str:
    tag = _local(element.tag)
    if tag not in _DRAWING:
        return ""
    if tag == "style":
        css = _scoped(element.text or "", prefix, ids)
        if not css or _FETCHES.search(css):
            return ""
        styles.append(css)
        return f"<style>{escape_xml(css)}</style>"
    inner = [escape_xml(element.text or "") if tag in _WORDS else ""]
    for child in element:
        inner.append(_markup(child, prefix, ids, styles))
        inner.append(escape_xml(child.tail or "") if tag in _WORDS else "")
    attributes = "".join(
        f' {name}="{escape_xml(value)}"' for name, value in _attributes(element, prefix).items()
    )
    return f"<{tag}{attributes}>{''.join(inner)}</{tag}>"


def _attributes(element: ElementTree.Element, prefix: str) -> dict[str, str]:
    kept: dict[str, str] = {}
    for full_name, value in element.attrib.items():
        name = _local(full_name)
        if not _NAME.fullmatch(name) or name.lower().startswith("on"):
            continue
        if name == "id":
            kept["id"] = f"{prefix}-{value}"
        elif name == "href":
            if value.startswith("#"):
                kept["href"] = f"#{prefix}-{value[1:]}"
        elif name == "style":
            # A policy without inline styles forbids the attribute; its properties are SVG's own.
            for declaration in value.split(";"):
                property_name, _, property_value = declaration.partition(":")
                if _NAME.fullmatch(property_name.strip()) and not _FETCHES.search(property_value):
                    kept[property_name.strip()] = property_value.strip()
        elif name in {"aria-labelledby", "aria-describedby"}:
            kept[name] = " ".join(f"{prefix}-{part}" for part in value.split())
        elif name == "aria-label":
            kept[name] = value
        else:
            value = _REFERENCE.sub(lambda match: f"url(#{prefix}-{match[1]})", value)
            if not _FETCHES.search(value):
                kept[name] = value
    return kept


def _scoped(css: str, prefix: str, ids: set[str]) -> str:
    """The rules with the picture's ids renamed; a colour such as ``#fff`` stays."""

    def renamed(match: re.Match[str]) -> str:
        return f"#{prefix}-{match[1]}" if match[1] in ids else match[0]

    return re.sub(r"#([\w.-]+?)(?=[\s.,:{\[>+~]|$)", renamed, css).strip()
