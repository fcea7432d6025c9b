"""The page on the web: stands alone, can only show and play, reads well in every light."""

from __future__ import annotations

import base64
import hashlib
import itertools
import os
import re
import subprocess
import sys
from dataclasses import replace
from importlib import resources

import lxml.html
import pytest

from lickwright.drawing.inline import inline_svg
from lickwright.engrave.sheet.sheet import Diagram, ImpliedRow, Sheet, SheetExample
from lickwright.engrave.web.page import (
    Media,
    PageLink,
    PageTrack,
    WebLesson,
    index_html,
)
from lickwright.errors import Finding, OutputError, Spot

SYSTEM = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 viewBox="0 0 700 150" id="root"><defs><g id="head"><path d="M0 0h9"/></g></defs>
 <style type="text/css">#root g.fing {font-weight:bold;} path {stroke:#abcdef}</style>
 <g class="fing" id="n1"><use xlink:href="#head"/><text x="1" y="2">Dm9 &amp; more</text></g>
</svg>"""
NECK = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90"><title>Neck</title></svg>'

FINDINGS = (
    Finding("warning", "no 11 sounds", "Write Dm9", Spot("lesson.yaml", 14), "The pair"),
    Finding("error", "fret 30 is off the neck", "Choose a lower place", Spot("lesson.yaml", 20)),
)


def example(number: int, name: str = "The pair") -> SheetExample:
    return SheetExample(
        name=name,
        number=str(number),
        setting="A dorian",
        text="# A heading\n\nSweep *up*.",
        notation=(SYSTEM, SYSTEM.replace("700", "350")),
        diagrams=(Diagram(NECK, "by degree"), Diagram(NECK)),
        implied=(ImpliedRow("Bbmaj9", "3 5 7 9", "The third sounds.", ("Gm/Bb",), "Bb"),),
        notes="Roll the finger.",
        playability="Reach 78 mm.",
    )


def media(number: int) -> Media:
    return Media(
        (
            PageTrack("Slow", f"{number}-slow.wav"),
            PageTrack("Full speed", f"audio/{number} target.wav"),
        ),
        (PageLink("MusicXML", f"{number}.musicxml"),),
    )


LESSON = WebLesson(
    Sheet(
        title="Two Triads over a Harbour Drone",
        number="7",
        byline="by the Saltmarsh Workshop",
        key="D dorian",
        opening="See [the notes](https://example.org/notes).",
        examples=(example(1), example(2, "The answer")),
        closing="The bass moves.",
        cautions=("Stop at pain or numbness.", "Listen at a safe level."),
        footer="Saltmarsh Workshop",
    ),
    (media(1), media(2)),
    (PageLink("Lesson sheet (PDF)", "lesson.pdf"),),
    FINDINGS,
)


def page(lesson: WebLesson = LESSON) -> lxml.html.HtmlElement:
    return lxml.html.document_fromstring(index_html(lesson))


def words(node: lxml.html.HtmlElement) -> str:
    return " ".join(" ".join(node.itertext()).split())


# --- it can only show and play ----------------------------------------------------------------


def policy(document: lxml.html.HtmlElement) -> dict[str, list[str]]:
    (meta,) = document.xpath('//meta[@http-equiv="Content-Security-Policy"]')
    rules = (rule.split() for rule in meta.get("content").split(";"))
    return {rule[0]: rule[1:] for rule in rules}


def test_the_policy_allows_exactly_what_is_in_the_page() -> None:
    # Content Security Policy Level 3 (W3C): a hash source is sha256-<base64 of the text's SHA-256>.
    document = page()
    rules = policy(document)
    assert rules["default-src"] == ["'none'"]
    assert rules["media-src"] == ["'self'"]
    for directive, tag in (("style-src", "style"), ("script-src", "script")):
        texts = {node.text for node in document.iter(tag)}
        wanted = {
            f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
            for text in texts
        }
        assert set(rules[directive]) == wanted
    assert len(list(document.iter("script"))) == 1


def test_nothing_is_fetched_from_elsewhere_and_nothing_handles_events_inline() -> None:
    for node in page().iter():
        if not isinstance(node.tag, str):
            continue
        for name, value in node.attrib.items():
            assert not name.startswith("on")
            assert name != "style"
            if name in {"src", "href", "data", "poster", "srcset"}:
                outside = re.match(r"[a-z]+:|//", value)
                lesson_link = node.tag == "a" and value == "https://example.org/notes"
                icon = node.tag == "link" and value.startswith("data:image/svg+xml,")
                assert outside is None or lesson_link or icon, value
    css = resources.files("lickwright.engrave.web").joinpath("web.css").read_text()
    assert "url(" not in css
    assert "@import" not in css


HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "]]></style></script><script>x</script>",
    "<!-- <b onmouseover='x'>",
    "javascript:alert(1)",
    "&lt;b&gt;\x00\x0b",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_text_stays_text(text: str) -> None:
    row = ImpliedRow(text, text, text, (text,), text)
    hostile = SheetExample(
        text, text, text, text, (SYSTEM,), (Diagram(NECK, text),), (row,), text, text
    )
    sheet = Sheet(*(text,) * 7, examples=(hostile,), closing=text, cautions=(text,), footer=text)
    lesson = WebLesson(
        sheet,
        (Media((PageTrack(text, "a.wav"),), (PageLink(text, "b.mid"),)),),
        (PageLink(text, "c.pdf"),),
        (Finding("warning", text, text, Spot(text, 1), text),),
    )
    calm, document = (
        page(
            replace(LESSON, sheet=replace(LESSON.sheet, examples=(example(1),)), media=(media(1),))
        ),
        page(lesson),
    )
    known = {node.tag for node in calm.iter() if isinstance(node.tag, str)}
    found = {node.tag for node in document.iter()}
    assert found <= known | {"blockquote", "code"}
    assert len(list(document.iter("script"))) == 1
    assert not [name for node in document.iter() for name in node.attrib if name.startswith("on")]
    assert not document.xpath('//@href[starts-with(., "javascript:")]')
    plain = re.sub(r"[\x00\x0b]", "", text)
    assert document.text_content().count(plain) >= 10


@pytest.mark.parametrize(
    "href",
    [
        "",
        "https://x.example/a.wav",
        "//x/a.wav",
        "/etc/a.wav",
        "../a.wav",
        "a/../../b",
        "a\\b",
        "javascript:alert(1)",
        "data:audio/wav,x",
        "C:/a.wav",
    ],
)
def test_a_path_out_of_the_folder_is_one_clear_sentence(href: str) -> None:
    lesson = replace(LESSON, downloads=(PageLink("x", href),))
    with pytest.raises(OutputError, match="cannot link"):
        index_html(lesson)


def test_media_must_match_the_examples() -> None:
    with pytest.raises(OutputError, match="media for 1 of 2 examples"):
        index_html(replace(LESSON, media=(media(1),)))


# --- pictures inside the page -----------------------------------------------------------------


def test_ids_are_unique_and_every_reference_meets_its_target() -> None:
    document = page()
    ids = document.xpath("//@id")
    assert len(ids) == len(set(ids))
    for reference in document.xpath('//@href[starts-with(., "#")]'):
        assert reference[1:] in ids
    for reference in document.xpath("//@aria-labelledby"):
        assert reference in ids


def test_a_picture_keeps_its_look_under_new_names() -> None:
    markup, (style,) = inline_svg(SYSTEM, "x1s1", "Music")
    assert style == "#x1s1-root g.fing {font-weight:bold;} path {stroke:#abcdef}"
    assert 'id="x1s1-n1"' in markup
    assert 'href="#x1s1-head"' in markup
    assert "Dm9 &amp; more" in markup
    assert 'role="img" aria-label="Music"' in markup


@pytest.mark.parametrize(
    "evil",
    [
        "<script>alert(1)</script>",
        "<g onload='alert(1)'/>",
        "<foreignObject><iframe src='https://x.example'/></foreignObject>",
        "<image href='https://x.example/p.png'/>",
        "<use href='https://x.example/p.svg#a'/>",
        "<a href='javascript:alert(1)'><text>x</text></a>",
        "<style>@import 'https://x.example/a.css';</style>",
        "<style>g{fill:url(https://x.example/a.svg#b)}</style>",
        "<g style='fill:url(https://x.example/a.svg#b)'/>",
        "<g fill='url(https://x.example/a.svg#b)'/>",
        r"<g fill='\75rl(https://x.example/a.svg#b)'/>",
        "<set attributeName='href' to='javascript:alert(1)'/>",
        "<!-- <script> --><?xml-stylesheet href='https://x.example/a.css'?>",
        "<text>&lt;script&gt;alert(1)&lt;/script&gt;</text>",
    ],
)
def test_a_picture_can_only_be_a_picture(evil: str) -> None:
    markup, styles = inline_svg(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{evil}</svg>', "p"
    )
    assert "x.example" not in markup
    assert "javascript" not in markup
    assert "<script" not in markup
    assert "onload" not in markup
    assert styles == ()


@pytest.mark.parametrize("svg", ["", "<svg", "<p>x</p>", "<svg>&unknown;</svg>"])
def test_what_is_not_a_picture_is_one_clear_sentence(svg: str) -> None:
    with pytest.raises(OutputError):
        inline_svg(svg, "p")


def test_systems_keep_their_sizes_to_each_other() -> None:
    widths = [svg.get("width") for svg in page().xpath('//div[@class="systems"]/svg')]
    assert widths == ["100%", "50%"] * 2


# --- it reads well ----------------------------------------------------------------------------


def test_everything_of_the_lesson_is_there_to_see_hear_and_keep() -> None:
    document = page()
    text = " ".join(document.text_content().split())
    for wanted in (
        "Two Triads over a Harbour Drone",
        "by the Saltmarsh Workshop",
        "D dorian",
        "The answer",
        "Sweep up.",
        "B♭maj9",
        "over B♭",
        "also heard as Gm/B♭",
        "Roll the finger.",
        "Reach 78 mm.",
        "by degree",
        "Stop at pain or numbness.",
        "The bass moves.",
    ):
        assert wanted in text
    assert document.xpath("//audio/@src") == [
        "1-slow.wav",
        "audio/1%20target.wav",
        "2-slow.wav",
        "audio/2%20target.wav",
    ]
    assert document.xpath("//a[@download]/@href") == ["lesson.pdf", "1.musicxml", "2.musicxml"]
    assert {audio.get("preload") for audio in document.iter("audio")} == {"none"}


def test_care_comes_before_the_first_example() -> None:
    text = index_html(LESSON)
    assert text.index("Stop at pain") < text.index('id="example-1"')


def test_headings_step_down_one_level_at_a_time() -> None:
    levels = [int(node.tag[1]) for node in page().iter("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_what_scrolls_or_plays_has_a_name_and_a_place_in_the_tab_order() -> None:
    document = page()
    for node in document.xpath('//*[@role="group"] | //audio | //nav | //aside'):
        assert node.get("aria-label")
    for node in document.xpath('//div[@class="music"] | //div[contains(@class, "roll")]'):
        assert node.get("tabindex") == "0"
    for svg in document.xpath('//div[@class="systems"]/svg'):
        assert svg.get("aria-label")


def variables(css: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6});", css))


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (W3C)."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_colours_meet_wcag_aa(scheme: str) -> None:
    css = resources.files("lickwright.engrave.web").joinpath("web.css").read_text()
    roots = re.findall(r":root \{(.*?)\}", css, re.DOTALL)
    palette = dict(zip(("light", "dark", "print"), map(variables, roots), strict=True))[scheme]
    for ground in ("paper", "card", "wash"):
        for text in ("ink", "soft", "accent"):
            assert contrast(palette[text], palette[ground]) >= 4.5, (text, ground)
    for voice in ("v0", "v1", "v2", "v3"):
        # A label on a filled mark is text (1.4.3); an outline is a graphic (1.4.11).
        assert contrast(palette[voice], palette["paper"]) >= 4.5
        assert contrast(palette[voice], palette["board"]) >= 3


# --- the margin report ------------------------------------------------------------------------


def test_the_margin_report_is_folded_away_and_can_be_left_out() -> None:
    (report,) = page().xpath("//details")
    assert report.get("open") is None
    assert words(report) == (
        "Margin report, for the teacher: 2 to look at "
        "Warning. No 11 sounds. Write Dm9. lesson.yaml:14 · The pair "
        "Error. Fret 30 is off the neck. Choose a lower place. lesson.yaml:20"
    )
    assert not page(replace(LESSON, findings=None)).xpath("//details")
    assert "nothing to mend" in index_html(replace(LESSON, findings=()))


# --- the same lesson, the same bytes ------------------------------------------------------------

SAME = """
import hashlib, importlib.util, sys
spec = importlib.util.spec_from_file_location("lesson_page", sys.argv[1])
lesson_page = sys.modules["lesson_page"] = importlib.util.module_from_spec(spec)
spec.loader.exec_module(lesson_page)
from lickwright.engrave.sheet.sheet import sheet_pdf
lesson = lesson_page.LESSON
made = lesson_page.index_html(lesson).encode() + sheet_pdf(lesson.sheet)
print(hashlib.sha256(made).hexdigest())
"""


def test_another_process_makes_the_same_bytes() -> None:
    digests = {
        subprocess.run(
            [sys.executable, "-c", SAME, __file__],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1
    assert len(digests.pop().strip()) == 64


def test_the_typesetter_and_the_reader_load_only_when_used() -> None:
    program = (
        "import sys, lickwright.engrave, lickwright.engrave.sheet, lickwright.engrave.web\n"
        "print(sorted({'typst', 'markdown_it', 'verovio', 'numpy'} & set(sys.modules)))"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert loaded.stdout.strip() == "[]"
