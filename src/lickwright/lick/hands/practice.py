"""How is a lick learnt?  A plan drawn from what it asks of both hands.

The plan starts at the hardest join, each hand apart, and climbs a ladder of tempi.  Repetitions,
breaks and the rule to climb by are common practice, no source; a teacher's word comes before them,
and pain or numbness ends the practice whatever the plan says.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from lickwright.errors import RhythmError
from lickwright.lick.hands.difficulty import Playability
from lickwright.lick.hands.tempo import Need
from lickwright.lick.notes import Lick, PartLink

RUNGS = 5
#: Clean repetitions in a row before the next rung, and rounds of each step for one hand alone.
CLEAN_IN_A_ROW, ROUNDS = 3, 4
REST_AFTER_RUNG = "Shake both hands out for half a minute"
#: Minutes after which both hands rest, and for how long.
PLAYING_MIN, RESTING_MIN = 20, 5
_OUT_OF_TIME_S, _SHAKE_OUT_S = 10.0, 30.0
#: Notes to either side of a hard one that are practised with it.
_AROUND = 2


@dataclass(frozen=True, slots=True)
class PracticeStep:
    """One thing to do.

    Parameters
    ----------
    what : which hands, which notes, how.
    tempi_bpm : quarter notes a minute, one after the other; none for out of time.
    times : how often, at each tempo.
    """

    what: str
    tempi_bpm: tuple[float, ...]
    times: str


@dataclass(frozen=True, slots=True)
class PracticePlan:
    """Steps in order, and when to rest."""

    steps: tuple[PracticeStep, ...]
    rests: str


def tempo_rungs(slow_bpm: float, target_bpm: float, count: int = RUNGS) -> tuple[float, ...]:
    """Tempi from slow to target, each faster than the last by the same share.

    Those between are whole numbers; where whole numbers leave no room there are fewer of them.

    Raises
    ------
    RhythmError
        For fewer than two rungs, or a target below the slow tempo.
    """
    if count < 2 or not 0 < slow_bpm <= target_bpm:
        raise RhythmError(
            f"a ladder of {count} rungs from {slow_bpm:g} to {target_bpm:g}",
            mend="Give at least two rungs, from the slow tempo up to the target",
        )
    ratio = target_bpm / slow_bpm
    between = (
        float(round(slow_bpm * ratio ** (step / (count - 1)))) for step in range(1, count - 1)
    )
    inside = dict.fromkeys(tempo for tempo in between if slow_bpm < tempo < target_bpm)
    return (slow_bpm,) if slow_bpm == target_bpm else (slow_bpm, *inside, target_bpm)


def practice_plan(lick: Lick, report: Playability, slow_bpm: float) -> PracticePlan:
    """The plan for a lick, from slow to the tempo of its report.

    Parameters
    ----------
    lick : the line.
    report : what it asks of both hands at its target tempo.
    slow_bpm : quarter notes a minute to learn it at; where the estimated ceiling is lower, the
        plan starts there.
    """
    steps = []
    if report.ceiling_bpm is not None:
        slow_bpm = min(slow_bpm, max(1.0, float(floor(report.ceiling_bpm))))
    if report.left_ceiling is not None:
        need = report.left_ceiling
        steps.append(_alone("Fretting hand alone, no pick", lick, need))
    if report.pick_ceiling is not None:
        need = report.pick_ceiling
        steps.append(_alone("Picking hand alone, strings muted", lick, need))
    hardest = report.hardest
    first, last = _around(lick, hardest.note)
    steps.append(
        PracticeStep(
            f"Both hands, {_notes(first, last)} only, where {hardest.why}",
            (slow_bpm,),
            f"{ROUNDS} rounds",
        )
    )
    if len(lick.parts) > 1:
        steps.append(
            PracticeStep(f"Part by part: {_parts(lick)}", (slow_bpm,), f"{ROUNDS} rounds of each")
        )
    rungs = tempo_rungs(slow_bpm, report.tempo_bpm)
    whole = "The whole line"
    if report.ceiling_bpm is not None and report.ceiling_bpm < report.tempo_bpm:
        whole += f"; above about {report.ceiling_bpm:.0f} bpm only while it stays easy"
    steps.append(PracticeStep(whole, rungs, f"{CLEAN_IN_A_ROW} clean in a row at each"))
    return PracticePlan(
        tuple(steps),
        f"If a tempo fails twice, go back one. {REST_AFTER_RUNG} after each tempo; rest"
        f" {RESTING_MIN} minutes after every {PLAYING_MIN}.",
    )


def minutes(plan: PracticePlan, lick: Lick) -> int:
    """About how long one pass through a plan takes, with its small rests, in minutes."""
    seconds = 0.0
    for step in plan.steps:
        for tempo in step.tempi_bpm or (None,):
            played = _OUT_OF_TIME_S if tempo is None else float(lick.length) * 60.0 / tempo
            seconds += ROUNDS * played + _SHAKE_OUT_S
    return ceil(seconds / 60.0)


def _parts(lick: Lick) -> str:
    """The parts by name, each once, and what the pick does in one that is another turned round."""
    said: dict[str, str] = {}
    for part in lick.parts:
        if part.link is PartLink.MIRROR and part.of is not None:
            turned = f", every stroke of {lick.parts[part.of].name} turned round"
            said.setdefault(part.name, part.name + turned)
        said.setdefault(part.name, part.name)
    return "; ".join(said.values())


def _alone(hand: str, lick: Lick, need: Need) -> PracticeStep:
    first, last = _around(lick, need.note)
    return PracticeStep(
        f"{hand}: {_notes(first, last)}, where {need.why}", (), f"{ROUNDS} slow rounds"
    )


def _around(lick: Lick, note: int) -> tuple[int, int]:
    """The first and the last note of the piece around a note, counted from 0."""
    return max(0, note - _AROUND), min(len(lick.notes) - 1, note + _AROUND)


def _notes(first: int, last: int) -> str:
    return f"notes {first + 1} to {last + 1}" if last > first else f"note {first + 1}"
