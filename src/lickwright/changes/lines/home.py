"""Where was the lick made, and what does it cost a carried line to be elsewhere?

The teacher made the lick at a place on the neck, at a pitch, with a motion of the hand of its own
(two shapes a hand-span apart, perhaps: that is its idea).  A carried line stays near all three,
and is the lick itself where the lick's own chord comes back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.changes.lines.joins import CarryCosts
from lickwright.lick import Lick
from lickwright.neck import Position
from lickwright.theory import mask_of

#: The low strings, and the fret up to which they are played without need (common practice).
LOW_STRING, HIGH_FRET = 5, 17
#: So many semitones from the lick a line still keeps its register: a fourth.
NEAR = 5


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the notes of a line must hold to.

    Parameters
    ----------
    required, avoided : masks of pitch classes that must and must not sound.
    lowest, highest : MIDI keys.
    """

    required: int = 0
    avoided: int = 0
    lowest: int = 0
    highest: int = 127

    def allow(self, midi: Sequence[int]) -> bool:
        """Whether some keys hold to all of it."""
        mask = mask_of(midi)
        return (
            mask & self.required == self.required
            and not mask & self.avoided
            and self.lowest <= min(midi)
            and max(midi) <= self.highest
        )


#: Of a line that is free.
FREE = Bounds()


@dataclass(frozen=True, slots=True)
class Home:
    """What one chord's line is compared with.

    Parameters
    ----------
    midi, tenths : mean MIDI key of the whole lick, and mean place of its notes along the neck in
        tenths of a mm from the nut.
    positions : of the notes that the chord plays, as the lick has them.
    travel : the least that the hand moves through these, in tenths of a mm.
    is_own_chord : whether the lick was made on this very chord.
    guides : mask of the chord's guide tones.
    bounds : what the line's notes must hold to.
    """

    midi: float
    tenths: float
    positions: tuple[Position, ...]
    travel: int
    is_own_chord: bool
    guides: int = 0
    bounds: Bounds = FREE

    def terms(
        self,
        positions: Sequence[Position],
        midi: Sequence[int],
        travel: int,
        tenths: Sequence[int],
        costs: CarryCosts,
    ) -> dict[str, int]:
        """The named costs of a line.

        Parameters
        ----------
        travel : how far the hand moves under the chord, in tenths of a mm.
        tenths : where the index finger stands, by fret.
        """
        count = len(positions)
        height = abs(sum(midi) / count - self.midi)
        away = abs(sum(tenths[place.fret] for place in positions) / count - self.tenths)
        changed = self.is_own_chord and tuple(positions) != self.positions
        return {
            "travel": max(travel - self.travel, 0) * costs.travel // 10,
            "register": register_cost(height, costs),
            "no guide tone": 0 if self.guides >> midi[0] % 12 & 1 else costs.no_guide,
            "high on a low string": costs.high_on_low * sum(map(frets_too_high, positions)),
            "place": int(away * costs.place / 10),
            "not the lick itself": costs.not_itself if changed else 0,
        }


def register_cost(height: float, costs: CarryCosts) -> int:
    """What it costs to lie so many semitones from the lick, on the mean."""
    return int(height * costs.register + max(height - NEAR, 0.0) * costs.far_off)


def frets_too_high(place: Position) -> int:
    """Frets by which a place lies higher than a low string is played without need."""
    return max(place.fret - HIGH_FRET, 0) if place.string >= LOW_STRING else 0


def home_of(
    lick: Lick,
    sources: Sequence[int],
    places: HandPlaces,
    *,
    is_own_chord: bool,
    guides: int = 0,
    bounds: Bounds = FREE,
) -> Home:
    """The home of the notes ``sources`` of a lick."""
    count = len(lick.notes)
    tenths = places.tenths
    positions = tuple(lick.notes[source].position for source in sources)
    return Home(
        sum(note.pitch.midi for note in lick.notes) / count,
        sum(tenths[note.position.fret] for note in lick.notes) / count,
        positions,
        min(travel for travel, _ in places.ways(positions)),
        is_own_chord,
        guides,
        bounds,
    )
