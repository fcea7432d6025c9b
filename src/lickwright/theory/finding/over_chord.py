"""Which pairs of triads does a player lay over a chord that the band sounds?

The pairs of a chord are those of its chord-scales (:mod:`lickwright.theory.finding.chord_scales`).
Each says what it states of the chord, which tensions it adds and what it leaves to the band.

Ranked by how usual the scale is over the chord, how plain the pair is (two triads without a
common note first, major before minor before diminished and augmented before suspended), the
tensions that rub, and how short the step from one triad to the other is.  Common practice, no
source; the prices stand in :data:`PAIR_COSTS`.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import combinations

from lickwright.errors import TheoryError
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.finding.chord_scales import chord_scales
from lickwright.theory.finding.pairs import TriadSpelling, step_between, triad_sets
from lickwright.theory.hearing import OverChord, heard_over
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName, rotate_mask
from lickwright.theory.scales import Scale
from lickwright.theory.spelling import spell_root
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

#: Points; only their proportions matter.
PAIR_COSTS: dict[str, float] = {
    "next scale": 1.5,
    "note in common": 3.0,
    "note that rubs": 0.5,
    "note that contradicts": 6.0,
    "pair of the same scale before it": 0.15,
    "semitone of the step": 0.1,
    "tone of the chord left to the band": 0.05,
}
_QUALITY_COSTS = {
    TriadQuality.MAJOR: 0.0,
    TriadQuality.MINOR: 0.5,
    TriadQuality.DIMINISHED: 1.5,
    TriadQuality.AUGMENTED: 1.2,
    TriadQuality.SUS4: 4.0,
}


@dataclass(frozen=True, slots=True)
class ChordPair:
    """Two triads over a chord that the band sounds.

    Parameters
    ----------
    triads : spelled for the chord (or the key).
    scale : the usual scale over the chord that holds both.
    over : what they say over the chord.
    colours : for each triad the degrees it gives, over the chord's root.
    shared : notes that both hold; empty for a hexatonic pair.
    step_semitones : the least motion from one triad to the other, three voices added up.
    cost : what they are ranked by, the least first.
    """

    triads: tuple[Triad, Triad]
    scale: Scale
    over: OverChord
    colours: tuple[tuple[str, ...], tuple[str, ...]]
    shared: tuple[NoteName, ...]
    step_semitones: int
    cost: float

    @property
    def is_complete(self) -> bool:
        """Whether the pair plays every tone of the chord itself."""
        return not self.over.leaves


def pairs_over(
    chord: Chord | str,
    key: Key | str | None = None,
    with_triad: Triad | str | None = None,
    max_avoid: int | None = None,
    *,
    rootless: bool = False,
) -> list[ChordPair]:
    """All pairs of triads of a chord's scales, the most used first.

    Parameters
    ----------
    chord : what the band sounds.
    key : only triads inside this key, spelled by it.
    with_triad : only pairs that hold this triad.
    max_avoid : at most so many notes that rub; ``None`` for any number.
    rootless : only pairs that leave the chord's root to the band.

    Returns
    -------
    list of ChordPair
        Each with its scale, what it states, adds and leaves.

    Raises
    ------
    TheoryError
        When the chord, key or triad cannot be read.

    Examples
    --------
    >>> [" ".join(map(str, pair.triads)) for pair in pairs_over("C7alt")][:2]
    ['Gb Ab', 'Dbm Ebm']
    """
    below = parse_chord(chord) if isinstance(chord, str) else chord
    in_key = parse_key(key) if isinstance(key, str) else key
    held = parse_triad(with_triad) if isinstance(with_triad, str) else with_triad
    if max_avoid is not None and max_avoid < 0:
        raise TheoryError("a count of notes below nought", mend="Give 0 or more avoid notes")
    allowed = 0xFFF if in_key is None else in_key.mask
    if rootless:
        allowed &= ~(1 << below.root.pc)
    found: dict[tuple[int, int], ChordPair] = {}
    for place, scale in enumerate(chord_scales(below)):
        spelling = TriadSpelling(below, in_key, held, scale)
        inside = rotate_mask(scale.mask, below.root.pc) & allowed
        masks = [mask for mask in triad_sets() if not mask & ~inside]
        for pair in combinations(masks, 2):
            if pair in found or (held is not None and held.mask not in pair):
                continue
            found[pair] = _pair(pair, place, scale, below, spelling)
    kept = [p for p in found.values() if max_avoid is None or len(p.over.rubs) <= max_avoid]
    return _mixed(sorted(kept, key=_rank))


def _one_way(first: Triad, second: Triad) -> tuple[Triad, Triad]:
    """Both triads spelled on one side: no Fb beside a D."""
    sides = {note.alter > 0 for note in (*first.notes, *second.notes) if note.alter}
    return (first, second) if len(sides) < 2 else (_plain(first), _plain(second))


def _plain(triad: Triad) -> Triad:
    """The triad on its usual root where its own is one that players seldom read."""
    if str(triad.root) not in ("Fb", "Cb", "E#", "B#"):
        return triad
    minor = triad.quality in (TriadQuality.MINOR, TriadQuality.DIMINISHED)
    return Triad(spell_root(triad.root.pc, minor=minor), triad.quality)


def _rank(pair: ChordPair) -> tuple[float, str]:
    return pair.cost, " ".join(map(str, pair.triads))


def _mixed(pairs: list[ChordPair]) -> list[ChordPair]:
    """Each pair a little dearer for every pair of its scale before it: no scale crowds in front."""
    before: Counter[str] = Counter()
    mixed = []
    for pair in pairs:
        price = PAIR_COSTS["pair of the same scale before it"] * before[pair.scale.name]
        mixed.append(replace(pair, cost=pair.cost + price))
        before[pair.scale.name] += 1
    return sorted(mixed, key=_rank)


def _pair(
    masks: tuple[int, int], place: int, scale: Scale, below: Chord, spelling: TriadSpelling
) -> ChordPair:
    first, second = _one_way(*(spelling.triad(mask) for mask in masks))
    if (second.root.pc - first.root.pc) % 12 > 6:
        first, second = second, first
    over = heard_over((first, second), below)
    degree_at = {note.pc: name for note, name in zip(over.notes, over.degrees, strict=True)}
    names = {note.pc: note for note in over.notes}
    common = first.mask & second.mask
    step = step_between(*masks)
    cost = (
        PAIR_COSTS["next scale"] * place
        + PAIR_COSTS["note in common"] * common.bit_count()
        + sum(
            PAIR_COSTS["note that contradicts" if rub.hard else "note that rubs"]
            for rub in over.rubs
        )
        + PAIR_COSTS["semitone of the step"] * step
        + PAIR_COSTS["tone of the chord left to the band"] * len(over.leaves)
        + sum(_QUALITY_COSTS[triad.quality] for triad in (first, second))
    )
    return ChordPair(
        (first, second),
        scale,
        over,
        (
            tuple(degree_at[note.pc] for note in first.notes),
            tuple(degree_at[note.pc] for note in second.notes),
        ),
        tuple(names[pc] for pc in range(12) if common >> pc & 1),
        step,
        cost,
    )
