"""Why did a fingering win?  Every cost of a fingered line, by note and by name, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import TYPE_CHECKING

from lickwright.lick.fingering.figures import Repeat
from lickwright.lick.fingering.fingers import FingeredNote, Fingering, best_fingerings
from lickwright.lick.fingering.task import HandTask, Moment, Onset, Pin, Place, read_task
from lickwright.lick.fingering.weights import CHEAPEST_PAIR, PIVOT_MM, TERMS, UNHURRIED_S
from lickwright.lick.notes import Technique
from lickwright.neck import FINGER_NAMES, Guitar, HandProfile

if TYPE_CHECKING:
    from lickwright.lick.fingering.hand_states import Held


#: Told once for the whole line: it stands at every other note.
WEAK = "weak finger"


@dataclass(frozen=True, slots=True)
class CostTerm:
    """One named cost of one note: its weight in the sum and its reason in words."""

    name: str
    cost: int
    why: str


@dataclass(frozen=True, slots=True)
class NoteCosts:
    """What one note costs the left hand.

    Parameters
    ----------
    terms : the costs of stopping it and of coming from the note before, none of them 0.
    stretch_mm : spread between this finger and the one before while the hand stays, and within a
        grip; 0 where the hand shifts or one finger plays both.
    travel_mm : how far the hand moves along the neck to get here.
    """

    terms: tuple[CostTerm, ...]
    stretch_mm: float
    travel_mm: float

    @property
    def cost(self) -> int:
        return sum(term.cost for term in self.terms)

    def has(self, name: str) -> bool:
        """Whether a term of this name stands among the costs."""
        return any(term.name == name for term in self.terms)


def price_fingers(
    notes: Sequence[FingeredNote],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    *,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    techniques: Sequence[Technique] | None = None,
) -> list[NoteCosts]:
    """The costs of every note of a fingered line; they add up to the cost of the fingering.

    The notes are taken as fingered, whether or not a hand could; where no place is given, the
    finger is on its own fret.  Notes that start together share one entry of costs, which stands
    with the last of them.  Parameters and errors as in
    :func:`~lickwright.lick.fingering.fingers.assign_fingers`.
    """
    task = read_task(len(notes), guitar, tempo_bpm, None, onsets, hand, "sum", techniques)
    priced = [NoteCosts((), 0.0, 0.0)] * len(notes)
    earlier: tuple[int, ...] = ()
    before: tuple[int, ...] = ()
    free = False
    for moment in task.moments:
        stopped = tuple(index for index in moment.notes if notes[index].finger > 0)
        if stopped:
            priced[stopped[-1]] = _moment_costs(
                notes, () if free else earlier, before, stopped, moment, free, task
            )
            earlier = () if free else before
            before = stopped
        free = not stopped
    return priced


def explain_fingers(
    positions: Iterable[Place],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    pins: Mapping[int, int | Pin] | None = None,
    *,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    objective: str = "sum",
    techniques: Sequence[Technique] | None = None,
) -> str:
    """The best fingering of a line, what keeping its figures costs, and why it beats the next.

    Parameters and errors as in :func:`~lickwright.lick.fingering.fingers.assign_fingers`.
    """
    places = tuple(positions)

    def best(count: int, repeats: tuple[Repeat, ...] | None = None) -> list[Fingering]:
        return best_fingerings(
            places,
            guitar,
            tempo_bpm,
            pins,
            count=count,
            onsets=onsets,
            hand=hand,
            objective=objective,
            techniques=techniques,
            repeats=repeats,
        )

    found = best(2)
    costs = [
        price_fingers(
            fingering.notes, guitar, tempo_bpm, onsets=onsets, hand=hand, techniques=techniques
        )
        for fingering in found
    ]
    lines = [f"Fingers {_written(found[0])}, cost {found[0].cost}."]
    for number, (note, cost) in enumerate(zip(found[0].notes, costs[0], strict=True), 1):
        said = [f"{term.why} ({term.cost})" for term in cost.terms if term.name != WEAK]
        if said:
            finger = FINGER_NAMES[note.finger]
            lines.append(f"  Note {number}, {note.position}, {finger}: {'; '.join(said)}.")
    weak = sum(term.cost for cost in costs[0] for term in cost.terms if term.name == WEAK)
    if weak:
        lines.append(f"  {TERMS[WEAK].capitalize()} ({weak} in all).")
    if found[0].repeats:
        task = read_task(len(places), guitar, tempo_bpm, None, onsets, hand, objective)
        lines.append(_kept(found[0], best(1, ())[0], task))
    if len(found) == 1:
        lines.append("No other fingers are possible.")
    else:
        lines.append(_comparison(found[0], found[1], costs[0], costs[1]))
    return "\n".join(lines)


def _moment_costs(
    notes: Sequence[FingeredNote],
    earlier: tuple[int, ...],
    before: tuple[int, ...],
    now: tuple[int, ...],
    moment: Moment,
    free: bool,
    task: HandTask,
) -> NoteCosts:
    """The costs of one moment that needs fingers, after the last two that did."""
    import numpy as np

    from lickwright.lick.fingering.costs import (
        ahead_terms,
        grip_terms,
        hand_tables,
        haste,
        note_terms,
        open_position_cost,
        pair_terms,
        slur_of,
        spread_mm,
        travel_mm,
    )

    here = [_held(notes[index], task) for index in now]
    hand = hand_tables(task.hand)
    own = note_terms(here[0], hand) if len(here) == 1 else grip_terms(here, hand)
    last = notes[now[-1]]
    terms = [
        CostTerm(
            name,
            int(cost[0]),
            _why(name, last, last, task) if len(now) == 1 else TERMS[name],
        )
        for name, cost in own.items()
    ]
    stretch = max(
        (float(spread_mm(a, b)[0]) for a, b in combinations(here, 2) if a.finger != b.finger),
        default=0.0,
    )
    travel = 0.0
    if not before and free:
        cost = int(open_position_cost(here[0].place, hand)[0])
        terms.append(CostTerm("off open position", cost, TERMS["off open position"]))
    if before:
        hurry = haste(np.array([UNHURRIED_S if moment.seconds is None else moment.seconds]))
        slur = np.array([slur_of(task, moment.notes)])
        there = [_held(notes[index], task) for index in before]
        travel = float(travel_mm(there[0], here[0])[0])
        priced = pair_terms(there, here, hurry, np.array([free]), hand, slur)
        pairs = [
            (notes[i], notes[j], costs)
            for (i, j), costs in zip(product(before, now), priced, strict=True)
        ]
        for name in pairs[0][2]:
            pick = min if name in CHEAPEST_PAIR else max
            a, b, costs = pick(pairs, key=lambda pair: int(pair[2][name][0]))
            terms.append(CostTerm(name, int(costs[name][0]), _why(name, a, b, task)))
        if len(earlier) == 1 == len(now):
            two_back = _held(notes[earlier[0]], task)
            for name, priced_ahead in ahead_terms(two_back, here[0], hurry, hand).items():
                cost = int(priced_ahead[0])
                terms.append(CostTerm(name, cost, _why(name, notes[earlier[0]], last, task)))
        if travel <= PIVOT_MM and not free and there[-1].finger != here[0].finger:
            stretch = max(stretch, float(spread_mm(there[-1], here[0])[0]))
    return NoteCosts(
        tuple(term for term in terms if term.cost), round(stretch, 1), round(travel, 1)
    )


def _held(note: FingeredNote, task: HandTask) -> Held:
    import numpy as np

    from lickwright.lick.fingering.hand_states import hold

    own = note.position.fret + 1 - note.finger
    place = own if note.place is None else note.place
    return hold(
        task.guitar,
        *(
            np.array([value], np.int64)
            for value in (note.finger, note.position.string, note.position.fret, place)
        ),
    )


def _why(name: str, a: FingeredNote, b: FingeredNote, task: HandTask) -> str:
    """The reason for a term between the notes ``a`` and ``b``, or of ``b`` alone, in words."""
    finger = FINGER_NAMES[b.finger]
    place, place_before = b.place or 0, a.place or 0
    scale_mm = max(task.guitar.scale_mm[note.position.string - 1] for note in (a, b))
    apart = scale_mm * abs(task.guitar.along(b.position) - task.guitar.along(a.position))
    if name == "off its fret":
        off = b.position.fret - (place + b.finger - 1)
        frets = f"{abs(off)} fret{'s' if abs(off) > 1 else ''}"
        return (
            f"the {finger} is {frets} {'above' if off > 0 else 'below'} its own in position {place}"
        )
    if name in ("pivot", "shift"):
        move = "turns about the thumb" if name == "pivot" else "shifts"
        return f"the hand {move} from position {place_before} to {place}"
    if name == "slide":
        return f"the {finger} slides from fret {a.position.fret} to {b.position.fret}"
    if name == "jump":
        return f"the {finger} leaps from {a.position} to {b.position}"
    if name == "needed again":
        return f"the {finger} must find {b.position} by itself two notes after {a.position}"
    if name == "roll":
        return f"the {finger} rolls from string {a.position.string} to {b.position.string}"
    if name == "barre":
        return f"the {finger} lies across strings"
    if name == "stretch":
        comfort = task.hand.comfortable(a.finger, b.finger)
        return (
            f"{FINGER_NAMES[a.finger]} and {finger} are {apart:.0f} mm apart, comfortable for a "
            f"{task.hand.name} hand up to {comfort:.0f}"
        )
    if name == "finger swap":
        return f"the {finger} takes over the note from the {FINGER_NAMES[a.finger]}"
    return TERMS[name]


def _kept(found: Fingering, free: Fingering, task: HandTask) -> str:
    """Which notes have the fingers of earlier ones, and what that costs."""

    def notes(first: int, last: int) -> str:
        start, end = task.moments[first].notes[0] + 1, task.moments[last].notes[-1] + 1
        return f"note {start}" if start == end else f"notes {start} to {end}"

    said = []
    for repeat in sorted(found.repeats, key=lambda repeat: repeat.start):
        pairs = list(repeat.pairs())
        ends = sorted((pairs[0][1], pairs[-1][1]))
        how = {"again": "", "grip": " moved", "moved": " moved", "mirrored": " backwards"}
        said.append(f"{notes(pairs[0][0], pairs[-1][0])} as {notes(*ends)}{how[repeat.how]}")
    price = found.cost - free.cost
    return (
        f"  The same figure has the same fingers: {'; '.join(said)}. "
        f"{f'Keeping that costs {price}.' if price else 'Keeping that costs nothing.'}"
    )


def _comparison(
    best: Fingering, other: Fingering, costs: Sequence[NoteCosts], other_costs: Sequence[NoteCosts]
) -> str:
    """What the runner-up would add and save, by term."""
    sums: list[Counter[str]] = []
    for priced in (costs, other_costs):
        total: Counter[str] = Counter()
        for note in priced:
            for term in note.terms:
                total[term.name] += term.cost
        sums.append(total)
    change = {name: sums[1][name] - sums[0][name] for name in TERMS}
    more = [f"{name} +{cost}" for name, cost in change.items() if cost > 0]
    less = [f"{name} {cost}" for name, cost in change.items() if cost < 0]
    said = f"Next best: {_written(other)}, dearer by {other.cost - best.cost}"
    said += f": it adds {', '.join(more)}" if more else ""
    said += f"{' and' if more else ': it'} saves {', '.join(less)}" if less else ""
    return said + "."


def _written(fingering: Fingering) -> str:
    return " ".join(str(finger) for finger in fingering.fingers)
