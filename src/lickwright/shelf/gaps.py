"""What has a series of lessons covered, and what would be the next step?

The table counts licks by family of chords, picking technique and set of three neighbouring
strings.  An empty place is worth a lesson the more its neighbours are filled: then only one thing
in it is new.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import distinct, func, select

from lickwright.shelf.store import Shelf, tables
from lickwright.theory import Chord, parse_chord
from lickwright.theory.finding import pairs_for

#: What a picking hand is taught.
PICKING = ("sweep", "alternate", "legato")
#: Strings in a set.
SET_SIZE = 3

#: A chord of each family by which two triads say it well; the root is the series' own.  Common
#: practice, no source.
EXAMPLES = {
    "major": "maj9",
    "minor": "m9",
    "dominant": "13",
    "altered dominant": "7#9b13",
    "suspended": "9sus4",
    "half-diminished": "m11b5",
    "diminished": "dim7",
    "augmented": "maj7#5",
    "minor-major": "m(maj7)",
}

#: A family of chords, a technique, and the lowest and highest string of a set.
Cell = tuple[str, str, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class NextStep:
    """Something that the series has not covered yet.

    Parameters
    ----------
    chord, triads : an example: two triads that imply a chord of the family.
    known : which two of the three it already has together, in words.
    """

    family: str
    technique: str
    strings: tuple[int, int]
    chord: str
    triads: tuple[str, ...]
    known: tuple[str, ...]

    def __str__(self) -> str:
        low, high = self.strings
        said = f"{self.family} chords, {_DONE[self.technique]}, on strings {low}-{high}"
        if self.known:
            said += f" ({'; '.join(self.known)})"
        if self.triads:
            said += f": try {' and '.join(self.triads)} for {self.chord}"
        return said


_DONE = {"sweep": "swept", "alternate": "picked alternately", "legato": "played legato"}


@dataclass(frozen=True, slots=True)
class Coverage:
    """How many licks lie in each place of the table; places without any are left out."""

    counts: Mapping[Cell, int]
    string_sets: tuple[tuple[int, int], ...]
    steps: tuple[NextStep, ...]

    def count(
        self,
        family: str | None = None,
        technique: str | None = None,
        strings: tuple[int, int] | None = None,
    ) -> int:
        """Places filled along the named edges of the table: the sum of their licks."""
        return sum(
            number
            for (one, two, three), number in self.counts.items()
            if family in (None, one) and technique in (None, two) and strings in (None, three)
        )


def coverage(shelf: Shelf, teacher: str | None = None, steps: int = 5) -> Coverage:
    """The table of what is covered, and the next steps.

    Parameters
    ----------
    teacher : only the lessons of one; ``None`` for the whole shelf.
    steps : how many next steps to suggest.
    """
    lick, chord, technique = tables.lick.c, tables.chord.c, tables.technique.c
    query = (
        select(
            chord.family,
            technique.name,
            lick.lowest_string,
            lick.highest_string,
            func.count(distinct(lick.id)),
        )
        .select_from(tables.lick)
        .join(tables.chord, chord.lick_id == lick.id)
        .join(tables.technique, technique.lick_id == lick.id)
        .where(chord.printed, technique.name.in_(PICKING))
        .group_by(chord.family, technique.name, lick.lowest_string, lick.highest_string)
    )
    roots = (
        select(chord.root, func.count().label("licks"))
        .select_from(tables.chord)
        .join(tables.lick, chord.lick_id == lick.id)
        .where(chord.printed)
        .group_by(chord.root)
    )
    if teacher is not None:
        own = lick.lesson_id.in_(
            select(tables.lesson.c.id).where(tables.lesson.c.teacher == teacher)
        )
        query, roots = query.where(own), roots.where(own)
    counts: Counter[Cell] = Counter()
    strings = 6
    with shelf.reading() as connection:
        for family, name, low, high, number in connection.execute(query):
            strings = max(strings, high)
            for inside in _sets(low, high):
                counts[family, name, inside] += number
        root = max(connection.execute(roots), key=lambda row: (row[1], -row[0]), default=(0, 0))[0]
    sets = tuple(_sets(1, strings))
    ordered = {cell: counts[cell] for cell in sorted(counts)}
    return Coverage(ordered, sets, tuple(_steps(ordered, sets, root, steps)))


def _sets(low: int, high: int) -> Iterator[tuple[int, int]]:
    """The sets of neighbouring strings within a range; fewer strings than a set are one."""
    if high - low + 1 < SET_SIZE:
        first = max(1, min(low, high - SET_SIZE + 1))
        yield first, first + SET_SIZE - 1
    for first in range(low, high - SET_SIZE + 2):
        yield first, first + SET_SIZE - 1


def _steps(
    counts: Mapping[Cell, int], sets: tuple[tuple[int, int], ...], root: int, limit: int
) -> Iterator[NextStep]:
    """Empty places, those with the most filled neighbours first, and no family twice in a row."""
    empty = [
        (family, technique, strings)
        for family in EXAMPLES
        for technique in PICKING
        for strings in sets
        if not counts.get((family, technique, strings))
    ]
    known = {cell: _known(counts, cell) for cell in empty}
    order = {cell: at for at, cell in enumerate(empty)}
    told: Counter[str] = Counter()
    for _ in range(min(limit, len(empty))):
        cell = min(order, key=lambda cell: (told[cell[0]], -len(known[cell]), order[cell]))
        del order[cell]
        told[cell[0]] += 1
        yield _step(cell, root, known[cell])


def _known(counts: Mapping[Cell, int], cell: Cell) -> tuple[str, ...]:
    """Which two of a place's three sides already meet, in words."""
    family, technique, strings = cell
    filled = [cell for cell, number in counts.items() if number]
    said = []
    if any((one, two) == (family, technique) for one, two, _ in filled):
        said.append("on other strings already")
    if any((one, three) == (family, strings) for one, _, three in filled):
        said.append("in another technique already")
    if any((two, three) == (technique, strings) for _, two, three in filled):
        said.append("for other chords already")
    return tuple(said)


def _step(cell: Cell, root: int, known: tuple[str, ...]) -> NextStep:
    family, technique, strings = cell
    chord = _chord(root, EXAMPLES[family])
    groups = [group for group in pairs_for(chord) if len(group.triads) == 2]
    triads = tuple(map(str, groups[0].triads)) if groups else ()
    return NextStep(family, technique, strings, str(chord), triads, known)


def _chord(root: int, suffix: str) -> Chord:
    names = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return parse_chord(f"{names[root]}{suffix}")
