"""Other fingers and strokes for a line, and what it asks of both hands."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import LickwrightError
from lickwright.studio.work.preview import ExampleRequest, worked_for


@dataclass(frozen=True, slots=True)
class Alternatives:
    """Other fingers and other strokes for the whole line: what each is, and its text."""

    fingers: tuple[tuple[str, str], ...]
    strokes: tuple[tuple[str, str], ...]
    hands: tuple[str, ...]


def alternatives(request: ExampleRequest) -> Alternatives:
    """The three cheapest fingerings, the strokes of each style, and what both hands have to do."""
    from lickwright.lick.fingering import best_fingerings
    from lickwright.lick.hands import playability
    from lickwright.lick.picking import assign_strokes, print_strokes

    workshop, worked = worked_for(request)
    lick, guitar = worked.score.lick, worked.score.guitar
    hand = workshop.lesson.hand
    places = [note.position for note in lick.notes]
    onsets: list[Fraction] = [note.onset for note in lick.notes]
    found = best_fingerings(
        places, guitar, worked.score.target_bpm, count=3, onsets=onsets, hand=hand
    )
    least = found[0].cost
    fingers = tuple(
        (
            "least work"
            if one is found[0]
            else f"{(one.cost - least) / max(1, least):.0%} more work",
            " ".join(map(str, one.fingers)),
        )
        for one in found
    )
    strokes = []
    meter = workshop.meter(worked.entry)
    for policy in ("sweep", "alternate", "down", "legato"):
        try:
            found_strokes = assign_strokes(
                places,
                policy,
                onsets=[onset - meter.pickup for onset in onsets],
                beat=meter.beats,
                tempo_bpm=worked.score.target_bpm,
                escape=workshop.lesson.player.escape,
                guitar=guitar,
            )
            strokes.append((policy, print_strokes(found_strokes)))
        except LickwrightError:
            continue  # a style that cannot play this line is no alternative
    report = playability(
        lick,
        guitar,
        worked.score.target_bpm,
        policy=worked.entry.picking,
        meter=meter,
        player=workshop.lesson.player,
    )
    return Alternatives(fingers, tuple(strokes), tuple(str(report).splitlines()))
