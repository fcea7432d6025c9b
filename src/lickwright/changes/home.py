"""Where was the lick made: how high it sounds and where on the neck it lies, on the mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lickwright.changes.joins import CarryCosts
from lickwright.lick.notes import Lick
from lickwright.neck.instrument import Position


@dataclass(frozen=True, slots=True)
class Home:
    """Means over all notes of a lick.

    Parameters
    ----------
    midi : MIDI key.
    tenths : place of the notes along the neck, in tenths of a mm from the nut.
    """

    midi: float
    tenths: float

    def terms(
        self,
        midi: Sequence[int],
        positions: Sequence[Position],
        tenths: Sequence[int],
        costs: CarryCosts,
    ) -> dict[str, int]:
        """What it costs that a line lies elsewhere; ``tenths`` by fret."""
        count = len(positions)
        height = abs(sum(midi) / count - self.midi)
        away = abs(sum(tenths[place.fret] for place in positions) / count - self.tenths)
        return {"register": int(height * costs.register), "place": int(away * costs.place / 10)}


def home_of(lick: Lick, tenths: Sequence[int]) -> Home:
    """The home of a lick; ``tenths`` says where each fret is."""
    count = len(lick.notes)
    return Home(
        sum(note.pitch.midi for note in lick.notes) / count,
        sum(tenths[note.position.fret] for note in lick.notes) / count,
    )
