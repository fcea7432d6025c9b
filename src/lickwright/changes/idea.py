"""What of a lick is the idea, once its triads may change?

The order of its notes as rungs of each triad's shape (the lowest note is rung 0, the next chord
tone above it rung 1 ...), where its line rises and falls, its rhythm and its strokes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.errors import TheoryError
from lickwright.lick.notes import Lick
from lickwright.theory.triad import Triad, TriadQuality


@dataclass(frozen=True, slots=True)
class Step:
    """One note of an idea: which triad, and which rung of its shape."""

    voice: int
    rung: int


@dataclass(frozen=True, slots=True)
class Idea:
    """The order of a line, free of its triads.

    Parameters
    ----------
    steps : one a note.
    rungs : how many rungs each voice's shape has.
    rises : semitones from each note to the next, downwards negative.
    string_changes : strings crossed from each note to the next, towards the bass positive.
    register_midi : mean MIDI key of the line.
    qualities : of each voice's triad.
    """

    steps: tuple[Step, ...]
    rungs: tuple[int, ...]
    rises: tuple[int, ...]
    string_changes: tuple[int, ...]
    register_midi: float
    qualities: tuple[TriadQuality, ...]

    @property
    def voices(self) -> int:
        return len(self.rungs)


def idea_of(lick: Lick, triads: Sequence[Triad]) -> Idea:
    """The idea of a lick whose triads are known.

    Parameters
    ----------
    lick : its notes say which triad they belong to (``voice``); a note that does not goes to the
        triad of the note before it if that holds it, else to the first that does.
    triads : by voice.

    Raises
    ------
    TheoryError
        When there are no triads, or a note is a tone of none of them.
    """
    if not triads:
        raise TheoryError(
            "a lick is carried by idea only where its triads are known",
            mend="Give the triads it is made of, or carry it exact or diatonic",
        )
    voices = _voices(lick, triads)
    midi = [note.pitch.midi for note in lick.notes]
    rungs: list[int] = [0] * len(midi)
    sizes = []
    for voice, triad in enumerate(triads):
        own = [index for index, owner in enumerate(voices) if owner == voice]
        if not own:
            sizes.append(0)
            continue
        lowest = min(midi[index] for index in own)
        for index in own:
            between = range(lowest, midi[index])
            rungs[index] = sum(bool(triad.mask >> key % 12 & 1) for key in between)
        sizes.append(1 + max(rungs[index] for index in own))
    strings = [note.position.string for note in lick.notes]
    return Idea(
        tuple(Step(voice, rung) for voice, rung in zip(voices, rungs, strict=True)),
        tuple(sizes),
        tuple(b - a for a, b in pairwise(midi)),
        tuple(b - a for a, b in pairwise(strings)),
        sum(midi) / len(midi),
        tuple(triad.quality for triad in triads),
    )


def _voices(lick: Lick, triads: Sequence[Triad]) -> list[int]:
    """The voice of every note."""
    voices: list[int] = []
    for number, note in enumerate(lick.notes, start=1):
        holding = [v for v, triad in enumerate(triads) if triad.mask >> note.pitch.midi % 12 & 1]
        if note.voice in holding:
            voices.append(note.voice)
        elif not holding:
            names = ", ".join(str(triad) for triad in triads)
            raise TheoryError(
                f"note {number} of the lick, {note.pitch}, is a tone of none of {names}",
                mend="Carry it exact or diatonic, or give the triad it belongs to",
            )
        else:
            voices.append(voices[-1] if voices and voices[-1] in holding else holding[0])
    return voices
