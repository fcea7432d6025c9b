"""Slower orders for the worker: sound, alternatives, the look of the sheet, a lick as tab."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from lickwright.errors import HandError, LickwrightError
from lickwright.lesson.compile import frozen
from lickwright.lick import LickNote
from lickwright.studio.work.preview import Order, note_moved, worked_from


@dataclass(frozen=True, slots=True)
class RenderedSound:
    """An example as three parts that start together; each is a WAV file.

    Parameters
    ----------
    start_s : when the first bar line sounds.
    quarter_s : seconds that a quarter note lasts.
    """

    lead: bytes
    backing: bytes
    click: bytes
    start_s: float
    quarter_s: float


def sound(order: Order, tempo_bpm: float, feel: str = "") -> RenderedSound:
    """Sound an example: lead, backing, and a click on every beat, at one loudness together.

    Parameters
    ----------
    feel : how the band plays; ``""`` for what the lesson says.
    """
    import numpy as np

    from lickwright.score import Click, CountIn
    from lickwright.sound.band import clicks
    from lickwright.sound.mix import TARGET_LUFS, Playing, encode, loudness, stems

    shop, worked = worked_from(order)
    score = worked.score
    wanted = feel or worked.entry.backing or shop.lesson.entry.backing
    playing = Playing(feel="drone" if wanted == "none" else wanted, count_in_bars=0)
    parts = stems(score, tempo_bpm, playing)
    beats = [Click(at, number == 1) for bar in score.bars for at, number in bar.felt_beats]
    click = clicks(CountIn(score.length, tuple(beats)), tempo_bpm, len(parts.lead))
    mix = parts.lead + parts.backing
    heard = loudness(mix)
    gain = 10.0 ** ((TARGET_LUFS - heard) / 20.0) if np.isfinite(heard) else 1.0
    peak = float(np.abs(mix + click).max()) or 1.0
    gain = min(gain, 0.89 / peak)
    lead, backing, beat = (
        encode((part * np.float32(gain)).astype(np.float32), "wav")
        for part in (parts.lead, parts.backing, click)
    )
    return RenderedSound(lead, backing, beat, parts.start_s, 60.0 / tempo_bpm)


def as_tab(order: Order) -> dict[str, Any]:
    """The example as keys of one that is given as tab."""
    shop, worked = worked_from(order)
    return _tab_keys(frozen(worked, shop.meter(worked.entry), worked.entry.changes))


def _tab_keys(text: str) -> dict[str, Any]:
    from ruamel.yaml import YAML

    (entry,) = YAML(typ="safe", pure=True).load(text)
    return dict(entry)


def with_note_moved(order: Order, index: int, string: int, fret: int) -> dict[str, Any]:
    """The example as tab, with one note played elsewhere; its finger is found anew.

    Raises
    ------
    HandError, NeckError
        When the instrument has no such place.
    """
    from lickwright.neck import Position
    from lickwright.theory import pitch_from_midi, spell

    shop, worked = worked_from(order)
    lick, guitar = worked.score.lick, worked.score.guitar
    if not 0 <= index < len(lick.notes):
        raise HandError(f"there is no note {index + 1}", mend="Choose one of the notes")
    own = lick.notes[index]
    place = Position(string, fret)
    midi = guitar.midi_at(place)
    name = own.pitch.name
    if midi % 12 != name.pc:
        name = spell(midi % 12, shop.key(worked.entry))
    moved: LickNote = replace(own, position=place, pitch=pitch_from_midi(midi, name), finger=None)
    score = replace(worked.score, lick=note_moved(lick, index, moved))
    keys = _tab_keys(
        frozen(replace(worked, score=score), shop.meter(worked.entry), worked.entry.changes)
    )
    keys["fingers"] = pinned_fingers(worked.entry.fingers, len(lick.notes), {index: None})
    return keys


def pinned_fingers(
    own: tuple[int | None, ...] | None, count: int, changed: Mapping[int, int | None]
) -> str:
    """The ``fingers`` key: those pinned before, and the changed ones; a dot for an open choice."""
    pins = dict(enumerate(own or ())) | dict(changed)
    return " ".join("." if pins.get(at) is None else str(pins[at]) for at in range(count))


def same_pitch(order: Order, index: int) -> list[tuple[int, int]]:
    """Every other place, string and fret, that sounds as note ``index`` does."""
    from lickwright.neck import Position

    _, worked = worked_from(order)
    guitar = worked.score.guitar
    own = worked.score.lick.notes[index]
    wanted = guitar.midi_at(own.position)
    places = []
    for string in range(1, guitar.string_count + 1):
        fret = own.position.fret + wanted - guitar.midi_at(Position(string, own.position.fret))
        if fret != own.position.fret and 0 <= fret <= guitar.last_fret:
            places.append((string, fret))
    return places


@dataclass(frozen=True, slots=True)
class Alternatives:
    """Other fingers and other strokes for the whole line: what each is, and its text."""

    fingers: tuple[tuple[str, str], ...]
    strokes: tuple[tuple[str, str], ...]
    hands: tuple[str, ...]


def alternatives(order: Order) -> Alternatives:
    """The three cheapest fingerings, the strokes of each style, and what both hands have to do."""
    from lickwright.lick.fingering import best_fingerings
    from lickwright.lick.hands import playability
    from lickwright.lick.picking import assign_strokes, print_strokes

    shop, worked = worked_from(order)
    lick, guitar = worked.score.lick, worked.score.guitar
    hand = shop.lesson.entry.hand
    places = [note.position for note in lick.notes]
    onsets: list[Fraction] = [note.onset for note in lick.notes]
    found = best_fingerings(
        places, guitar, worked.score.target_bpm, count=3, onsets=onsets, hand=hand
    )
    least = found[0].cost
    fingers = tuple(
        (
            "least work"
            if one is found[0]
            else f"{(one.cost - least) / max(1, least):.0%} more work",
            " ".join(map(str, one.fingers)),
        )
        for one in found
    )
    strokes = []
    for policy in ("sweep", "alternate", "down", "legato"):
        try:
            strokes.append((policy, print_strokes(assign_strokes(places, policy, onsets=onsets))))
        except LickwrightError:
            continue  # a style that cannot play this line is no alternative
    report = playability(
        lick, guitar, worked.score.target_bpm, hand=hand, meter=shop.meter(worked.entry)
    )
    return Alternatives(fingers, tuple(strokes), tuple(str(report).splitlines()))


#: Pixels an inch of a quick look at the sheet.
LOOK_PPI = 84.0


def sheet_pages(order: Order) -> list[bytes]:
    """The printed sheet as it would be built now, a PNG a page.

    Raises
    ------
    LickwrightError
        Where an example cannot be worked out.
    """
    from lickwright.engrave.sheet import sheet_png
    from lickwright.publish import page_parts, settings_of, sheet_of

    shop, _ = worked_from(order)
    lesson = shop.lesson
    parts = [
        page_parts(shop.worked(index), settings_of(lesson, index))
        for index in range(len(lesson.examples))
    ]
    return sheet_png(sheet_of(lesson, parts), LOOK_PPI)


def pair_sound(triads: list[str], over: str, key: str) -> RenderedSound:
    """Some triads, each up and down once, over a held bass.

    It is an example like any other, so that it sounds as it will in a lesson.
    """
    import json

    lesson = {
        "lesson": "Heard",
        "key": key,
        "tempo": {"slow": 60, "target": 100},
        "examples": [
            {"name": "Heard", "triads": triads, "over": over, "contour": "up", "rhythm": "8ths"}
        ],
    }
    # JSON is YAML too.
    return sound(Order(json.dumps(lesson), "heard.yaml", 0), 100.0, "drone")
