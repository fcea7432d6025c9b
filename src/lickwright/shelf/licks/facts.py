"""What can a lick be found by?  Its chords, triads, techniques, places on the neck, tempi, words.

The facts are worked out once, when a lick is put on the shelf, and kept beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from lickwright.lesson.compile import Span, Worked
from lickwright.lesson.file import ExampleEntry, Lesson
from lickwright.lick import LickNote, Stroke, Technique
from lickwright.lick.hands import Player, playability
from lickwright.lick.picking import stroke_report
from lickwright.neck import tuning_name
from lickwright.score import Score
from lickwright.shelf.licks.families import family_of
from lickwright.theory import Chord, NoteName, Triad
from lickwright.theory.hearing import Reading, implied_chords

#: How many other ways to hear a bar are kept beside the printed chord, and how surely they must
#: be heard compared with the first.
OTHER_READINGS = 3
SURE_ENOUGH = 0.7

#: A line is said to sweep where so many notes lie in one motion of the pick.
SWEPT_NOTES = 3

#: Every technique a lick can be found by.  Common practice, no source.
TECHNIQUES = (
    "sweep",
    "alternate",
    "legato",
    "slide",
    "string skipping",
    "palm mute",
    "vibrato",
    "dead notes",
    "open strings",
)


@dataclass(frozen=True, slots=True)
class ChordFact:
    """One chord that some bars of a lick imply.

    Parameters
    ----------
    place : which stretch of the lick, from 0.
    chord : root, kind and the bass that sounds.
    printed : whether it is the chord on the page; else it is another way to hear the same notes.
    """

    place: int
    chord: Chord
    printed: bool

    @property
    def family(self) -> str:
        return family_of(self.chord)


@dataclass(frozen=True, slots=True)
class LickFacts:
    """What a lick is found by.

    Parameters
    ----------
    chords : in time; of each stretch the printed chord first.
    triads : each once, in playing order.
    techniques : some of :data:`TECHNIQUES`.
    key, tuning : by name; a tuning without one as its notes.
    strings, frets : lowest and highest number used.
    ceiling_bpm : estimate of the fastest tempo for both hands, ``None`` for fewer than two notes.
    contour, rhythm : as the teacher wrote them, or empty.
    text : the teacher's words about it.
    """

    chords: tuple[ChordFact, ...]
    triads: tuple[Triad, ...]
    techniques: tuple[str, ...]
    key: str
    tuning: str
    strings: tuple[int, int]
    frets: tuple[int, int]
    ceiling_bpm: float | None
    contour: str = ""
    rhythm: str = ""
    text: str = ""


def facts_of(worked: Worked, lesson: Lesson) -> LickFacts:
    """The facts of an example that was worked out."""
    entry = worked.entry
    facts = score_facts(worked.score, picking=entry.picking, player=lesson.player)
    return replace(
        facts,
        chords=tuple(_span_chords(worked.spans)),
        triads=tuple(dict.fromkeys(triad for span in worked.spans for triad in span.triads)),
        contour=str(entry.contour or ""),
        rhythm=str(entry.rhythm or ""),
        text=_said(entry),
    )


def score_facts(
    score: Score,
    over: NoteName | None = None,
    hand: str | None = None,
    picking: str = "sweep",
    player: Player | None = None,
) -> LickFacts:
    """The facts that a Score alone gives.

    Parameters
    ----------
    over : the sounding bass of a line that has no chords of its own.
    hand : whose left hand; the player's where not given.
    picking : the style of the picking hand.
    player : for whom the ceiling is; a practised one where not given.
    """
    notes = score.lick.notes
    positions = [note.position for note in notes]
    ceiling = None
    if len(notes) > 1:
        ceiling = playability(
            score.lick,
            score.guitar,
            score.target_bpm,
            hand,
            policy=picking,
            meter=score.meter,
            player=player or Player(),
        ).ceiling_bpm
    return LickFacts(
        chords=tuple(_score_chords(score, over)),
        triads=(),
        techniques=tuple(_techniques(notes)),
        key=str(score.bars[0].key),
        tuning=tuning_name(score.guitar.open_strings) or score.guitar.tuning,
        strings=_range(place.string for place in positions),
        frets=_range(place.fret for place in positions),
        ceiling_bpm=None if ceiling is None else round(ceiling, 1),
    )


def _said(entry: ExampleEntry) -> str:
    return "\n".join(filter(None, (entry.text, entry.notes)))


def _range(numbers: Iterable[int]) -> tuple[int, int]:
    every = list(numbers) or [0]
    return min(every), max(every)


def _span_chords(spans: Sequence[Span]) -> Iterable[ChordFact]:
    for place, span in enumerate(spans):
        yield from _chord_facts(place, span.chord, span.over, span.readings)


def _score_chords(score: Score, over: NoteName | None) -> Iterable[ChordFact]:
    """The chords that stand over a Score, or what its notes imply over one bass."""
    if score.chords:
        for place, span in enumerate(span for span in score.chords if not span.silent):
            inside = _pitch_classes(score.lick.notes_in(span.onset, span.end))
            readings = implied_chords(inside, span.bass, score.bars[0].key) if inside else []
            yield from _chord_facts(place, span.chord, span.bass, readings)
    elif over is not None and score.lick.notes:
        readings = implied_chords(_pitch_classes(score.lick.notes), over, score.bars[0].key)
        yield from _chord_facts(0, readings[0].chord, over, readings)


def _pitch_classes(notes: Iterable[LickNote]) -> list[int]:
    return list(dict.fromkeys(note.pitch.midi % 12 for note in notes))


def _chord_facts(
    place: int, printed: Chord | None, over: NoteName, readings: Sequence[Reading]
) -> Iterable[ChordFact]:
    """The printed chord and the surest other readings, each over the bass that sounds."""
    found: dict[Chord, bool] = {}
    if printed is not None:
        found[replace(printed, bass=over)] = True
    others = [
        reading.chord
        for reading in readings
        if reading.chord is not None and reading.strength >= SURE_ENOUGH * readings[0].strength
    ]
    for chord in others[: OTHER_READINGS + 1]:
        if len(found) <= OTHER_READINGS:
            found.setdefault(chord, False)
    for chord, is_printed in found.items():
        yield ChordFact(place, chord, is_printed)


def _techniques(notes: Sequence[LickNote]) -> Iterable[str]:
    ways = {note.technique for note in notes}
    report = stroke_report([n.position for n in notes], [n.stroke for n in notes])
    swept = any(sweep.notes >= SWEPT_NOTES for sweep in report.sweeps)
    picked = [note.stroke for note in notes if note.stroke is not None]
    tests = {
        "sweep": swept,
        "alternate": len(picked) > 1 and _alternates(picked),
        "legato": bool(ways & {Technique.HAMMER_ON, Technique.PULL_OFF}),
        "slide": Technique.SLIDE in ways,
        "string skipping": bool(report.skipped),
        "palm mute": any(note.marks.palm_mute for note in notes),
        "vibrato": any(note.marks.vibrato for note in notes),
        "dead notes": any(note.marks.dead for note in notes),
        "open strings": any(note.position.fret == 0 and not note.marks.dead for note in notes),
    }
    return (name for name in TECHNIQUES if tests[name])


def _alternates(picked: Sequence[Stroke]) -> bool:
    """Whether every stroke answers the one before it."""
    return all(one is not two for one, two in pairwise(picked))
