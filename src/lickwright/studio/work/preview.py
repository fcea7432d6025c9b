"""What the studio shows of one example: a preview, made in a process of its own.

Everything here runs in a worker, so that engraving never holds up a hand that is typing; what
comes back is plain data.  A preview is made of the same Score as the printed page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from lickwright.errors import LickwrightError
from lickwright.lesson import flaws
from lickwright.lesson.compile import Span, Worked, Workshop
from lickwright.lesson.file import Lesson, read_lesson
from lickwright.lick import Lick, LickNote

#: Ids of the music in the page begin so.
PREFIX = "m"


@dataclass(frozen=True, slots=True)
class ExampleRequest:
    """Which example of which text, and how it is to be shown.

    Parameters
    ----------
    text : a whole lesson file; ``path`` is only named in errors.
    width_mm : of a line of music.
    """

    text: str
    path: str
    index: int
    width_mm: float = 170.0


@dataclass(frozen=True, slots=True)
class NoteFact:
    """One note in words and numbers; times in quarter notes."""

    string: int
    fret: int
    pitch: str
    degree: str
    finger: int | None
    stroke: str
    technique: str
    onset: float
    end: float
    bar: int
    midi: int


@dataclass(frozen=True, slots=True)
class ShownChord:
    """One chord of the example: what is claimed, what sounds, why."""

    bar: int
    onset: float
    end: float
    symbol: str
    claim: str
    over: str
    triads: tuple[str, ...]
    degrees: str
    others: tuple[str, ...]
    why: str
    frets: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Fault:
    """A finding beside the note it concerns; ``note`` counts from 0."""

    severity: str
    what: str
    mend: str
    note: int | None = None


@dataclass(frozen=True, slots=True)
class HeadFact:
    """A note head: its system, its note, whether in the tab, and its middle as shares."""

    system: int
    note: int
    tab: bool
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Neck:
    """A neck diagram and where its positions stand in it, as shares of its width and height."""

    svg: str
    caption: str
    places: dict[str, tuple[float, float]]
    width_px: float


@dataclass(frozen=True, slots=True)
class Preview:
    """One example as the studio shows it; where ``systems`` is empty, ``faults`` says why."""

    systems: tuple[str, ...] = ()
    heads: tuple[HeadFact, ...] = ()
    notes: tuple[NoteFact, ...] = ()
    chords: tuple[ShownChord, ...] = ()
    necks: tuple[Neck, ...] = ()
    faults: tuple[Fault, ...] = ()
    reach: tuple[str, ...] = ()
    bars: tuple[tuple[int, float, float], ...] = ()
    beats: tuple[float, ...] = ()
    tempi: tuple[float, float] = (66.0, 112.0)
    engraving_ms: float = 0.0


def worked_for(request: ExampleRequest) -> tuple[Workshop, Worked]:
    """The example of a request, worked out.

    Raises
    ------
    LickwrightError
        Where the lesson cannot be read, or its music is impossible.
    """
    workshop = workshop_of(request.text, request.path)
    return workshop, workshop.worked(request.index)


@lru_cache(maxsize=8)
def workshop_of(text: str, path: str) -> Workshop:
    """Where the examples of a lesson are worked out; the newest lessons are kept."""
    return Workshop(read_lesson(text, Path(path)))


def previewed(request: ExampleRequest) -> Preview:
    """The preview of an example; whatever is wrong with it is told in the preview."""
    try:
        workshop, worked = worked_for(request)
        return _preview(workshop.lesson, worked, request)
    except LickwrightError as error:
        return Preview(faults=(Fault("error", error.what, error.mend),))


def _preview(lesson: Lesson, worked: Worked, request: ExampleRequest) -> Preview:
    from time import perf_counter

    from lickwright.engrave.page import engrave

    score = worked.score
    started = perf_counter()
    engraving = engrave(score, request.width_mm)
    took_ms = 1000.0 * (perf_counter() - started)
    many = len(engraving.systems)
    systems = tuple(
        _inline(system.svg, f"{PREFIX}{at}", f"Notation and tab, line {at + 1} of {many}")
        for at, system in enumerate(engraving.systems)
    )
    heads = tuple(
        HeadFact(
            at,
            head.note,
            head.tablature,
            round(head.x_mm / system.width_mm, 4),
            round(head.y_mm / system.height_mm, 4),
        )
        for at, system in enumerate(engraving.systems)
        for head in system.heads
    )
    beats = [float(at) for bar in score.bars for at, _ in bar.felt_beats]
    return Preview(
        systems,
        heads,
        tuple(_note(note, worked) for note in score.lick.notes),
        tuple(_chords(worked)),
        _necks(lesson, worked),
        tuple(Fault(f.severity, f.what, f.mend, f.note) for f in flaws(worked, lesson)),
        _reach(worked),
        tuple((bar.number, float(bar.onset), float(bar.end)) for bar in score.bars),
        tuple(beats),
        (score.slow_bpm, score.target_bpm),
        took_ms,
    )


def _inline(svg: str, prefix: str, label: str) -> str:
    """A system of our own engraver beside others in one page: ids of its own, and a name.

    It is our own drawing, letters as outlines and words escaped, so that it needs no cleaning.
    """
    own = svg.replace(' id="', f' id="{prefix}-').replace('href="#', f'href="#{prefix}-')
    return own.replace("<svg ", f'<svg role="img" aria-label="{label}" ', 1)


def _note(note: LickNote, worked: Worked) -> NoteFact:
    bar = worked.score.bar_at(note.onset).number
    return NoteFact(
        note.position.string,
        note.position.fret,
        str(note.pitch),
        note.degree or "",
        note.finger,
        note.stroke.value if note.stroke else "",
        note.technique.value,
        float(note.onset),
        float(note.end),
        bar,
        note.pitch.midi,
    )


def _chords(worked: Worked) -> list[ShownChord]:
    choices = worked.choices or ("",) * len(worked.spans)
    return [
        ShownChord(
            worked.score.bar_at(span.onset).number,
            float(span.onset),
            float(span.end),
            span.reading.symbol if span.reading else "",
            "" if span.claim is None else str(span.claim),
            str(span.over),
            tuple(str(triad) for triad in span.triads),
            " ".join(span.reading.degrees) if span.reading else "",
            tuple(r.symbol for r in span.readings if r is not span.reading and r.symbol)[:3],
            why,
            _frets(_notes_in(worked, span)),
        )
        for span, why in zip(worked.spans, choices, strict=True)
    ]


def _notes_in(worked: Worked, span: Span) -> tuple[LickNote, ...]:
    return worked.score.lick.notes_in(span.onset, span.end)


def _frets(notes: Sequence[LickNote]) -> tuple[int, int] | None:
    frets = [note.position.fret for note in notes if note.position.fret]
    return (min(frets), max(frets)) if frets else None


def _necks(lesson: Lesson, worked: Worked) -> tuple[Neck, ...]:
    """One neck for each different chord, its marks where the lick plays them."""
    from lickwright.drawing import inline_svg, lick_marks
    from lickwright.engrave import mark_places, neck_svg
    from lickwright.engrave.sheet import svg_size

    guitar = worked.score.guitar
    shown = worked.entry.labels or lesson.entry.labels
    necks = []
    for at, span in enumerate(worked.spans):
        marks = lick_marks(Lick(_notes_in(worked, span), worked.score.lick.length))
        names = [str(triad) for triad in span.triads]
        caption = f"{' and '.join(names)} over {span.over}" if names else f"over {span.over}"
        svg = neck_svg(guitar, marks, labels=shown, voices=names, bass=span.over, title=caption)
        width, height = svg_size(svg)
        places = {
            f"{place.string}/{place.fret}": (round(x / width, 4), round(y / height, 4))
            for place, (x, y) in mark_places(guitar, marks).items()
        }
        necks.append(Neck(inline_svg(svg, f"k{at}")[0], caption, places, width))
    return tuple(necks)


def _reach(worked: Worked) -> tuple[str, ...]:
    """How far apart the fingers stand in each triad, in mm."""
    guitar = worked.score.guitar
    said = []
    span = worked.spans[0]
    for voice, triad in enumerate(span.triads):
        notes = [n for n in _notes_in(worked, span) if voice in n.triads and n.position.fret]
        if notes:
            places = [guitar.finger_mm(note.position) for note in notes]
            frets = _frets(notes)
            assert frets is not None, "stopped notes have frets"
            said.append(
                f"{triad}: {max(places) - min(places):.0f} mm between its outer fingers,"
                f" frets {frets[0]} to {frets[1]}"
            )
    return tuple(said)


def note_moved(lick: Lick, index: int, note: LickNote) -> Lick:
    """The lick with one note in another place."""
    return replace(lick, notes=(*lick.notes[:index], note, *lick.notes[index + 1 :]))
