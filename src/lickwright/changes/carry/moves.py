"""What does the hand do from one chord to the next, in a player's words?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from lickwright.changes.progression import PlacedChord
from lickwright.neck import Position
from lickwright.neck.shapes import listed
from lickwright.theory import Triad


class MoveKind(StrEnum):
    """How a line comes from the one before."""

    AS_MADE = "as made"  # the first chord, and the lick as it stands
    BEGINS = "begins"  # the first chord, and the lick somewhere else
    STAYS = "stays"  # not a finger moves
    BACK = "back"  # the lick as it was made comes back
    GRIP = "grip"  # the same grip on the same strings
    PLACE = "other place"  # the same triads, laid another way
    TRIADS = "other triads"  # triads that the line before had not
    NOTES = "other notes"  # a line whose notes make no triads


@dataclass(frozen=True, slots=True)
class HandMove:
    """A move from chord to chord; ``frets`` along the neck, up positive, where it is a grip."""

    kind: MoveKind
    frets: int
    words: str

    def __str__(self) -> str:
        return self.words


#: The places of a line by the index of the lick's note.
Places = Mapping[int, Position]


@dataclass(frozen=True, slots=True)
class PlayedChord:
    """A chord with the line that is played on it."""

    placed: PlacedChord
    triads: tuple[Triad, ...]
    places: Places


def move_between(
    before: PlayedChord | None, now: PlayedChord, lick: Sequence[Position]
) -> HandMove:
    """The name of a move.

    Parameters
    ----------
    before : the chord before, ``None`` for the first.
    lick : the places of the lick as it was made.
    """
    made = dict(enumerate(lick))
    bass = now.placed.chord.bass_note
    if before is None:
        if _moved(made, now.places) == 0:
            return HandMove(MoveKind.AS_MADE, 0, "the lick as it was made")
        return HandMove(MoveKind.BEGINS, 0, "the line begins here")
    frets = _moved(before.places, now.places)
    if frets == 0:
        old = before.placed.chord.bass_note
        under = "" if old.pc == bass.pc else f"; the bass moves from {old} to {bass}"
        return HandMove(MoveKind.STAYS, 0, f"the shape stays{under}")
    if _moved(made, now.places) == 0:
        return HandMove(MoveKind.BACK, 0, f"the first shape comes back unchanged, over {bass}")
    if frets is not None:
        return HandMove(
            MoveKind.GRIP, frets, f"the same grip on the same strings, {_in_frets(frets)}"
        )
    if now.triads and set(now.triads) == set(before.triads):
        return HandMove(MoveKind.PLACE, 0, f"{listed(now.triads)} again, in another place")
    if now.triads:
        return HandMove(MoveKind.TRIADS, 0, f"other triads: {listed(now.triads)}")
    return HandMove(MoveKind.NOTES, 0, "other notes")


def _moved(before: Places, now: Places) -> int | None:
    """How many frets the notes that both lines have were moved on their strings, all alike."""
    shared = [(before[source], now[source]) for source in now if source in before]
    frets = {there.fret - here.fret for here, there in shared}
    if not shared or len(frets) > 1 or any(a.string != b.string for a, b in shared):
        return None
    return frets.pop()


def _in_frets(frets: int) -> str:
    count = abs(frets)
    return f"{count} {'fret' if count == 1 else 'frets'} {'up' if frets > 0 else 'down'}"
