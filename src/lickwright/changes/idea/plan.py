"""An idea as one chord plays it: which notes, which shapes, where the line crosses between them.

Here stands, once, what each named cost of a candidate means (:func:`idea_terms`); the arrays of
:mod:`lickwright.changes.idea.candidates` compute the same sums.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.changes.idea.idea import Idea, IdeaStep
from lickwright.changes.idea.triad_groups import Group
from lickwright.changes.lines import (
    ChordGround,
    HandPlaces,
    PickedLine,
    clarity_cost,
    clarity_of,
    new_strokes_cost,
)
from lickwright.neck import Position
from lickwright.neck.shapes import FEWEST_STRINGS
from lickwright.theory import TriadQuality, mask_of

#: A line crosses from one shape to the next by so many strings and semitones at most, or by as
#: many as the lick itself does (common practice, no source; as the joins of the neck room).
WIDEST_STRING_CHANGE = 1
WIDEST_STEP = 4


@dataclass(frozen=True, slots=True)
class IdeaTask:
    """What one chord asks for.

    Parameters
    ----------
    ground : what any line over the chord goes by.
    sources : which notes of the lick are played, in order.
    scale_mask : pitch classes the chord's scale offers beside its own tones.
    groups : triads to try instead of the clearest, by voice; empty for the clearest.
    more : triads to try beside the clearest: those that may stay, or come back.
    own : the lick's own triads, where this is the chord that it was made on.
    families : the kinds of triad that may be taken; any where empty.
    """

    ground: ChordGround
    idea: Idea
    sources: tuple[int, ...]
    scale_mask: int
    groups: tuple[Group, ...] = ()
    own: Group = ()
    more: tuple[Group, ...] = ()
    families: tuple[TriadQuality, ...] = ()


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where the line changes voice.

    Parameters
    ----------
    widest_string_change, widest_step : strings and semitones that it may cross.
    direction : 1 where the lick rises there, -1 where it falls, 0 where either will do.
    times : how often it comes.
    """

    widest_string_change: int
    widest_step: int
    direction: int
    times: int


@dataclass(frozen=True, slots=True)
class Plan:
    """The idea as one chord plays it.

    Parameters
    ----------
    steps : one a note.
    voices : those that play, ascending; a candidate has one shape for each.
    rungs : how many rungs the shape of each has; from there on come its passing tones.
    crossings : by the two steps on either side.
    """

    steps: tuple[IdeaStep, ...]
    voices: tuple[int, ...]
    rungs: tuple[int, ...]
    crossings: Mapping[tuple[IdeaStep, IdeaStep], Crossing]

    def column(self, step: IdeaStep) -> int:
        """Which of the shapes a step is played on."""
        return self.voices.index(step.voice)

    def is_chord_tone(self, step: IdeaStep) -> bool:
        """Whether a step is a tone of its triad, not a passing tone."""
        return step.rung < self.rungs[self.column(step)]


def plan_for(task: IdeaTask) -> Plan:
    """The plan of a task."""
    idea = task.idea
    # No shape has fewer rungs than strings; passing tones come after all of them.
    rungs_of = [max(rungs, FEWEST_STRINGS) for rungs in idea.rungs]
    moved = tuple(
        step
        if step.rung < idea.rungs[step.voice]
        else IdeaStep(step.voice, step.rung - idea.rungs[step.voice] + rungs_of[step.voice])
        for step in idea.steps
    )
    steps = tuple(moved[source] for source in task.sources)
    voices = tuple(sorted({step.voice for step in steps}))
    rungs = tuple(rungs_of[voice] for voice in voices)
    crossings: dict[tuple[IdeaStep, IdeaStep], Crossing] = {}
    for source, following in pairwise(task.sources):
        pair = moved[source], moved[following]
        if pair[0].voice == pair[1].voice:
            continue
        times = crossings[pair].times + 1 if pair in crossings else 1
        if following == source + 1:
            rise, change = idea.rises[source], abs(idea.string_changes[source])
            crossings[pair] = Crossing(
                max(WIDEST_STRING_CHANGE, change),
                max(WIDEST_STEP, abs(rise)),
                (rise > 0) - (rise < 0),
                times,
            )
        else:  # the lick starts again: its ends are where they are
            crossings[pair] = Crossing(task.ground.guitar.string_count, 127, 0, times)
    return Plan(steps, voices, rungs, crossings)


def idea_terms(
    task: IdeaTask,
    plan: Plan,
    group: Group,
    shapes: Sequence[Sequence[Position]],
    ranks: Sequence[int],
    hold: Sequence[int],
    picked: PickedLine,
) -> dict[str, int]:
    """The named costs of one candidate, in tenths of a mm of hand travel.

    Parameters
    ----------
    group : triads by voice.
    shapes, ranks, hold : for each voice its places low to high, how unusual the shape is in
        tenths of a mm, and the fret of the index finger.
    """
    costs, guitar = task.ground.costs, task.ground.guitar
    tenths = HandPlaces(guitar, task.ground.hand).tenths
    places = [shapes[plan.column(step)][step.rung] for step in plan.steps]
    midi = [guitar.midi_at(place) for place in places]
    travel = sum(
        abs(tenths[hold[plan.column(a)]] - tenths[hold[plan.column(b)]])
        for a, b in pairwise(plan.steps)
    )
    clarity = clarity_of(chord_tone_mask(plan, midi), task.ground.chord, task.ground.key)
    terms = task.ground.home.terms(places, midi, travel, tenths, costs) | {
        "clarity": clarity_cost(clarity, costs),
        "triads": triads_cost(task, plan, group),
        "shape": sum(ranks) * costs.shape // 10,
        "strokes": picked.points * costs.stroke + new_strokes_cost(picked, costs),
    }
    leap = same = wide = bent = 0
    for (a, b), crossing in plan.crossings.items():
        here, there = shapes[plan.column(a)][a.rung], shapes[plan.column(b)][b.rung]
        rise = guitar.midi_at(there) - guitar.midi_at(here)
        leap += max(abs(rise) - 2, 0) * costs.leap
        same += costs.same_note if rise == 0 else 0
        wide += max(abs(there.string - here.string) - 1, 0) * costs.wide_string_change
        if crossing.direction and (rise > 0) - (rise < 0) != crossing.direction:
            bent += crossing.times * costs.bent
    return terms | {"leap": leap, "same note": same, "wide string change": wide, "bent": bent}


def chord_tone_mask(plan: Plan, midi: Sequence[int]) -> int:
    """The mask of a line without its passing tones."""
    return mask_of(
        key for key, step in zip(midi, plan.steps, strict=True) if plan.is_chord_tone(step)
    )


def triads_cost(task: IdeaTask, plan: Plan, group: Group) -> int:
    """What it costs that a group is of other triads than the lick's own."""
    kinds = [task.idea.qualities[voice] for voice in plan.voices]
    others = sum(triad.quality is not kind for triad, kind in zip(group, kinds, strict=True))
    cost = others * task.ground.costs.other_quality
    if task.own:
        own = [task.own[voice] for voice in plan.voices]
        if any(a.mask != b.mask for a, b in zip(group, own, strict=True)):
            cost += task.ground.costs.other_triads
    return cost
