"""What a player does who moves the shape by the root, to compare with.

The lick stays on its strings; for each chord it moves by the interval between the roots, up or
down, whichever is nearer to where the lick was made and fits on the neck.  Notes are not fitted to
the chord, and nothing is planned.
"""

from __future__ import annotations

from dataclasses import replace

from lickwright.changes.carry import fill_chords
from lickwright.changes.progression import Changes
from lickwright.errors import NeckError
from lickwright.lick import Lick, LickNote, Tuplet
from lickwright.neck import Guitar, Position
from lickwright.theory import NoteName, pitch_from_midi, spell, spell_root


def moved_by_root(
    lick: Lick, changes: Changes, root: NoteName, guitar: Guitar | None = None
) -> Lick:
    """The lick on every chord of the changes, shape and strings unchanged, without fingers.

    Parameters
    ----------
    root : of the chord that the lick was made on.

    Raises
    ------
    NeckError
        Where the shape fits on the neck neither up nor down.
    """
    guitar = guitar or Guitar()
    frets = [note.position.fret for note in lick.notes]
    notes: list[LickNote] = []
    tuplets: list[Tuplet] = []
    for placed, filling in zip(changes.chords, fill_chords(lick, changes), strict=True):
        up = (placed.chord.root.pc - root.pc) % 12
        moves = [
            move
            for move in sorted((up, up - 12), key=abs)
            if min(frets) + move >= 0 and max(frets) + move <= guitar.last_fret
        ]
        if not moves:
            raise NeckError(
                f"the shape leaves the neck over {placed.chord}",
                mend="Start from a place nearer to the middle of the neck",
            )
        for filled in filling.notes:
            own = lick.notes[filled.source]
            position = Position(own.position.string, own.position.fret + moves[0])
            midi = guitar.midi_at(position)
            name = spell_root(midi) if placed.key is None else spell(midi, placed.key)
            notes.append(
                replace(
                    own,
                    position=position,
                    pitch=pitch_from_midi(midi, name),
                    onset=filled.onset,
                    duration=filled.duration,
                    finger=None,
                    degree=None,
                )
            )
        tuplets += filling.tuplets
    return Lick(tuple(notes), changes.length, tuple(tuplets))
