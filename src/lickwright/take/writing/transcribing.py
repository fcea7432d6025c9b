"""Which example would print what was played?

A proposal, for the teacher to read through: the pitches and the rhythm as they were heard, strings
and fingers by the cheapest way over the neck, strokes by the policy.  What cannot be heard (the
strings that were really used, the strokes, the bar's beginning) is chosen, and to be checked.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from lickwright.lick import Lick, LickNote
from lickwright.lick.fingering import Pin
from lickwright.lick.hands import finish
from lickwright.lick.picking import Picking, print_strokes
from lickwright.lick.rhythm import COMMON_TIME, Meter, rhythm_of
from lickwright.lick.strings import choose_strings
from lickwright.lick.tab import print_tab
from lickwright.neck import Guitar, HandProfile, Span
from lickwright.take.errors import TakeError
from lickwright.take.judging import fit_tempo
from lickwright.take.listening import PlayedNote, Recording, heard_line
from lickwright.take.writing.grid import RhythmGrid, find_grid
from lickwright.theory import Key, parse_key, pitch_from_midi, spell

#: A silence shorter than this share of the room to the next note, or than this time, is only the
#: hand's way to it.
_LEAST_REST, _LEAST_REST_S = 0.2, 0.12
_MOST_NOTES = 512


@dataclass(frozen=True, slots=True)
class Proposal:
    """A line written down from a recording.

    Parameters
    ----------
    lick : notes with strings, frets, fingers and strokes.
    tempo_bpm : of the recording, quarter notes a minute.
    heard : the notes as they sounded.
    """

    lick: Lick
    tempo_bpm: float
    heard: tuple[PlayedNote, ...]
    guitar: Guitar
    meter: Meter

    def example_text(self, name: str, over: str) -> str:
        """The proposal as one entry of a lesson file's ``examples``, YAML."""
        tab = print_tab(self.lick, self.guitar, meter=self.meter)
        lines = [f"- name: {_quoted(name)}", f"  over: {_quoted(over)}", "  tab: |"]
        lines += [f"    {row}" for row in tab.splitlines()]
        lines.append(f"  rhythm: {_quoted(str(rhythm_of(self.lick)))}")
        strokes = [note.stroke for note in self.lick.notes]
        lines.append(f"  strokes: {_quoted(print_strokes(strokes))}")
        fingers = " ".join("." if n.finger is None else str(n.finger) for n in self.lick.notes)
        lines.append(f"  fingers: {_quoted(fingers)}")
        slow = max(20.0, min(self.tempo_bpm, round(0.6 * self.tempo_bpm)))
        lines.append(f"  tempo: {{slow: {slow:.0f}, target: {max(slow, self.tempo_bpm):.0f}}}")
        return "\n".join(lines) + "\n"


def transcribe(
    recording: Recording,
    guitar: Guitar | None = None,
    key: Key | None = None,
    tempo_bpm: float | None = None,
    *,
    near_bpm: Sequence[float] = (100.0,),
    meter: Meter = COMMON_TIME,
    policy: Picking | str = Picking.SWEEP,
    hand: str | HandProfile = "medium",
    frets: Span | None = None,
    strings: Span | None = None,
) -> Proposal:
    """Write down a line that was played by one guitar alone.

    Parameters
    ----------
    key : spells the notes; C major without it.
    tempo_bpm : quarter notes a minute; estimated without it.
    near_bpm : likely tempi, when it is estimated.
    meter : where bar lines fall, counted from the first note, which is taken to lie on a bar line.
    policy : what the picking hand may do.
    hand : whose left hand.
    frets, strings : where on the neck, such as ``"9-14"``.

    Raises
    ------
    TakeError, RhythmError, NeckError, HandError
        Where no notes can be heard, or they cannot be written or played.
    """
    guitar, key = guitar or Guitar(), key or parse_key("C major")
    heard = heard_line(recording, guitar)
    if not heard:
        raise TakeError("no notes could be heard", mend="Record the guitar alone, and louder")
    if len(heard) > _MOST_NOTES:
        raise TakeError(
            f"{len(heard)} notes were heard", mend=f"Give a take of at most {_MOST_NOTES} notes"
        )
    onsets_s = np.array([note.onset_s for note in heard])
    grid = find_grid(onsets_s, tempo_bpm, tuple(near_bpm))
    spans = _spans(grid, heard, onsets_s, meter)
    fingered = choose_strings(
        [note.midi for note in heard],
        guitar,
        grid.tempo_bpm,
        onsets=grid.onsets,
        hand=hand,
        frets=frets,
        strings=strings,
    )
    notes = tuple(
        LickNote(
            place.position,
            pitch_from_midi(note.midi, spell(note.midi % 12, key)),
            onset,
            length,
            finger=place.finger,
        )
        for note, place, (onset, length) in zip(heard, fingered, spans, strict=True)
    )
    end = meter.bar_end(notes[-1].end)
    lick = Lick(notes, end, tuple(t for t in grid.tuplets() if t.onset < end))
    pins = {index: Pin(finger=place.finger) for index, place in enumerate(fingered)}
    lick = finish(lick, guitar, grid.tempo_bpm, policy, pins=pins, hand=hand, meter=meter)
    return Proposal(lick, grid.tempo_bpm, heard, guitar, meter)


def _spans(
    grid: RhythmGrid, heard: Sequence[PlayedNote], onsets_s: npt.NDArray[np.float64], meter: Meter
) -> list[tuple[Fraction, Fraction]]:
    """Onset and length of each note: up to the next one, or to where it was stopped."""
    line = fit_tempo(np.array([float(q) for q in grid.onsets]), onsets_s, grid.tempo_bpm)
    bar_end = max(meter.bar_end(grid.onsets[-1]), meter.bar_line_after(grid.onsets[-1]))
    following = [*grid.onsets[1:], bar_end]
    spans = []
    for index, (onset, after) in enumerate(zip(grid.onsets, following, strict=True)):
        end = after
        if index + 1 < len(heard):
            begins, stops, comes = onsets_s[index], heard[index].end_s, onsets_s[index + 1]
            silence = comes - stops
            if silence > max(_LEAST_REST_S, _LEAST_REST * (comes - begins)):
                due = line.at(np.array([float(onset), float(after)]))
                share = (stops - begins) / max(due[1] - due[0], 1e-6)
                stop = grid.nearest(float(onset) + share * float(after - onset))
                end = min(max(stop, onset + Fraction(1, 8)), after)
        spans.append((onset, end - onset))
    return spans


def _quoted(text: str) -> str:
    """A string that YAML reads back as it is: JSON's strings are YAML's (YAML 1.2, chapter 1)."""
    return json.dumps(text, ensure_ascii=False)
