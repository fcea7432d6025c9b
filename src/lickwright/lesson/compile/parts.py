"""How do the parts of an example become one line: their settings, their places, their links?

What a linked part does not say, it takes from its model; what no part says, from the example.  A
part that names no triads, frets, strings or joining of its own lies where its model lies.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from fractions import Fraction

from lickwright.lesson.compile.places import (
    USUAL_CONTOUR,
    FretWindow,
    chains_there,
    merged_there,
    windows_of,
)
from lickwright.lesson.file import ExampleEntry, Joined, PartEntry, model_of, part_names
from lickwright.lick import Lick, PartLink, Stroke
from lickwright.lick.hands import Player, part_strokes
from lickwright.lick.phrase import (
    Contour,
    Home,
    PartFilling,
    PartPlan,
    PartTask,
    Shapes,
    Voices,
    join_parts,
    place_parts,
    turned_round,
)
from lickwright.lick.rhythm import Meter, Rhythm
from lickwright.neck import Guitar
from lickwright.neck.shapes import MergedArpeggio, Shape
from lickwright.theory import Chord, NoteName, Triad

#: Gives an error the place of a key of a part: called with the part's index and the key.
At = Callable[[int, str], AbstractContextManager[None]]


@dataclass(frozen=True, slots=True)
class PartSetting:
    """What a part is made from, with all that it takes from elsewhere filled in.

    Parameters
    ----------
    lasts : bars, ``None`` for as long as it is written.
    same_place : whether it lies where its model lies.
    """

    name: str
    triads: tuple[Triad, ...]
    joined: Joined
    frets: tuple[FretWindow, ...] | None
    strings: tuple[int, int] | None
    contour: Contour
    rhythm: Rhythm
    lasts: Fraction | None
    filled: PartFilling
    link: PartLink | None = None
    of: int | None = None
    same_place: bool = False


def settings_of(entry: ExampleEntry, usual_rhythm: Rhythm) -> list[PartSetting]:
    """The settings of each part of an example, in order."""
    parts = entry.parts or []
    names = part_names(parts)
    settings: list[PartSetting] = []
    for index, part in enumerate(parts):
        of = model_of(parts, index)
        if of is None:
            model = PartSetting(
                names[index],
                entry.triads or (),
                entry.joined,
                None if entry.frets is None else tuple(entry.frets),
                entry.strings,
                entry.contour or USUAL_CONTOUR,
                entry.rhythm or usual_rhythm,
                None,
                PartFilling.HELD,
            )
        else:
            model = settings[of]
        settings.append(_with_own(part, replace(model, name=names[index], link=part.link, of=of)))
    return settings


def _with_own(part: PartEntry, model: PartSetting) -> PartSetting:
    """The settings of a part over those that it takes up."""
    place_keys = ("triads", "joined", "frets", "strings")
    setting = replace(
        model, same_place=part.link is not None and not any(map(part.says, place_keys))
    )
    if part.link in (PartLink.MIRROR, PartLink.ANSWER):
        setting = replace(setting, contour=turned_round(model.contour))
    if part.triads is not None:
        setting = replace(setting, triads=part.triads)
    if part.joined is not None:
        setting = replace(setting, joined=part.joined)
    if part.frets is not None:
        setting = replace(setting, frets=tuple(part.frets))
    if part.strings is not None:
        setting = replace(setting, strings=part.strings)
    if part.contour is not None:
        setting = replace(setting, contour=part.contour)
    if part.rhythm is not None:
        setting = replace(setting, rhythm=part.rhythm)
    if part.says("lasts"):
        setting = replace(setting, lasts=part.lasts)
    if part.says("filled"):
        setting = replace(setting, filled=PartFilling(part.filled))
    return setting


def basses_of(entry: ExampleEntry) -> list[tuple[NoteName, Chord | None]]:
    """Under each part of an example without changes: the sounding bass, and what is claimed.

    Both hold until a part says otherwise; a new bass ends the claim over the old one.
    """
    over, claim = entry.over, entry.implies
    basses = []
    for part in entry.parts or ():
        if part.over is not None:
            over, claim = part.over, part.implies
        elif part.implies is not None:
            claim = part.implies
        assert over is not None, "the first part names a bass where the example does not"
        basses.append((over, claim))
    return basses


def home_tones(claim: Chord | None, bass: NoteName) -> tuple[int, ...]:
    """Where a line comes home: root, fifth and third of a chord, or over a bass, as classes.

    Over a bass alone the third may be either.
    """
    if claim is None:
        return tuple((bass.pc + step) % 12 for step in (0, 7, 4, 3))
    by_degree = dict(zip(claim.kind.degrees, claim.tones, strict=True))
    home = [claim.root.pc]
    home += [by_degree[d].pc for d in ("5", "b5", "#5", "3", "b3") if d in by_degree]
    return tuple(home)


def triads_of(settings: list[PartSetting]) -> tuple[Triad, ...]:
    """The triads of all parts, each once, in the order in which they come: the voices."""
    return tuple(dict.fromkeys(triad for setting in settings for triad in setting.triads))


def shapes_of_parts(settings: list[PartSetting], guitar: Guitar, hand: str, at: At) -> list[Shapes]:
    """The shapes of each part, placed near each other.

    Raises
    ------
    NeckError
        Where a part's triads lie nowhere there, or a part that mirrors does not fit.
    """
    tasks = []
    for index, setting in enumerate(settings):
        with at(index, "frets" if setting.frets else "triads"):
            needs_place = not setting.same_place or setting.link is PartLink.MIRROR
            ways = _ways(setting, guitar, hand) if needs_place else ()
        tasks.append(
            PartTask(
                setting.name,
                ways,
                setting.contour,
                setting.of if setting.link is PartLink.MIRROR else None,
                setting.of if setting.same_place else None,
            )
        )
    return place_parts(tasks, guitar, hand)


def _ways(setting: PartSetting, guitar: Guitar, hand: str) -> tuple[tuple[float, Shapes], ...]:
    if setting.joined == "merged":
        found = merged_there(setting.triads, guitar, setting.frets, setting.strings, hand)
        return tuple((cost, (arpeggio,)) for cost, arpeggio in found)
    windows = windows_of(setting.frets, len(setting.triads), guitar)
    return chains_there(setting.triads, guitar, windows, setting.strings, setting.contour, hand)


def line_of_parts(
    settings: list[PartSetting],
    shapes: list[Shapes],
    guitar: Guitar,
    meter: Meter,
    home: Home,
) -> Lick:
    """The parts in time as one lick, its hands still open.

    Parameters
    ----------
    shapes : by part, as they are played.

    Raises
    ------
    ContourError, RhythmError, NeckError
        Naming the part, where it does not fit its time or its link.
    """
    voices = triads_of(settings)
    plans = []
    for setting, played in zip(settings, shapes, strict=True):
        plans.append(
            PartPlan(
                setting.name,
                played,
                tuple(_voices(shape, voices) for shape in played),
                setting.contour,
                setting.rhythm,
                None if setting.lasts is None else setting.lasts * meter.bar,
                setting.filled,
                setting.link,
                setting.of,
            )
        )
    return join_parts(plans, guitar, meter=meter, home=home)


def _voices(shape: object, voices: tuple[Triad, ...]) -> Voices:
    if isinstance(shape, MergedArpeggio):
        return tuple(map(voices.index, shape.triads))
    assert isinstance(shape, Shape), "parts are made from triads"
    return voices.index(shape.triad)


def strokes_of_parts(
    original: ExampleEntry,
    entry: ExampleEntry,
    lick: Lick,
    meter: Meter,
    tempo_bpm: float,
    player: Player,
) -> list[Stroke | None] | None:
    """The strokes that the links of the parts of an example, or their own, ask for.

    ``None`` for none.  ``entry`` is the example itself or an easier form of it; of fewer notes the
    strokes are found anew.
    """
    own = {
        index: part.strokes
        for index, part in enumerate(original.parts or ())
        if part.strokes is not None and entry.level != "easy"
    }
    return part_strokes(
        lick,
        entry.picking,
        own=own,
        meter=meter,
        tempo_bpm=tempo_bpm,
        start=entry.first_stroke,
        escape=player.escape,
    )
