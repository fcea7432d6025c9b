"""The printed sheet and the web page of a lesson, put together from the parts of its examples."""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.engrave.sheet import TEXT_WIDTH_PT, Sheet, SheetExample
from lickwright.engrave.web import Media, PageLink, WebLesson
from lickwright.errors import Finding
from lickwright.lesson.file import ExampleEntry, Lesson
from lickwright.neck import tuning_name
from lickwright.publish.example_files import Parts, Settings

PAPERS = {"a4": "a4", "letter": "us-letter"}
_MM_PER_PT = 25.4 / 72

#: Shown on every sheet and page.  Strain: common practice, deferring to clinicians.  Levels: WHO
#: and ITU-T H.870 (80 dB for 40 hours a week), NIOSH 98-126 (85 dBA for 8 hours).
CAUTIONS = (
    "Warm up, begin slowly, and rest for a few minutes after every twenty of practice. Stop at"
    " pain, numbness or tingling; if it comes back, ask a clinician before you go on.",
    "Keep headphones and amplifiers at a level you can talk over: 80 dB for 40 hours a week is the"
    " most that WHO and ITU (H.870) advise for listening, 85 dBA for 8 hours a day that NIOSH"
    " advises at work. Local rules come first.",
)


def page_width_mm(lesson: Lesson) -> float:
    """Width of a line of music on the lesson's paper."""
    return round(TEXT_WIDTH_PT[PAPERS[lesson.entry.paper]] * _MM_PER_PT, 1)


def settings_of(lesson: Lesson, index: int) -> Settings:
    """What the lesson decides for the files of one of its examples."""
    entry, example = lesson.entry, lesson.examples[index]
    return Settings(
        width_mm=page_width_mm(lesson),
        player=lesson.player,
        backing=example.backing or entry.backing,
        sound=lesson.sound_of(example),
        labels=example.labels or entry.labels,
        audio=entry.audio,
        extras=entry.extras if example.extras is None else example.extras,
        title=entry.lesson,
    )


def sheet_of(lesson: Lesson, parts: Sequence[Parts]) -> Sheet:
    """The sheet to be printed."""
    entry = lesson.entry
    return Sheet(
        title=entry.lesson,
        number="" if entry.number is None else str(entry.number),
        byline=entry.teacher,
        key=str(entry.key),
        tempo=_tempo(entry.tempo.slow, entry.tempo.target),
        instrument=_instrument(lesson),
        opening=entry.text,
        examples=tuple(
            _example(lesson, example, number, part)
            for number, (example, part) in enumerate(
                zip(lesson.examples, parts, strict=True), start=1
            )
        ),
        closing=entry.closing,
        cautions=CAUTIONS,
        footer=entry.teacher or entry.lesson,
        paper="us-letter" if entry.paper == "letter" else "a4",
    )


def web_of(sheet: Sheet, parts: Sequence[Parts], findings: Sequence[Finding]) -> WebLesson:
    """The page to look and listen on."""
    media = tuple(Media(part.tracks, part.downloads, part.follow) for part in parts)
    return WebLesson(sheet, media, (PageLink("Lesson sheet (PDF)", "lesson.pdf"),), tuple(findings))


def _example(lesson: Lesson, example: ExampleEntry, number: int, part: Parts) -> SheetExample:
    return SheetExample(
        name=example.name,
        number=str(number),
        setting=_setting(lesson, example),
        text=example.text,
        notation=part.systems,
        diagrams=part.diagrams,
        implied=part.implied,
        notes=example.notes,
        playability=part.playability,
        practice=part.practice,
        rests=part.rests,
    )


def _setting(lesson: Lesson, example: ExampleEntry) -> str:
    """Key, time and tempi where they differ from the lesson's."""
    words = []
    if example.key is not None and example.key != lesson.entry.key:
        words.append(str(example.key))
    if example.time is not None and example.time != lesson.entry.time:
        words.append(f"{example.time[0]}/{example.time[1]}")
    tempo = lesson.tempo_of(example)
    if tempo != lesson.entry.tempo:
        words.append(_tempo(tempo.slow, tempo.target))
    return ", ".join(words)


def _tempo(slow: float, target: float) -> str:
    return f"♩ = {slow:g}, then {target:g}"


def _instrument(lesson: Lesson) -> str:
    guitar = lesson.guitar
    name = tuning_name(guitar.open_strings)
    strings = " ".join(str(pitch.name) for pitch in reversed(guitar.open_strings))
    words = [f"{name} tuning" if name else f"tuned {strings}", f"{guitar.frets} frets"]
    if guitar.capo:
        words.append(f"capo at fret {guitar.capo}")
    return ", ".join(words)
