"""Which notes of a line make its harmony, and which only lead to them?

A line is heard in time.  A note outside the harmony that moves on by step does not change the
chord; it is named and not counted:

* *passing note*: comes and goes by step in one direction;
* *neighbour note*: leaves a note by step and comes back to it;
* *enclosure*: one of two notes that surround the next one from above and below;
* *approach note*: leads by step to a note that lasts at least as long, from a weaker place;
* *leaning note*: on a stronger place than the note it resolves to by step, which lasts as long.

Where no harmony is given, what counts is what weighs: notes by length, place in the bar,
register and repetition.  Common practice, no source; the weights stand in
:data:`PLACE_WEIGHTS` and below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Literal

from lickwright.errors import TheoryError
from lickwright.theory.hearing.strength import hear
from lickwright.theory.pitch import (
    mask_of,
    parse_note_name,
    parse_pitch,
    pitch_classes,
    rotate_mask,
)

OrnamentKind = Literal["passing", "neighbour", "enclosure", "approach", "leaning"]
#: How much a note counts by where it begins: off the beat, on a beat, on a strong beat.
PLACE_WEIGHTS = (1.0, 1.5, 2.0)
#: A low note sounds as a root sooner than a high one: so much more for the lowest note.
LOW_WEIGHT = 0.25
#: Leading notes that take more of the line's time than this are no ornament of it.
MOST_ORNAMENT = Fraction(2, 5)
#: A pitch class that weighs more of the heaviest one than this is not let go.
MOST_WEIGHT = 0.7
#: So many pitch classes at most are let go, each for a gain of so many points of 100.
MOST_LET_GO, LETTING_GO = 4, 1.0


@dataclass(frozen=True, slots=True)
class LineTone:
    """A note of a line.

    Parameters
    ----------
    midi : its pitch as a MIDI key number.
    onset, length : quarter notes.
    place : 0 off the beat, 1 on a beat, 2 on a strong beat.
    """

    midi: int
    onset: Fraction
    length: Fraction
    place: int = 1


@dataclass(frozen=True, slots=True)
class Ornament:
    """A note that leads to another.

    Parameters
    ----------
    index : which note of the line.
    kind : what it is called.
    into : the index of the note that it leads to.
    """

    index: int
    kind: OrnamentKind
    into: int


def even_line(text: str, value: Fraction = Fraction(1, 2)) -> tuple[LineTone, ...]:
    """A line of even notes in 4/4, from the first beat of a bar.

    Parameters
    ----------
    text : note names, or pitches such as ``A3``; a name without a register is the one nearest to
        the note before it.
    value : quarter notes of each.

    Returns
    -------
    tuple of LineTone
        In order.

    Raises
    ------
    TheoryError
        When there are no notes, or one cannot be read.

    Examples
    --------
    >>> [tone.midi for tone in even_line("D4 E F C# D F")]
    [62, 64, 65, 61, 62, 65]
    """
    words = text.replace(",", " ").split()
    if not words:
        raise TheoryError("there are no notes to hear", mend="Give notes such as 'D E F C# D F'")
    tones: list[LineTone] = []
    for at, word in enumerate(words):
        if word[-1].isdigit():
            midi = parse_pitch(word).midi
        else:
            near = tones[-1].midi if tones else 60
            midi = near + (parse_note_name(word).pc - near + 6) % 12 - 6
        onset = at * value
        place = 0 if onset % 1 else 2 if onset % 2 == 0 else 1
        tones.append(LineTone(midi, onset, value, place))
    return tuple(tones)


def ornaments(line: Sequence[LineTone], harmony: int) -> tuple[Ornament, ...]:
    """The notes outside a harmony that lead by step to notes of it.

    Parameters
    ----------
    line : in time.
    harmony : 12-bit mask of the notes that count, C on bit 0.

    Returns
    -------
    tuple of Ornament
        In the order of the line; empty where they would take too much of its time.

    Examples
    --------
    >>> tones = [LineTone(m, Fraction(i, 2), Fraction(1, 2), 1 - i % 2)
    ...          for i, m in enumerate((62, 64, 65, 61, 62, 65))]  # D E F C# D F
    >>> [(each.index, each.kind) for each in ornaments(tones, 0b1000100100)]  # D F A
    [(1, 'passing'), (3, 'approach')]
    """
    inside = [bool(harmony >> tone.midi % 12 & 1) for tone in line]
    found = []
    for index in range(len(line)):
        if not inside[index]:
            named = _named(line, inside, index)
            if named is not None:
                found.append(named)
    taken = sum((line[each.index].length for each in found), Fraction(0))
    whole = sum((tone.length for tone in line), Fraction(0))
    return tuple(found) if taken <= MOST_ORNAMENT * whole else ()


def weights_of(line: Sequence[LineTone]) -> tuple[float, ...]:
    """How much every pitch class of a line counts, 0 to 1; the heaviest is 1.

    Parameters
    ----------
    line : in time.

    Returns
    -------
    tuple of float
        Twelve, C first.

    Examples
    --------
    >>> tones = [LineTone(62, Fraction(0), Fraction(3)), LineTone(64, Fraction(3), Fraction(1))]
    >>> [round(weight, 2) for weight in weights_of(tones)[2:5]]
    [1.0, 0.0, 0.27]
    """
    sums = [0.0] * 12
    lowest = min((tone.midi for tone in line), default=0)
    for tone in line:
        weight = float(tone.length) * PLACE_WEIGHTS[tone.place]
        sums[tone.midi % 12] += weight * (1 + LOW_WEIGHT * (tone.midi == lowest))
    most = max(sums) or 1.0
    return tuple(weight / most for weight in sums)


def harmony_of(line: Sequence[LineTone], bass: int, given: int = 0) -> int:
    """The pitch classes of a line that make its harmony over a bass, where nothing else tells them.

    A pitch class is let go where it is light, leads by step each time it sounds, and what stays
    is heard more surely without it.

    Parameters
    ----------
    line : in time.
    bass : pitch class of the sounding bass.
    given : 12-bit mask of notes that count whatever they weigh (triads that were declared).

    Returns
    -------
    int
        12-bit mask, C on bit 0.

    Examples
    --------
    >>> tones = [LineTone(m, Fraction(i, 2), Fraction(1, 2), 1 - i % 2)
    ...          for i, m in enumerate((62, 64, 65, 61, 62, 65))]  # D E F C# D F
    >>> bin(harmony_of(tones, 2))  # D and F
    '0b100100'
    """
    weights = weights_of(line)
    played = mask_of(tone.midi % 12 for tone in line)
    light = [
        pc for pc in pitch_classes(played & ~given & ~(1 << bass)) if weights[pc] <= MOST_WEIGHT
    ]
    best, best_points = played, _points(played, bass)
    for count in range(1, min(len(light), MOST_LET_GO) + 1):
        for dropped in combinations(light, count):
            stays = played & ~mask_of(dropped)
            points = _points(stays, bass) - LETTING_GO * count
            if points > best_points and _all_lead(line, stays, dropped):
                best, best_points = stays, points
    return best


def _points(mask: int, bass: int) -> float:
    """How surely something is heard; a line is not asked for the fifth of its bass."""
    over_bass = rotate_mask(mask | 1 << bass, -bass)
    if not over_bass & 0b111000000:
        over_bass |= 1 << 7
    ways = hear(over_bass)
    return ways[0].points if ways else 0.0


def _all_lead(line: Sequence[LineTone], stays: int, dropped: Sequence[int]) -> bool:
    leads = {each.index for each in ornaments(line, stays)}
    return all(i in leads for i, tone in enumerate(line) if tone.midi % 12 in dropped)


def _named(line: Sequence[LineTone], inside: Sequence[bool], at: int) -> Ornament | None:
    after = at + 1
    if after >= len(line):
        return None
    tone, following = line[at], line[after]
    step = following.midi - tone.midi
    before = line[at - 1] if at else None
    if after + 1 < len(line) and inside[after + 1] and not inside[after]:
        target = line[after + 1]
        if _surround(tone.midi, following.midi, target.midi):
            return Ornament(at, "enclosure", after + 1)
    if not 1 <= abs(step) <= 2 or not inside[after]:
        return None
    if (
        before is not None
        and not inside[at - 1]
        and _surround(before.midi, tone.midi, following.midi)
    ):
        return Ornament(at, "enclosure", after)
    if before is not None and 1 <= abs(tone.midi - before.midi) <= 2 and inside[at - 1]:
        came = tone.midi - before.midi
        if before.midi == following.midi and tone.length <= following.length + before.length:
            return Ornament(at, "neighbour", after)
        if (came > 0) == (step > 0) and tone.length <= max(before.length, following.length):
            return Ornament(at, "passing", after)
    if following.length < tone.length:
        return None
    if tone.place > following.place:
        return Ornament(at, "leaning", after)
    return Ornament(at, "approach", after)


def _surround(first: int, second: int, target: int) -> bool:
    """Whether two notes stand by step on both sides of a third."""
    return (
        1 <= abs(first - target) <= 2
        and 1 <= abs(second - target) <= 2
        and (first > target) != (second > target)
    )
