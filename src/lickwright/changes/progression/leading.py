"""Where does a chord lead?

A dominant is heard by where it goes, and it need not be a seventh chord: a major triad whose third
is foreign to the key, a suspended seventh, a minor seventh over the root a fifth below it (Am7/D)
and a major triad over the note a whole step above its root (C/D) do the same work.  Common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.changes.progression.chart import Changes
from lickwright.theory import Chord, Key


def goals(changes: Changes) -> tuple[tuple[Chord | None, Chord | None], ...]:
    """For every chord the next other chord, and the one after that.

    A chord that is played again, turned over or with a seventh added, is one chord.  The last chord
    leads round to the first only where the changes end with a repeat.
    """
    chords = [placed.chord for placed in changes.chords]
    first = [not at or not _same(chord, chords[at - 1]) for at, chord in enumerate(chords)]
    merged = [chord for chord, begins in zip(chords, first, strict=True) if begins]
    # A repeat is unfolded; the last time round leads on, as every time before.
    again = changes.written[-1].plays > 0
    found: list[tuple[Chord | None, Chord | None]] = []
    place = -1
    for at, chord in enumerate(chords):
        place += first[at]
        ahead: list[Chord | None] = [*merged[place + 1 : place + 3]]
        if again:
            ahead += [each for each in merged[:2] if not _same(each, chord)]
        ahead = [*ahead, None, None]
        found.append((ahead[0], ahead[1]))
    return tuple(found)


def _same(chord: Chord, other: Chord) -> bool:
    """Whether two chords are one triad, whatever is added to it."""
    triad = {"3", "b3", "4", "b5", "#5"}
    return (
        acting_root(chord) == acting_root(other)
        and chord.root.pc == other.root.pc
        and triad & set(chord.kind.degrees) == triad & set(other.kind.degrees)
    )


def acting_root(chord: Chord) -> int:
    """The pitch class that a chord acts from: its root, or a bass that makes it suspended."""
    if chord.bass is None or chord.upper is not None:
        return chord.root.pc
    up = (chord.bass.pc - chord.root.pc) % 12
    degrees = set(chord.kind.degrees)
    minor = up == 5 and {"b3", "5"} <= degrees
    major = up == 2 and {"3", "5"} <= degrees and "b7" not in degrees
    return chord.bass.pc if minor or major else chord.root.pc


def is_dominant_seventh(chord: Chord) -> bool:
    """A seventh with a major third, whatever is altered."""
    return {"3", "b7"} <= set(chord.kind.degrees)


def is_suspended_dominant(chord: Chord) -> bool:
    """A suspended seventh, or a chord over a bass that makes it one."""
    degrees = set(chord.kind.degrees)
    return ({"4", "b7"} <= degrees and "3" not in degrees) or acting_root(chord) != chord.root.pc


def works_as_dominant(chord: Chord, key: Key) -> bool:
    """Whether a chord can be the dominant of another in a key: a seventh, a suspended one, or a
    major or augmented triad whose third is foreign to the key.
    """
    if is_dominant_seventh(chord) or is_suspended_dominant(chord):
        return True
    degrees = set(chord.kind.degrees)
    third = (chord.root.pc + 4) % 12
    return "3" in degrees and not degrees & {"7", "6"} and not key.has(third)


def is_diminished(chord: Chord) -> bool:
    """A diminished triad or seventh."""
    return {"b3", "b5"} <= set(chord.kind.degrees) and "b7" not in chord.kind.degrees


def is_diminished_seventh(chord: Chord) -> bool:
    """A diminished seventh, whose four notes are alike."""
    return "bb7" in chord.kind.degrees


def is_half_diminished(chord: Chord) -> bool:
    """A half-diminished seventh."""
    return {"b3", "b5", "b7"} <= set(chord.kind.degrees)


def is_minor_seventh(chord: Chord) -> bool:
    """A minor or half-diminished seventh."""
    return {"b3", "b7"} <= set(chord.kind.degrees)


def is_blues(chords: Sequence[Chord], tonic: int) -> bool:
    """Whether dominant sevenths are at home on I and IV: it begins with I7, has IV7, and none of
    its chords is a major seventh on I.
    """
    if not chords or chords[0].root.pc != tonic or not is_dominant_seventh(chords[0]):
        return False
    on_four = any(
        is_dominant_seventh(chord) and (chord.root.pc - tonic) % 12 == 5 for chord in chords
    )
    return on_four and not any(
        "7" in chord.kind.degrees and chord.root.pc == tonic for chord in chords
    )
