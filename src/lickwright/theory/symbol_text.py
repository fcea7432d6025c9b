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

import re
from functools import lru_cache

from lickwright.errors import TheoryError, did_you_mean
from lickwright.theory.house_style import kind_from_degrees, normal_degrees
from lickwright.theory.vocabulary import VOCABULARY, ChordKind

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
      (?P<sep> [(),/\s]+ )
    | (?P<add> add ) (?P<added> (?:bb|b|\#|maj|M)? (?:13|11|9|7|6|5|4|3|2) )
    | (?P<no> no | omit ) (?P<left_out> 13|11|9|7|6|5|3|1|root ) (?:rd|th)?
    | (?P<sus> sus (?: 2/?4 | 4/?2 | 4 | 2 )? )
    | (?P<maj> (?: maj | Maj | MAJ | ma | M | Δ ) 7? )
    | (?P<alter> [#b+-] ) (?P<altered> 13|11|9|6|5|4|2 )
    | (?P<figure> 13|11|9|6|4|2 )
    """,
    re.VERBOSE,
)
_SLOTS = {
    "2": ("b9", "9", "#9"),
    "3": ("b3", "3"),
    "5": ("b5", "5", "#5"),
    "6": ("b6", "6", "13", "b13"),
    "7": ("bb7", "b7", "7"),
    "9": ("b9", "9", "#9", "2"),
    "11": ("11", "#11", "4"),
    "13": ("b13", "13", "6"),
}


class _UnreadError(Exception):
    """A change that cannot be read or applied; carries where the trouble starts and why."""

    def __init__(self, start: int, why: str) -> None:
        self.start = start
        self.why = why


def tidy(text: str) -> str:
    """One glyph for each meaning, no spaces: what the reader compares spellings with."""
    return "".join(text.translate(_GLYPHS).split())


@lru_cache(maxsize=4096)
def parse_suffix(text: str) -> ChordKind:
    """Read what follows the root of a chord symbol.

    Raises
    ------
    TheoryError
        With what cannot be read and the nearest spelling that can.
    """
    suffix = tidy(text)
    if suffix in ("2", "(2)"):
        raise TheoryError("a bare '2' is read both as sus2 and as add9", mend="Write sus2 or add9")
    furthest: tuple[int, str] = (-1, "")
    for base in _LONGEST_FIRST:
        if not suffix.startswith(base):
            continue
        try:
            degrees = _changed(SPELLINGS[base], suffix, len(base))
        except _UnreadError as trouble:
            furthest = max(furthest, (trouble.start, trouble.why), key=lambda found: found[0])
            continue
        kind = kind_from_degrees(degrees)
        if kind is not None:
            return kind
        furthest = max(furthest, (0, "no chord holds all of these tones"), key=lambda f: f[0])
    start, why = furthest
    mend = _nearest(suffix, start) or "Write a quality, then its alterations, such as m7 or 7#9b13"
    raise TheoryError(why or f"'{text}' is not a chord quality", mend=mend)


def _nearest(suffix: str, start: int) -> str:
    near = did_you_mean(suffix, [spelling for spelling in SPELLINGS if spelling])
    if near or start <= 0:
        return near
    head, rest = suffix[:start], suffix[start:].strip("()")
    changes = ("b5", "#5", "b9", "#9", "#11", "b13", "add9", "add11", "add13", "sus4", "no3", "no5")
    return did_you_mean(rest, changes).replace("'", f"'{head}", 1)


def _changed(degrees: tuple[str, ...], suffix: str, start: int) -> set[str]:
    names = set(degrees)
    depth = 0
    fresh = False
    at = start
    added: set[str] = set()
    while at < len(suffix):
        match = _CHANGE.match(suffix, at)
        if match is None:
            raise _UnreadError(at, f"'{suffix[at:]}' cannot be read")
        if match["sep"]:
            depth += match["sep"].count("(") - match["sep"].count(")")
            if depth < 0:
                raise _UnreadError(at, "a bracket closes that was never opened")
            fresh = True
        elif match["figure"] and not (fresh and depth):
            raise _UnreadError(at, f"'{match['figure']}' needs 'add' or brackets")
        else:
            trouble = _apply(match, names, added)
            if trouble:
                raise _UnreadError(at, trouble)
            fresh = False
        at = match.end()
    if depth:
        raise _UnreadError(at, "a bracket is not closed")
    return names


def _apply(match: re.Match[str], names: set[str], added: set[str]) -> str:
    """Change the names in place; returns what is wrong, ``""`` where nothing is."""
    if match["add"] or match["figure"]:
        return _add(match["added"] or match["figure"], names, added)
    if match["no"]:
        return _leave_out(match["left_out"], names)
    if match["sus"]:
        if not names & {"3", "b3", "2", "4"}:
            return "there is no third to suspend"
        names -= {"3", "b3"}
        if "4" in match["sus"] or match["sus"] == "sus":
            names -= {"11"}
            names.add("4")
        if "2" in match["sus"]:
            names.add("2")
        return ""
    if match["maj"]:
        return _add("maj7", names, added)
    sign = {"+": "#", "-": "b"}.get(match["alter"], match["alter"])
    name = sign + match["altered"]
    name = {"b2": "b9", "#2": "#9", "#4": "#11", "b4": "3"}.get(name, name)
    if name not in ("b5", "#5", "b6", "b9", "#9", "#11", "b13"):
        return f"'{name}' is not an alteration"
    if name == "b6" and names & {"b7", "7"}:
        name = "b13"
    natural = name[1:]
    if natural not in added:
        names.discard(natural)
    names.add(name)
    return ""


def _add(text: str, names: set[str], added: set[str]) -> str:
    if text == "7":
        return "'add7' leaves open which seventh: write 7 or maj7"
    name = {"maj7": "7", "M7": "7", "2": "9", "4": "11", "b2": "b9", "#2": "#9", "#4": "#11"}.get(
        text, text
    )
    if "maj" in name or "M" in name:
        return f"'{text}' is not a tone to add"
    if name in ("b4", "#3", "#6", "#13", "b11", "#7", "bb7", "b7"):
        return f"'{text}' is not a tone to add"
    if name == "7" and "b7" in names:
        return "a chord cannot hold both a minor and a major seventh"
    if normal_degrees({*names, name}) is None and normal_degrees(names) is not None:
        return f"'{text}' does not go into this chord"
    names.add(name)
    added.add(name)
    return ""


def _leave_out(text: str, names: set[str]) -> str:
    slot = {"root": ("1",), "1": ("1",)}.get(text) or _SLOTS[text]
    if not names & set(slot):
        return f"there is no {text} to leave out"
    names -= set(slot)
    return ""
