"""Does what sounds bear out a chord symbol that somebody wrote over it?

A teacher claims a chord; the notes speak for themselves.  The verdict is the worst of what is
found, in words: the notes contradict the symbol (a C natural under an A major chord), leave it
open (nothing tells its kind), say more or less than it does, or are heard first as another.

Rules (common practice, no source)
----------------------------------
* A sounding note contradicts the symbol when it is another third, fifth or seventh than the
  chord's own.  A minor third beside the third of a dominant is its #9.
* The symbol stands open when neither its third (or the note that is suspended for it) nor its
  seventh (or sixth) sounds.
* A plain fifth need not sound: players leave it out.
* A reading among the first :data:`TRUSTED` counts as what an ear may hear.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from lickwright.theory.chord import Chord
from lickwright.theory.degree import degree_semitones
from lickwright.theory.hearing.implied import Reading, implied_chords
from lickwright.theory.hearing.line import LineTone, ornaments
from lickwright.theory.hearing.sounding import Notes
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName

#: How many readings from the top a trained ear is taken to choose among.
TRUSTED = 3

_THIRDS = frozenset({"b3", "3", "4", "2"})
_SEVENTHS = frozenset({"b7", "7", "bb7", "6"})


@dataclass(frozen=True, slots=True)
class ClaimVerdict:
    """What the notes say to a claim.

    Parameters
    ----------
    holds : ``"yes"``, ``"nearly"`` (worth a warning) or ``"no"``.
    what : one sentence; empty where the claim simply holds.
    first : the reading that is heard first.
    """

    holds: Literal["yes", "nearly", "no"]
    what: str
    first: Reading


def judge(claim: Chord, notes: Notes, over: NoteName, key: Key | None = None) -> ClaimVerdict:
    """What some notes over a bass say to a chord symbol.

    Parameters
    ----------
    claim : the symbol as it is printed.
    notes, over, key : as in :func:`~lickwright.theory.hearing.implied.implied_chords`.

    Returns
    -------
    ClaimVerdict
        Whether the claim holds, what speaks against it, and what is heard first.

    Examples
    --------
    >>> from lickwright.theory.chord import parse_chord
    >>> from lickwright.theory.pitch import parse_note_name
    >>> judge(parse_chord("Bm9"), "D F# A C#", parse_note_name("B")).holds
    'yes'
    """
    readings = implied_chords(notes, over, key)
    first = readings[0]
    for place, reading in enumerate(readings):
        if reading.chord is not None and not reading.beside and _same(reading.chord, claim):
            if place < TRUSTED:
                return ClaimVerdict("yes", "", first)
            return ClaimVerdict(
                "nearly", f"{claim} can be heard, but {first.symbol} comes first", first
            )
    return _by_degrees(claim, first, over)


def judge_line(
    claim: Chord,
    line: Sequence[LineTone],
    over: NoteName,
    key: Key | None = None,
    *,
    given: int = 0,
    below: Chord | None = None,
) -> ClaimVerdict:
    """What a line in time says to a chord symbol: notes that only lead are not counted.

    Parameters
    ----------
    claim : the symbol as it is printed.
    line : its notes in time, one at least.
    over : the sounding bass.
    key : spells.
    given : 12-bit mask of notes that count whatever they do (triads that were declared).
    below : the chord that the band sounds, which speaks too.

    Returns
    -------
    ClaimVerdict
        Whether the claim holds, what speaks against it, and what is heard first.

    Examples
    --------
    >>> from fractions import Fraction
    >>> from lickwright.theory.chord import parse_chord
    >>> from lickwright.theory.pitch import parse_note_name
    >>> tones = [LineTone(m, Fraction(i, 2), Fraction(1, 2), 1 - i % 2)
    ...          for i, m in enumerate((62, 64, 65, 61, 62, 65))]  # D E F C# D F
    >>> judge_line(parse_chord("Dm"), tones, parse_note_name("D")).holds
    'yes'
    """
    home = claim.mask | given | 1 << over.pc
    leads = {each.index for each in ornaments(line, home)}
    pcs = dict.fromkeys(tone.midi % 12 for at, tone in enumerate(line) if at not in leads)
    names = {note.pc: note for note in (*claim.notes, *(below.notes if below else ()))}
    sounding = [*(() if below is None else below.notes), *(names.get(pc, pc) for pc in pcs)]
    return judge(claim, sounding, over, key)


def _same(chord: Chord, claim: Chord) -> bool:
    return chord.root.pc == claim.root.pc and chord.mask == claim.mask


def _by_degrees(claim: Chord, first: Reading, over: NoteName) -> ClaimVerdict:
    own = {degree_semitones(name): name for name in claim.kind.degrees}
    allowed = {note.pc for note in claim.notes} | {over.pc}
    heard = f"over {over} the notes are heard as {first.symbol or ' '.join(map(str, first.notes))}"
    foreign = [note for note in first.notes if note.pc not in allowed]
    present = {
        own[semitones]
        for note in first.notes
        if (semitones := (note.pc - claim.root.pc) % 12) in own
    }
    for note in foreign:
        wrong = _contradicted((note.pc - claim.root.pc) % 12, own.values(), present)
        if wrong:
            return ClaimVerdict("no", f"{claim} has a {wrong}, but {note} sounds: {heard}", first)
    telling = (_THIRDS | _SEVENTHS) & set(claim.kind.degrees)
    if telling and not telling & present:
        return ClaimVerdict("no", f"nothing that sounds tells {claim} from others: {heard}", first)
    absent = [
        name
        for name in claim.kind.degrees
        if name not in present and name not in ("1", "5") and name not in claim.kind.optional
    ]
    words = []
    if absent:
        words.append(f"nothing sounds its {' '.join(absent)}")
    if foreign:
        words.append(f"{' '.join(map(str, foreign))} sounds beyond it")
    if not words:
        return ClaimVerdict("yes", "", first)
    return ClaimVerdict("nearly", f"{claim} is not quite what sounds: {', '.join(words)}", first)


def _contradicted(semitones: int, own: Collection[str], present: Collection[str]) -> str:
    """The degree of the chord that a foreign tone stands against, or ``""``."""
    if semitones == 3 and "b7" in own and "3" in present:
        return ""  # a #9 beside the third, which a dominant carries
    if semitones == 11 and "bb7" in own:
        return ""  # a whole step above a tone of a diminished seventh
    return min(_AGAINST.get(semitones, set()).intersection(own), default="")


#: Semitones over the root: the thirds, fifths and sevenths that such a tone contradicts.  Tensions
#: contradict nothing: no 11 or b13 a half-diminished chord, no #11 or 13 an augmented one.
_AGAINST = {3: {"3"}, 4: {"b3"}, 7: {"b5", "#5"}, 10: {"7"}, 11: {"b7"}}
