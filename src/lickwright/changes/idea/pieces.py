"""What of a lick with merged arpeggios is the idea, once its triads may change?

Its *pieces*, in the order in which they come: a merged part is one piece, and of any other part
what is played of each triad.  A piece is known by its rungs: its places from low to high, on which
string each lies and how many tones of its triads it is above the one before.  The layout over the
strings stays, and with it every string change inside a piece: what one stroke sweeps through, one
stroke sweeps through on every chord, and strokes that mirror each other go on doing so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.errors import TheoryError
from lickwright.lick import Lick
from lickwright.neck import Position
from lickwright.theory import Triad, TriadQuality


@dataclass(frozen=True, slots=True)
class Piece:
    """An arpeggio of the lick.

    Parameters
    ----------
    voices : of the lick's triads, those that it is made of.
    qualities : of these triads.
    strings : of each rung, low to high.
    steps : from each rung to the next, in tones of the triads.
    positions : of the rungs, as the lick has them.
    is_whole : whether every tone of its triads sounds.
    """

    voices: tuple[int, ...]
    qualities: tuple[TriadQuality, ...]
    strings: tuple[int, ...]
    steps: tuple[int, ...]
    positions: tuple[Position, ...]
    is_whole: bool


@dataclass(frozen=True, slots=True)
class PieceNote:
    """A note of the lick: which piece, and which rung of it."""

    piece: int
    rung: int


@dataclass(frozen=True, slots=True)
class MergedIdea:
    """The order of a line of pieces, free of its triads.

    Parameters
    ----------
    notes : one for each note of the lick.
    triads : of the lick, by voice.
    """

    pieces: tuple[Piece, ...]
    notes: tuple[PieceNote, ...]
    triads: tuple[Triad, ...]


def is_merged(lick: Lick) -> bool:
    """Whether a lick has notes that belong to merged triads."""
    return any(note.belongs.triads for note in lick.notes)


def merged_idea_of(lick: Lick, triads: Sequence[Triad]) -> MergedIdea:
    """The idea of a lick in which triads are merged.

    Parameters
    ----------
    lick : every note says which triads it belongs to.
    triads : by voice.

    Raises
    ------
    TheoryError
        When there are no triads, or a note belongs to none of them.
    """
    if not triads:
        raise TheoryError(
            "a lick is carried by idea only where its triads are known",
            mend="Give the triads it is made of, or carry it exact, by its grip or diatonic",
        )
    stray = next((n for n in lick.notes if not set(n.triads) & set(range(len(triads)))), None)
    if stray is not None:
        raise TheoryError(
            f"{stray.pitch} at {stray.position} belongs to no triad of the merged lick",
            mend="Leave it out, or carry the lick exact, by its grip or diatonic",
        )
    merged = {note.belongs.part for note in lick.notes if note.belongs.triads}
    keys = [
        (note.belongs.part, None if note.belongs.part in merged else note.triads[0])
        for note in lick.notes
    ]
    order = list(dict.fromkeys(keys))
    pieces = []
    for key in order:
        own = [note for note, its in zip(lick.notes, keys, strict=True) if its == key]
        voices = tuple(sorted({voice for note in own for voice in note.triads}))
        mask = 0
        for voice in voices:
            mask |= triads[voice].mask
        midi = {note.position: note.pitch.midi for note in own}
        rungs = sorted(midi, key=lambda place: (midi[place], -place.string))
        heard = {midi[place] % 12 for place in rungs}
        pieces.append(
            Piece(
                voices,
                tuple(triads[voice].quality for voice in voices),
                tuple(place.string for place in rungs),
                tuple(_tones_between(midi[a], midi[b], mask) for a, b in pairwise(rungs)),
                tuple(rungs),
                all(pc in heard for pc in range(12) if mask >> pc & 1),
            )
        )
    notes = tuple(
        PieceNote(order.index(key), pieces[order.index(key)].positions.index(note.position))
        for note, key in zip(lick.notes, keys, strict=True)
    )
    return MergedIdea(tuple(pieces), notes, tuple(triads))


def _tones_between(low: int, high: int, mask: int) -> int:
    """How many tones of a mask lie above one key and up to another."""
    return sum(mask >> key % 12 & 1 for key in range(low + 1, high + 1))
