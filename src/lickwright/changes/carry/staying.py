"""Where may a shape stay under a new chord, or come back?

A line stays where it is, unchanged, when its notes over the new bass bear the new chord out, as
:mod:`lickwright.theory.hearing` judges it.  The same holds for the lick as it was made: it comes
back unchanged under any chord that it bears out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from lickwright.changes.lines import Candidate, standing_of
from lickwright.lick import Lick
from lickwright.neck import Guitar, Position
from lickwright.theory import Chord, Key, Triad, mask_of


@dataclass(frozen=True, slots=True)
class KeptLine:
    """A line that sounds already.

    Parameters
    ----------
    places : by the index of the lick's note.
    triads : of the line.
    members : by the same index, which of the triads hold the note.
    """

    places: Mapping[int, Position]
    triads: tuple[Triad, ...]
    members: Mapping[int, tuple[int, ...]]

    def line(self, sources: Sequence[int]) -> tuple[Position, ...] | None:
        """The places of some notes of the lick; ``None`` where one does not sound."""
        if not all(source in self.places for source in sources):
            return None
        return tuple(self.places[source] for source in sources)


def lick_as_made(lick: Lick, triads: Sequence[Triad]) -> KeptLine:
    """The lick itself."""
    return KeptLine(
        {index: note.position for index, note in enumerate(lick.notes)},
        tuple(triads),
        {index: note.triads for index, note in enumerate(lick.notes)},
    )


def sounding_lines(candidates: Iterable[Candidate], sources: Sequence[int]) -> Iterator[KeptLine]:
    """The lines of some candidates, each once."""
    seen: set[tuple[Position, ...]] = set()
    for one in candidates:
        if one.positions in seen:
            continue
        seen.add(one.positions)
        members = (
            one.members if any(one.members) else [() if v is None else (v,) for v in one.voices]
        )
        yield KeptLine(
            dict(zip(sources, one.positions, strict=True)),
            one.triads,
            dict(zip(sources, members, strict=True)),
        )


def may_stay(
    positions: Sequence[Position],
    chord: Chord,
    key: Key | None,
    guitar: Guitar,
    windows: tuple[tuple[int, int] | None, tuple[int, int] | None],
) -> bool:
    """Whether some places lie in the windows of frets and strings and bear a chord out."""
    frets, strings = windows
    if frets is not None and not all(frets[0] <= p.fret <= frets[1] for p in positions):
        return False
    if strings is not None and not all(strings[0] <= p.string <= strings[1] for p in positions):
        return False
    mask = mask_of(guitar.midi_at(place) for place in positions)
    return standing_of(mask, chord).holds == "yes"
