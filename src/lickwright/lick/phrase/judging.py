"""How good a phrase is a line? Rules of the line, the hand and the ear, in points.

The points are common practice, with no source; that a leap asks for an answer the other way is
from memory of Narmour 1990 and of von Hippel and Huron 2000.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.lick.rhythm import Meter
from lickwright.neck import Guitar, Position

#: Points; only their proportions matter.
PHRASE_COSTS: dict[str, float] = {
    "landing on the pitch before it": 4.0,
    "semitone beyond a step into the landing": 0.4,
    "leap not answered": 2.0,
    "peak beside the first": 1.5,
    "peak before the middle": 1.0,
    "pitch twice in a row": 3.0,
    "beat on no chord tone": 1.0,
    "beat on no guide tone": 0.3,
    "semitone beyond a third on the way back": 0.4,
    "semitone short of a fifth in all": 0.5,
    "fret that the hand moves": 0.15,
    "string jumped over": 0.7,
}
#: A whole step, a major third and a fifth, in semitones.
_STEP, _THIRD, _FIFTH = 2, 4, 7


@dataclass(frozen=True, slots=True)
class PhraseValue:
    """How good a phrase a line is.

    Parameters
    ----------
    points : the fewer, the better.
    terms : each cost that is not 0, by the names of :data:`PHRASE_COSTS`.
    why : what speaks for the line, in words.
    """

    points: float
    terms: tuple[tuple[str, float], ...]
    why: tuple[str, ...]


def line_counts(midi: Sequence[int], places: Sequence[Position]) -> dict[str, float]:
    """What can be counted in the notes of a line before its landing, whatever their time.

    Parameters
    ----------
    midi, places : of the notes in order.

    Returns
    -------
    dict of str to float
        By the names of :data:`PHRASE_COSTS`.

    Examples
    --------
    >>> line_counts([60, 67, 67], [Position(2, 1), Position(1, 3), Position(1, 3)])[
    ...     "pitch twice in a row"
    ... ]
    1
    """
    rises = [b - a for a, b in pairwise(midi)]
    top = max(midi)
    tops = [at for at, key in enumerate(midi) if key == top]
    unanswered = sum(abs(rise) > _THIRD and rise * after > 0 for rise, after in pairwise(rises))
    frets = [place.fret for place in places if place.fret]
    moved = sum(max(0, abs(b - a) - _THIRD) for a, b in pairwise(frets))
    jumps = sum(max(0, abs(b.string - a.string) - 1) for a, b in pairwise(places))
    return {
        "leap not answered": unanswered,
        "peak beside the first": len(tops) - 1,
        "peak before the middle": 2 * tops[-1] < len(midi) - 1,
        "pitch twice in a row": sum(rise == 0 for rise in rises),
        "semitone short of a fifth in all": max(0, _FIFTH - (top - min(midi))),
        "fret that the hand moves": moved,
        "string jumped over": jumps,
    }


def landing_counts(midi: Sequence[int], landing: int) -> dict[str, float]:
    """What can be counted where a line lands, and where it begins again.

    Parameters
    ----------
    midi : of the notes before the landing.
    landing : its MIDI key.

    Returns
    -------
    dict of str to float
        By the names of :data:`PHRASE_COSTS`.

    Examples
    --------
    >>> landing_counts([60, 64], 67)["semitone beyond a step into the landing"]
    1
    """
    step = abs(landing - midi[-1])
    return {
        "landing on the pitch before it": step == 0,
        "semitone beyond a step into the landing": max(0, step - _STEP),
        "semitone beyond a third on the way back": max(0, abs(midi[0] - landing) - _THIRD),
    }


def beat_counts(
    midi: Sequence[int], beats: Sequence[int], chord: int, guides: int
) -> dict[str, float]:
    """What can be counted on the beats: masks of the chord and of its guide tones.

    Parameters
    ----------
    midi : of the notes.
    beats : which of them begin on a beat.
    chord, guides : the masks.

    Returns
    -------
    dict of str to float
        By the names of :data:`PHRASE_COSTS`.

    Examples
    --------
    >>> beat_counts([60, 62], [0, 1], 0b10010001, 0b10010000)
    {'beat on no chord tone': 1, 'beat on no guide tone': 2}
    """
    keys = [midi[at] % 12 for at in beats]
    return {
        "beat on no chord tone": sum(not chord >> key & 1 for key in keys),
        "beat on no guide tone": sum(not guides >> key & 1 for key in keys),
    }


def on_beats(onsets: Sequence[Fraction], meter: Meter) -> tuple[int, ...]:
    """Which notes begin on a beat.

    Parameters
    ----------
    onsets : of the notes, in quarter notes.
    meter : whose beats they are.

    Returns
    -------
    tuple of int
        Indices, ascending.

    Examples
    --------
    >>> on_beats([Fraction(0), Fraction(1, 2), Fraction(1)], Meter())
    (0, 2)
    """
    return tuple(at for at, onset in enumerate(onsets) if meter.on_beat(onset))


def points_of(*counts: dict[str, float]) -> float:
    """The points of some counts together.

    Parameters
    ----------
    counts : by the names of :data:`PHRASE_COSTS`.

    Returns
    -------
    float
        The fewer, the better.

    Examples
    --------
    >>> points_of({"leap not answered": 2})
    4.0
    """
    return sum(PHRASE_COSTS[name] * count for own in counts for name, count in own.items())


def phrase_value(
    places: Sequence[Position],
    onsets: Sequence[Fraction],
    landing: Position,
    guitar: Guitar,
    meter: Meter,
    *,
    chord: int,
    guides: int,
) -> PhraseValue:
    """How good a phrase a line with its landing is.

    Parameters
    ----------
    places, onsets : of the notes before the landing.
    landing : where it lands.
    guitar, meter : the instrument, and where beats fall.
    chord, guides : masks of the chord and of its guide tones.

    Returns
    -------
    PhraseValue
        Its points, and what speaks for it.

    Examples
    --------
    >>> line = [Position(3, 9), Position(2, 8), Position(1, 7), Position(2, 10)]
    >>> times = [Fraction(at, 2) for at in range(4)]
    >>> masks = {"chord": 0b100010010001, "guides": 0b100000010000}
    >>> value = phrase_value(line, times, Position(2, 12), Guitar(), Meter(), **masks)
    >>> value.why[0]
    'one peak'
    """
    midi = [guitar.midi_at(place) for place in places]
    end = guitar.midi_at(landing)
    counts = (
        line_counts(midi, places)
        | landing_counts(midi, end)
        | beat_counts(midi, on_beats(onsets, meter), chord, guides)
    )
    terms = tuple((name, PHRASE_COSTS[name] * n) for name, n in counts.items() if n)
    return PhraseValue(sum(points for _, points in terms), terms, tuple(_why(counts, midi, end)))


def _why(counts: dict[str, float], midi: Sequence[int], end: int) -> list[str]:
    """What speaks for a line, in words that a teacher would use."""
    said = []
    if not counts["peak beside the first"]:
        late = "" if counts["peak before the middle"] else ", past the middle"
        said.append(f"one peak{late if len(midi) > 4 else ''}")
    step = abs(end - midi[-1])
    if step in (1, 2):
        way = "from above" if end < midi[-1] else "from below"
        said.append(f"it lands by {'a half' if step == 1 else 'a whole'} step {way}")
    elif 0 < step <= _THIRD:
        said.append("it lands by a third")
    if not counts["leap not answered"]:
        wide = any(abs(b - a) > _THIRD for a, b in pairwise(midi))
        said.append("its leaps are answered the other way" if wide else "it has no leap")
    if not counts["beat on no chord tone"]:
        said.append("every beat is a tone of the chord")
    if not counts["fret that the hand moves"]:
        said.append("it lies under the hand")
    if not counts["semitone beyond a third on the way back"]:
        said.append("it leads back to its beginning")
    return said
