"""How fast can each hand play a line?  An estimate, with the note that sets it.

Each hand needs some time from note to note; the tempo at which the rhythm gives no more than that
is the ceiling of the note, and the lowest of them is the ceiling of the line.  The times are sums
of the parts in :class:`HandSpeeds`.  They stand for a practised player in good form; no two hands
are alike, so a ceiling tells the hard notes from the easy ones and no more.

What is known of rates: one finger taps 5 to 7 times a second, index and middle finger faster than
ring and little finger (Aoki, Furuya & Kinoshita 2005, *Motor Control* 9:1, from memory), and the
ring finger moves least by itself (Häger-Ross & Schieber 2000, *Journal of Neuroscience* 20:22, from
memory).  Alternate picking at 10 to 14 notes a second, and all else, is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from lickwright.lick.fingering import FingeredNote, NoteCosts
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking import Motion, motion, picked_pairs
from lickwright.neck import FINGER_NAMES, PAIRS, HandProfile


@dataclass(frozen=True, slots=True)
class HandSpeeds:
    """Seconds that the parts of a movement take.

    Parameters
    ----------
    pass_s : one finger comes down after another, by pair in the order of
        :data:`~lickwright.neck.reach.PAIRS`.
    trill_s : the same where the two take turns on one string, a note.
    tap_s : from a finger's note to its next one on another place, or on its own after it had to
        make way, by finger.
    jump_s : added to that when it leaps to another string and fret.  The hand moves meanwhile: the
        longer of the two counts.
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

    pass_s: tuple[float, ...] = (0.060, 0.060, 0.065, 0.065, 0.070, 0.075)
    trill_s: tuple[float, ...] = (0.083, 0.083, 0.095, 0.095, 0.105, 0.130)
    tap_s: tuple[float, ...] = (0.155, 0.160, 0.180, 0.185)
    jump_s: float = 0.020
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

    def faster(self, times: float) -> HandSpeeds:
        """The same hands where every movement is so many times as fast."""
        quicker: dict[str, Any] = {}
        for part in fields(self):
            seconds = getattr(self, part.name)
            if isinstance(seconds, tuple):
                quicker[part.name] = tuple(one / times for one in seconds)
            else:
                quicker[part.name] = seconds / times
        return replace(self, **quicker)


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
        if _held(notes[index - 1], notes[index]):
            continue
        costs, seconds, why = priced[index], _pass_s(notes, index, speeds), []
        alone = 0.0  # what the finger needs by itself, while the hand moves with it
        if costs.has("slide"):
            alone = speeds.tap_s[notes[index].finger - 1]
            why.append("one finger plays both notes")
        if costs.has("jump"):
            alone = speeds.tap_s[notes[index].finger - 1] + speeds.jump_s
            why.append("one finger leaps to another string")
        for term, part, words in _LEFT_PARTS:
            if costs.has(term):
                seconds += float(getattr(speeds, part))
                why.append(words)
        if costs.has("shift"):  # the finger comes down with the hand, whichever it is
            seconds += min(speeds.pass_s) - _pass_s(notes, index, speeds)
            seconds += speeds.shift_s + speeds.shift_s_per_mm * costs.travel_mm
            why.append(f"the hand shifts {costs.travel_mm:.0f} mm")
        beyond_mm = beyond_comfort_mm(notes, priced, index, hand)
        if beyond_mm > 0:
            seconds += speeds.stretch_s_per_mm * beyond_mm
            why.append(f"a stretch of {costs.stretch_mm:.0f} mm")
        seconds = max(seconds, alone)
        quarters = onsets[index] - onsets[index - 1]
        need = Need(index, seconds, quarters, " and ".join(why) or "finger after finger")
        again = _again(notes, index, onsets, speeds)
        needs.append(need if again is None or need.ceiling_bpm <= again.ceiling_bpm else again)
    return needs


def _held(before: FingeredNote, note: FingeredNote) -> bool:
    """Whether a finger stays where it is, so that its hand has nothing to do."""
    return (before.position, before.finger) == (note.position, note.finger)


def _pass_s(notes: Sequence[FingeredNote], index: int, speeds: HandSpeeds) -> float:
    """How long the finger takes after the one before it; an open string leaves it ready."""
    return speeds.pass_s[_pair_of(notes[index - 1].finger, notes[index].finger)]


def _pair_of(one: int, other: int) -> int:
    """The pair's place in a table; the quickest for an open string, or for one finger."""
    pair = (min(one, other), max(one, other))
    return PAIRS.index(pair) if pair in PAIRS else 0


def _again(
    notes: Sequence[FingeredNote], index: int, onsets: Sequence[Fraction], speeds: HandSpeeds
) -> Need | None:
    """What a finger needs that is wanted again after others; ``None`` where it could lie still."""
    note, finger = notes[index], notes[index].finger
    if not finger:
        return None
    at = next((k for k in range(index - 1, -1, -1) if notes[k].finger == finger), index)
    if at >= index - 1:
        return None
    last, between = notes[at], notes[at + 1 : index]
    quarters = onsets[index] - onsets[at]
    if last.position != note.position:
        seconds, why = speeds.tap_s[finger - 1], f"the {FINGER_NAMES[finger]} is needed again"
        return Need(index, seconds, quarters, why)
    string, fret = note.position.string, note.position.fret
    on_string = [one for one in between if one.position.string == string]
    if len(between) == 1 and on_string and between[0].finger:
        other = between[0].finger
        seconds = 2 * speeds.trill_s[_pair_of(finger, other)]
        low, high = (FINGER_NAMES[one] for one in sorted((finger, other)))
        return Need(index, seconds, quarters, f"{low} and {high} take turns")
    if any(one.position.fret < fret for one in on_string):
        seconds, why = speeds.tap_s[finger - 1], f"the {FINGER_NAMES[finger]} is needed again"
        return Need(index, seconds, quarters, why)
    return None


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
