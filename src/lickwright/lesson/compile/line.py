"""What is the line of an example before it is named and fingered?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from lickwright.changes.progression import Changes
from lickwright.errors import LessonError
from lickwright.lesson.file import ExampleEntry
from lickwright.lick import Lick
from lickwright.lick.phrase import (
    AnyShape,
    Approach,
    Contour,
    Landing,
    Voices,
    compose,
    displaced,
    land,
    landing_of,
    landing_tones,
    plain_spelling,
)
from lickwright.lick.rhythm import Meter, Rhythm
from lickwright.neck import Guitar
from lickwright.neck.shapes import MergedArpeggio
from lickwright.theory import Chord, Key, NoteName, Triad
from lickwright.theory.hearing import implied_chords


@dataclass(frozen=True, slots=True)
class Under:
    """What sounds under a line from a moment on: the bass, and the chord over it: what is claimed,
    or what the band sounds.
    """

    onset: Fraction
    over: NoteName
    claim: Chord | None


@dataclass(frozen=True, slots=True)
class ComposedLine:
    """A line before it is named and fingered.

    Parameters
    ----------
    triads : by voice, for every chord or once for all.
    changes : its chords; without them it sounds over the bass of ``home``.
    home : the example that names its bass and its claim.
    under : the basses of a lick of parts, in time, where it has no changes.
    shapes : those of an example that is composed.
    cut : parts that a chord ends too early.
    """

    lick: Lick
    triads: tuple[tuple[Triad, ...], ...]
    changes: Changes | None
    home: ExampleEntry
    choices: tuple[str, ...] = ()
    under: tuple[Under, ...] = ()
    shapes: tuple[AnyShape, ...] = ()
    cut: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Phrasing:
    """What makes a composed line a phrase.

    Parameters
    ----------
    cells, approach, scale, again : as :func:`~lickwright.lick.phrase.composing.compose` has them.
    displaced : by how many quarter notes it comes later.
    landing, chord : where it lands, and on which chord.
    """

    cells: tuple[int, ...] = ()
    approach: Approach | None = None
    scale: int = 0
    again: bool = False
    displaced: Fraction | None = None
    landing: Landing | None = None
    chord: Chord | None = None


#: Of a line of which nothing is said.
NO_PHRASING = Phrasing()


# A lesson is worked out anew at every edit, and most edits leave this as it was.


@lru_cache(maxsize=64)
def composed_line(
    shapes: tuple[AnyShape, ...],
    contour: Contour,
    rhythm: Rhythm,
    guitar: Guitar,
    bars: int | None,
    meter: Meter,
    phrase: Phrasing = NO_PHRASING,
) -> Lick:
    """The line that some shapes make in a contour and a rhythm; every shape is one voice."""
    voices = [_voices(shape, number) for number, shape in enumerate(shapes)]
    line = compose(
        shapes,
        contour,
        rhythm,
        guitar,
        bars=bars,
        meter=meter,
        voices=voices,
        cells=phrase.cells,
        approach=phrase.approach,
        scale=phrase.scale,
        again=phrase.again,
    )
    if phrase.displaced is not None:
        line = displaced(line, phrase.displaced, meter, cut=bars is not None)
    if phrase.landing is None or phrase.chord is None:
        return line
    moment = landing_of(line, phrase.landing, meter, bars)
    tones = landing_tones(phrase.landing, phrase.chord)
    names = plain_spelling() | {name.pc: name for name in phrase.chord.notes}
    return land(line, phrase.landing, tones, moment, guitar, meter, names)


def arpeggios_of(shapes: tuple[AnyShape, ...]) -> tuple[MergedArpeggio, ...]:
    """The merged arpeggios among some shapes, each once."""
    return tuple(dict.fromkeys(s for s in shapes if isinstance(s, MergedArpeggio)))


def one_bass(home: ExampleEntry) -> Under:
    """The one bass of an example, or the chord that the band sounds."""
    if home.under is not None:
        return Under(Fraction(0), home.under.bass_note, home.under)
    assert home.over is not None, "an example without changes names its bass"
    return Under(Fraction(0), home.over, home.implies)


def _voices(shape: AnyShape, number: int) -> Voices:
    """A shape is of the triad with its number; a merged arpeggio is of all triads."""
    return tuple(range(len(shape.triads))) if isinstance(shape, MergedArpeggio) else number


def phrasing_of(entry: ExampleEntry, key: Key) -> Phrasing:
    """What an example that is composed from triads says of its line as a phrase.

    Raises
    ------
    LessonError
        When it lands, and no chord is known on which.
    """
    chord = entry.implies or entry.under
    if entry.landing is not None and chord is None:
        if entry.over is None:
            raise LessonError(
                f"'{entry.name}' lands, but on which chord is not said",
                mend="Say which chord it is: implies",
            )
        chord = implied_chords(list(entry.triads or ()), entry.over, key)[0].chord
        if chord is None:
            raise LessonError(
                f"'{entry.name}' lands, but what it implies over {entry.over} has no common name",
                mend="Say which chord it is: implies",
            )
    return Phrasing(
        entry.cells or (),
        entry.approach,
        key.mask if entry.approach is not None else 0,
        entry.again == "bar",
        entry.displaced,
        entry.landing,
        chord if entry.landing is not None else None,
    )
