"""What is the line of an example before it is named and fingered?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from lickwright.changes.progression import Changes
from lickwright.lesson.file import ExampleEntry
from lickwright.lick import Lick
from lickwright.lick.phrase import AnyShape, Contour, Voices, compose
from lickwright.lick.rhythm import Meter, Rhythm
from lickwright.neck import Guitar
from lickwright.neck.shapes import MergedArpeggio
from lickwright.theory import Chord, NoteName, Triad


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


# A lesson is worked out anew at every edit, and most edits leave this as it was.


@lru_cache(maxsize=64)
def composed_line(
    shapes: tuple[AnyShape, ...],
    contour: Contour,
    rhythm: Rhythm,
    guitar: Guitar,
    bars: int | None,
    meter: Meter,
) -> Lick:
    """The line that some shapes make in a contour and a rhythm; every shape is one voice."""
    voices = [_voices(shape, number) for number, shape in enumerate(shapes)]
    return compose(shapes, contour, rhythm, guitar, bars=bars, meter=meter, voices=voices)


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
