"""In what order does a line play the notes of its shapes?

A contour is one *way* for each shape in turn.  A way begins with a direction; what follows it
describes it, until the next direction (commas may stand between, and change nothing):

``up``  ``down``  ``up-down``  ``down-up``
    From the lowest note to the highest, and so on.  There and back plays the far note once.
``broken``
    Every other note and back one: 1 3 2 4 3 ...
``in threes``  (``fours``, ``fives``, ``sixes``)
    Groups that start one note further each time: 1 2 3, 2 3 4 ...
``from 2``
    Displaced: start on the second note of the way, and play what was passed over at the end.
``from nearest``
    Start on the note nearest to where the hand is, likewise.
``turn``
    Where the way turns round (or ends), back one note and on to the turning note again.

``up down`` plays the first shape up and the second down; ``up in threes, down broken`` likewise.
Fewer ways than shapes start over: ``up`` plays every shape up.  Where one way ends on the very
place the next begins, the note is struck once.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lickwright.errors import ContourError, did_you_mean
from lickwright.neck import Position

DIRECTIONS = ("up", "down", "up-down", "down-up")
GROUPS = {"threes": 3, "fours": 4, "fives": 5, "sixes": 6}
_WORDS = (*DIRECTIONS, "broken", "in", *GROUPS, "from", "nearest", "turn")
_MEND = "Write up, down, up-down or down-up for each triad, such as: up down"

#: ``start`` of a way that begins on the note nearest to the hand.
NEAREST = 0


@dataclass(frozen=True, slots=True)
class ContourWay:
    """How one shape is played.

    Parameters
    ----------
    direction : one of :data:`DIRECTIONS`.
    group : notes a group, or 0 for none.
    broken : whether every other note is played, and back one.
    start : the note of the way to start on, from 1; :data:`NEAREST` for the nearest to the hand.
    turn : whether the turning note is left by a note and struck again.
    """

    direction: str
    group: int = 0
    broken: bool = False
    start: int = 1
    turn: bool = False

    def __str__(self) -> str:
        words = [self.direction]
        if self.broken:
            words.append("broken")
        if self.group:
            words.append("in " + next(name for name, size in GROUPS.items() if size == self.group))
        if self.start != 1:
            words.append("from nearest" if self.start == NEAREST else f"from {self.start}")
        if self.turn:
            words.append("turn")
        return " ".join(words)


@dataclass(frozen=True, slots=True)
class Contour:
    """One way for each shape in turn."""

    ways: tuple[ContourWay, ...]

    def __str__(self) -> str:
        plain = all(str(way) == way.direction for way in self.ways)
        return (" " if plain else ", ").join(str(way) for way in self.ways)


@dataclass(frozen=True, slots=True)
class PathNote:
    """A place on a path, and the shape it comes from, or is an approach to (index from 0)."""

    position: Position
    shape: int
    approach: bool = False


def parse_contour(text: str) -> Contour:
    """Read a contour (see the module).

    Raises
    ------
    ContourError
        With the word that is not understood and the one that was probably meant.
    """
    words = text.lower().replace(",", " ").split()
    if not words:
        raise ContourError("the contour is empty", mend=_MEND)
    ways: list[dict[str, int | bool | str]] = []
    at = 0
    while at < len(words):
        word, at = words[at], at + 1
        argument = words[at] if at < len(words) else ""
        if word in DIRECTIONS:
            ways.append({"direction": word})
            continue
        if not ways:
            if word in _WORDS:
                raise ContourError(f"the contour '{text}' starts with '{word}'", mend=_MEND)
            raise _unknown(word, text)
        key, value, used = _described(word, argument, text)
        if key in ways[-1]:
            raise ContourError(f"the contour '{text}' says '{word}' twice of one way", mend=_MEND)
        ways[-1][key] = value
        at += used
    contour = Contour(tuple(ContourWay(**way) for way in ways))  # type: ignore[arg-type]
    for way in contour.ways:
        if way.broken and way.group:
            raise ContourError(
                f"the contour '{text}' has a way that is broken and in groups", mend="Choose one"
            )
    return contour


def _described(word: str, argument: str, text: str) -> tuple[str, int | bool, int]:
    """What a describing word sets: the field, its value, and how many more words it took."""
    if word in ("broken", "turn"):
        return word, True, 0
    if word == "in":
        if argument in GROUPS:
            return "group", GROUPS[argument], 1
        raise ContourError(
            f"the contour '{text}' has '{' '.join(['in', argument]).strip()}'",
            mend=f"Write one of: {', '.join('in ' + name for name in GROUPS)}",
        )
    if word == "from":
        if argument == "nearest":
            return "start", NEAREST, 1
        if re.fullmatch("[1-9][0-9]?", argument):
            return "start", int(argument), 1
        raise ContourError(
            f"there is no '{f'from {argument}'.strip()}' to start on in the contour '{text}'",
            mend="Write the number of a note, such as from 2, or from nearest",
        )
    raise _unknown(word, text)


def _unknown(word: str, text: str) -> ContourError:
    return ContourError(
        f"the contour '{text}' has '{word}', which is no contour word",
        mend=did_you_mean(word, _WORDS) or _MEND,
    )


def turned_round(contour: Contour) -> Contour:
    """The same contour the other way: up for down, groups and displacements kept.

    Examples
    --------
    >>> print(turned_round(parse_contour("up in threes, down-up")))
    down in threes, up-down
    """
    other = {"up": "down", "down": "up", "up-down": "down-up", "down-up": "up-down"}
    return Contour(tuple(replace(way, direction=other[way.direction]) for way in contour.ways))


def trace(
    contour: Contour, shapes: Sequence[Sequence[Position]], rounds: int = 1
) -> list[PathNote]:
    """The path of a contour through shapes whose positions ascend in pitch.

    Parameters
    ----------
    contour : the ways; they start over when there are more shapes.
    shapes : positions of each, low to high.
    rounds : how many times all shapes are played through.

    Raises
    ------
    ContourError
        When there is no shape, a shape is empty, or it has too few notes for its way.
    """
    if not shapes:
        raise ContourError("there is no shape to play", mend="Give at least one shape")
    path: list[PathNote] = []
    for turn in range(rounds * len(shapes)):
        index = turn % len(shapes)
        way = contour.ways[turn % len(contour.ways)]
        hand = path[-1].position if path else None
        notes = _along(way, shapes[index], index, hand)
        if hand is not None and len(notes) > 1 and notes[0] == hand:
            notes = notes[1:]
        path += [PathNote(position, index) for position in notes]
    return path


def _along(
    way: ContourWay, shape: Sequence[Position], index: int, hand: Position | None
) -> list[Position]:
    """The notes of one shape in the order of its way."""
    rising = list(shape)
    if not rising:
        raise ContourError(f"shape {index + 1} has no notes", mend="Give it at least one position")
    first = rising if way.direction.startswith("up") else rising[::-1]
    legs = [first, first[::-1]] if "-" in way.direction else [first]
    notes: list[Position] = []
    for at, leg in enumerate(legs):
        played = _figured(way, leg, index)
        if way.turn and at == 0 and len(played) > 1:
            played += [played[-2], played[-1]]
        if notes and played[0] == notes[-1]:
            played = played[1:]
        notes += played
    if way.start > len(notes):
        raise ContourError(
            f"'{way}' starts from note {way.start}, but shape {index + 1} gives {len(notes)} notes",
            mend="Start from an earlier note",
        )
    start = way.start - 1
    if way.start == NEAREST:
        start = 0 if hand is None else _nearest(notes, hand)
    return _without_repeats(notes[start:] + notes[:start])


def _figured(way: ContourWay, leg: list[Position], index: int) -> list[Position]:
    """One leg in groups or broken."""
    size = 3 if way.broken else way.group
    if len(leg) < size:
        raise ContourError(
            f"'{way}' needs {size} notes, but shape {index + 1} has {len(leg)}",
            mend="Choose a bigger shape or a smaller group",
        )
    if way.broken:
        pairs = [note for at in range(len(leg) - 2) for note in (leg[at], leg[at + 2])]
        return [*pairs, leg[-2]]
    if way.group:
        return [note for at in range(len(leg) - size + 1) for note in leg[at : at + size]]
    return list(leg)


def _nearest(notes: Sequence[Position], hand: Position) -> int:
    """The first note nearest to the hand, a string counting as a fret, but not its very place."""
    return min(
        (at for at, note in enumerate(notes) if note != hand or len(notes) == 1),
        key=lambda at: (
            abs(notes[at].fret - hand.fret) + abs(notes[at].string - hand.string),
            at,
        ),
    )


def _without_repeats(notes: Sequence[Position]) -> list[Position]:
    kept: list[Position] = []
    for note in notes:
        if not kept or note != kept[-1]:
            kept.append(note)
    return kept
