"""Where does a triad lie under one hand?  Every playable arpeggio shape, the usual ones first.

A shape climbs through consecutive chord tones from a low string to a high one, three or more
neighbouring strings, one or two notes on each, within the greatest reach of the hand *in
millimetres*: five frets that no hand spans at the nut are an easy shape at the 15th fret.

The order is common practice, no source: a lead player's shapes are the ones that the pick can
sweep (a second note only on an outer string), that the hand takes without stretching, and that
start on the root.  :data:`SHAPE_COSTS` gives the weights in mm of stretch, so that every term can
be compared with the hand's own measure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.shapes.shape import Shape
from lickwright.neck.window import Span, fret_window, read_guitar, string_window
from lickwright.theory import Triad, parse_triad

FEWEST_STRINGS = 3

_Path = tuple[Position, ...]
_Frame = tuple[float, float, float]  # lowest and highest place along the string; longest scale

#: What makes a shape less usual, each in mm of stretch.
SHAPE_COSTS: dict[str, float] = {
    "a string of the asked window left out": 60.0,
    "two notes on an inner string": 25.0,
    "open string": 20.0,
    "inversion": 4.0,  # first inversion once, second twice
    "two notes on an outer string": 2.0,
    "mm beyond a comfortable reach": 1.0,
    "fret above the 17th": 2.0,
    "mm of frame": 0.1,
}


def find_shapes(
    triad: Triad | str,
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    notes_per_string: int | str | Sequence[int] | None = None,
    *,
    hand: str | HandProfile = "medium",
) -> list[Shape]:
    """Every arpeggio shape of a triad that one hand can frame, the usual ones first.

    Parameters
    ----------
    triad : a triad or its symbol, such as ``"F# dim"``.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows such as ``"9-14"`` or ``(9, 14)`` that the shape stays within; shapes
        that use every string of a given window come first.
    notes_per_string : 1 or 2 for as many on every string; a pattern from the lowest string to the
        highest, such as ``(2, 1, 1, 1, 2)`` or ``"21112"``; ``None`` for any mixture of one and
        two.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    list of Shape
        The usual ones first.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> shape = find_shapes("D", frets="9-12", strings="1-4")[0]
    >>> print(*(f"{place.string}/{place.fret}" for place in shape.positions))
    4/12 3/11 2/10 1/10
    """
    ranked = framed_shapes(triad, guitar, frets, strings, notes_per_string, hand)
    return [found.shape for found in ranked]


def ranked_shapes(
    triad: Triad | str,
    guitar: Guitar | str | None,
    frets: Span | None,
    strings: Span | None,
    notes_per_string: int | str | Sequence[int] | None,
    hand: str | HandProfile,
) -> list[tuple[float, Shape]]:
    """As :func:`find_shapes`, each with its cost in mm of stretch.

    Parameters
    ----------
    triad : a triad or its symbol.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows to stay within, such as ``"9-14"`` and ``"1-4"``.
    notes_per_string : as in :func:`find_shapes`.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    list of (float, Shape)
        The cheapest first.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> ranked = ranked_shapes("D", None, "9-12", "1-4", None, "medium")
    >>> ranked == sorted(ranked, key=lambda each: each[0])
    True
    """
    framed = framed_shapes(triad, guitar, frets, strings, notes_per_string, hand)
    return [(found.cost, found.shape) for found in framed]


@dataclass(frozen=True, slots=True)
class FramedShape:
    """A shape with its cost in mm of stretch, and where the hand frames it: mm from the nut."""

    cost: float
    shape: Shape
    low_mm: float
    high_mm: float


def framed_shapes(
    triad: Triad | str,
    guitar: Guitar | str | None,
    frets: Span | None,
    strings: Span | None,
    notes_per_string: int | str | Sequence[int] | None,
    hand: str | HandProfile,
) -> list[FramedShape]:
    """As :func:`find_shapes`, each with its cost and its frame."""
    triad = parse_triad(triad) if isinstance(triad, str) else triad
    guitar = read_guitar(guitar)
    profile = hand_profile(hand)
    low_fret, high_fret = fret_window(frets, guitar)
    first, last = string_window(strings, guitar)
    counts = _counts(notes_per_string)
    asked = last - first + 1
    if asked < FEWEST_STRINGS:
        raise NeckError(
            f"strings {first}-{last} are too few for a shape",
            mend=f"Give a window of {FEWEST_STRINGS} or more strings",
        )
    if isinstance(counts, tuple) and len(counts) > asked:
        raise NeckError(
            f"a pattern of {len(counts)} strings does not fit on {asked}",
            mend="Give as many numbers as there are strings, or fewer",
        )
    found = []
    left_out = 0.0 if strings is None else SHAPE_COSTS["a string of the asked window left out"]
    window = (low_fret, high_fret), (first, last)
    for places, (low, high, longest) in _climbs(triad, guitar, window, counts, profile):
        low_mm, high_mm = (low * longest, high * longest) if longest else (0.0, 0.0)
        shape = Shape(triad, places)
        cost = _cost(shape, guitar, high_mm - low_mm, profile)
        cost += left_out * (asked - len(shape.notes_per_string))
        found.append(FramedShape(round(cost, 3), shape, low_mm, high_mm))
    found.sort(key=lambda one: (one.cost, one.shape.lowest_fret, one.shape.positions))
    return found


def _counts(notes_per_string: int | str | Sequence[int] | None) -> int | tuple[int, ...] | None:
    """Notes per string as one number for all, a pattern, or ``None`` for any."""
    if isinstance(notes_per_string, str):
        digits = notes_per_string.replace(",", " ").replace("-", " ").replace(" ", "")
        if not digits.isdigit():
            raise NeckError(
                f"'{notes_per_string}' is not a number of notes per string",
                mend="Write 1, 2, or a pattern from the lowest string such as 21112",
            )
        numbers = [int(digit) for digit in digits]
        notes_per_string = numbers[0] if len(numbers) == 1 else numbers
    if notes_per_string is None:
        return None
    asked = (notes_per_string,) if isinstance(notes_per_string, int) else tuple(notes_per_string)
    for number in asked:
        if number not in (1, 2):
            raise NeckError(
                f"{number} notes on a string do not make an arpeggio shape",
                mend="Ask for one or two notes on each string",
            )
    if isinstance(notes_per_string, int):
        return notes_per_string
    if len(asked) < FEWEST_STRINGS:
        raise NeckError(
            f"a pattern of {len(asked)} strings is too short for a shape",
            mend=f"Give a number for each of {FEWEST_STRINGS} or more strings",
        )
    return asked


def _climbs(
    triad: Triad,
    guitar: Guitar,
    window: tuple[tuple[int, int], tuple[int, int]],
    counts: int | tuple[int, ...] | None,
    hand: HandProfile,
) -> Iterator[tuple[_Path, _Frame]]:
    """Every way up through consecutive chord tones that the hand frames, with its frame."""
    (low_fret, high_fret), (top, bottom) = window
    reach = hand.greatest_reach_mm
    tones = sorted(note.pc for note in triad.notes)
    rise = {a: (b - a) % 12 for a, b in zip(tones, (*tones[1:], tones[0]), strict=True)}
    opens = {s: guitar.midi_at(Position(s, 0)) for s in range(top, bottom + 1)}
    place = {
        (s, fret): (Position(s, fret), guitar.along(Position(s, fret)) if fret else None)
        for s in opens
        for fret in range(low_fret, high_fret + 1)
    }
    allowed = {
        index: (counts[index : index + 1] if isinstance(counts, tuple) else (counts,))
        if counts is not None
        else (1, 2)
        for index in range(len(opens))
    }
    fewest = len(counts) if isinstance(counts, tuple) else FEWEST_STRINGS

    def climb(
        string: int, index: int, midi: int, frame: _Frame, path: _Path
    ) -> Iterator[tuple[_Path, _Frame]]:
        """Go on from a string whose first note would be ``midi``."""
        for count in allowed[index]:
            way, note, (low, high, longest) = path, midi, frame
            for _ in range(count):
                here = place.get((string, note - opens[string]))
                if here is None:
                    break
                if here[1] is not None:
                    low, high = min(low, here[1]), max(high, here[1])
                    longest = max(longest, guitar.scale_mm[string - 1])
                    if (high - low) * longest > reach:
                        break
                way = (*way, here[0])
                note += rise[note % 12]
            else:
                if index + 1 >= fewest:
                    yield way, (low, high, longest)
                if string > top and allowed[index + 1]:
                    yield from climb(string - 1, index + 1, note, (low, high, longest), way)

    for string in range(bottom, top + fewest - 2, -1):
        for fret in range(low_fret, high_fret + 1):
            midi = opens[string] + fret
            if midi % 12 in rise:
                yield from climb(string, 0, midi, (1.0, 0.0, 0.0), ())


def _cost(shape: Shape, guitar: Guitar, frame_mm: float, hand: HandProfile) -> float:
    per_string = shape.notes_per_string
    beyond_mm = max(0.0, frame_mm - hand.comfortable_reach_mm)
    return (
        SHAPE_COSTS["two notes on an inner string"] * per_string[1:-1].count(2)
        + SHAPE_COSTS["two notes on an outer string"] * (per_string[0] + per_string[-1] - 2)
        + SHAPE_COSTS["open string"] * sum(place.fret == 0 for place in shape.positions)
        + SHAPE_COSTS["inversion"] * shape.inversion(guitar)
        + SHAPE_COSTS["mm beyond a comfortable reach"] * beyond_mm
        + SHAPE_COSTS["fret above the 17th"] * max(0, shape.highest_fret + guitar.capo - 17)
        + SHAPE_COSTS["mm of frame"] * frame_mm
    )
