"""Roman numerals: chords named by their place in a key.

Conventions
-----------
* A numeral counts from the tonic along its *major* scale, whatever the mode: in C minor, ``bVI``
  is Ab, as jazz musicians write it.  Many textbooks write ``VI`` for that chord.  So in a mode
  whose own degree differs from the major scale's, a bare numeral would be read both ways, and it
  is refused with both spellings; ``nVI`` (or ``♮VI``) says the major scale's degree outright.  The
  leading-tone chord ``vii°`` or ``viiø7`` means the same to both and stands.
* The rest of a numeral is the rest of a chord symbol: ``iim9``, ``V13``, ``bIImaj7``.  A small
  numeral is minor or diminished, with or without its m: ``ii9`` is ``iim9``.
* ``V7/ii`` is the V7 of ii: it stands in the major key on the root of ii.  ``subV7/ii`` is its
  tritone substitute, a semitone above ii; ``subV7`` alone is that of I.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from lickwright.errors import TheoryError
from lickwright.theory import (
    LETTERS,
    MAJOR_SEMITONES,
    Chord,
    Key,
    NoteName,
    name_above,
    parse_chord,
)

NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_ALTERS = {"": 0, "b": -1, "♭": -1, "#": 1, "♯": 1, "n": 0, "♮": 0}
_NUMERAL = re.compile(
    r"(?P<sign>[b♭#♯n♮]?)(?P<numeral>VII|VI|V|IV|III|II|I|vii|vi|v|iv|iii|ii|i)(?P<rest>.*)"
)
_PLACE = re.compile(r"[b♭#♯n♮]?(?:VII|VI|V|IV|III|II|I|vii|vi|v|iv|iii|ii|i)")


@dataclass(frozen=True, slots=True)
class Numeral:
    """A Roman numeral as it is written.

    Parameters
    ----------
    step : 0 for I ... 6 for VII.
    alter : semitones from the major scale's degree.
    small : whether it is written in small letters.
    suffix : the rest of the chord symbol, with its bass if it has one.
    natural : whether it is marked as the major scale's degree outright.
    of : the numeral of the chord that this one leads to, as in ``V7/ii``.
    substitute : whether it is written subV: a semitone above what it leads to.
    """

    step: int
    alter: int
    small: bool
    suffix: str
    natural: bool = False
    of: Numeral | None = None
    substitute: bool = False

    def __str__(self) -> str:
        sign = "n" if self.natural else {-1: "b", 0: "", 1: "#"}[self.alter]
        word = NUMERALS[self.step]
        tail = f"/{self.of}" if self.of is not None else ""
        if self.substitute:
            return f"subV{self.suffix}{tail}"
        return f"{sign}{word.lower() if self.small else word}{self.suffix}{tail}"


def parse_numeral(text: str) -> Numeral | None:
    """Read a numeral; ``None`` where the text is not one (a chord symbol, most likely)."""
    if text.startswith("subV"):
        dominant = parse_numeral(text.removeprefix("sub"))
        if dominant is None or dominant.step != 4:
            return None
        goal = dominant.of or Numeral(0, 0, False, "")
        return replace(dominant, step=1, alter=-1, of=goal, substitute=True)
    match = _NUMERAL.fullmatch(text)
    if match is None:
        return None
    rest = match["rest"]
    of: Numeral | None = None
    head, slash, tail = rest.rpartition("/")
    if slash and _PLACE.fullmatch(tail):
        rest, of = head, parse_numeral(tail)
    sign = match["sign"]
    return Numeral(
        NUMERALS.index(match["numeral"].upper()),
        _ALTERS[sign],
        match["numeral"].islower(),
        rest,
        sign in ("n", "♮"),
        of,
    )


def root_of(numeral: Numeral, key: Key) -> NoteName:
    """The root that a numeral stands for.

    Raises
    ------
    TheoryError
        For a bare numeral that this mode lets one read two ways.
    """
    if numeral.of is not None:
        target = root_of(numeral.of, key)
        return _above(target, numeral)
    plain = _above(key.tonic, numeral)
    own = key.notes[numeral.step] if len(key.notes) == 7 else plain
    bare = numeral.alter == 0 and not numeral.natural
    if bare and own.pc != plain.pc and not _is_leading_tone_chord(numeral):
        sign = {-1: "b", 1: "#"}.get((own.pc - plain.pc + 6) % 12 - 6, "")
        word = NUMERALS[numeral.step]
        word = word.lower() if numeral.small else word
        raise TheoryError(
            f"'{numeral}' in {key} is read two ways",
            mend=f"Write {sign}{word} for {own}, or n{word} for {plain}",
        )
    return plain


def chord_of(numeral: Numeral, key: Key) -> tuple[Chord, Numeral]:
    """The chord that a numeral stands for, and the numeral in the house's spelling.

    Raises
    ------
    TheoryError
        For a suffix that is no chord, or a numeral that can be read two ways.
    """
    root = root_of(numeral, key)
    suffix = numeral.suffix
    if numeral.small and not re.match(r"m(?!aj)|min|-|dim|°|o|ø|h|sus", suffix):
        suffix = "m" + suffix
    try:
        chord = parse_chord(f"{root}{suffix}")
    except TheoryError as error:
        raise TheoryError(f"'{numeral}' is not a chord: {error.what}", mend=error.mend) from error
    if chord.upper is not None:
        raise TheoryError(
            f"'{numeral}' stacks one chord on another", mend="Write a polychord by its letters"
        )
    if numeral.small and "3" in chord.kind.degrees:
        raise TheoryError(
            f"'{numeral}' is a small numeral, but its chord has a major third",
            mend="Write a capital numeral, or another suffix",
        )
    return chord, replace(numeral, suffix=_suffix(chord))


def numeral_of(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord in a key: capital unless its third is minor.

    The sign is relative to the major scale on the tonic; a root that lies more than a semitone
    from every degree on its letter is taken on its neighbour's.
    """
    letter_steps = (LETTERS.index(chord.root.letter) - LETTERS.index(key.tonic.letter)) % 7
    semitones = (chord.root.pc - key.tonic.pc) % 12
    alter = (semitones - MAJOR_SEMITONES[letter_steps] + 6) % 12 - 6
    if not -1 <= alter <= 1:
        letter_steps, alter = next(
            (step, sign)
            for sign in (0, -1, 1)
            for step in range(7)
            if (MAJOR_SEMITONES[step] + sign) % 12 == semitones
        )
    mask = chord.kind.mask
    small = bool(mask >> 3 & 1) and not mask >> 4 & 1
    plain = Numeral(letter_steps, alter, small, chord.kind.suffix)
    ambiguous = alter == 0 and len(key.notes) == 7 and key.notes[letter_steps].pc != chord.root.pc
    natural = ambiguous and not _is_leading_tone_chord(plain)
    return Numeral(letter_steps, alter, small, _suffix(chord), natural)


def _suffix(chord: Chord) -> str:
    """What a numeral is followed by: the kind of the chord, and its bass if that is another."""
    return chord.kind.suffix + ("" if chord.bass is None else f"/{chord.bass}")


def _above(tonic: NoteName, numeral: Numeral) -> NoteName:
    return name_above(tonic, numeral.step, MAJOR_SEMITONES[numeral.step] + numeral.alter)


def _is_leading_tone_chord(numeral: Numeral) -> bool:
    diminished = re.match(r"°|o|dim|ø|h|m7b5|m7\(b5\)", numeral.suffix) is not None
    return numeral.step == 6 and numeral.small and diminished
