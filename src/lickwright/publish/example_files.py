"""The files of one example, and what the sheet and the index need to know of it.

Every example becomes a page (SVG), an exchange file (MusicXML), a MIDI file, audio at the slow
and the target tempo and a neck diagram for each group of triads, and what else the lesson ships.
What later steps need beside these files, the engraved systems one by one and all the words, goes
into one JSON file of *parts*, so that a change to one example rebuilds that example and the pages
alone.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import ClassVar

from pydantic import ConfigDict, TypeAdapter

from lickwright.engrave.sheet import Diagram, ImpliedRow, PracticeRow
from lickwright.engrave.web import NeckTimes, PageLink, PageTrack, follow_data
from lickwright.lesson.compile import Span, Worked
from lickwright.lesson.file import AudioKind, Extra, Labels, SoundEntry
from lickwright.lick import Lick
from lickwright.lick.hands import (
    Playability,
    Player,
    PracticeStep,
    minutes,
    playability,
    practice_plan,
)
from lickwright.publish.audio_files import make_audio, playing_of
from lickwright.publish.video_files import make_video
from lickwright.theory import NoteName, Triad

#: Where the parts of examples lie in the output folder.
PARTS_FOLDER = ".parts"
#: How many other readings are worth printing.
ALTERNATIVES = 3


@dataclass(frozen=True, slots=True)
class Parts:
    """What the sheet and the index need of a finished example.

    Parameters
    ----------
    systems : SVG, one a line of music.
    tracks, downloads : files to hear and to fetch, each with its name for people.
    measured : by audio file name, what was measured in it.
    follow : for the playhead, as JSON.
    """

    systems: tuple[str, ...]
    diagrams: tuple[Diagram, ...]
    implied: tuple[ImpliedRow, ...]
    playability: str
    practice: tuple[PracticeRow, ...]
    rests: str
    tracks: tuple[PageTrack, ...]
    downloads: tuple[PageLink, ...]
    measured: Mapping[str, Mapping[str, float]]
    follow: str

    #: Silence measures as minus infinity.
    __pydantic_config__: ClassVar = ConfigDict(ser_json_inf_nan="constants")

    def to_json(self) -> bytes:
        return _parts_adapter().dump_json(self) + b"\n"

    @classmethod
    def from_json(cls, data: bytes) -> Parts:
        return _parts_adapter().validate_json(data)


@lru_cache(maxsize=1)
def _parts_adapter() -> TypeAdapter[Parts]:
    return TypeAdapter(Parts)


@dataclass(frozen=True, slots=True)
class MadeExample:
    """A finished example: what its files hold, by name, and its parts, which are one of them."""

    files: Mapping[str, bytes]
    parts: Parts


def slug(index: int, name: str) -> str:
    """The file name of an example without its ending: ``01-the-pair``."""
    plain = unicodedata.normalize("NFKD", name.replace("♯", " sharp ").replace("♭", " flat "))
    words = re.findall(r"[a-z0-9]+", plain.encode("ascii", "ignore").decode().lower())
    return f"{index + 1:02d}-{'-'.join(words)[:48].rstrip('-')}".rstrip("-")


def parts_file(stem: str) -> str:
    """Where the parts of an example lie, relative to the output folder."""
    return f"{PARTS_FOLDER}/{stem}.json"


@dataclass(frozen=True, slots=True)
class Settings:
    """What the lesson decides for an example's files, beside its music."""

    width_mm: float
    player: Player
    backing: str
    sound: SoundEntry
    labels: Labels
    audio: AudioKind
    extras: tuple[Extra, ...]
    title: str


def make_example(worked: Worked, index: int, settings: Settings) -> MadeExample:
    """Engrave, draw and sound one example.

    Returns
    -------
    Its files by name, relative to the output folder, the parts last; and the parts themselves.
    """
    from lickwright.engrave.page import engrave
    from lickwright.formats.musicxml import musicxml
    from lickwright.sound import midi_bytes

    score = worked.score
    stem = slug(index, worked.entry.name)
    base = f"examples/{stem}"
    engraving = engrave(score, settings.width_mm)
    playing = playing_of(settings.backing, settings.sound)
    midi = midi_bytes(score, score.target_bpm, feel=playing.feel, backing=playing.with_backing)
    files = {
        f"{base}.svg": engraving.svg.encode(),
        f"{base}.musicxml": musicxml(score).encode(),
        f"{base}.mid": midi,
    }
    downloads = [
        PageLink("Music (SVG)", f"{base}.svg"),
        PageLink("MusicXML", f"{base}.musicxml"),
        PageLink("MIDI", f"{base}.mid"),
    ]
    necks = _necks(worked, settings.labels)
    diagrams = tuple(necks)
    for number, diagram in enumerate(diagrams, start=1):
        which = f" {number}" if len(diagrams) > 1 else ""
        name = f"{base}-neck{which.replace(' ', '-')}.svg"
        files[name] = diagram.svg.encode()
        downloads.append(PageLink(f"Neck{which} (SVG)", name))
    audio = make_audio(score, base, playing, settings.audio, settings.extras)
    video = make_video(
        worked,
        base,
        audio.full_speed,
        playing,
        settings.labels,
        settings.title,
        settings.extras,
    )
    parts = replace(
        _silent_parts(worked, settings, engraving.svgs, diagrams),
        tracks=audio.tracks,
        downloads=(*downloads, *audio.downloads, *video.downloads),
        measured=audio.measured,
        follow=follow_data(score, engraving, tuple(necks.values())),
    )
    written = {**files, **audio.files, **video.files, parts_file(stem): parts.to_json()}
    return MadeExample(written, parts)


def page_parts(worked: Worked, settings: Settings) -> Parts:
    """What the sheet needs of an example, with nothing to hear or fetch: a quick look at it."""
    from lickwright.engrave.page import engrave

    systems = engrave(worked.score, settings.width_mm).svgs
    return _silent_parts(worked, settings, systems, tuple(_necks(worked, settings.labels)))


def _silent_parts(
    worked: Worked, settings: Settings, systems: tuple[str, ...], diagrams: tuple[Diagram, ...]
) -> Parts:
    score = worked.score
    report = playability(
        score.lick,
        score.guitar,
        score.target_bpm,
        policy=worked.entry.picking,
        meter=score.meter,
        player=settings.player,
    )
    plan = practice_plan(score.lick, report, score.slow_bpm)
    return Parts(
        systems=systems,
        diagrams=diagrams,
        implied=tuple(_implied(worked)),
        playability=_in_the_hands(report),
        practice=tuple(_practice_row(step) for step in plan.steps),
        rests=f"About {minutes(plan, score.lick)} minutes in all. {plan.rests}",
        tracks=(),
        downloads=(),
        measured={},
        follow="",
    )


def _practice_row(step: PracticeStep) -> PracticeRow:
    tempi = ", ".join(f"{tempo:g}" for tempo in step.tempi_bpm)
    return PracticeRow(step.what, f"♩ = {tempi}" if tempi else "", step.times)


def _in_the_hands(report: Playability) -> str:
    """What the lick asks of both hands, in the few words that a page has room for."""
    hardest, stretch = report.hardest, report.longest_stretch
    words = [
        f"At {report.tempo_bpm:g} bpm the hardest moment is note {hardest.note + 1}: {hardest.why}."
    ]
    ceilings = [
        f"{hand} hand about {need.ceiling_bpm:.0f} bpm (note {need.note + 1})"
        for hand, need in (("fretting", report.left_ceiling), ("picking", report.pick_ceiling))
        if need is not None
    ]
    if ceilings:
        words.append(f"Estimated tempo ceiling for {report.whom}: {', '.join(ceilings)}.")
    if stretch.stretch_mm:
        words.append(f"Longest stretch {stretch.stretch_mm:.0f} mm, to note {stretch.note + 1}.")
    words += [f"{caution}." for caution in report.cautions]
    return " ".join(words)


def _implied(worked: Worked) -> list[ImpliedRow]:
    """One row for each different chord, in the order in which they come."""
    choices = worked.choices or ("",) * len(worked.spans)
    rows = [
        _implied_row(span, choice)
        for span, choice in zip(worked.spans, choices, strict=True)
        if span.reading is not None
    ]
    return list(dict.fromkeys(rows))


def _implied_row(span: Span, choice: str) -> ImpliedRow:
    reading = span.reading
    assert reading is not None, "asked only of spans with notes"
    others = [other.symbol for other in span.readings if other is not reading and other.symbol]
    return ImpliedRow(
        symbol=reading.symbol or "no common name",
        degrees=" ".join(reading.degrees),
        why=_why(span) if not choice else f"{_why(span)} {_sentence(choice)}",
        alternatives=tuple(others[:ALTERNATIVES]),
        over=str(span.over),
    )


def _why(span: Span) -> str:
    """One sentence on who plays what of the chord."""
    reading = span.reading
    assert reading is not None, "asked only of spans with notes"
    if not reading.named:
        return "No chord in use holds all of these notes; the degrees stand over the bass."
    bass_degree = dict(zip(reading.notes, reading.degrees, strict=True)).get(reading.bass, "1")
    played = [
        degree
        for note, degree in zip(reading.notes, reading.degrees, strict=True)
        if note.pc in span.notes
    ]
    words = ["the bass has the root" if bass_degree == "1" else f"the bass has the {bass_degree}"]
    if "1" not in played and bass_degree == "1":
        words[0] += " and the line leaves it there"
    guides = [degree for degree in reading.guide_tones if degree in played]
    if guides:
        words.append(f"the line tells the chord by its {' and '.join(guides)}")
    colours = [degree for degree in reading.tensions if degree in played]
    if colours:
        words.append(f"{' and '.join(colours)} {'colours' if len(colours) == 1 else 'colour'} it")
    absent = [degree for degree in reading.missing if degree != "1"]
    if absent:
        words.append(f"nobody plays the {' or the '.join(absent)}")
    if reading.clashes:
        words.append(f"mind the clash of {' and '.join(reading.clashes)}")
    return _sentence("; ".join(words))


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


@dataclass(frozen=True, slots=True)
class _NeckGroup:
    """What one neck shows: the notes of some stretches of time, from and to."""

    caption: str
    stretches: tuple[tuple[Fraction, Fraction], ...]
    triads: tuple[Triad, ...]
    bass: NoteName | None

    def holds(self, moment: Fraction) -> bool:
        return any(start <= moment < end for start, end in self.stretches)


def _necks(worked: Worked, labels: Labels) -> dict[Diagram, NeckTimes]:
    """One neck for each different group of triads and bass, or one for a line without triads."""
    from lickwright.drawing import lick_marks
    from lickwright.engrave import mark_places, neck_svg

    lick, guitar = worked.score.lick, worked.score.guitar
    necks: dict[Diagram, NeckTimes] = {}
    for group in _neck_groups(worked):
        notes = tuple(note for note in lick.notes if group.holds(note.onset))
        marks = lick_marks(Lick(notes, lick.length))
        drawn = neck_svg(
            guitar,
            marks,
            labels=labels,
            voices=[str(triad) for triad in group.triads],
            bass=group.bass,
            title=f"{worked.entry.name}: {group.caption}",
        )
        diagram = Diagram(drawn, group.caption)
        before = necks[diagram].spans if diagram in necks else ()
        times = tuple((float(start), float(end)) for start, end in group.stretches)
        necks[diagram] = NeckTimes((*before, *times), mark_places(guitar, marks))
    return necks


def _neck_groups(worked: Worked) -> list[_NeckGroup]:
    """The necks of an example: of a lick over one bass, each part of its own triads has one."""
    spans = worked.spans
    if not any(span.triads for span in spans):
        stretches = tuple((span.onset, span.end) for span in spans)
        bass = spans[0].over if len(spans) == 1 else None
        return [_NeckGroup(worked.entry.name, stretches, (), bass)]
    parts = worked.score.lick.parts
    if len(spans) == 1:
        own = [_triads_of_part(worked, part) for part in range(len(parts))]
        if len(set(own)) > 1:
            return [
                _NeckGroup(
                    f"{part.name}: {_caption(triads, spans[0].over)}",
                    ((part.onset, part.end),),
                    spans[0].triads,
                    spans[0].over,
                )
                for part, triads in zip(parts, own, strict=True)
            ]
    return [
        _NeckGroup(
            _caption(span.triads, span.over), ((span.onset, span.end),), span.triads, span.over
        )
        for span in spans
        if span.notes
    ]


def _triads_of_part(worked: Worked, part: int) -> tuple[Triad, ...]:
    notes = worked.score.lick.notes_of(part)
    voices = sorted({voice for note in notes for voice in note.triads})
    return tuple(worked.spans[0].triads[voice] for voice in voices)


def _caption(triads: Sequence[Triad], over: NoteName) -> str:
    names = " and ".join(map(str, triads))
    return f"{names} over {over}" if names else f"over {over}"
