"""What would a player call these notes on this root?

One root at a time, whatever the bass: :func:`name_on_root` reads a mask as a chord on its bit 0.
Which root wins over a sounding bass is the business of :mod:`lickwright.theory.hearing.strength`.

Rules (common practice, no source)
----------------------------------
* A tone is named by its place in the chord: 3 semitones are b3, or #9 beside a major third;
  5 semitones are 4 where there is no third, else 11; 9 semitones are 13 under a seventh, 6
  without one, bb7 in a diminished chord.
* Without a perfect fifth, 6 semitones are the b5 of a chord with a minor third; over a major
  third they are #11 unless the chord is a bare 7b5 or (b5).  8 semitones are the #5 of a chord
  with a major third unless a #11 beside an altered ninth makes them b13.
* A root that does not sound may be understood only where both guide tones sound.
* A name is *common* when its tensions are ones that players stack on its basic chord: the table
  below.  Anything else can be written and read, but no player would say it.
* What has a row of its own in the vocabulary is common too, whatever the rules above make of its
  tones: the vocabulary says which chords there are, the table below only how plain they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from lickwright.theory.degree import degree_semitones
from lickwright.theory.symbols import KIND_BY_DEGREES, KIND_BY_MASK, ChordKind, plain_kind

#: The basic chord | how far it is from a plain one (0 = a plain one) | the tensions stacked on
#: it every day | now and then | hardly ever.  Common practice, no source.
_TABLE = """
1 3 5       | 0  | 9                  | #11 11    |
1 b3 5      | 0  | 9                  | 11 b6     |
1 b3 b5     | 1  |                    |           |
1 3 b5      | 5  |                    |           |
1 3 #5      | 2  |                    | 9 #11     |
1 4 5       | 1  | 9                  |           |
1 2 5       | 2  |                    | #11       |
1 5         | 4  |                    |           |
1 3 5 6     | 1  | 9 #11              |           |
1 b3 5 6    | 1  | 9                  | 11 #11    |
1 3 5 b7    | 0  | b9 9 #9 #11 b13 13 | 11        |
1 3 #5 b7   | 1  | b9 9 #9 #11        | 13        | 11
1 3 b5 b7   | 2  | b9 9 #9            | 13 b13    |
1 4 5 b7    | 1  | b9 9 13            | b13       |
1 2 5 b7    | 14 |                    | #11 b13 13 |
1 5 b7      | 10 |                    | b9 #11    |
1 3 5 7     | 0  | 9 #11 13           | #9 11     |
1 3 #5 7    | 2  | 9 #11              | 13        | 11
1 3 b5 7    | 5  |                    |           |
1 4 5 7     | 8  | 9                  | 13        |
1 2 5 7     | 14 |                    | 13 #11    |
1 5 7       | 10 |                    | #11       |
1 4 5 6     | 10 | 9                  |           |
1 b3 5 b7   | 0  | 9 11 13            | b9 #11 b13 |
1 b3 b5 b7  | 0  | 9 11 b13           | b9 13     |
1 b3 5 7    | 1  | 9 11 13            | #11 b13   |
1 b3 b5 bb7 | 0  | 9 11 b13           | 7         | b9
1 b3 b5 7   | 5  | 9                  | 11 b13    |
"""

#: What a tension adds to the distance from a plain chord.
_TENSION_COSTS = (1.0, 5.0, 10.0)
#: What a fifth adds that a symbol must say is left out, as in C6(no5).
_NO_FIFTH = 16.0
#: How far from a plain chord a row of the vocabulary is that the table above does not reach.
_OWN_ROW = 12.0

#: The degrees above the seventh (a b6 on a triad is one too).
TENSIONS = frozenset({"b9", "9", "#9", "11", "#11", "b6", "b13", "13"})
_CORE = frozenset({"1", "2", "b3", "3", "4", "b5", "5", "#5", "6", "bb7", "b7", "7"})
_THIRDS = frozenset({"3", "b3"})


def _rows() -> dict[frozenset[str], tuple[float, dict[str, float]]]:
    rows = {}
    for line in _TABLE.strip().splitlines():
        core, distance, *tensions = (cell.strip() for cell in line.split("|"))
        costs = {
            name: cost
            for cell, cost in zip(tensions, _TENSION_COSTS, strict=True)
            for name in cell.split()
        }
        rows[frozenset(core.split())] = (float(distance), costs)
    return rows


_BASICS = _rows()
#: The kinds with a row of their own.
VOCABULARY_ROWS = frozenset(KIND_BY_DEGREES.values())


@dataclass(frozen=True, slots=True)
class Naming:
    """A set of notes read as a chord on one root.

    Parameters
    ----------
    kind : the chord, as its symbol says it; it may say tones that are ``missing``.
    by_semitones : for each number of semitones 0-11 the degree that sounds there, or ``""``.
    missing : degrees that the symbol says and that do not sound, ``"1"`` for an absent root.
    distance : how far the name is from a plain chord, from 0; ``None`` where no player would
        use it.
    """

    kind: ChordKind
    by_semitones: tuple[str, ...]
    missing: tuple[str, ...]
    distance: float | None

    @property
    def degrees(self) -> tuple[str, ...]:
        """The degrees that sound, ascending from the root within an octave."""
        return tuple(name for name in self.by_semitones if name)

    @property
    def tensions(self) -> tuple[str, ...]:
        """The sounding degrees beyond third, fifth and seventh (or sixth)."""
        return tuple(name for name in self.degrees if name in TENSIONS)


@cache
def name_on_root(mask: int) -> Naming | None:
    """Read a mask as a chord on bit 0, which need not sound; ``None`` where no symbol can.

    Parameters
    ----------
    mask : 12-bit, relative to the root.
    """
    naming = _named_by_rule(mask)
    row = KIND_BY_MASK.get(mask)
    if row is None or (naming is not None and naming.kind in VOCABULARY_ROWS):
        return naming
    return Naming(row, _by_semitones(row.degrees), (), _distance(row))


def _named_by_rule(mask: int) -> Naming | None:
    names = _degree_names(mask | 1)
    if names is None:
        return None
    exact = KIND_BY_DEGREES.get(frozenset(names))
    found = (exact, ()) if exact is not None and exact.suffix == "7alt" else plain_kind(names)
    if found is None:
        return None
    kind, missing = found
    if not mask & 1:
        if not (names & _THIRDS and names & {"7", "b7"}):
            return None
        missing = ("1", *missing)
    sounding = [name for name in kind.degrees if name not in missing]
    return Naming(kind, _by_semitones(sounding), missing, _distance(kind))


def _by_semitones(degrees: Iterable[str]) -> tuple[str, ...]:
    by_semitones = [""] * 12
    for name in degrees:
        by_semitones[degree_semitones(name)] = name
    return tuple(by_semitones)


def is_grip(naming: Naming) -> bool:
    """Whether players write this chord over a foreign bass without thinking.

    That is a triad, a sixth, a seventh or a ninth with a row of its own and every tone there.
    """
    return not naming.missing and naming.kind in VOCABULARY_ROWS and len(naming.degrees) <= 5


def _degree_names(mask: int) -> set[str] | None:
    """The degree of every tone of a mask whose root is bit 0."""

    def has(semitones: int) -> bool:
        return bool(mask >> semitones & 1)

    if has(10) and has(11):
        return None
    third = "3" if has(4) else "b3" if has(3) else "4" if has(5) else "2" if has(2) else ""
    names = {"1"}
    if third:
        names.add(third)
    if has(1):
        names.add("b9")
    if has(2) and third != "2":
        names.add("9")
    if has(3) and third != "b3":
        names.add("#9")
    if has(5) and third != "4":
        names.add("11")
    names |= _fifth_names(mask, third)
    if has(10):
        names.add("b7")
    if has(11):
        names.add("7")
    if has(9):
        diminished = third == "b3" and "b5" in names
        seventh = has(10) or has(11)
        names.add("bb7" if diminished and not has(10) else "13" if seventh else "6")
    return names


def _fifth_names(mask: int, third: str) -> set[str]:
    flat, perfect, sharp = (bool(mask >> semitones & 1) for semitones in (6, 7, 8))
    high = "b13" if mask & (1 << 10 | 1 << 11) else "b6"
    if perfect:
        return {"5"} | ({"#11"} if flat else set()) | ({high} if sharp else set())
    if third == "b3":
        return ({"b5"} if flat else set()) | ({high} if sharp else set())
    bare = mask in (0b000001010001, 0b010001010001)
    altered_ninth = bool(mask & (1 << 1 | 1 << 3))
    names = set()
    if flat:
        names.add("b5" if bare else "#11")
    if sharp:
        names.add(high if (flat and altered_ninth) or third != "3" else "#5")
    return names


def _distance(kind: ChordKind) -> float | None:
    """How far a kind is from a plain chord; ``None`` where no player would use it."""
    distance = _table_distance(kind)
    return _OWN_ROW if distance is None and kind in VOCABULARY_ROWS else distance


def _table_distance(kind: ChordKind) -> float | None:
    """What the table says; ``None`` where it has no such basic chord, or not such tensions."""
    names = set(kind.degrees)
    if kind.suffix == "7alt":
        return 2 * _TENSION_COSTS[0]
    core = frozenset(names & _CORE)
    tensions = names - core
    basic = _BASICS.get(core)
    if basic is not None:
        return _with_tensions(basic, tensions, altered="#5" in core)
    # A fifth that its symbol must leave out; with a b6 that is another chord turned over.
    basic = _BASICS.get(core | {"5"})
    if basic is None or "(no5)" not in kind.suffix or "b6" in tensions:
        return None
    distance = _with_tensions(basic, tensions, altered=False)
    return None if distance is None else distance + _NO_FIFTH


def _with_tensions(
    basic: tuple[float, dict[str, float]], tensions: set[str], *, altered: bool
) -> float | None:
    distance, costs = basic
    mixed = (
        any(name not in costs for name in tensions)
        or ("9" in tensions and tensions & {"b9", "#9"})
        or {"b13", "13"} <= tensions
        or {"11", "#11"} <= tensions
        or (altered and "11" in tensions and tensions - {"9", "11"})
    )
    return None if mixed else distance + sum(costs[name] for name in tensions)
