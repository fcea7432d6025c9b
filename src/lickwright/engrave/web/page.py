"""The lesson as one web page that shows and plays everything.

The page stands alone: no request leaves the folder it lies in.  Its content security policy
allows the one style sheet and the one script by their hashes and sound from its own folder,
nothing else, and every word of the lesson is escaped.  The page and the print are made from the
same :class:`~lickwright.engrave.sheet.sheet.Sheet`.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib import resources
from urllib.parse import quote

from lickwright.drawing import escape_xml as esc
from lickwright.drawing import inline_svg, printed_symbol
from lickwright.engrave.sheet import ImpliedRow, Sheet, SheetExample, markdown_html, svg_size
from lickwright.engrave.web.follow import Run
from lickwright.errors import Finding, OutputError


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


def index_html(lesson: WebLesson) -> str:
    """The page as one HTML document.

    Raises
    ------
    OutputError
        For media that do not match the examples, a path that leaves the page's folder, or a
        picture that is not SVG.
    """
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
        _example(example, heard, f"x{index}", widest, styles)
        for index, (example, heard) in enumerate(zip(sheet.examples, media, strict=True), 1)
    ]
    # The unnumbered parts come in the order in which a reader needs them: care before practice.
    body = [
        '<a class="skip" href="#lesson">Skip to the lesson</a>\n<div class="leaf">\n',
        _head(lesson),
        '<main id="lesson">\n',
        _hung("", markdown_html(sheet.opening)) if sheet.opening.strip() else "",
        _care(sheet.cautions),
        *examples,
        _closing(sheet.closing),
        "</main>\n",
        "" if lesson.findings is None else findings_html(lesson.findings),
        f"<footer>{esc(sheet.footer)}</footer>\n" if sheet.footer else "",
        "</div>\n",
    ]
    name = f"{sheet.title} · Lesson {sheet.number}" if sheet.number else sheet.title
    return (
        f'<!doctype html>\n<html lang="{esc(sheet.language)}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(styles, js)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="referrer" content="no-referrer">\n'
        f"<title>{esc(name)}</title>\n"
        f'<link rel="icon" href="data:image/svg+xml,{quote(_ICON)}">\n'
        f"<style>{css}</style>\n</head>\n<body>\n{''.join(body)}"
        f"<script>{js}</script>\n</body>\n</html>\n"
    )


LONG_NECK_PX = 720.0

#: A disc inside a tile: a note that two triads share.
_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<rect x="2.5" y="2.5" width="27" height="27" rx="7" fill="#fffdf9" stroke="#b0490c" '
    'stroke-width="4"/><circle cx="16" cy="16" r="8.5" fill="#1c4f82"/></svg>'
)


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


# --- parts of the page ------------------------------------------------------------------------


def _hung(label: str, body: str, kind: str = "words", tag: str = "h3") -> str:
    """A part of the page with its label hung at the left.

    ``kind``: ``words`` keeps to the width that reads well, ``wide`` takes all there is, ``screen``
    too but is left out of print.
    """
    heading = f'<{tag} class="label">{esc(label)}</{tag}>' if label else "<div></div>"
    return f'<div class="hung {kind}">{heading}<div>{body}</div></div>\n'


def _head(lesson: WebLesson) -> str:
    sheet = lesson.sheet
    number = f'<p class="label">Lesson {esc(sheet.number)}</p>' if sheet.number else ""
    byline = f'<p class="byline">{esc(sheet.byline)}</p>' if sheet.byline else ""
    facts = "".join(
        f'<div><dt class="label">{name}</dt><dd>{esc(value)}</dd></div>'
        for name, value in (
            ("Key", printed_symbol(sheet.key)),
            ("Tempo", sheet.tempo),
            ("Instrument", sheet.instrument),
        )
        if value
    )
    parts = [number, f"<h1>{esc(sheet.title)}</h1>", byline]
    parts.append(f'<dl class="facts">{facts}</dl>\n' if facts else "\n")
    if len(sheet.examples) > 1:
        entries = "".join(
            f'<li><a href="#example-{index}">{esc(example.number)}&nbsp;{esc(example.name)}'
            "</a></li>"
            for index, example in enumerate(sheet.examples, 1)
        )
        contents = f'<nav aria-label="Examples"><ol>{entries}</ol></nav>'
        parts.append(_hung("Examples", contents, "screen", tag="p"))
    if lesson.downloads:
        parts.append(_hung("To keep", _files(lesson.downloads), "screen", tag="p"))
    return f"<header>\n{''.join(parts)}</header>\n"


def _care(cautions: Sequence[str]) -> str:
    if not cautions:
        return ""
    items = "".join(f"<li>{esc(caution)}</li>" for caution in cautions)
    return (
        '<aside class="care hung" aria-label="Practice and care">'
        f'<p class="label">Practice and care</p><ul>{items}</ul></aside>\n'
    )


def _example(
    example: SheetExample, media: Media, prefix: str, widest: float, styles: list[str]
) -> str:
    number = prefix[1:]
    setting = (
        f'<p class="setting">{esc(printed_symbol(example.setting))}</p>' if example.setting else ""
    )
    head = (
        f'<div class="hung head"><p class="label">Example {esc(example.number)}</p>'
        f'<div><h2 id="example-{number}-name">{esc(example.name)}</h2>{setting}</div></div>\n'
    )
    parts = [head]
    if example.text.strip():
        parts.append(_hung("", markdown_html(example.text)))
    parts.append(_music(example, prefix, widest, styles))
    if media.tracks:
        parts.append(_hung("Listen", _tracks(media.tracks), "screen"))
    parts.append(_necks(example, prefix, styles))
    if example.implied:
        parts.append(_hung("Implied", _implied(example.implied), "wide"))
    if example.notes.strip():
        parts.append(_hung("How to play it", markdown_html(example.notes, top_heading=4)))
    if example.playability:
        parts.append(
            _hung("In the hands", f'<p class="soft">{esc(printed_symbol(example.playability))}</p>')
        )
    if example.practice:
        parts.append(_hung("Practice", _practice(example), "wide"))
    if media.downloads:
        parts.append(_hung("To keep", _files(media.downloads), "screen"))
    follow = f'data-follow="{esc(media.follow)}" ' if media.follow else ""
    return (
        f'<section class="example" id="example-{number}" {follow}'
        f'aria-labelledby="example-{number}-name">\n{"".join(parts)}</section>\n'
    )


def _practice(example: SheetExample) -> str:
    rows = "".join(
        f"<tr><td>{number}</td><td>{esc(row.what)}</td><td>{esc(row.tempo)}</td>"
        f"<td>{esc(row.times)}</td></tr>"
        for number, row in enumerate(example.practice, start=1)
    )
    rests = f'<p class="soft">{esc(example.rests)}</p>' if example.rests else ""
    return f'<table class="practice"><tbody>{rows}</tbody></table>{rests}'


def _music(example: SheetExample, prefix: str, widest: float, styles: list[str]) -> str:
    if not example.notation:
        return ""
    systems = []
    for index, svg in enumerate(example.notation, 1):
        label = f"Notation and tab, system {index} of {len(example.notation)}"
        # One scale for all systems, so that the staves of a lesson are all of one size.
        width = f"{100 * svg_size(svg)[0] / widest:.4g}%"
        markup, its_styles = inline_svg(svg, f"{prefix}s{index}", label, width)
        styles.extend(its_styles)
        systems.append(markup)
    # A wide page of music scrolls on a narrow screen, and so must be reachable by keyboard.
    return (
        f'<div class="music" role="group" tabindex="0" aria-label="Music of example '
        f'{esc(example.number)}"><div class="systems">\n{"".join(systems)}</div></div>\n'
    )


def _necks(example: SheetExample, prefix: str, styles: list[str]) -> str:
    if not example.diagrams:
        return ""
    figures = []
    for index, diagram in enumerate(example.diagrams, 1):
        markup, its_styles = inline_svg(diagram.svg, f"{prefix}n{index}")
        styles.extend(its_styles)
        words = esc(printed_symbol(diagram.caption))
        caption = f"<figcaption>{words}</figcaption>" if words else ""
        name = words or f"Neck diagram {index}"
        # A long neck shrinks somewhat before it scrolls; a short one keeps its size.
        kind = "roll long" if svg_size(diagram.svg)[0] > LONG_NECK_PX else "roll"
        figures.append(
            f'<figure><div class="{kind}" role="group" tabindex="0" aria-label="{name}">{markup}'
            f"</div>{caption}</figure>"
        )
    return f'<div class="necks">{"".join(figures)}</div>\n'


def _tracks(tracks: Iterable[PageTrack]) -> str:
    items = "".join(
        f'<li><div class="name"><span>{esc(track.label)}</span></div>'
        f'<audio controls preload="none" aria-label="{esc(track.label)}" '
        f'data-runs="{json.dumps(track.runs)}" src="{_relative(track.href)}"></audio></li>'
        for track in tracks
    )
    return f'<ul class="tracks">{items}</ul>'


def _files(links: Iterable[PageLink]) -> str:
    items = "".join(
        f'<li><a href="{_relative(link.href)}" download>{esc(link.label)}</a></li>'
        for link in links
    )
    return f'<ul class="files">{items}</ul>'


def _implied(rows: Iterable[ImpliedRow]) -> str:
    made = []
    for row in rows:
        over = f'<span class="over">over {esc(printed_symbol(row.over))}</span>' if row.over else ""
        others = ", ".join(printed_symbol(other) for other in row.alternatives)
        also = f'<span class="others">also heard as {esc(others)}</span>' if others else ""
        made.append(
            f'<tr><th scope="row"><span class="symbol">{esc(printed_symbol(row.symbol))}</span>'
            f'{over}</th><td class="degrees">{esc(printed_symbol(row.degrees))}</td>'
            f"<td>{esc(printed_symbol(row.why))}{also}</td></tr>"
        )
    return (
        '<table class="implied"><caption class="unseen">Chord, degrees that sound, and why'
        f"</caption><tbody>{''.join(made)}</tbody></table>"
    )


def _closing(closing: str) -> str:
    if not closing.strip():
        return ""
    part = _hung("To close", markdown_html(closing), tag="h2")
    return f'<section class="closing">{part}</section>\n'


_OUTSIDE = re.compile(r"[a-zA-Z][\w+.-]*:|/|\\|.*\\|.*(?:^|/)\.\.(?:/|$)")


def _relative(href: str) -> str:
    """A path that stays in the page's folder, written as a relative address."""
    if not href or _OUTSIDE.match(href):
        raise OutputError(
            f"the page cannot link to '{href}'", mend="Link to files in the folder of the page"
        )
    return esc(quote(href, safe="/"))


# --- the margin report ------------------------------------------------------------------------


def findings_html(findings: Sequence[Finding]) -> str:
    """The margin report: what the checks found, folded away, for the teacher alone."""
    count = len(findings)
    summary = "nothing to mend" if not count else f"{count} to look at"
    items = "".join(_finding(finding) for finding in findings)
    listed = f"<ul>{items}</ul>" if items else "<p>Every check passed.</p>"
    return (
        '<details class="report"><summary>Margin report, for the teacher: '
        f"{summary}</summary>{listed}</details>\n"
    )


def _finding(finding: Finding) -> str:
    place = " · ".join(part for part in (str(finding.where), finding.example or "") if part)
    spot = f'<div class="spot">{esc(place)}</div>' if place else ""
    mend = f" {esc(_sentence(finding.mend))}" if finding.mend.strip() else ""
    return (
        f"<li><strong>{finding.severity.capitalize()}.</strong> "
        f"{esc(_sentence(finding.what))}{mend}{spot}</li>"
    )


def findings_text(findings: Sequence[Finding]) -> str:
    """The margin report as plain text: a line for each finding, ``""`` where there is none."""
    return "".join(f"{finding}\n" for finding in findings)


def _sentence(text: str) -> str:
    text = text.strip().rstrip(".")
    return text[:1].upper() + text[1:] + "."
