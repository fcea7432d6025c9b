"""What would a teacher say about a take, hand by hand?

Remarks read the verdicts and the printed strokes and fingers together: a late note where the
fretting hand shifts is the fretting hand's, a late note after a sweep is the picking hand's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from lickwright.lick import Stroke
from lickwright.lick.picking import Sweep, stroke_report
from lickwright.take.listening import RING_S
from lickwright.take.report import HeardNote, NoteVerdict, Take

Hand = Literal["both", "picking", "fretting"]

#: A sweep is uneven where its longest and shortest steps differ by more than this share of a step,
#: and by more than the tolerance; hurried or dragged where its mean step is off by this much.
#: Common practice, no source.
_UNEVEN, _HURRIED = 0.35, 0.12
_STROKES = {Stroke.DOWN: "downward", Stroke.UP: "upward"}
_DRIFTED = 0.02
_DOUBTFUL = 0.7
_DETUNED_CENTS = 12.0


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to practise; ``notes`` are indexes of the lick."""

    hand: Hand
    notes: tuple[int, ...]
    text: str


def remarks(take: Take) -> tuple[Remark, ...]:
    """What to practise, the whole first, then hand by hand, in the order of the notes."""
    return (
        *_whole(take),
        *_sweeps(take),
        *_turns(take),
        *_wrong_frets(take),
        *_shifts(take),
        *_rings(take),
    )


def not_heard(take: Take) -> tuple[str, ...]:
    """What a recording cannot tell, in general and in this one."""
    lines = [
        "Which finger, which stroke and which of several strings made a pitch cannot be heard;"
        " they are taken as printed.",
        "A note under a louder one of the same pitch, or an octave from it, can be missed.",
    ]
    doubtful = [note for note in take.notes if note.heard_s is not None and note.sure < _DOUBTFUL]
    if doubtful:
        lines.append(f"{_named(doubtful).capitalize()} could not be heard clearly.")
    dead = take.with_verdict(NoteVerdict.UNJUDGED)
    if dead:
        lines.append(f"Not judged, for want of a pitch that can be told: {_named(dead)}.")
    if take.clipped:
        lines.append("The recording is overdriven at its input; record it at a lower level.")
    return tuple(lines)


def _named(notes: Sequence[HeardNote | int]) -> str:
    numbers = [(n if isinstance(n, int) else n.index) + 1 for n in notes]
    if len(numbers) == 1:
        return f"note {numbers[0]}"
    shown = ", ".join(map(str, numbers[:8]))
    return f"notes {shown}" + (f" and {len(numbers) - 8} more" if len(numbers) > 8 else "")


def _ms(seconds: float) -> str:
    return f"{abs(1000 * seconds):.0f} ms"


def _whole(take: Take) -> Iterator[Remark]:
    judged = [note for note in take.notes if note.verdict is not NoteVerdict.UNJUDGED]
    yield Remark("both", (), f"{len(take.right)} of {len(judged)} notes sounded at their pitch.")
    if take.notes and abs(take.drift) > _DRIFTED:
        how = "gained" if take.drift > 0 else "lost"
        yield Remark("both", (), f"The tempo {how} {abs(100 * take.drift):.0f} % on the way.")
    for pause in take.pauses:
        what = "stopped for" if pause.seconds > 0 else "came in too soon, by"
        text = f"Before note {pause.index + 1} you {what} {abs(pause.seconds):.1f} s."
        yield Remark("both", (pause.index,), text)
    missing = take.with_verdict(NoteVerdict.MISSING)
    if missing:
        yield Remark("both", tuple(n.index for n in missing), f"Not heard: {_named(missing)}.")
    if take.extras:
        after = [extra.after for extra in take.extras]
        text = f"Not printed but heard: a note after {_named(after)}."
        yield Remark("both", tuple(after), text)
    if abs(take.tuning_cents) > _DETUNED_CENTS:
        side = "above" if take.tuning_cents > 0 else "below"
        text = f"The guitar sounds {abs(take.tuning_cents):.0f} cents {side} A = 440 Hz."
        yield Remark("both", (), text)


def _runs(take: Take) -> tuple[tuple[Sweep, ...], tuple[int, ...]]:
    """The printed sweeps, and the notes on which one is turned round."""
    notes = take.score.lick.notes
    report = stroke_report(
        [note.position for note in notes],
        [note.stroke for note in notes],
        onsets=[note.onset for note in notes],
    )
    return report.sweeps, report.turns


def _sweeps(take: Take) -> Iterator[Remark]:
    lick = take.score.lick.notes
    for sweep in _runs(take)[0]:
        notes = take.notes[sweep.first : sweep.last + 1]
        if len(notes) < 3 or any(note.heard_s is None for note in notes):
            continue
        shares, longest = [], 0.0
        for note, after in pairwise(notes):
            written = after.expected_s - note.expected_s
            played = (after.heard_s or 0.0) - (note.heard_s or 0.0)
            shares.append(played / max(written, 1e-6))
            longest = max(longest, written)
        spread = max(shares) - min(shares)
        mean = sum(shares) / len(shares)
        if lick[sweep.last].onset <= lick[sweep.first].onset:
            continue
        what = f"The {_STROKES[sweep.stroke]} sweep of notes {sweep.first + 1} to {sweep.last + 1}"
        where = tuple(range(sweep.first, sweep.last + 1))
        if spread > _UNEVEN and spread * longest > take.tolerance_s:
            text = (
                f"{what} is uneven: its steps run from {min(shares):.0%} to {max(shares):.0%} of"
                " what is printed. Let the pick fall through the strings in one even motion."
            )
            yield Remark("picking", where, text)
        elif abs(mean - 1.0) > _HURRIED:
            how = "hurried" if mean < 1.0 else "dragged"
            text = f"{what} is {how}: it takes {mean:.0%} of its time."
            yield Remark("picking", where, text)


def _turns(take: Take) -> Iterator[Remark]:
    for index in _runs(take)[1]:
        note = take.notes[index]
        if note.verdict is NoteVerdict.LATE and note.late_s is not None:
            text = f"The turn at note {index + 1} comes {_ms(note.late_s)} late."
            yield Remark("picking", (index,), text)


def _wrong_frets(take: Take) -> Iterator[Remark]:
    for note in take.with_verdict(NoteVerdict.WRONG):
        if note.heard_midi is None:
            continue
        steps = note.heard_midi - note.midi
        place = take.score.lick.notes[note.index].position
        frets = f"{abs(steps)} fret{'s' * (abs(steps) > 1)}"
        side = "above" if steps > 0 else "below"
        text = (
            f"Note {note.index + 1} sounds {frets} {side} {place}, if it was played on that string."
        )
        yield Remark("fretting", (note.index,), text)


def _shifts(take: Take) -> Iterator[Remark]:
    lick = take.score.lick.notes
    turns = set(_runs(take)[1])
    for before, after in pairwise(range(len(lick))):
        fingers = lick[before].finger, lick[after].finger
        if not all(fingers) or after in turns:
            continue
        moved = (lick[after].position.fret - (fingers[1] or 0)) - (
            lick[before].position.fret - (fingers[0] or 0)
        )
        note = take.notes[after]
        if abs(moved) >= 2 and note.verdict is NoteVerdict.LATE and note.late_s is not None:
            text = (
                f"After the shift, note {after + 1} comes {_ms(note.late_s)} late. Look ahead to"
                f" fret {lick[after].position.fret} before the hand moves."
            )
            yield Remark("fretting", (after,), text)


def _rings(take: Take) -> Iterator[Remark]:
    ringing = [n for n in take.notes if n.ring_s is not None and n.ring_s >= RING_S]
    if ringing:
        longest = max(n.ring_s or 0.0 for n in ringing)
        text = (
            f"Ringing on over the next note, up to {_ms(longest)}: {_named(ringing)}. Lift the"
            " finger, or rest the picking hand on the strings it has left."
        )
        yield Remark("fretting", tuple(n.index for n in ringing), text)
