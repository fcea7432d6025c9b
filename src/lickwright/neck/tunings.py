"""Which open strings does an instrument have?  Tunings by name, or by their notes.

Players write a tuning from the lowest string to the highest; values hold string 1 (the highest)
first, as :class:`~lickwright.neck.instrument.Guitar` does.
"""

from __future__ import annotations

import re
from itertools import pairwise

from lickwright.errors import NeckError, did_you_mean
from lickwright.neck.instrument import STANDARD
from lickwright.theory import Pitch, parse_note_name, parse_pitch, pitch_from_midi

#: Name -> open strings, lowest first, in sounding pitch.  Common practice, no source.
TUNINGS: dict[str, str] = {
    "standard": STANDARD,
    "half-step down": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
    "whole-step down": "D2 G2 C3 F3 A3 D4",
    "drop D": "D2 A2 D3 G3 B3 E4",
    "drop C#": "C#2 G#2 C#3 F#3 A#3 D#4",
    "drop C": "C2 G2 C3 F3 A3 D4",
    "drop B": "B1 F#2 B2 E3 G#3 C#4",
    "double drop D": "D2 A2 D3 G3 B3 D4",
    "DADGAD": "D2 A2 D3 G3 A3 D4",
    "open D": "D2 A2 D3 F#3 A3 D4",
    "open D minor": "D2 A2 D3 F3 A3 D4",
    "open E": "E2 B2 E3 G#3 B3 E4",
    "open E minor": "E2 B2 E3 G3 B3 E4",
    "open G": "D2 G2 D3 G3 B3 D4",
    "open G minor": "D2 G2 D3 G3 Bb3 D4",
    "open A": "E2 A2 E3 A3 C#4 E4",
    "open C": "C2 G2 C3 G3 C4 E4",
    "all fourths": "E2 A2 D3 G3 C4 F4",
    "baritone": "B1 E2 A2 D3 F#3 B3",
    "7-string": "B1 E2 A2 D3 G3 B3 E4",
    "7-string drop A": "A1 E2 A2 D3 G3 B3 E4",
    "8-string": "F#1 B1 E2 A2 D3 G3 B3 E4",
    "8-string drop E": "E1 B1 E2 A2 D3 G3 B3 E4",
    "9-string": "C#1 F#1 B1 E2 A2 D3 G3 B3 E4",
    "bass": "E1 A1 D2 G2",
    "bass drop D": "D1 A1 D2 G2",
    "5-string bass": "B0 E1 A1 D2 G2",
}

#: Other ways in which players say the same.
_ALSO: dict[str, str] = {
    "e standard": "standard",
    "6-string": "standard",
    "eb standard": "half-step down",
    "d standard": "whole-step down",
    "full-step down": "whole-step down",
    "7-string standard": "7-string",
    "8-string standard": "8-string",
    "9-string standard": "9-string",
    "4-string bass": "bass",
    "bass standard": "bass",
    "five-string bass": "5-string bass",
    "seven-string": "7-string",
    "eight-string": "8-string",
    "nine-string": "9-string",
    "four-string bass": "bass",
}

#: String count -> the tuning against which note names without octaves are read.
_USUAL: dict[int, str] = {
    4: "bass",
    5: "5-string bass",
    6: "standard",
    7: "7-string",
    8: "8-string",
    9: "9-string",
}

_NOTE_LIKE = re.compile(r"[A-Ga-g][#bx♯♭]*-?\d*")


def parse_tuning(text: str) -> tuple[Pitch, ...]:
    """The open strings of a tuning, string 1 (the highest) first.

    Parameters
    ----------
    text : a name (``"drop D"``), pitches lowest string first (``"D2 A2 D3 G3 B3 E4"``), or note
        names lowest string first (``"D A D G A D"``), which take the octave nearest to the usual
        tuning of as many strings.

    Returns
    -------
    tuple of Pitch
        A pitch for each string.

    Raises
    ------
    NeckError
        With the nearest known name, or the word that is not a note.

    Examples
    --------
    >>> print(*parse_tuning("drop D"))
    E4 B3 G3 D3 A2 D2
    >>> parse_tuning("D A D G B E") == parse_tuning("drop D")
    True
    """
    named = _named(text)
    if named is not None:
        return tuple(parse_pitch(word) for word in reversed(named.split()))
    words = re.split(r"[\s,]+", text.strip())
    if not all(_NOTE_LIKE.fullmatch(word) for word in words):
        raise _unknown(text, words)
    if not 4 <= len(words) <= 9:
        raise NeckError(
            f"the tuning '{text}' has {_counted(len(words), 'string')}",
            mend="Give 4 to 9 open strings, lowest first",
        )
    with_octave = [word[-1].isdigit() for word in words]
    if any(with_octave) and not all(with_octave):
        bare = words[with_octave.index(False)]
        raise NeckError(
            f"the tuning '{text}' gives an octave for some strings but not for '{bare}'",
            mend="Write the octave of every string, or of none",
        )
    low_to_high = [parse_pitch(word) for word in words] if all(with_octave) else _placed(words)
    if all(low.midi > high.midi for low, high in pairwise(low_to_high)):
        raise NeckError(
            f"the tuning '{text}' runs from high to low", mend="Write the lowest string first"
        )
    return tuple(reversed(low_to_high))


def tuning_name(open_strings: tuple[Pitch, ...]) -> str | None:
    """The name of a tuning by its sounding pitches, ``None`` where it has none.

    Parameters
    ----------
    open_strings : string 1 (the highest) first.

    Returns
    -------
    str or None
        The name in the table of tunings.

    Examples
    --------
    >>> tuning_name(parse_tuning("D2 A2 D3 G3 B3 E4"))
    'drop D'
    """
    sounds = [pitch.midi for pitch in reversed(open_strings)]
    for name, notes in TUNINGS.items():
        if [parse_pitch(word).midi for word in notes.split()] == sounds:
            return name
    return None


def _folded(name: str) -> str:
    return re.sub(r"[\s_-]+", "-", name.strip().lower()).removesuffix("-tuning")


def _named(text: str) -> str | None:
    """The notes behind a tuning's name, whatever its capitals and hyphens."""
    wanted = _folded(text)
    for name, notes in TUNINGS.items():
        if _folded(name) == wanted:
            return notes
    for other, name in _ALSO.items():
        if _folded(other) == wanted:
            return TUNINGS[name]
    return None


def _placed(words: list[str]) -> list[Pitch]:
    """Note names put into the octave nearest to the usual tuning; of two, the lower."""
    pitches = []
    for word, usual in zip(words, TUNINGS[_USUAL[len(words)]].split(), strict=True):
        name = parse_note_name(word)
        near = parse_pitch(usual).midi
        below = near - (near - name.pc) % 12
        nearest = below if near - below <= below + 12 - near else below + 12
        pitches.append(pitch_from_midi(nearest, name))
    return pitches


def _unknown(text: str, words: list[str]) -> NeckError:
    hint = did_you_mean(text.strip(), [*TUNINGS, *_ALSO])
    if not hint:
        folded = {_folded(name): name for name in TUNINGS}
        hint = did_you_mean(_folded(text), folded)
        for key, name in folded.items():
            hint = hint.replace(f"'{key}'", f"'{name}'")
    known = [word for word in words if _NOTE_LIKE.fullmatch(word)]
    if not hint and len(known) >= 3:
        bad = next(word for word in words if not _NOTE_LIKE.fullmatch(word))
        return NeckError(
            f"'{bad}' in the tuning '{text}' is not a note", mend="Write notes such as E2 or F#3"
        )
    return NeckError(
        f"'{text}' is not a known tuning",
        mend=hint.rstrip("?") or f"Write its notes, lowest string first, such as {STANDARD}",
    )


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
