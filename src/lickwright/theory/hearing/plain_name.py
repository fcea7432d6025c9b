"""Which name of a reading would a player write on a sheet?

A symbol of three alterations or more, or of two over another bass, is read by nobody on a stand.
It gives way to another true name of the same notes: a slash chord or a polychord, or the chord up
to its seventh *and* the notes that it does not say ("C7 and Db F#").  Common practice, no source.
"""

from __future__ import annotations

import re
from typing import Literal

from lickwright.errors import TheoryError
from lickwright.theory.chord import chord_from_degrees
from lickwright.theory.hearing.implied import Reading
from lickwright.theory.spelling import simpler

Style = Literal["plain", "symbol", "slash"]
STYLES: tuple[Style, ...] = ("plain", "symbol", "slash")

_ALTERATION = re.compile(r"[b#](?:5|9|11|13)|\((?:add|no)[^)]*\)")
_UP_TO_SEVENTH = frozenset({"1", "2", "b3", "3", "4", "b5", "5", "#5", "6", "bb7", "b7", "7"})


def written_name(reading: Reading, style: Style = "plain") -> str:
    """What to write for a reading.

    Parameters
    ----------
    reading : one of :func:`~lickwright.theory.hearing.implied.implied_chords`.
    style : ``"plain"`` for the plainest true name, ``"symbol"`` for the one symbol of all that
        sounds, ``"slash"`` for a slash chord or polychord where there is one.

    Returns
    -------
    str
        A name; notes that it does not say follow after "and".  ``""`` where there is none.

    Raises
    ------
    TheoryError
        For an unknown style.

    Examples
    --------
    >>> from lickwright.theory.hearing.implied import implied_chords
    >>> written_name(implied_chords("F A C", over="G")[0], "slash")
    'F/G'
    >>> written_name(implied_chords("C E G Bb B", over="C")[0])
    'C7 and B'
    """
    if style not in STYLES:
        raise TheoryError(f"'{style}' is not a style", mend=f"Use one of: {', '.join(STYLES)}")
    whole = f"{reading.symbol}{_and(reading, reading.beside)}"
    if not reading.symbol or style == "symbol":
        return whole
    other = next((name for name in reading.also if "/" in name), "")
    if style == "slash":
        return f"{other}{_and(reading, reading.beside)}" if other else whole
    if not is_tower(reading.symbol):
        return whole
    if other and not is_tower(other):
        return f"{other}{_and(reading, reading.beside)}"
    return _spelled_out(reading) or whole


def is_tower(symbol: str) -> bool:
    """Whether a symbol piles up more than players read.

    Parameters
    ----------
    symbol : a chord symbol.

    Returns
    -------
    bool
        True for three alterations, additions or omissions, and for two over another bass.

    Examples
    --------
    >>> is_tower("Ebmaj13#11"), is_tower("C13b9#9(add11)")
    (False, True)
    """
    over_bass = re.search(r"/[A-G]", symbol) is not None
    return len(_ALTERATION.findall(symbol)) >= (2 if over_bass else 3)


def _spelled_out(reading: Reading) -> str:
    """The chord up to its seventh, its bass, and the other notes by name."""
    lower = [name for name in reading.degrees if name in _UP_TO_SEVENTH - {*reading.beside}]
    if not reading.root_sounds or len(lower) < 3 or len({"b5", "5", "#5"} & {*lower}) > 1:
        return ""
    in_chord = any(
        note.pc == reading.bass.pc and name in lower
        for note, name in zip(reading.notes, reading.degrees, strict=True)
    )
    # Nobody writes that a fifth is left out under a seventh.
    fifth = [] if {"b5", "5", "#5"} & {*lower} or not {"b7", "7"} & {*lower} else ["5"]
    chord = chord_from_degrees(reading.root, [*lower, *fifth], reading.bass)
    if chord is None or is_tower(str(chord)):
        return ""
    rest = [name for name in reading.degrees if name not in lower]
    if not in_chord:
        rest = rest[1:]  # the bass, which the slash says
    return f"{chord}{_and(reading, rest)}"


def _and(reading: Reading, degrees: list[str] | tuple[str, ...]) -> str:
    names = [
        str(simpler(note) or note)
        for note, name in zip(reading.notes, reading.degrees, strict=True)
        if name in degrees
    ]
    return f" and {' '.join(names)}" if names else ""
