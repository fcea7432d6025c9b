"""What does a line say over a chord that the band sounds?

A band is more than a bass.  Over its chord a line need not tell the kind of the chord: every note
either states a tone of the chord, colours it with a tension that the chord carries, or rubs
against it, and what the line does not play is left to the band.

Rules (common practice, no source)
----------------------------------
* A third, fifth or seventh other than the chord's own *contradicts* it; a minor third beside the
  third of a dominant is its #9, and a diminished seventh chord carries the tone a whole step above
  each of its own.
* A tension a half step above a tone of the chord is a note *to pass over*, unless the chord's
  family carries it: dominants and suspended sevenths their b9 and b13, half-diminished chords and
  minor triads their b13 (or b6).
* A symbol that says one ninth or thirteenth does not carry the other one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.degree import degree_note, degree_semitones, stacked
from lickwright.theory.hearing.implied import Reading, implied_chords
from lickwright.theory.hearing.sounding import Notes, read_sounding
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName, pitch_classes

_TENSIONS = ("1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7")


@dataclass(frozen=True, slots=True)
class Rub:
    """A note that the chord does not carry.

    Parameters
    ----------
    note, degree : which, over the chord's root.
    against : the degree of the chord that it stands against.
    hard : whether it is another third, fifth or seventh; else a note to pass over.
    """

    note: NoteName
    degree: str
    against: str
    hard: bool

    def __str__(self) -> str:
        how = "contradicts" if self.hard else "rubs against"
        return f"{self.note} ({self.degree}) {how} the {self.against}"


@dataclass(frozen=True, slots=True)
class OverChord:
    """What some notes say over a sounding chord.

    Parameters
    ----------
    chord : what the band sounds.
    notes, degrees : each note once, up from the chord's root, with its degree.
    states : degrees of the chord that the notes play.
    colours : degrees beyond it that it carries.
    rubs : what it does not carry.
    leaves : degrees of the chord that are left to the band.
    """

    chord: Chord
    notes: tuple[NoteName, ...]
    degrees: tuple[str, ...]
    states: tuple[str, ...]
    colours: tuple[str, ...]
    rubs: tuple[Rub, ...]
    leaves: tuple[str, ...]

    def __str__(self) -> str:
        said = []
        if self.states:
            said.append(f"states {' '.join(self.states)}")
        if self.colours:
            said.append(f"adds {' '.join(self.colours)}")
        if self.leaves:
            said.append(f"leaves {' '.join(self.leaves)} to the band")
        said.extend(str(rub) for rub in self.rubs)
        return "; ".join(said)


def heard_over(notes: Notes, chord: Chord | str, key: Key | None = None) -> OverChord:
    """What some notes say over a chord that the band sounds.

    Parameters
    ----------
    notes : text such as ``"Gb Bb Db"``, or an iterable of note names, pitch classes and triads.
    chord : the chord below.
    key : spells notes that neither the caller nor the chord names.

    Returns
    -------
    OverChord
        What is stated, added, left to the band, and what rubs.

    Raises
    ------
    TheoryError
        When a note or the chord cannot be read, or there are no notes.

    Examples
    --------
    >>> print(heard_over("Gb Bb Db Ab C Eb", "C7alt"))
    states 1 b7 b9 #9 #11 b13; leaves 3 to the band
    >>> print(heard_over("D F A", "Cmaj7"))
    adds 9 13; leaves 1 3 5 7 to the band; F (11) rubs against the 3
    """
    below = parse_chord(chord) if isinstance(chord, str) else chord
    sounding = read_sounding(notes)
    root = below.root.pc
    named = []
    for pc in pitch_classes(sounding.mask):
        degree, against, hard = _part(below, (pc - root) % 12)
        name = sounding.name(pc, key) or degree_note(below.root, degree)
        named.append(((pc - root) % 12, name, degree, against, hard))
    named.sort(key=lambda row: row[0])
    own = set(_own(below).values())
    states = stacked(degree for _, _, degree, _, _ in named if degree in own)
    return OverChord(
        below,
        tuple(row[1] for row in named),
        tuple(row[2] for row in named),
        states,
        stacked(degree for _, _, degree, against, _ in named if not against and degree not in own),
        tuple(
            Rub(name, degree, against, hard) for _, name, degree, against, hard in named if against
        ),
        tuple(
            degree
            for degree in below.kind.degrees
            if degree not in states and degree not in _unneeded(below, states)
        ),
    )


def sum_over(notes: Notes, chord: Chord | str, key: Key | None = None) -> Reading | None:
    """What the chord and the notes make together, heard on the chord's own root.

    Parameters
    ----------
    notes, chord, key : as in :func:`heard_over`.

    Returns
    -------
    Reading or None
        ``None`` where no common name on that root holds everything that sounds.

    Raises
    ------
    TheoryError
        When a note or the chord cannot be read, or there are no notes.

    Examples
    --------
    >>> sum_over("D F# A", "C7").symbol
    'C13#11'
    """
    below = parse_chord(chord) if isinstance(chord, str) else chord
    line = read_sounding(notes)
    spelled = [line.spellings[pc] or pc for pc in pitch_classes(line.mask)]
    readings = implied_chords([*below.notes, *spelled], below.bass_note, key)
    own = set(below.kind.degrees)
    return next(
        (
            reading
            for reading in readings
            if reading.named and reading.root.pc == below.root.pc and not own & {*reading.beside}
        ),
        None,
    )


def _unneeded(chord: Chord, states: tuple[str, ...]) -> set[str]:
    """Degrees that a player would not miss: the other alterations of an altered dominant."""
    return set(chord.kind.optional) if chord.kind.suffix == "7alt" or "5" in states else set()


@lru_cache(maxsize=1024)
def _own(chord: Chord) -> dict[int, str]:
    """The chord's tones by semitones over its root, a foreign bass and an upper chord included."""
    own = {degree_semitones(name): name for name in chord.kind.degrees}
    for note in chord.notes:
        semitones = (note.pc - chord.root.pc) % 12
        own.setdefault(semitones, _tension(chord, semitones))
    return own


def _tension(chord: Chord, semitones: int) -> str:
    """The degree of a note that the chord does not hold."""
    degrees = set(chord.kind.degrees)
    if semitones == 3 and {"3", "b7"} <= degrees:
        return "#9"
    if semitones == 6 and ("b3" in degrees or not degrees & {"5", "3", "#5"}):
        return "b5"
    if semitones == 8 and not degrees & {"b7", "7", "bb7", "5"} and "3" in degrees:
        return "#5"
    if semitones in (8, 9) and not degrees & {"b7", "7", "bb7"}:
        return {8: "b6", 9: "6"}[semitones]
    return _TENSIONS[semitones]


@lru_cache(maxsize=4096)
def _part(chord: Chord, semitones: int) -> tuple[str, str, bool]:
    """A note's degree, the degree that it stands against (``""`` where none), whether hard."""
    own = _own(chord)
    if semitones in own:
        return own[semitones], "", False
    degree = _tension(chord, semitones)
    for against, hard in _AGAINST.get(semitones, ()):
        if against in own.values() and not _carried(degree, against, set(chord.kind.degrees)):
            return degree, against, hard
    return degree, "", False


#: Semitones over the root: the degrees that such a note may stand against, whether hard.
_AGAINST: dict[int, tuple[tuple[str, bool], ...]] = {
    1: (("9", False), ("1", False)),
    2: (("b9", False), ("#9", False)),
    3: (("3", True),),
    4: (("b3", True),),
    5: (("3", False),),
    6: (("5", False),),
    7: (("b5", True), ("#5", True), ("b13", False)),
    8: (("b5", False), ("13", False), ("5", False)),
    9: (("b13", False),),
    10: (("7", True), ("bb7", False)),
    11: (("b7", True), ("bb7", True)),
}


def _carried(degree: str, against: str, own: set[str]) -> bool:
    """Whether the family of a chord carries a tension all the same."""
    seventh_above = "b7" in own and bool(own & {"3", "4", "2"})
    diminished = "bb7" in own
    half_diminished = {"b3", "b5", "b7"} <= own
    if diminished:
        return degree in {"9", "11", "b13", "7"}
    if degree in ("b9", "#9") and against != "9":
        return seventh_above
    if degree in ("b13", "b6", "#5"):
        plain_minor = "b3" in own and not own & {"b7", "7"}
        return against != "13" and (seventh_above or half_diminished or plain_minor)
    if degree == "#11":
        return "4" not in own
    if degree == "5":
        return against == "b13"
    return False
