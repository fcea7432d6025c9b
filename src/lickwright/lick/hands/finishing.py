"""What do both hands do in this lick?  Fingers and strokes filled in.

The teacher's own strokes and fingers win: they are kept as they are, and what cannot be played is
for the checks to say (:func:`~lickwright.lick.picking.strokes.check_strokes`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from lickwright.lick.fingering import FingeredNote, Pin, assign_fingers
from lickwright.lick.notes import Lick, Stroke, Technique
from lickwright.lick.picking import (
    Escape,
    OwnStrokes,
    Picking,
    assign_strokes,
    even_techniques,
    legato_techniques,
    read_escape,
    read_policy,
    read_strokes,
)
from lickwright.lick.rhythm import COMMON_TIME, Meter
from lickwright.neck import Guitar, HandProfile


def finish(
    lick: Lick,
    guitar: Guitar | None = None,
    tempo_bpm: float | None = None,
    policy: Picking | str = Picking.SWEEP,
    *,
    strokes: OwnStrokes | Mapping[int, Stroke] | None = None,
    pins: Mapping[int, int | Pin] | None = None,
    hand: str | HandProfile = "medium",
    meter: Meter = COMMON_TIME,
    known: Sequence[Lick] = (),
    start: Stroke | None = None,
    escape: Escape | str = Escape.BOTH,
) -> Lick:
    """The lick with a finger on each note, and a stroke on each that is picked.

    Parameters
    ----------
    lick : notes in time.
    guitar : the instrument; standard where not given.
    tempo_bpm : quarter notes a minute, for both hands' sense of hurry.
    policy : what the picking hand may do; under ``legato`` a line that is all picked gets
        hammer-ons and pull-offs.
    strokes : the teacher's own: a pattern in text (repeated to the end), one stroke a note, or
        some strokes by note index.  ``-`` or ``None`` on a string that sounds already makes the
        note a hammer-on or a pull-off.
    pins : fingers that are settled, by note index from 0.
    hand : whose left hand.
    meter : where the beats are.
    known : licks with fingers: where this one repeats a figure of theirs, it has their fingers.
    start : the first stroke, where it is not to be found.
    escape : on which stroke the player's pick leaves the strings.  Where it is one, a line that is
        all picked has a note slurred wherever a string would have an odd number of strictly
        alternate strokes.

    Raises
    ------
    HandError, NeckError
        When a line cannot be fingered, or strokes and notes differ in number.
    """
    guitar = guitar or Guitar()
    if not lick.notes:
        return lick
    positions = [note.position for note in lick.notes]
    onsets = [note.onset - meter.pickup for note in lick.notes]
    techniques = [note.technique for note in lick.notes]
    if strokes is None or isinstance(strokes, Mapping):
        all_picked = all(technique is Technique.PICK for technique in techniques)
        swung: Sequence[Fraction] | None = onsets
        if read_policy(policy) is Picking.LEGATO and all_picked:
            techniques = legato_techniques(positions, onsets=onsets)
        elif (
            read_policy(policy) is Picking.ALTERNATE
            and read_escape(escape) is not Escape.BOTH
            and all_picked
            and not strokes
        ):
            techniques = even_techniques(positions, onsets=onsets)
            if any(technique is not Technique.PICK for technique in techniques):
                swung = None  # the strokes alternate from note to note: the slurs keep them even
        strokes = assign_strokes(
            positions,
            policy,
            techniques=techniques,
            onsets=swung,
            beat=meter.beats or meter.beat,
            tempo_bpm=tempo_bpm,
            start=start,
            escape=escape,
            muted=[at for at, note in enumerate(lick.notes) if note.marks.palm_mute],
            pins=strokes,
            guitar=guitar,
        )
    else:
        strokes = read_strokes(strokes, len(positions))
        techniques = _slurred_where_unstruck(lick, strokes)
    fingers = assign_fingers(
        positions,
        guitar,
        tempo_bpm,
        pins,
        onsets=[note.onset for note in lick.notes],
        hand=hand,
        techniques=techniques,
        known=[fingered_notes(other) for other in known],
    )
    notes = tuple(
        replace(note, finger=fingered.finger, stroke=stroke, technique=technique)
        for note, fingered, stroke, technique in zip(
            lick.notes, fingers, strokes, techniques, strict=True
        )
    )
    return replace(lick, notes=notes)


def fingered_notes(lick: Lick) -> list[FingeredNote]:
    """The notes of a lick that have fingers, as what a player knows."""
    return [
        FingeredNote(note.position, note.finger, None)
        for note in lick.notes
        if note.finger is not None
    ]


def _slurred_where_unstruck(lick: Lick, strokes: Sequence[Stroke | None]) -> list[Technique]:
    """Techniques in which a note without a stroke is slurred from its neighbour, if it can be."""
    techniques = [note.technique for note in lick.notes]
    for index, (note, stroke) in enumerate(zip(lick.notes, strokes, strict=True)):
        before = lick.notes[index - 1].position if index else None
        if stroke is not None or note.technique is not Technique.PICK or before is None:
            continue
        if before.string == note.position.string and before.fret != note.position.fret:
            up = note.position.fret > before.fret
            techniques[index] = Technique.HAMMER_ON if up else Technique.PULL_OFF
    return techniques
