"""Spelling: which of its names a pitch class takes.

In a key the scale's own notes come first; any other takes its place in the harmonic chromatic
scale on the tonic, which runs along the line of fifths from five below the tonic to six above:
b2, b3, #4, b6 and b7, in major and minor alike.  (The harmonic chromatic scale as given in
primers of theory; common practice, no source.  Spelling by nearness on the line of fifths:
D. Temperley, *The Cognition of Basic Musical Structures*, 2001, chapter 5.)
"""

from __future__ import annotations

from functools import lru_cache

from lickwright.theory.key import Key
from lickwright.theory.pitch import LETTERS, NoteName

#: Names of a root when no key is known.  A major root takes the name whose major key has fewest
#: accidentals (Db has five flats, C# seven sharps); F# and Gb have six each, and guitarists read
#: sharps more often.  A minor root goes by its minor key (C# minor four sharps, Db minor eight
#: flats); D# and Eb minor have six each, and Eb is the commoner.  Common practice, no source.
_MAJOR_ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_MINOR_ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")


def note_on_fifths(place: int) -> NoteName:
    """The note so many fifths from C on the line of fifths: 6 is F#, -6 is Gb."""
    alter, letter = divmod(place + 1, 7)
    return NoteName("FCGDAEB"[letter], alter)


@lru_cache(maxsize=256)
def spellings_in(key: Key) -> tuple[NoteName, ...]:
    """The name of every pitch class 0-11 in a key."""
    tonic = key.tonic.line_of_fifths
    names = {note.pc: note for note in map(note_on_fifths, range(tonic - 5, tonic + 7))}
    names.update((note.pc, note) for note in key.notes)
    return tuple(names[pc] for pc in range(12))


def spell(pc: int, key: Key) -> NoteName:
    """The name of a pitch class in a key; double accidentals stand where the key demands them.

    Parameters
    ----------
    pc : pitch class, 0 to 11.
    key : the key that decides.

    Returns
    -------
    NoteName
        One name.

    Examples
    --------
    >>> from lickwright.theory.key import parse_key
    >>> str(spell(6, parse_key("B dorian"))), str(spell(6, parse_key("Db major")))
    ('F#', 'Gb')
    """
    return spellings_in(key)[pc % 12]


def spell_root(pc: int, *, minor: bool = False) -> NoteName:
    """The usual name of a chord root when no key is known.

    Parameters
    ----------
    pc : pitch class, 0 to 11.
    minor : whether the chord has a minor third; then its minor key decides.

    Returns
    -------
    NoteName
        The name with the plainer key.

    Examples
    --------
    >>> str(spell_root(1)), str(spell_root(1, minor=True))
    ('Db', 'C#')
    """
    name = (_MINOR_ROOTS if minor else _MAJOR_ROOTS)[pc % 12]
    return NoteName(name[0], name.count("#") - name.count("b"))


def simpler(note: NoteName) -> NoteName | None:
    """A plainer enharmonic of a note with double accidentals, ``None`` for any other note.

    It is an offer for readers, to be shown beside the right spelling: Bbb may be read as A, but
    the chord has a Bbb.
    """
    if abs(note.alter) < 2:
        return None
    direction = 1 if note.alter > 0 else -1
    return next(
        NoteName(letter, alter)
        for alter in (0, direction)
        for letter in LETTERS
        if NoteName(letter, alter).pc == note.pc
    )
