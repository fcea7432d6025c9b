"""How hard is this lick, where, and for which hand?

A report by note and for the whole lick.  It is an estimate from a stated model
(:mod:`~lickwright.lick.hands.tempo`, and the costs of the fingering) and never a judgement on a
player.  Where a stretch or a repetition is high it says so, and leaves what hurts to a clinician.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from lickwright.errors import HandError, RhythmError
from lickwright.lick.fingering import FingeredNote, NoteCosts, assign_fingers, price_fingers
from lickwright.lick.hands.finishing import finish
from lickwright.lick.hands.player import Player
from lickwright.lick.hands.tempo import (
    Need,
    beyond_comfort_mm,
    left_needs,
    lowest_ceiling,
    pick_needs,
)
from lickwright.lick.notes import Lick, Technique
from lickwright.lick.picking import (
    Picking,
    StrokeProblem,
    StrokeReport,
    check_strokes,
    stroke_report,
)
from lickwright.lick.rhythm import COMMON_TIME, Meter
from lickwright.neck import FINGER_NAMES, Guitar, HandProfile, hand_profile

ESTIMATE = (
    "An estimate from a model of a player, not a measurement: it tells hard notes from easy ones"
)
CARE = "Warm up, start slow and take breaks. Stop at pain, tingling or numbness and ask a clinician"

#: From these on a line is called repetitive (common practice, no source).
_ONE_FINGER_NOTES, _ONE_FINGER_PER_S = 4, 4.0
_STROKES_PER_S = 10.0
_USUAL_PLAYER = Player()


@dataclass(frozen=True, slots=True)
class NoteLoad:
    """What one note asks.

    Parameters
    ----------
    note : index from 0.
    stretch_mm, travel_mm : spread from the finger before, and how far the hand moves to get here.
    left, pick : the time each hand needs; ``None`` where it has nothing to come from.
    share : the larger part of the time given at the tempo that a hand needs; above 1 there is too
        little time.
    """

    note: int
    stretch_mm: float
    travel_mm: float
    left: Need | None
    pick: Need | None
    share: float

    @property
    def why(self) -> str:
        """What makes it hard, in words."""
        hands = [need for need in (self.left, self.pick) if need is not None]
        harder = min(hands, key=lambda need: need.ceiling_bpm, default=None)
        return "the line begins here" if harder is None else harder.why


@dataclass(frozen=True, slots=True)
class Playability:
    """What a lick asks of two hands at a tempo; note indexes count from 0.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.
    notes : by note.
    hardest : the note with the least time to spare.
    longest_stretch : the note with the widest spread of two fingers.
    shifts, rolls, barres : notes to which the hand shifts, a finger rolls, a finger lies flat.
    strokes : what the picking hand does.
    stroke_problems : what it cannot do.
    left_ceiling, pick_ceiling : the note that sets each hand's tempo ceiling; ``None`` for a hand
        with fewer than two notes.
    cautions : where to take care, in words.
    whom : whose ceilings they are.
    """

    tempo_bpm: float
    notes: tuple[NoteLoad, ...]
    hardest: NoteLoad
    longest_stretch: NoteLoad
    shifts: tuple[int, ...]
    rolls: tuple[int, ...]
    barres: tuple[int, ...]
    strokes: StrokeReport
    stroke_problems: tuple[StrokeProblem, ...]
    left_ceiling: Need | None
    pick_ceiling: Need | None
    cautions: tuple[str, ...]
    label: str = ESTIMATE
    care: str = CARE
    whom: str = _USUAL_PLAYER.in_words

    @property
    def ceiling_bpm(self) -> float | None:
        """The lower of both hands' ceilings."""
        hands = [need for need in (self.left_ceiling, self.pick_ceiling) if need is not None]
        return min((need.ceiling_bpm for need in hands), default=None)

    def __str__(self) -> str:
        strokes, stretch = self.strokes, self.longest_stretch
        swept = sum(sweep.notes for sweep in strokes.sweeps)
        lines = [
            f"At {self.tempo_bpm:g} bpm the hardest moment is note {self.hardest.note + 1}:"
            f" {self.hardest.why} ({self.hardest.share:.0%} of the time there is).",
            _ceiling_in_words("Fretting hand", self.left_ceiling, self.whom),
            _ceiling_in_words("Picking hand", self.pick_ceiling, self.whom),
            f"Longest stretch {stretch.stretch_mm:.0f} mm, to note {stretch.note + 1}."
            if stretch.stretch_mm
            else "No two fingers stretch.",
            f"Shifts {len(self.shifts)}, rolls {len(self.rolls)}, barres {len(self.barres)};"
            f" sweeps {len(strokes.sweeps)} (notes {swept}), string changes outside"
            f" {len(strokes.outside)} and inside {len(strokes.inside)}.",
            *(str(problem) for problem in self.stroke_problems),
            *(f"{caution}." for caution in self.cautions),
            f"{self.label}.",
            *([f"{self.care}."] if self.cautions else []),
        ]
        return "\n".join(lines)


def playability(
    lick: Lick,
    guitar: Guitar | None = None,
    tempo_bpm: float = 100.0,
    hand: str | HandProfile | None = None,
    *,
    policy: Picking | str = Picking.SWEEP,
    meter: Meter = COMMON_TIME,
    player: Player = _USUAL_PLAYER,
) -> Playability:
    """What a lick asks of both hands at a tempo.

    Parameters
    ----------
    lick : notes in time.  Fingers and strokes it has are kept; what is missing is worked out.
    guitar : the instrument; standard where not given.
    tempo_bpm : quarter notes a minute.
    hand : whose left hand; the player's where not given.
    policy : the picking style that strokes are meant in, and found in where they are missing.
    meter : where the beats are.
    player : whose hands.

    Raises
    ------
    HandError, RhythmError
        For a lick without notes, a tempo of 0 or less, fingers that cannot be.
    """
    if not lick.notes:
        raise HandError("a lick without notes has nothing to play", mend="Give it notes")
    if not tempo_bpm > 0:
        raise RhythmError(f"a tempo of {tempo_bpm} bpm", mend="Give a tempo above 0")
    guitar = guitar or Guitar()
    profile = player.hand if hand is None else hand_profile(hand)
    lick = _with_both_hands(lick, guitar, tempo_bpm, profile, meter, policy, player)
    positions = [note.position for note in lick.notes]
    strokes = [note.stroke for note in lick.notes]
    onsets = [note.onset for note in lick.notes]
    in_bars = [onset - meter.pickup for onset in onsets]
    fingers = {at: note.finger for at, note in enumerate(lick.notes) if note.finger is not None}
    fingered = assign_fingers(positions, guitar, tempo_bpm, fingers, onsets=onsets, hand=profile)
    priced = price_fingers(fingered, guitar, tempo_bpm, onsets=onsets, hand=profile)
    left = left_needs(fingered, priced, onsets, profile, player.speeds)
    pick = pick_needs([place.string for place in positions], strokes, onsets, player.speeds)
    loads = _loads(priced, left, pick, tempo_bpm)
    beat = meter.beats or meter.beat
    report = stroke_report(positions, strokes, onsets=in_bars, beat=beat)
    techniques = [note.technique for note in lick.notes]
    return Playability(
        tempo_bpm=tempo_bpm,
        notes=loads,
        hardest=max(loads, key=lambda load: load.share),
        longest_stretch=max(loads, key=lambda load: load.stretch_mm),
        shifts=_having(priced, "shift"),
        rolls=_having(priced, "roll"),
        barres=_having(priced, "barre"),
        strokes=report,
        stroke_problems=tuple(
            check_strokes(positions, strokes, techniques, onsets=in_bars, beat=beat, policy=policy)
        ),
        left_ceiling=lowest_ceiling(left),
        pick_ceiling=lowest_ceiling(pick),
        cautions=(
            *_stretch_cautions(fingered, priced, profile),
            *_tempo_cautions(lowest_ceiling(left), lowest_ceiling(pick), tempo_bpm),
            *_repetition_cautions(lick, fingered, report.picked, tempo_bpm),
        ),
        whom=player.in_words,
    )


def _with_both_hands(
    lick: Lick,
    guitar: Guitar,
    tempo_bpm: float,
    hand: HandProfile,
    meter: Meter,
    policy: Picking | str,
    player: Player,
) -> Lick:
    """The lick itself, or with its missing fingers and strokes worked out around the others."""
    fingers = {at: note.finger for at, note in enumerate(lick.notes) if note.finger is not None}
    strokes = {at: note.stroke for at, note in enumerate(lick.notes) if note.stroke is not None}
    picked = {at for at, note in enumerate(lick.notes) if note.technique is Technique.PICK}
    if len(fingers) == len(lick.notes) and picked <= set(strokes):
        return lick
    return finish(
        lick,
        guitar,
        tempo_bpm,
        policy,
        strokes=strokes,
        pins=fingers,
        hand=hand,
        meter=meter,
        escape=player.escape,
    )


def _loads(
    priced: Sequence[NoteCosts], left: Sequence[Need], pick: Sequence[Need], tempo_bpm: float
) -> tuple[NoteLoad, ...]:
    left_of = {need.note: need for need in left}
    pick_of = {need.note: need for need in pick}
    loads: list[NoteLoad] = []
    for note, costs in enumerate(priced):
        needs = left_of.get(note), pick_of.get(note)
        share = max((need.share(tempo_bpm) for need in needs if need is not None), default=0.0)
        loads.append(NoteLoad(note, costs.stretch_mm, costs.travel_mm, *needs, share))
    return tuple(loads)


def _having(priced: Sequence[NoteCosts], name: str) -> tuple[int, ...]:
    return tuple(note for note, costs in enumerate(priced) if costs.has(name))


def _ceiling_in_words(hand: str, need: Need | None, whom: str) -> str:
    if need is None:
        return f"{hand}: too few notes for a tempo ceiling."
    return (
        f"{hand}: about {need.ceiling_bpm:.0f} bpm for {whom}, set by note {need.note + 1}:"
        f" {need.why}."
    )


def _stretch_cautions(
    notes: Sequence[FingeredNote], priced: Sequence[NoteCosts], hand: HandProfile
) -> list[str]:
    beyond = [beyond_comfort_mm(notes, priced, note, hand) for note in range(len(notes))]
    widest = max(range(len(notes)), key=lambda note: beyond[note])
    if beyond[widest] <= 0:
        return []
    count = sum(mm > 0 for mm in beyond)
    return [
        f"Note {widest + 1} spreads two fingers {priced[widest].stretch_mm:.0f} mm,"
        f" {beyond[widest]:.0f} mm beyond what is comfortable for a {hand.name} hand"
        + (f" ({_others(count - 1)} the like)" if count > 1 else "")
    ]


def _others(count: int) -> str:
    return "one more note does" if count == 1 else f"{count} more notes do"


def _tempo_cautions(left: Need | None, pick: Need | None, tempo_bpm: float) -> list[str]:
    return [
        f"{tempo_bpm:g} bpm is above the estimate for the {hand} hand at note {need.note + 1}"
        for hand, need in (("fretting", left), ("picking", pick))
        if need is not None and need.share(tempo_bpm) > 1
    ]


def _repetition_cautions(
    lick: Lick, notes: Sequence[FingeredNote], picked: int, tempo_bpm: float
) -> list[str]:
    cautions: list[str] = []
    at = 0
    for finger, group in groupby(notes, key=lambda note: note.finger):
        count = len(list(group))
        first, at = at, at + count
        quarters = lick.notes[at - 1].onset - lick.notes[first].onset
        per_s = (count - 1) / (float(quarters) * 60.0 / tempo_bpm) if quarters else 0.0
        if finger and count >= _ONE_FINGER_NOTES and per_s >= _ONE_FINGER_PER_S:
            cautions.append(
                f"The {FINGER_NAMES[finger]} alone plays notes {first + 1} to {at},"
                f" {per_s:.1f} a second"
            )
    seconds = float(lick.notes[-1].end - lick.notes[0].onset) * 60.0 / tempo_bpm
    if picked / seconds >= _STROKES_PER_S:
        cautions.append(
            f"The picking hand makes {picked / seconds:.1f} strokes a second: loop it in short"
            " turns"
        )
    return cautions
