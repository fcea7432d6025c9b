"""Which triads together sound as a chord, from the notes that the chord and its scale offer?"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import combinations

from lickwright.changes.lines import (
    FREE,
    Bounds,
    CarryCosts,
    clarity_cost,
    clarity_of,
    standing_of,
)
from lickwright.theory import (
    TRIAD_TONES,
    Chord,
    Key,
    NoteName,
    Triad,
    TriadQuality,
    mask_of,
    rotate_mask,
    spell,
    spell_root,
)

#: Triads by voice, in playing order.
Group = tuple[Triad, ...]

#: How many groups are tried for each chord, the clearest first, by their size: every order of each
#: is tried, so that larger groups grow fast.
GROUPS = {1: 32, 2: 16, 3: 5, 4: 2}


def _sets() -> dict[int, tuple[int, TriadQuality]]:
    """Each set of notes once, under its first name: Gsus4 is Csus2, and augmented triads turn."""
    sets: dict[int, tuple[int, TriadQuality]] = {}
    for quality in (*(q for q in TriadQuality if q is not TriadQuality.SUS2), TriadQuality.SUS2):
        rooted = mask_of(semitones for _, semitones, _ in TRIAD_TONES[quality])
        for root in range(12):
            sets.setdefault(rotate_mask(rooted, root), (root, quality))
    return sets


_SETS = _sets()


@lru_cache(maxsize=1024)
def clearest_groups(
    chord: Chord,
    key: Key | None,
    scale_mask: int,
    size: int,
    costs: CarryCosts,
    bounds: Bounds = FREE,
    families: tuple[TriadQuality, ...] = (),
) -> tuple[Group, ...]:
    """The groups of distinct triads that sound most clearly as a chord, the clearest first.

    Parameters
    ----------
    scale_mask : pitch classes that the triads may use beside the chord's own.
    size : triads a group, 1 to 4.
    bounds : which pitch classes the triads must and must not hold.
    families : the kinds of triad that may be taken; any where empty.
    """
    allowed = (scale_mask | chord.mask) & ~bounds.avoided
    triads = [
        (root, quality, mask)
        for mask, (root, quality) in _SETS.items()
        if not mask & ~allowed and (not families or quality in families)
    ]
    ranked = []
    for members in combinations(range(len(triads)), size):
        mask = 0
        for member in members:
            mask |= triads[member][2]
        if mask & bounds.required != bounds.required:
            continue
        ranked.append((clarity_cost(standing_of(mask, chord), costs), members, mask))
    ranked.sort()
    groups = []
    for _, members, mask in ranked[: GROUPS[size]]:
        names = {note.pc: note for note in clarity_of(mask, chord, key).reading.notes}
        groups.append(
            tuple(_spelled(*triads[member][:2], names, key) for member in members),
        )
    return tuple(groups)


def _spelled(
    root: int, quality: TriadQuality, names: Mapping[int, NoteName], key: Key | None
) -> Triad:
    """A triad spelled as the chord spells its root, unless that takes double accidentals.

    Over F#7#5#9 a player reads D augmented, not C## augmented.
    """
    minor = quality in (TriadQuality.MINOR, TriadQuality.DIMINISHED)
    ways = [names.get(root), spell(root, key) if key else None, spell_root(root, minor=minor)]
    triads = [Triad(name, quality) for name in ways if name is not None]
    return min(triads, key=lambda triad: max(1, *(abs(note.alter) for note in triad.notes)))
