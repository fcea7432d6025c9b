"""Symbol to degrees: the many ways players write a chord, read as one set of degrees.

What follows the root is a spelling from the vocabulary and then any number of changes to it:

* an alteration (``b9``, ``#11``, ``-5``, ``+9``) takes the place of the natural, or of nothing;
* ``add9``, ``(addb6)`` adds; a bare figure adds inside brackets (``m7(11)``);
* ``no3``, ``omit5``, ``(no root)`` leaves out;
* ``sus4``, ``sus2``, ``sus`` puts a fourth or second for the third;
* ``maj7`` after a triad adds the major seventh.

The longest vocabulary spelling that lets the rest be read is taken, so ``7+9`` is a raised ninth
although ``7+`` by itself is a raised fifth.
"""

from __future__ import annotations

import difflib
import re
from functools import lru_cache

from lickwright.errors import TheoryError
from lickwright.theory.degree import print_degrees
from lickwright.theory.symbols.kinds import KIND_BY_DEGREES, VOCABULARY, ChordKind
from lickwright.theory.symbols.writing import CHORD_DEGREES, kind_from_degrees, normal_degrees

_GLYPHS = str.maketrans(
    {
        "♭": "b",
        "♯": "#",
        "∆": "Δ",
        "△": "Δ",
        "Ø": "ø",
        "⌀": "ø",
        "º": "°",
        "˚": "°",
        "–": "-",
        "−": "-",
        "⁺": "+",
        "[": "(",
        "]": ")",
    }
)


def _spellings() -> dict[str, tuple[str, ...]]:
    read: dict[str, tuple[str, ...]] = {}
    for kind in VOCABULARY:
        for spelling in (kind.suffix, *kind.spellings):
            read.setdefault(spelling, kind.degrees)
    return read


#: Every spelling in the vocabulary and its degrees; the longest is tried first.
SPELLINGS = _spellings()
_LONGEST_FIRST = sorted(SPELLINGS, key=lambda spelling: (-len(spelling), spelling))

_CHANGE = re.compile(
    r"""
      (?P<mark> [(),/]+ )
    | (?P<add> add ) (?P<added> (?:maj|M)7 | [b\#]?(?:13|11|9|7|6|5|4|3|2) )
    | (?P<no> no | omit ) (?P<left_out> 13|11|9|7|6|5|3|1|root ) (?: rd|th )?
    | (?P<sus> sus (?: 2/?4 | 4/?2 | 4 | 2 )? )
    | (?P<maj> (?: maj | Maj | MAJ | ma | M | Δ ) 7? )
    | (?P<alter> [#b+-] ) (?P<altered> 13|11|9|6|5|4|2 )
    | (?P<figure> 13|11|9|6|4|2 )
    """,
    re.VERBOSE,
)
#: Other names of tones that are altered or added.
_ALTERED = {"b2": "b9", "#2": "#9", "#4": "#11"}
_ADDED = _ALTERED | {"maj7": "7", "M7": "7", "2": "9", "4": "11"}
#: What each number of an omission may be in a chord.
_SLOTS = {
    "1": ("1",),
    "root": ("1",),
    "3": ("b3", "3"),
    "5": ("b5", "5", "#5"),
    "6": ("b6", "6", "13", "b13"),
    "7": ("bb7", "b7", "7"),
    "9": ("b9", "9", "#9", "2"),
    "11": ("11", "#11", "4"),
    "13": ("b13", "13", "6"),
}


#: Suffixes that players read in two ways; the house reads neither.
AMBIGUOUS = {
    "2": ("sus2", "add9"),
    "4": ("sus4", "add11"),
    "+11": ("aug11", "(add#11)"),
}

#: What can be done to a chord, for hints.
_CHANGES = (
    *("b5", "#5", "b9", "#9", "#11", "b13", "add9", "add11", "add13", "(addb6)"),
    *("sus2", "sus4", "(no3)", "(no5)"),
)


class _UnreadError(Exception):
    """A change that cannot be read or applied: where the trouble starts, why, how to mend it."""

    def __init__(self, start: int, why: str, mend: str = "") -> None:
        self.start = start
        self.why = why
        self.mend = mend


def tidy(text: str) -> str:
    """One glyph for each meaning, no spaces: what the reader compares spellings with.

    Parameters
    ----------
    text : a symbol or a part of one, as it was typed.

    Returns
    -------
    str
        What :func:`parse_suffix` reads.

    Examples
    --------
    >>> tidy(" m7 ♭5 ")
    'm7b5'
    """
    return "".join(text.translate(_GLYPHS).split())


@lru_cache(maxsize=4096)
def parse_suffix(text: str) -> ChordKind:
    """Read what follows the root of a chord symbol.

    Parameters
    ----------
    text : what stands after the root, ``""`` for a major triad.

    Returns
    -------
    ChordKind
        The kind, free of any root.

    Raises
    ------
    TheoryError
        With what cannot be read and the nearest spelling that can.

    Examples
    --------
    >>> parse_suffix("-7b5").suffix, parse_suffix("-7b5").degrees
    ('m7b5', ('1', 'b3', 'b5', 'b7'))
    """
    suffix = tidy(text)
    readings = AMBIGUOUS.get(suffix.strip("()"))
    if readings:
        raise TheoryError(
            f"'{suffix}' is read both as {readings[0]} and as {readings[1]}",
            mend=f"Write {readings[0]} or {readings[1]}",
        )
    furthest = _UnreadError(-1, f"'{suffix}' cannot be read")
    for base in _LONGEST_FIRST:
        if not suffix.startswith(base):
            continue
        try:
            kind = kind_from_degrees(_changed(SPELLINGS[base], suffix, len(base)))
        except _UnreadError as trouble:
            if trouble.start > furthest.start:
                furthest = trouble
            continue
        if kind is not None:
            return kind
    mend = furthest.mend or _nearest(suffix, furthest.start)
    raise TheoryError(
        furthest.why, mend=mend or "Write a quality, then its alterations, such as m7 or 7#9b13"
    )


def _nearest(suffix: str, start: int) -> str:
    """A hint: what could be read with the nearest change, else the nearest kind of all."""
    head, rest = suffix[: max(start, 0)].rstrip("(,/"), suffix[max(start, 0) :].strip("()")
    offers = [head + change for change in difflib.get_close_matches(rest, _CHANGES) if head]
    offers += [
        KIND_BY_DEGREES[frozenset(SPELLINGS[spelling])].suffix
        for spelling in difflib.get_close_matches(suffix, filter(None, SPELLINGS), n=1)
    ]
    offer = next(filter(_is_read, offers), None)
    return "" if offer is None else f"Did you mean '{offer}'?"


def _is_read(suffix: str) -> bool:
    try:
        parse_suffix(suffix)
    except TheoryError:
        return False
    return True


def _changed(degrees: tuple[str, ...], suffix: str, start: int) -> set[str]:
    """The degrees of a spelling after every change that follows it.

    Raises
    ------
    _UnreadError
        Where the rest of the suffix cannot be read or does not fit the chord.
    """
    names = set(degrees)
    added: set[str] = set()
    depth = 0
    after_mark = False
    at = start
    while at < len(suffix):
        match = _CHANGE.match(suffix, at)
        if match is None:
            raise _UnreadError(at, f"'{suffix[at:]}' cannot be read")
        if match["mark"]:
            depth += match["mark"].count("(") - match["mark"].count(")")
            if depth < 0:
                raise _UnreadError(at, "a bracket closes that was never opened", "Remove it")
            after_mark = True
        elif match["figure"] and not (after_mark and depth):
            raise _UnreadError(
                at, f"'{match['figure']}' stands alone", f"Write (add{match['figure']})"
            )
        else:
            _apply(match, names, added)
            after_mark = False
        at = match.end()
    if depth:
        raise _UnreadError(at, "a bracket is not closed", "Close it")
    return names


def _apply(match: re.Match[str], names: set[str], added: set[str]) -> None:
    """Make one change to the degrees, in place."""
    if match["add"] or match["figure"]:
        _add(match, match["added"] or match["figure"], names, added)
    elif match["maj"]:
        _add(match, "maj7", names, added)
    elif match["no"]:
        _leave_out(match, match["left_out"], names)
    elif match["sus"]:
        _suspend(match, names)
    else:
        _alter(match, names, added)


def _add(match: re.Match[str], text: str, names: set[str], added: set[str]) -> None:
    if text == "7":
        raise _UnreadError(match.start(), "'add7' leaves open which seventh", "Write 7 or maj7")
    name = _ADDED.get(text, text)
    trial = normal_degrees({*names, name}) if name in CHORD_DEGREES else None
    if trial is None or len(trial) == len(names):
        raise _UnreadError(
            match.start(),
            f"'{text}' does not go into a chord of {print_degrees(names)}",
            "Leave it out, or write what it should replace",
        )
    names.add(name)
    added.add(name)


def _leave_out(match: re.Match[str], text: str, names: set[str]) -> None:
    slot = set(_SLOTS[text])
    if not names & slot:
        raise _UnreadError(
            match.start(), f"there is no {text} to leave out", f"Remove '{match[0]}'"
        )
    names -= slot


def _suspend(match: re.Match[str], names: set[str]) -> None:
    if not names & {"3", "b3", "2", "4"}:
        raise _UnreadError(
            match.start(), "there is no third to suspend", "Write sus4 or sus2 after the root"
        )
    names -= {"3", "b3"}
    if "2" in match[0]:
        names.add("2")
    if "4" in match[0] or "2" not in match[0]:
        names.discard("11")
        names.add("4")


def _alter(match: re.Match[str], names: set[str], added: set[str]) -> None:
    sign = {"+": "#", "-": "b"}.get(match["alter"], match["alter"])
    name = _ALTERED.get(sign + match["altered"], sign + match["altered"])
    if name not in ("b5", "#5", "b6", "b9", "#9", "#11", "b13"):
        raise _UnreadError(match.start(), f"'{match[0]}' is not an alteration")
    if name == "b6" and names & {"b7", "7"}:
        name = "b13"
    if name[1:] not in added:
        names.discard(name[1:])
    names.add(name)
