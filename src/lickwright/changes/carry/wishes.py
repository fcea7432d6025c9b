"""What may a teacher wish of a carried line, for one bar or for all?

A wish bounds what is tried (tones, register, families of triads), or weighs it otherwise (near the
lick, guide tones on the chord beats), or lets the lick be turned round as an answer.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

from lickwright.changes.lines import Bounds, CarryCosts
from lickwright.lick.phrase import chord_degree
from lickwright.theory import Chord, TriadQuality

#: How many times dearer it is to lie away from a lick that a line is to stay near.
_NEAR_TIMES = 5
#: What a chord beat without a guide tone costs where guide tones are asked for.
_GUIDES_ASKED = 5_000


@dataclass(frozen=True, slots=True)
class CarryWish:
    """What the teacher says of a carried line; ``None`` leaves it open.

    Parameters
    ----------
    near : stay near the lick's own place and pitch.
    register : lowest and highest MIDI key.
    rootless : the root does not sound in the line: the band has it.
    require, avoid : degrees over each chord's root that must and must not sound.
    families : the kinds of triad that may be taken.
    guides : every chord begins on one of its guide tones.
    turned : a chord may have the lick turned round: a fall for every rise.
    """

    near: bool | None = None
    register: tuple[int, int] | None = None
    rootless: bool | None = None
    require: tuple[str, ...] | None = None
    avoid: tuple[str, ...] | None = None
    families: tuple[TriadQuality, ...] | None = None
    guides: bool | None = None
    turned: bool | None = None

    def over(self, whole: CarryWish) -> CarryWish:
        """This wish of one bar, over that of the whole line."""
        return CarryWish(
            *(
                getattr(whole if getattr(self, field.name) is None else self, field.name)
                for field in fields(CarryWish)
            )
        )

    def bounds(self, chord: Chord) -> Bounds:
        """What the notes over a chord must hold to."""
        low, high = self.register or (0, 127)
        avoided = sum(1 << pc for pc in {chord_degree(d, chord) for d in self.avoid or ()})
        if self.rootless:
            avoided |= 1 << chord.root.pc
        required = sum(1 << pc for pc in {chord_degree(d, chord) for d in self.require or ()})
        return Bounds(required, avoided, low, high)

    def costs(self, costs: CarryCosts) -> CarryCosts:
        """The weights by which candidates are compared under this wish."""
        if self.near:
            costs = replace(
                costs,
                register=costs.register * _NEAR_TIMES,
                far_off=costs.far_off * _NEAR_TIMES,
                place=costs.place * _NEAR_TIMES,
            )
        if self.guides:
            costs = replace(costs, no_guide=_GUIDES_ASKED)
        return costs

    def __str__(self) -> str:
        said = []
        if self.rootless:
            said.append("without the root")
        said += [f"with the {degree}" for degree in self.require or ()]
        said += [f"without the {degree}" for degree in self.avoid or ()]
        if self.families:
            said.append(f"of {' and '.join(q.name.lower() for q in self.families)} triads")
        if self.register:
            said.append("in the register asked for")
        return ", ".join(said)


#: Where nothing is said.
NO_WISH = CarryWish()
