"""What does the pick do between two strokes?

A downstroke travels towards the treble strings (string 1), an upstroke towards the bass.

* A *sweep* is one motion through neighbouring strings in the stroke's direction.
* *Outside* picking attacks a pair of strings from without: down on the bass-side string, up on the
  treble-side one.  *Inside* picking attacks them from between: up on the bass side, down on the
  treble side.

Common practice, no source.  This is the one place that knows these rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from fractions import Fraction
from itertools import accumulate

from lickwright.errors import HandError, did_you_mean
from lickwright.lick.notes import Stroke, Technique
from lickwright.neck import Position

#: Quarter notes between two picked notes from which on the hand has time to go anywhere.
REST_GAP = Fraction(1)

_TECHNIQUES = frozenset(Technique)

#: Length of a beat in quarter notes, or the lengths of a bar's beats in turn (7/8 as 2+2+3).
Beat = Fraction | Sequence[Fraction]


class Motion(StrEnum):
    """What one stroke does after another; the first six are sound, the last two are not."""

    ALTERNATE = "alternate"
    REPEAT = "repeat"
    SWEEP = "sweep"
    OUTSIDE = "outside"
    INSIDE = "inside"
    AGAINST = "sweep against its direction"
    ACROSS = "sweep across a skipped string"


class Picking(StrEnum):
    """What the picking hand may do."""

    SWEEP = "sweep"
    ALTERNATE = "alternate"
    DOWN = "down"
    LEGATO = "legato"


class Escape(StrEnum):
    """On which stroke a player's pick comes out of the strings, so that it can change string."""

    BOTH = "both"
    DOWN = "down"
    UP = "up"

    def leaves(self, stroke: Stroke) -> bool:
        """Whether the pick is out of the strings after a stroke."""
        return self is Escape.BOTH or (self is Escape.DOWN) == (stroke is Stroke.DOWN)


class Gap(StrEnum):
    """What lies between two picked notes."""

    JOINED = "joined"  # nothing: the second follows at once
    COVERED = "covered"  # a note that is not picked: the pick has a moment to move
    RESTED = "rested"  # a quarter note or longer: the hand is free


def read_policy(policy: Picking | str) -> Picking:
    """A policy by its name (``economy`` is ``sweep``).

    Raises
    ------
    HandError
        With the nearest name.
    """
    name = str(policy).strip().lower()
    if name == "economy":
        return Picking.SWEEP
    if name not in set(Picking):
        raise HandError(
            f"there is no picking policy '{policy}'",
            mend=did_you_mean(name, Picking) or f"Use one of: {', '.join(Picking)}",
        )
    return Picking(name)


def motion(from_string: int, from_stroke: Stroke, to_string: int, to_stroke: Stroke) -> Motion:
    """The motion from one picked note to the next.  Strings count from the treble."""
    if from_string == to_string:
        return Motion.REPEAT if from_stroke is to_stroke else Motion.ALTERNATE
    towards_treble = from_string - to_string
    if from_stroke is to_stroke:
        along = towards_treble if to_stroke is Stroke.DOWN else -towards_treble
        if along < 0:
            return Motion.AGAINST
        return Motion.SWEEP if along == 1 else Motion.ACROSS
    leaves_bass_side_down = (from_stroke is Stroke.DOWN) == (towards_treble > 0)
    return Motion.OUTSIDE if leaves_bass_side_down else Motion.INSIDE


def read_escape(escape: Escape | str) -> Escape:
    """On which stroke the pick leaves the strings, by its name.

    Parameters
    ----------
    escape : ``both``, ``down`` or ``up``.

    Returns
    -------
    Escape
        The habit of that name.

    Raises
    ------
    HandError
        With the nearest name.

    Examples
    --------
    >>> read_escape("Up").leaves(Stroke.DOWN)
    False
    """
    name = str(escape).strip().lower()
    if name not in set(Escape):
        raise HandError(
            f"a pick does not leave the strings on '{escape}'",
            mend=did_you_mean(name, Escape) or f"Use one of: {', '.join(Escape)}",
        )
    return Escape(name)


def opposite(stroke: Stroke) -> Stroke:
    """The other stroke."""
    return Stroke.UP if stroke is Stroke.DOWN else Stroke.DOWN


def on_beat(onset: Fraction, beat: Beat) -> bool:
    """Whether a beat begins at an onset, counted from a bar line."""
    if not isinstance(beat, Sequence):
        return onset % beat == 0
    return onset % sum(beat, Fraction(0)) in (Fraction(0), *accumulate(beat))


def picked_pairs(
    techniques: Sequence[Technique], onsets: Sequence[Fraction] | None
) -> list[tuple[int, Gap]]:
    """Each picked note's index with the gap before it; the first is ``RESTED``."""
    pairs: list[tuple[int, Gap]] = []
    before: int | None = None
    for index, technique in enumerate(techniques):
        if technique is not Technique.PICK:
            continue
        if before is None or (onsets is not None and onsets[index] - onsets[index - 1] >= REST_GAP):
            gap = Gap.RESTED
        else:
            gap = Gap.JOINED if before == index - 1 else Gap.COVERED
        pairs.append((index, gap))
        before = index
    return pairs


def as_positions(positions: Sequence[Position | tuple[int, int]]) -> tuple[Position, ...]:
    """Positions from positions or ``(string, fret)`` pairs.

    Raises
    ------
    HandError
        For a note that is no string and fret.
    """
    read: list[Position] = []
    for index, place in enumerate(positions):
        if not isinstance(place, Position):
            try:
                string, fret = place
                place = Position(string.__index__(), fret.__index__())
            except (TypeError, ValueError, AttributeError) as error:
                raise HandError(
                    f"note {index + 1} is {place!r}, not a string and a fret",
                    mend="Give pairs such as (4, 12); string 1 is the highest",
                ) from error
        if place.string < 1 or place.fret < 0:
            raise HandError(
                f"note {index + 1} is on string {place.string}, fret {place.fret}",
                mend="Strings count from 1 (the highest), frets from 0 (open)",
            )
        read.append(place)
    return tuple(read)


def as_techniques(count: int, techniques: Sequence[Technique] | None) -> tuple[Technique, ...]:
    """One technique a note; all picked where none are given.

    Raises
    ------
    HandError
        When their number is not the number of notes.
    """
    if techniques is None:
        return (Technique.PICK,) * count
    if len(techniques) != count:
        raise HandError(
            f"{len(techniques)} techniques for {count} notes", mend="Give one for each note"
        )
    read: list[Technique] = []
    for number, technique in enumerate(techniques, 1):
        if technique not in _TECHNIQUES:
            raise HandError(
                f"note {number} has the technique '{technique}'",
                mend=did_you_mean(str(technique), Technique)
                or f"Use one of: {', '.join(Technique)}",
            )
        read.append(Technique(technique))
    return tuple(read)
