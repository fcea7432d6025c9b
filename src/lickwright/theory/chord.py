"""Chords: a root, a kind, perhaps another bass, perhaps a chord stacked above.

House writing
-------------
* ``Dm9`` : root and suffix.
* ``D/C`` : D major over the single note C (a slash chord): what follows is a bare note.
* ``D/C7``, ``D/Cmaj`` : D major over a C chord (a polychord): what follows is a chord, so a plain
  major chord below is written out as ``maj``.
* ``D/C7/E`` : the same with E in the bass.

A polychord's root and kind are those of its *lower* chord, which is what the ear takes for the
harmony; ``upper`` is the chord on top.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from lickwright.errors import TheoryError
from lickwright.theory.degree import degree_note
from lickwright.theory.interval import Interval, note_above
from lickwright.theory.pitch import LETTER_PC, NoteName, parse_note_name, rotate_mask
from lickwright.theory.symbols import ChordKind, kind_from_degrees, parse_suffix, tidy

_ROOT = re.compile(r"([A-Ga-g])(##|#|bb|b|x|♯♯|♯|♭♭|♭|𝄪|𝄫)?")


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord on a spelled root.

    Parameters
    ----------
    root, kind : of the chord, in a polychord of the lower chord.
    bass : the sounding bass where it is not the root, else ``None``.
    upper : in a polychord, the chord above; it has no bass and no upper chord of its own.
    """

    root: NoteName
    kind: ChordKind
    bass: NoteName | None = None
    upper: Chord | None = None

    def __post_init__(self) -> None:
        if self.bass == self.root:
            object.__setattr__(self, "bass", None)
        if self.upper is not None and (self.upper.bass or self.upper.upper):
            raise TheoryError(
                f"'{self.upper}' cannot stand on top of another chord",
                mend="Stack one plain chord over one other",
            )

    @property
    def tones(self) -> tuple[NoteName, ...]:
        """The chord's own notes in stacking order, spelled in thirds from the root."""
        return tuple(degree_note(self.root, name) for name in self.kind.degrees)

    @property
    def notes(self) -> tuple[NoteName, ...]:
        """Every note that sounds, once each: a foreign bass, the tones, then the upper chord's."""
        tones = self.tones
        own = {note.pc for note in tones}
        foreign = () if self.bass is None or self.bass.pc in own else (self.bass,)
        below = own | {note.pc for note in foreign}
        above = () if self.upper is None else self.upper.tones
        return (*foreign, *tones, *(note for note in above if note.pc not in below))

    @property
    def mask(self) -> int:
        """12-bit mask of every note that sounds, C on bit 0."""
        bass = 0 if self.bass is None else 1 << self.bass.pc
        above = 0 if self.upper is None else self.upper.mask
        return rotate_mask(self.kind.mask, self.root.pc) | bass | above

    @property
    def bass_note(self) -> NoteName:
        """The lowest sounding note."""
        return self.root if self.bass is None else self.bass

    def __str__(self) -> str:
        symbol = f"{self.root}{self.kind.suffix}"
        if self.upper is not None:
            symbol = f"{self.upper}/{symbol}{'' if self.kind.suffix else 'maj'}"
        return symbol if self.bass is None else f"{symbol}/{self.bass}"


def chord_from_degrees(
    root: NoteName, degrees: Iterable[str], bass: NoteName | None = None
) -> Chord | None:
    """The chord on ``root`` that holds exactly these degrees, or ``None`` where no symbol can.

    Parameters
    ----------
    root : the root, as it is spelled.
    degrees : names such as ``"b3"``, in any order.
    bass : the bass; the root where it is left out.

    Returns
    -------
    Chord or None
        The chord, or ``None`` where no symbol holds these degrees.

    Raises
    ------
    TheoryError
        When a degree is not one that chord symbols speak of.

    Examples
    --------
    >>> str(chord_from_degrees(parse_note_name("B"), ["1", "b3", "5", "b7", "9"]))
    'Bm9'
    """
    kind = kind_from_degrees(degrees)
    return None if kind is None else Chord(root, kind, bass)


def parse_chord(text: str) -> Chord:
    """Read a chord symbol as players write it, slash chords and polychords among them.

    Parameters
    ----------
    text : a symbol such as ``"F#m7b5"``, ``"C/E"`` or the polychord ``"D|C"``.

    Returns
    -------
    Chord
        Root, kind and bass.

    Raises
    ------
    TheoryError
        With what is wrong and the nearest valid spelling.

    Examples
    --------
    >>> chord = parse_chord("Bm9")
    >>> print(*chord.notes)
    B D F# A C#
    >>> str(parse_chord("C-7"))
    'Cm7'
    """
    parts = _parts(text)
    if len(parts) == 1:
        return _plain(parts[0], text)
    bass = None
    if _is_note(parts[-1]):
        bass = parse_note_name(parts.pop())
    if len(parts) > 2:
        raise TheoryError(
            f"'{text}' stacks more than two chords", mend="Write UPPER/LOWER or UPPER/LOWER/BASS"
        )
    lower = _plain(parts[-1], text)
    upper = _plain(parts[0], text) if len(parts) == 2 else None
    return Chord(lower.root, lower.kind, bass, upper)


def transpose_chord(chord: Chord, interval: Interval) -> Chord:
    """The same chord an interval away, every note keeping its place in the spelling."""
    return Chord(
        note_above(chord.root, interval),
        chord.kind,
        None if chord.bass is None else note_above(chord.bass, interval),
        None if chord.upper is None else transpose_chord(chord.upper, interval),
    )


def _is_note(text: str) -> bool:
    return _ROOT.fullmatch(text) is not None


def _parts(text: str) -> list[str]:
    """A symbol cut at the slashes (or bars) that part chords, not at those inside 6/9.

    Raises
    ------
    TheoryError
        When nothing, or no note and no chord, follows a slash.
    """
    pieces = re.split(r"([/|])", tidy(text))
    parts = [pieces[0]]
    for sign, piece in zip(pieces[1::2], pieces[2::2], strict=True):
        if sign == "|" and _is_note(piece):
            parts.append(f"{piece}maj")
        elif sign == "|" or _is_note(piece) or piece[:1] in LETTER_PC:
            parts.append(piece)
        elif not piece or (piece[0].isupper() and piece[0] != "M"):
            raise TheoryError(
                f"'{text}' is not a chord: no note or chord follows the slash",
                mend=_root_hint(piece) if piece else "Write a bass note or a chord after it",
            )
        else:
            parts[-1] += sign + piece
    return parts


def _plain(symbol: str, text: str) -> Chord:
    match = _ROOT.match(symbol)
    if match is None:
        raise TheoryError(f"'{text}' is not a chord: it has no root", mend=_root_hint(symbol))
    root, suffix = parse_note_name(match[0]), symbol[match.end() :]
    try:
        return Chord(root, parse_suffix(suffix))
    except TheoryError as error:
        mend = error.mend
        if mend.startswith("Did you mean '"):
            mend = mend.replace("'", f"'{root}", 1)
        raise TheoryError(f"'{text}' is not a chord: {error.what}", mend=mend) from None


def _root_hint(symbol: str) -> str:
    if symbol[:1] in ("H", "h"):
        return f"The note H of German naming is B here: write 'B{symbol[1:]}'"
    return "Write a root A to G and a quality, such as F#m7b5 or Bb13"
