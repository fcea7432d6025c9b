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
    """

    midi: float
    tenths: float
    positions: tuple[Position, ...]
    travel: int
    is_own_chord: bool

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
            "register": int(height * costs.register),
            "place": int(away * costs.place / 10),
            "not the lick itself": costs.not_itself if changed else 0,
        }


def home_of(lick: Lick, sources: Sequence[int], places: HandPlaces, *, is_own_chord: bool) -> Home:
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
    )
