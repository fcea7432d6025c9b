"""Which triads, and which pairs of triads, lie inside a scale, and what does a pair leave out?

Two triads without a common note are a hexatonic pair: six notes of the scale.  The complement is
what a pair leaves out: one note of a seven-note scale for a hexatonic pair.  Pairs that share
notes are listed too, with what they share.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from lickwright.theory.finding.pairs import step_between, triad_sets
from lickwright.theory.hearing import NoteLike, Reading, implied_chords
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName
from lickwright.theory.spelling import spell_root
from lickwright.theory.triad import Triad, TriadQuality


@dataclass(frozen=True, slots=True)
class ScalePair:
    """Two triads of a scale.

    Parameters
    ----------
    first, second : in the order of the scale.
    notes : their notes in the order of the scale.
    complement : the notes of the scale that they leave out.
    shared : the notes that both hold; empty for a hexatonic pair.
    step_semitones : the least motion from one to the other, three voices added up.
    reading : the surest reading of the pair over the bass.
    """

    first: Triad
    second: Triad
    notes: tuple[NoteName, ...]
    complement: tuple[NoteName, ...]
    shared: tuple[NoteName, ...]
    step_semitones: int
    reading: Reading

    @property
    def is_hexatonic(self) -> bool:
        """Whether the two triads make six notes."""
        return not self.shared


def triads_in(key: Key | str) -> list[Triad]:
    """Every triad of a scale, by the degree of its root; the same notes are listed once.

    A suspended set is listed as a sus4 triad (Gsus4 is Csus2), an augmented set under the first
    of its three roots.  Roots are spelled by the scale, except where that would write the triad
    with double accidentals.

    Parameters
    ----------
    key : a tonic and any scale that the house knows, such as ``"D dorian"``.

    Returns
    -------
    list of Triad
        From the tonic up.

    Raises
    ------
    TheoryError
        When the key cannot be read.

    Examples
    --------
    >>> print(*triads_in("D dorian"))
    Dm Dsus4 Em Esus4 F G Gsus4 Am Asus4 Bdim C Csus4
    """
    in_key = parse_key(key) if isinstance(key, str) else key
    inside = {mask for mask in triad_sets() if not mask & ~in_key.mask}
    triads = []
    for note in in_key.notes:
        for quality in TriadQuality:
            triad = _readable(note, quality)
            if quality is not TriadQuality.SUS2 and triad.mask in inside:
                inside.discard(triad.mask)
                triads.append(triad)
    return triads


def pairs_in(key: Key | str, *, sharing: int = 0, over: NoteLike | None = None) -> list[ScalePair]:
    """Every pair of triads of a scale, in the order of the scale.

    Parameters
    ----------
    key : a tonic and any scale that the house knows, such as ``"D dorian"``.
    sharing : at most so many notes in common: 0 for hexatonic pairs alone, 2 for all pairs.
    over : the bass that the pairs are read over; the tonic where it is left out.

    Returns
    -------
    list of ScalePair
        Each with its notes and what it leaves out.

    Raises
    ------
    TheoryError
        When the key cannot be read.

    Examples
    --------
    >>> [f"{pair.first} {pair.second}" for pair in pairs_in("D dorian")][:3]
    ['Dm Em', 'Dm C', 'Em F']
    """
    in_key = parse_key(key) if isinstance(key, str) else key
    bass = in_key.tonic if over is None else over
    pairs = []
    for first, second in combinations(triads_in(in_key), 2):
        common, union = first.mask & second.mask, first.mask | second.mask
        if common.bit_count() > sharing:
            continue
        pairs.append(
            ScalePair(
                first,
                second,
                notes=_of(in_key, union),
                complement=_of(in_key, in_key.mask & ~union),
                shared=_of(in_key, common),
                step_semitones=step_between(first.mask, second.mask),
                reading=implied_chords((first, second), bass, in_key)[0],
            )
        )
    return pairs


def _of(key: Key, mask: int) -> tuple[NoteName, ...]:
    return tuple(note for note in key.notes if mask >> note.pc & 1)


def _readable(root: NoteName, quality: TriadQuality) -> Triad:
    triad = Triad(root, quality)
    if all(abs(note.alter) < 2 for note in triad.notes):
        return triad
    minor = quality in (TriadQuality.MINOR, TriadQuality.DIMINISHED)
    return Triad(spell_root(root.pc, minor=minor), quality)
