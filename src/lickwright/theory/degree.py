"""Degrees: what a note is called over a root, such as b3, #11 or 13.

A degree name is some accidentals and a number from 1 to 15 that counts letters from the root:
the root is 1, and every accidental moves the tone of the major scale on that letter by a
semitone.  9, 11 and 13 are the letters of 2, 4 and 6 an octave higher, so they share their
steps and semitones here and differ only in what a player calls them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from lickwright.errors import TheoryError
from lickwright.theory.pitch import LETTERS, NoteName, name_above

#: Semitones above the tonic of the seven tones of the major scale.
MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)

#: The degree a player names first for each number of semitones above a bass, in isolation.
#: Common practice, no source.
PLAIN_DEGREES = ("1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7")

_DEGREE = re.compile(r"(b{0,3}|#{0,3})([1-9]|1[0-5])")
_GLYPHS = str.maketrans({"♭": "b", "♯": "#"})
_PRETTY = str.maketrans({"b": "♭", "#": "♯"})


def parse_degree(text: str) -> str:
    """The house name of a degree: ``♭9`` and ``b9`` are one, ``R`` is ``1``.

    Raises
    ------
    TheoryError
        When the text is not a degree.
    """
    name = text.strip().translate(_GLYPHS)
    if name in ("R", "r"):
        return "1"
    _alter_and_number(name)
    return name


@cache
def _alter_and_number(name: str) -> tuple[int, int]:
    match = _DEGREE.fullmatch(name)
    if match is None:
        raise TheoryError(
            f"'{name}' is not a degree",
            mend="Write a number from 1 to 15 with b or # before it, such as b3 or #11",
        )
    return match[1].count("#") - match[1].count("b"), int(match[2])


def degree_number(name: str) -> int:
    """The number of a degree, 1-15: 9 for ``b9``.

    Parameters
    ----------
    name : a degree, such as ``"b9"``.

    Returns
    -------
    int
        1 to 15, whatever its accidentals.

    Examples
    --------
    >>> degree_number("b9"), degree_number("#11")
    (9, 11)
    """
    return _alter_and_number(name)[1]


def degree_alter(name: str) -> int:
    """The accidental of a degree against the major scale: -1 for ``b9``, 2 for ``##4``.

    Parameters
    ----------
    name : a degree, such as ``"b9"``.

    Returns
    -------
    int
        Semitones: below 0 for flats, above 0 for sharps.

    Examples
    --------
    >>> degree_alter("b9"), degree_alter("##4"), degree_alter("5")
    (-1, 2, 0)
    """
    return _alter_and_number(name)[0]


def degree_steps(name: str) -> int:
    """Letters above the root, 0-6: 1 for ``b9``."""
    return (_alter_and_number(name)[1] - 1) % 7


@cache
def degree_semitones(name: str) -> int:
    """Semitones above the root, 0-11: 1 for ``b9``.

    Parameters
    ----------
    name : a degree, such as ``"b9"``.

    Returns
    -------
    int
        Semitones above the root within an octave, 0 to 11.

    Examples
    --------
    >>> degree_semitones("b9"), degree_semitones("#11")
    (1, 6)
    """
    alter, number = _alter_and_number(name)
    return (MAJOR_SEMITONES[(number - 1) % 7] + alter) % 12


@cache
def degree_note(root: NoteName, name: str) -> NoteName:
    """The note that stands on a degree of a root, whatever accidentals its letter takes.

    Parameters
    ----------
    root : the note that counts as 1.
    name : a degree, such as ``"b3"``.

    Returns
    -------
    NoteName
        The note, spelled by its letter.

    Examples
    --------
    >>> from lickwright.theory.pitch import parse_note_name
    >>> str(degree_note(parse_note_name("F#"), "b3"))
    'A'
    """
    return name_above(root, degree_steps(name), degree_semitones(name))


def degree_between(root: NoteName, note: NoteName) -> str:
    """The simple degree (1-7) that a spelled note is over a root: ``#2`` for D# over C.

    Parameters
    ----------
    root : the note that counts as 1.
    note : the note that is named.

    Returns
    -------
    str
        A simple degree, 1 to 7, with its accidentals.

    Examples
    --------
    >>> from lickwright.theory.pitch import parse_note_name
    >>> degree_between(parse_note_name("C"), parse_note_name("D#"))
    '#2'
    """
    steps = (LETTERS.index(note.letter) - LETTERS.index(root.letter)) % 7
    alter = (note.pc - root.pc - MAJOR_SEMITONES[steps] + 6) % 12 - 6
    return ("#" * alter if alter > 0 else "b" * -alter) + str(steps + 1)


def as_tension(name: str) -> str:
    """The same degree an octave up where players say so: 2 is 9, 4 is 11, 6 is 13.

    Parameters
    ----------
    name : a degree, such as ``"b2"``.

    Returns
    -------
    str
        The degree an octave higher; any other degree as it came.

    Examples
    --------
    >>> as_tension("b2"), as_tension("6"), as_tension("b7")
    ('b9', '13', 'b7')
    """
    number = degree_number(name)
    if number not in (2, 4, 6):
        return name
    return name.removesuffix(str(number)) + str(number + 7)


def stacked(degrees: Iterable[str]) -> tuple[str, ...]:
    """Degrees in the order that chords are stacked: 1, (2 or) 3, (4,) 5, 6 or 7, 9, 11, 13.

    Parameters
    ----------
    degrees : names, in any order.

    Returns
    -------
    tuple of str
        The same names in order.

    Examples
    --------
    >>> stacked({"9", "b3", "5", "1", "b7"})
    ('1', 'b3', '5', 'b7', '9')
    """
    return tuple(
        sorted(set(degrees), key=lambda name: (_alter_and_number(name)[1], degree_alter(name)))
    )


def print_degrees(degrees: Iterable[str]) -> str:
    """Degrees in stacking order, parted by spaces: ``1 b3 5 b7 9``."""
    return " ".join(stacked(degrees))


def engraved_degree(name: str) -> str:
    """A degree with the music glyphs of a printed page: ``♭9`` for ``b9``.

    Parameters
    ----------
    name : a degree, such as ``"b9"``.

    Returns
    -------
    str
        The same with ♭ and ♯ for ``b`` and ``#``.

    Examples
    --------
    >>> engraved_degree("b9")
    '♭9'
    """
    return name.translate(_PRETTY)
