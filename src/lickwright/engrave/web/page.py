"""The lesson as one web page that shows and plays everything.

The page stands alone: no request leaves the folder it lies in.  Its content security policy
allows the one style sheet and the one script by their hashes and sound from its own folder,
nothing else, and every word of the lesson is escaped: ``page.html`` is its template, and here is
what goes into it.  The page and the print are made from the same
:class:`~lickwright.engrave.sheet.sheet.Sheet`.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from lickwright.drawing import inline_svg, printed_symbol, xml_characters
from lickwright.engrave.sheet import Sheet, SheetExample, markdown_html, svg_size
from lickwright.engrave.web.follow import Run
from lickwright.errors import Finding, OutputError

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

#: A longer neck shrinks somewhat before it scrolls; a shorter one keeps its size.
LONG_NECK_PX = 720.0

#: A disc inside a tile: a note that two triads share.
_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<rect x="2.5" y="2.5" width="27" height="27" rx="7" fill="#fffdf9" stroke="#b0490c" '
    'stroke-width="4"/><circle cx="16" cy="16" r="8.5" fill="#1c4f82"/></svg>'
)
_OUTSIDE = re.compile(r"[a-zA-Z][\w+.-]*:|/|\\|.*\\|.*(?:^|/)\.\.(?:/|$)")


@dataclass(frozen=True, slots=True)
class PageLink:
    """A file beside the page: its name for people and its path from the page."""

    label: str
    href: str


@dataclass(frozen=True, slots=True)
class PageTrack:
    """A sound to play on the page: its name for people, its path, and how the music runs in it."""

    label: str
    href: str
    runs: tuple[Run, ...] = ()


@dataclass(frozen=True, slots=True)
class Media:
    """What there is to hear and fetch for one example.

    Parameters
    ----------
    follow : :func:`~lickwright.engrave.web.follow.follow_data` of the music, for the playhead.
    """

    tracks: tuple[PageTrack, ...] = ()
    downloads: tuple[PageLink, ...] = ()
    follow: str = ""


@dataclass(frozen=True, slots=True)
class WebLesson:
    """A lesson for the web.

    Parameters
    ----------
    media : one for each example of the sheet, in its order.
    downloads : files of the whole lesson, such as the PDF.
    findings : the margin report, for the teacher alone; ``None`` leaves it off the page.
    """

    sheet: Sheet
    media: tuple[Media, ...] = ()
    downloads: tuple[PageLink, ...] = ()
    findings: tuple[Finding, ...] | None = None


@dataclass(frozen=True, slots=True)
class _ShownNeck:
    """A neck diagram as markup."""

    markup: Markup
    caption: str
    is_long: bool


@dataclass(frozen=True, slots=True)
class _ShownExample:
    """An example with its pictures as markup."""

    example: SheetExample
    media: Media
    systems: tuple[Markup, ...]
    necks: tuple[_ShownNeck, ...]


def index_html(lesson: WebLesson) -> str:
    """The page as one HTML document.

    Raises
    ------
    OutputError
        For media that do not match the examples, a path that leaves the page's folder, or a
        picture that is not SVG.
    """
    from markupsafe import Markup

    sheet = lesson.sheet
    if len(lesson.media) not in {0, len(sheet.examples)}:
        raise OutputError(
            f"media for {len(lesson.media)} of {len(sheet.examples)} examples",
            mend="Give one Media for each example, or none at all",
        )
    media = lesson.media or (Media(),) * len(sheet.examples)
    widest = max((svg_size(svg)[0] for x in sheet.examples for svg in x.notation), default=1.0)
    css, js = (_asset(name) for name in ("web.css", "web.js"))
    styles = [css]
    examples = [
        _shown(example, heard, f"x{index}", widest, styles)
        for index, (example, heard) in enumerate(zip(sheet.examples, media, strict=True), 1)
    ]
    return _template().render(
        lesson=lesson,
        sheet=sheet,
        examples=examples,
        policy=_policy(styles, js),
        icon=_ICON,
        css=Markup(css),
        js=Markup(js),
    )


def _shown(
    example: SheetExample, media: Media, prefix: str, widest: float, styles: list[str]
) -> _ShownExample:
    """The pictures of an example, one scale for all systems, so that all staves are of one size.

    ``styles`` takes the style sheets that they bring.
    """
    from markupsafe import Markup

    def markup(svg: str, *how: str) -> Markup:
        made, its_styles = inline_svg(svg, *how)
        styles.extend(its_styles)
        return Markup(made)

    count = len(example.notation)
    return _ShownExample(
        example,
        media,
        tuple(
            markup(
                svg,
                f"{prefix}s{index}",
                f"Notation and tab, system {index} of {count}",
                f"{100 * svg_size(svg)[0] / widest:.4g}%",
            )
            for index, svg in enumerate(example.notation, 1)
        ),
        tuple(
            _ShownNeck(
                markup(diagram.svg, f"{prefix}n{index}"),
                printed_symbol(diagram.caption),
                svg_size(diagram.svg)[0] > LONG_NECK_PX,
            )
            for index, diagram in enumerate(example.diagrams, 1)
        ),
    )


@lru_cache(maxsize=1)
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    def printable(value: Any) -> Any:
        return value if isinstance(value, Markup) else xml_characters(str(value))

    environment = Environment(
        autoescape=True,
        finalize=printable,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        undefined=StrictUndefined,
    )
    environment.filters |= {
        "inside": _inside,
        "json": json.dumps,
        "markdown": lambda text, top=3: Markup(markdown_html(text, top_heading=top)),
        "sentence": _sentence,
        "symbol": printed_symbol,
    }
    return environment.from_string(_asset("page.html"))


def _asset(name: str) -> str:
    return resources.files("lickwright.engrave.web").joinpath(name).read_text("utf-8")


def _policy(styles: Iterable[str], script: str) -> str:
    """Content Security Policy Level 3 (W3C): what the page may do."""

    def hashes(texts: Iterable[str]) -> str:
        digests = (hashlib.sha256(text.encode()).digest() for text in dict.fromkeys(texts))
        return " ".join(f"'sha256-{base64.b64encode(digest).decode()}'" for digest in digests)

    return (
        f"default-src 'none'; style-src {hashes(styles)}; script-src {hashes([script])}; "
        "media-src 'self'; img-src data:; base-uri 'none'; form-action 'none'"
    )


def _inside(href: str) -> str:
    """A path that stays in the page's folder, written as a relative address."""
    if not href or _OUTSIDE.match(href):
        raise OutputError(
            f"the page cannot link to '{href}'", mend="Link to files in the folder of the page"
        )
    return quote(href, safe="/")


def _sentence(text: str) -> str:
    text = text.strip().rstrip(".")
    return text[:1].upper() + text[1:] + "."
