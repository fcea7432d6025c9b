"""Degrees to symbol: the one way the house writes a chord.

A symbol is a head (``m7``, ``maj9``, ``13sus4``), then alterations in ascending order
(``b5 #5 b9 #9 #11 b13``), then additions, then omissions, each addition and omission in its own
brackets: ``m11b5``, ``7sus4b9``, ``9(addb9)(no5)``.  Alterations stand bare after a figure and in
brackets after anything else, since ``Cb5`` would be the fifth chord of C flat.

The set of degree *names* is what a symbol says: {1 3 b5 b7} is ``7b5`` and {1 3 #11 b7} is
``7#11(no5)``, although they sound alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from lickwright.errors import TheoryError
from lickwright.theory.degree import as_tension, degree_semitones, parse_degree, stacked
from lickwright.theory.symbols.kinds import KIND_BY_DEGREES, ChordKind

#: The degrees that chord symbols speak of.
CHORD_DEGREES = frozenset(
    {"1", "2", "b3", "3", "4", "b5", "5", "#5", "b6", "6", "bb7", "b7", "7"}
    | {"b9", "9", "#9", "11", "#11", "b13", "13"}
)

_RENAMED = {"b2": "b9", "#2": "#9", "#4": "#11", "b10": "#9", "#12": "b13"}
_ALTERATIONS = ("b5", "#5", "b9", "#9", "#11", "b13")
_NATURAL = {"b9": "9", "#9": "9", "#11": "11", "b13": "13"}
_NINTHS = {"b9", "9", "#9"}
_FIFTHS = {"b5", "5", "#5"}


def normal_degrees(degrees: Iterable[str]) -> frozenset[str] | None:
    """Degrees named as a chord symbol names them, or ``None`` where no symbol can hold them.

    The caller's names stand unless chord symbols have no such thing: beside a third, 2 is 9 and
    4 is 11; under a seventh, 6 is 13; beside a perfect fifth, b5 is #11 and #5 is b13; beside a
    major third, b3 is #9.

    Parameters
    ----------
    degrees : names such as ``"b3"``, in any order.

    Returns
    -------
    frozenset of str, or None
        The same tones under the names of a chord symbol.

    Raises
    ------
    TheoryError
        When a degree is not one that chord symbols speak of.

    Examples
    --------
    >>> sorted(normal_degrees(["1", "2", "3", "5"]))
    ['1', '3', '5', '9']
    """
    names = {_RENAMED.get(name, name) for name in map(parse_degree, degrees)}
    for name in names - CHORD_DEGREES:
        raise TheoryError(
            f"no chord symbol speaks of a degree '{name}'",
            mend=f"Use degrees from: {' '.join(stacked(CHORD_DEGREES))}",
        )

    def rename(old: str, new: str) -> None:
        if old in names:
            names.discard(old)
            names.add(new)

    if "3" in names:
        rename("b3", "#9")
    if "b3" in names:
        rename("#9", "b3")
    if names & {"3", "b3"}:
        rename("2", "9")
        rename("4", "11")
    elif "4" in names:
        rename("2", "9")
        rename("11", "4")
    elif "2" in names:
        rename("9", "2")
    if "5" in names:
        rename("b5", "#11")
        rename("#5", "b13")
    elif "b5" in names:
        rename("#11", "b5")
    if names & {"b7", "7"} and "bb7" not in names:
        rename("6", "13")
    elif "13" in names and not names & {"b7", "7"}:
        rename("13", "6")
    diminished = {"b3", "b5"} <= names and "#5" not in names
    if "bb7" in names and not (diminished and "b7" not in names):
        rename("bb7", "13" if names & {"b7", "7"} else "6")
    if diminished and not names & {"b7", "7"}:
        rename("6", "bb7")
    rename(*(("b6", "b13") if names & {"bb7", "b7", "7"} else ("b13", "b6")))
    if "#5" in names:
        names -= {"b6", "b13"}
    if "bb7" in names:
        names -= {"6", "13"}
    return frozenset(names) if _is_sayable(names) else None


def _is_sayable(names: set[str]) -> bool:
    if len({degree_semitones(name) for name in names}) != len(names):
        return False
    if {"b7", "7"} <= names or {"bb7", "b7"} <= names:
        return False
    has_third = bool(names & {"3", "b3", "2", "4"})
    has_fifth = bool(names & _FIFTHS)
    has_seventh = bool(names & {"b7", "7"})
    return len(names) > 1 and (has_third or has_fifth or has_seventh)


@lru_cache(maxsize=65536)
def _kind(names: frozenset[str]) -> ChordKind:
    row = KIND_BY_DEGREES.get(names)
    if row is not None:
        return row
    return ChordKind(
        compose_suffix(names),
        stacked(names),
        family=_family(names),
        source="composed by rule",
        optional=_optional(names),
    )


def kind_from_degrees(degrees: Iterable[str]) -> ChordKind | None:
    """The kind of chord that holds exactly these degrees, ``None`` where no symbol says it.

    What is missing is said: {1 3 b7 13} is ``7(add13)(no5)``.  For the symbol that a player would
    write, with optional tones left unsaid, see :func:`plain_kind`.

    Parameters
    ----------
    degrees : names such as ``"b3"``, in any order.

    Returns
    -------
    ChordKind or None
        The kind, of the vocabulary or composed by rule.

    Raises
    ------
    TheoryError
        When a degree is not one that chord symbols speak of.

    Examples
    --------
    >>> kind_from_degrees(["1", "3", "b7", "13"]).suffix
    '7(add13)(no5)'
    """
    given = frozenset(map(parse_degree, degrees))
    row = KIND_BY_DEGREES.get(given)
    if row is not None:
        return row
    names = normal_degrees(given)
    return None if names is None else _kind(names)


def plain_kind(degrees: Iterable[str]) -> tuple[ChordKind, tuple[str, ...]] | None:
    """The symbol a player would write for some degrees, and the tones it says that are missing.

    {1 3 b7 13} is ``13`` without its 5 and 9.  The fifth of a seventh chord, the ninth below an
    11 or a 13 and the 11 of a minor thirteenth may be missing; nothing else is made up.

    Parameters
    ----------
    degrees : names such as ``"b3"``, in any order.

    Returns
    -------
    (ChordKind, tuple of str), or None
        The kind, and which of its degrees are missing.

    Examples
    --------
    >>> kind, missing = plain_kind(["1", "3", "b7", "13"])
    >>> kind.suffix, missing
    ('13', ('5', '9'))
    """
    names = normal_degrees(degrees)
    if names is None:
        return None
    full = set(names)
    seventh = bool(names & {"b7", "7"})
    minor = "b3" in names
    if not names & _FIFTHS and (seventh or {"6", "9"} <= names):
        full.add("5")
    if seventh and not names & _NINTHS and ("13" in names or ("11" in names and minor)):
        full.add("9")
    if seventh and minor and "13" in names and not names & {"11", "#11"}:
        full.add("11")
    kind = _kind(frozenset(full))
    return kind, stacked(full - names)


def compose_suffix(names: frozenset[str]) -> str:
    """The house suffix of normal degrees, built by rule alone (the table's rows agree with it)."""
    head, implied = _head(names)
    alterations = [
        name
        for name in _ALTERATIONS
        if name in names and name not in implied and _alters(name, names)
    ]
    additions = names - implied - set(alterations)
    omissions = implied - names
    for name in alterations:
        omissions -= {_NATURAL.get(name, "5")}
    text = "".join(alterations)
    if text and not head[-1:].isdigit():
        text = f"({text})"
    if omissions and {"b5", "#5"} & names:
        omissions -= {"5"}
    added = [f"(add{'maj7' if name == '7' else name})" for name in stacked(additions)]
    if head + text == "" and added and added[0][4].isdigit():
        added[0] = added[0][1:-1]
    return head + text + "".join(added) + "".join(f"(no{name[-1]})" for name in stacked(omissions))


def _alters(name: str, names: frozenset[str]) -> bool:
    """Whether an altered tone is written bare (it takes the natural's place) or as an addition."""
    if name in ("b5", "#5"):
        return True
    return bool(names & {"6", "b7", "7"}) and _NATURAL[name] not in names


def _head(names: frozenset[str]) -> tuple[str, set[str]]:
    """The head of a symbol and every degree that it says by itself."""
    third = next((name for name in ("b3", "3", "4", "2") if name in names), "")
    implied = {"1", third or "3", "5"}
    sus = f"sus{third}" if third in ("2", "4") else ""
    minor = third == "b3"
    if names & {"b7", "7"} and "bb7" not in names:
        level, tones = _level(names, minor, sus)
        seventh = "7" if "7" in names else "b7"
        implied |= tones | {seventh}
        if seventh == "b7":
            return ("m" if minor else "") + level + sus, implied
        if not minor:
            return f"maj{level}{sus}", implied
        if "b5" in names and level == "7" and "#5" not in names:
            return "dim(maj7)", (implied | {"b5"}) - {"5"}
        return f"m(maj{level})", implied
    if "bb7" in names:
        return "dim7", {"1", "b3", "b5", "bb7"}
    if "6" in names:
        ninth = {"9"} & names
        return ("m" if minor else "") + ("6/9" if ninth else "6") + sus, implied | ninth | {"6"}
    fifths = names & _FIFTHS
    if minor and fifths == {"b5"}:
        return "dim", {"1", "b3", "b5"}
    if third == "3" and fifths == {"#5"}:
        return "aug", {"1", "3", "#5"}
    if not third and fifths == {"5"}:
        return "5", {"1", "5"}
    return ("m" if minor else sus), implied


def _level(names: frozenset[str], minor: bool, sus: str) -> tuple[str, set[str]]:
    """How high the naturals are stacked, and which of them the figure says."""
    if names & _NINTHS:
        if "13" in names and (not minor or names & {"11", "#11"}):
            return "13", {"9", "11", "13"} if minor else {"9", "13"}
        if "11" in names and not sus:
            return "11", {"9", "11"}
        if "9" in names:
            return "9", {"9"}
    return "7", set()


def _family(names: frozenset[str]) -> str:
    if names & {"2", "4"}:
        return "suspended"
    seventh = names & {"bb7", "b7", "7"}
    if seventh:
        for family, tones in (
            ("thirteenth", {"b13", "13"}),
            ("eleventh", {"11", "#11"}),
            ("ninth", _NINTHS),
        ):
            if names & tones:
                return family
        return "seventh"
    if "6" in names:
        return "sixth"
    if {as_tension(name) for name in names} & {"b9", "9", "#9", "11", "#11", "b13"}:
        return "added"
    return "triad" if names & {"3", "b3"} else "power"


def _optional(names: frozenset[str]) -> tuple[str, ...]:
    optional: set[str] = set()
    if names & {"b7", "7"} or {"6", "9"} <= names:
        optional |= {"5"} & names
    if names & {"b7", "7"} and names & {"11", "13"}:
        optional |= {"9"} & names
        if "b3" in names and "13" in names:
            optional |= {"11"} & names
    return stacked(optional)
