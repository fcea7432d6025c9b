"""Which scale does a chord offer, in its key and on its way to the next chord?

A chord offers the scales on its root that hold all of its tones.  Among them players take the one
that stays closest to the key, or, for a dominant on its way to a chord, to the key of that chord;
that has fewest notes to avoid; and that is met most often.  Common practice, no source; the
prices stand in :data:`SCALE_COSTS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from lickwright.theory import (
    LINE_FAMILIES,
    SCALES,
    Chord,
    Key,
    NoteName,
    Scale,
    degree_note,
    degree_semitones,
    rotate_mask,
)

#: What makes a scale less likely; points, only their proportions matter.
SCALE_COSTS: dict[str, int] = {
    "note outside the key": 6,
    "note to avoid": 2,
    "mode of melodic minor": 1,
    "mode of harmonic minor": 4,
    "mode of harmonic major": 5,
    "symmetric": 4,
}
#: The colour that a dominant takes which does not fall a fifth (common practice, no source).
FLOATING_DOMINANT = "lydian dominant"
_FLOATING_GAIN = 10


@dataclass(frozen=True, slots=True)
class OfferedScale:
    """A scale on a chord's root.

    Parameters
    ----------
    root, scale : the scale.
    outside : its notes that are in neither the chord nor the key.
    avoid : its notes a semitone above a chord tone that the chord cannot carry.
    why : reasons, in words.
    """

    root: NoteName
    scale: Scale
    outside: tuple[NoteName, ...]
    avoid: tuple[NoteName, ...]
    why: tuple[str, ...]

    @property
    def notes(self) -> tuple[NoteName, ...]:
        """From the root up, spelled."""
        return tuple(degree_note(self.root, name) for name in self.scale.degrees)

    @property
    def mask(self) -> int:
        """12-bit mask, C on bit 0."""
        return rotate_mask(self.scale.mask, self.root.pc)

    def __str__(self) -> str:
        return f"{self.root} {self.scale.name}"


@lru_cache(maxsize=4096)
def offered_scales(
    chord: Chord, key: Key | None, reference: Key | None = None, *, floating: bool = False
) -> tuple[OfferedScale, ...]:
    """The scales of seven or eight notes that a chord offers, the likeliest first.

    Parameters
    ----------
    chord : whose tones all belong to each scale; where no scale holds its bass or its upper
        chord too, those are let go.
    key : the key that rules, ``None`` where none is known.
    reference : the key of the chord that this one leads to, where that counts more.
    floating : whether it is a dominant that does not fall a fifth.
    """
    home = reference or key
    fitting: list[Scale] = []
    for tones in (chord.mask, rotate_mask(chord.kind.mask, chord.root.pc)):
        wanted = rotate_mask(tones, -chord.root.pc)
        fitting = [
            scale
            for scale in SCALES
            if len(scale.degrees) >= 7 and scale.family not in LINE_FAMILIES
        ]
        fitting = [
            scale for scale in fitting if not wanted & ~scale.mask and _same_third(chord, scale)
        ]
        if fitting:
            break
    ranked = []
    for place, scale in enumerate(fitting):
        offered = _offered(chord, scale, home)
        cost = (
            SCALE_COSTS["note outside the key"] * len(offered.outside)
            + SCALE_COSTS["note to avoid"] * len(offered.avoid)
            + SCALE_COSTS.get(f"mode of {scale.family}", SCALE_COSTS.get(scale.family, 0))
        )
        if floating and scale.name == FLOATING_DOMINANT:
            cost -= _FLOATING_GAIN
        ranked.append((cost, place, offered))
    ranked.sort(key=lambda item: item[:2])
    return tuple(offered for _, _, offered in ranked)


def _same_third(chord: Chord, scale: Scale) -> bool:
    """Whether the third of a chord is the third of a scale, not its #2 (nor its b4, but there
    where the scale is an altered one, made for a chord with a major third).
    """
    degrees = chord.kind.degrees
    if "b3" in degrees:
        return "b3" in scale.degrees
    if "3" in degrees:
        return "3" in scale.degrees or "b7" in degrees
    return True


def _offered(chord: Chord, scale: Scale, home: Key | None) -> OfferedScale:
    root = chord.root
    own = {(semitones - root.pc) % 12 for semitones in range(12) if chord.mask >> semitones & 1}
    degrees = set(chord.kind.degrees)
    dominant = "b7" in degrees and "3" in degrees
    others = [name for name in scale.degrees if degree_semitones(name) not in own]
    avoid = []
    for name in others:
        semitones = degree_semitones(name)
        below = (semitones - 1) % 12
        if below in own and (semitones == 5 if dominant else True) and below in _GRIPPED:
            avoid.append(name)
    outside = [
        note
        for name in others
        if home is not None and not home.has(note := degree_note(root, name))
    ]
    if home is None:
        why = ["holds every tone of the chord"]
    elif not outside:
        why = [f"all of its notes are in {home} or in the chord"]
    else:
        why = [f"only {' '.join(map(str, outside))} leaves {home}"]
    if avoid:
        named = ", ".join(f"{degree_note(root, name)} ({name})" for name in avoid)
        why.append(f"pass over {named}: a semitone above a chord tone")
    return OfferedScale(
        root, scale, tuple(outside), tuple(degree_note(root, name) for name in avoid), tuple(why)
    )


#: Semitones above the root of the tones that a note a semitone above makes harsh: the root,
#: the third and the fifth.
_GRIPPED = frozenset({0, 3, 4, 7})
