"""How fast can each hand play a line?  An estimate, with the note that sets it.

Each hand needs some time from note to note; the tempo at which the rhythm gives no more than that
is the ceiling of the note, and the lowest of them is the ceiling of the line.  The times are sums
of the parts in :class:`HandSpeeds`.  They stand for a practised player in good form (common
practice, no source): no two hands are alike, so a ceiling tells the hard notes from the easy ones
and no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.lick.fingering import FingeredNote, NoteCosts
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking import Motion, motion, picked_pairs
from lickwright.neck import HandProfile


@dataclass(frozen=True, slots=True)
class HandSpeeds:
    """Seconds that the parts of a movement take.

    Parameters
    ----------
    finger_s : the next finger comes down while the others lie ready.
    same_finger_s : added when one finger must leave its note for the next, along its string.
    jump_s : added when it leaps to another string and fret.
    roll_s : added when it rolls to the neighbouring string at its fret.
    barre_s : added when it lies down across strings.
    crossing_s : added when fingers cross, or one takes over from another.
    pivot_s : added when the hand turns about the thumb.
    shift_s, shift_s_per_mm : added when the whole hand moves, and for each mm along the neck.
    stretch_s_per_mm : added for each mm that two fingers spread beyond comfort.
    stroke_s : a stroke the other way on one string (sixteenths at 176 to the minute).
    sweep_s : the next string in one motion.
    repeat_s : the same stroke again, the pick lifted back between (eighths at 200).
    outside_s, inside_s, skip_s : added to a stroke that changes strings, and for each one skipped.
    turn_s : added when a sweep is stopped and turned round.
    """

    finger_s: float = 0.060
    same_finger_s: float = 0.050
    jump_s: float = 0.090
    roll_s: float = 0.050
    barre_s: float = 0.040
    crossing_s: float = 0.030
    pivot_s: float = 0.030
    shift_s: float = 0.090
    shift_s_per_mm: float = 0.0008
    stretch_s_per_mm: float = 0.0010
    stroke_s: float = 0.085
    sweep_s: float = 0.050
    repeat_s: float = 0.150
    outside_s: float = 0.012
    inside_s: float = 0.020
    skip_s: float = 0.012
    turn_s: float = 0.015


@dataclass(frozen=True, slots=True)
class Need:
    """The time a hand needs to reach a note.

    Parameters
    ----------
    note : index from 0.
    seconds : from the note before that the same hand played.
    quarters : what the rhythm gives for it.
    why : what takes the time.
    """

    note: int
    seconds: float
    quarters: Fraction
    why: str

    @property
    def ceiling_bpm(self) -> float:
        """Quarter notes a minute at which the rhythm gives just the time needed."""
        return 60.0 * float(self.quarters) / self.seconds

    def share(self, tempo_bpm: float) -> float:
        """The part of the time given at a tempo that is needed; above 1 there is too little."""
        return tempo_bpm / self.ceiling_bpm


#: Terms of the fingering with the parts of :class:`HandSpeeds` that they take and their words.
_LEFT_PARTS = (
    ("slide", "same_finger_s", "one finger plays both notes"),
    ("jump", "jump_s", "one finger leaps to another string"),
    ("roll", "roll_s", "one finger rolls to the next string"),
    ("barre", "barre_s", "a finger lies across strings"),
    ("crossed fingers", "crossing_s", "the fingers cross"),
    ("finger swap", "crossing_s", "another finger takes over"),
    ("pivot", "pivot_s", "the hand turns about the thumb"),
)


def left_needs(
    notes: Sequence[FingeredNote],
    priced: Sequence[NoteCosts],
    onsets: Sequence[Fraction],
    hand: HandProfile,
    speeds: HandSpeeds,
) -> list[Need]:
    """What the fretting hand needs for each note after the first.

    ``priced`` are the costs of the fingered notes, whose terms say what the hand does.
    """
    needs: list[Need] = []
    for index in range(1, len(notes)):
        costs, seconds, why = priced[index], speeds.finger_s, []
        for term, part, words in _LEFT_PARTS:
            if costs.has(term):
                seconds += float(getattr(speeds, part))
                why.append(words)
        if costs.has("shift"):
            seconds += speeds.shift_s + speeds.shift_s_per_mm * costs.travel_mm
            why.append(f"the hand shifts {costs.travel_mm:.0f} mm")
        beyond_mm = beyond_comfort_mm(notes, priced, index, hand)
        if beyond_mm > 0:
            seconds += speeds.stretch_s_per_mm * beyond_mm
            why.append(f"a stretch of {costs.stretch_mm:.0f} mm")
        quarters = onsets[index] - onsets[index - 1]
        needs.append(Need(index, seconds, quarters, " and ".join(why) or "finger after finger"))
    return needs


def beyond_comfort_mm(
    notes: Sequence[FingeredNote], priced: Sequence[NoteCosts], index: int, hand: HandProfile
) -> float:
    """How far the stretch at a note goes beyond what is comfortable for its two fingers."""
    finger = notes[index].finger
    before = next((note.finger for note in reversed(notes[:index]) if note.finger > 0), finger)
    if 0 in (finger, before) or finger == before:
        return 0.0
    return max(0.0, priced[index].stretch_mm - hand.comfortable(before, finger))


def pick_needs(
    strings: Sequence[int],
    strokes: Sequence[Stroke | None],
    onsets: Sequence[Fraction],
    speeds: HandSpeeds,
) -> list[Need]:
    """What the picking hand needs for each picked note after the first."""
    sounded = [Technique.PICK if stroke else Technique.HAMMER_ON for stroke in strokes]
    picks = [index for index, _ in picked_pairs(sounded, onsets)]
    needs: list[Need] = []
    sweeping = False
    for before, index in pairwise(picks):
        first, second = strokes[before], strokes[index]
        if first is None or second is None:
            continue
        what = motion(strings[before], first, strings[index], second)
        seconds, why = _stroke_time(what, abs(strings[before] - strings[index]), speeds)
        if sweeping and second is not first:
            seconds += speeds.turn_s
            why = f"a sweep turns round and {why}"
        sweeping = what is Motion.SWEEP
        needs.append(Need(index, seconds, onsets[index] - onsets[before], why))
    return needs


def _stroke_time(what: Motion, strings_apart: int, speeds: HandSpeeds) -> tuple[float, str]:
    if what is Motion.SWEEP:
        return speeds.sweep_s, "the pick sweeps on"
    if what is Motion.ALTERNATE:
        return speeds.stroke_s, "the stroke alternates on one string"
    if what in (Motion.OUTSIDE, Motion.INSIDE):
        change = speeds.outside_s if what is Motion.OUTSIDE else speeds.inside_s
        seconds = speeds.stroke_s + change + speeds.skip_s * (strings_apart - 1)
        over = f" over {strings_apart - 1} more" if strings_apart > 1 else ""
        return seconds, f"an {what.value} change of string{over}"
    return speeds.repeat_s, "the same stroke is struck again"


def lowest_ceiling(needs: Sequence[Need]) -> Need | None:
    """The need that sets the tempo ceiling of a hand; the first of equals."""
    return min(needs, key=lambda need: need.ceiling_bpm, default=None)
