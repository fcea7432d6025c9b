"""What stays the same of a lick when it is moved along the neck, to other strings, or in tempo?

Five prints, each blind to something:

* the *line*: the intervals between its notes in order, wherever it begins;
* the *shape*: which strings and frets it uses, counted from its lowest fret;
* the *tones*: the pitches it uses, counted from the lowest, on whatever strings;
* the *contour*: up, down or the same from note to note (D. Parsons, "The Directory of Tunes and
  Musical Themes", 1975);
* the *rhythm*: the time from note to note in proportion, at whatever value.

Two lines that are alike but not the same are found by *bands*: the line is cut into overlapping
pieces of four notes, and a few least hashes of the pieces stand for the whole (MinHash with
banding: A. Broder, "On the resemblance and containment of documents", 1997).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.lick import LickNote
from lickwright.score import Score

#: A lick of fewer notes is like too many others to be compared.
FEWEST_NOTES = 4
#: Intervals in a piece of the line.
PIECE = 3
#: Least hashes a band, and bands: two lines that share half of their pieces meet in one of
#: them with a probability of 1 - (1 - 0.5 ** 2) ** 12 = 97%, lines that share a tenth with 11%.
ROWS, BANDS = 2, 12

_PRIME = (1 << 61) - 1


@dataclass(frozen=True, slots=True)
class Prints:
    """The prints of one lick, short enough to be kept and compared."""

    line: str
    shape: str
    tones: str
    contour: str
    rhythm: str
    bands: tuple[int, ...]


def prints_of(score: Score) -> Prints | None:
    """The prints of a lick, ``None`` where it is too short to be compared."""
    notes = score.lick.notes
    if len(notes) < FEWEST_NOTES:
        return None
    line = line_of(notes)
    lowest_fret = min(note.position.fret for note in notes)
    lowest = min(note.pitch.midi for note in notes)
    return Prints(
        line=_print(line),
        shape=_print(
            sorted({(note.position.string, note.position.fret - lowest_fret) for note in notes})
        ),
        tones=_print(sorted({note.pitch.midi - lowest for note in notes})),
        contour=_print([(step > 0) - (step < 0) for step in line]),
        rhythm=_print(rhythm_of(notes)),
        bands=_bands(line),
    )


def line_of(notes: Sequence[LickNote]) -> list[int]:
    """Semitones from each note to the next."""
    return [after.pitch.midi - before.pitch.midi for before, after in pairwise(notes)]


def rhythm_of(notes: Sequence[LickNote]) -> list[Fraction]:
    """The time from each note to the next; 1 is the shortest.

    How long the last note is held says more of the bar it ends in than of the rhythm.
    """
    gaps = [after.onset - before.onset for before, after in pairwise(notes)]
    return [gap / min(gaps) for gap in gaps]


def _print(values: Sequence[object]) -> str:
    """A short hash; two different sequences share one about once in 10^19 pairs."""
    return hashlib.blake2b(" ".join(map(str, values)).encode(), digest_size=8).hexdigest()


def _bands(line: Sequence[int]) -> tuple[int, ...]:
    """One number a band, each telling the band's place too."""
    pieces = {_piece_hash(line[at : at + PIECE]) for at in range(len(line) - PIECE + 1)}
    least = [
        min((factor * piece + shift) % _PRIME for piece in pieces) for factor, shift in _HASHES
    ]
    bands = []
    for band in range(BANDS):
        rows = (band, *least[band * ROWS : (band + 1) * ROWS])
        digest = hashlib.blake2b(" ".join(map(str, rows)).encode(), digest_size=8).digest()
        # A signed number of 64 bits is what both databases keep.
        bands.append(int.from_bytes(digest, "big", signed=True))
    return tuple(bands)


def _piece_hash(piece: Sequence[int]) -> int:
    digest = hashlib.blake2b(" ".join(map(str, piece)).encode(), digest_size=8).digest()
    return int.from_bytes(digest, "big") % _PRIME


def _hash_functions() -> tuple[tuple[int, int], ...]:
    """The factors and shifts of ``ROWS * BANDS`` hash functions, always the same."""

    def number(name: str) -> int:
        digest = hashlib.blake2b(name.encode(), digest_size=8).digest()
        return int.from_bytes(digest, "big") % (_PRIME - 1) + 1

    return tuple((number(f"factor {n}"), number(f"shift {n}")) for n in range(ROWS * BANDS))


_HASHES = _hash_functions()
