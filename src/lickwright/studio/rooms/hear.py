"""Hear: the example at hand, with a line that runs over notation, tab and neck."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from lickwright.studio.session.tags import button, field, select, tag, tick, words
from lickwright.studio.work.slow import sound

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

CAUTION = (
    "Keep the level where you can talk over it (WHO and ITU H.870: 80 dB for 40 hours a week at"
    " most). Warm up, rest often; stop at pain, numbness or tingling and ask a clinician."
)


def draw(visit: Visit) -> None:
    """The room: play, the tempo, the range, who plays."""
    listening, proof = visit.listening, visit.proof
    slow, target = proof.tempi
    tempo = listening.tempo or target
    with tag("section", "part", aria_labelledby="hear-play"):
        words("h2", "Play", "label", id="hear-play")
        with tag("div", "acts"):
            button("Play", lambda: play(visit), "main")
            button("Stop", lambda: visit.js("lickwright.stop()"))
            words("span", "Stopped.", "state", id="play-state", role="status")
        with tag("div", "fields", style="margin-top:0.9rem"):
            field(
                "Tempo",
                f"{tempo:g}",
                lambda v: _tempo(visit, v),
                type="number",
                min="20",
                max="400",
                step="any",
                hint="quarter notes a minute",
            )
            with tag("div", "field"):
                words("span", "\u00a0", "hint", aria_hidden="true")
                with tag("div", "acts"):
                    button(
                        f"Slow, {slow:g}",
                        lambda: _tempo(visit, str(slow)),
                        aria_pressed=str(tempo == slow).lower(),
                        data_key="slow",
                    )
                    button(
                        f"Full, {target:g}",
                        lambda: _tempo(visit, str(target)),
                        aria_pressed=str(tempo == target).lower(),
                        data_key="full",
                    )
            bars = {str(at): f"bar {number}" for at, (number, _, _) in enumerate(proof.bars)}
            if bars:
                last = listening.last_bar or len(bars) - 1
                last = min(last, len(bars) - 1)
                select(
                    "From",
                    str(min(listening.first_bar, len(bars) - 1)),
                    bars,
                    lambda v: _range(visit, int(v), None),
                )
                select("To the end of", str(last), bars, lambda v: _range(visit, None, int(v)))
        with tag("div", "acts"):
            tick("Round and round", listening.loop, lambda on: _set(visit, "loop", on))
            tick("Lead", listening.lead, lambda on: _want(visit, "lead", on))
            tick("Backing", listening.backing, lambda on: _want(visit, "backing", on))
            tick("Click", listening.click, lambda on: _want(visit, "click", on))
    with tag("aside", "care", aria_label="Care"):
        words("p", CAUTION)


async def _tempo(visit: Visit, text: str) -> None:
    try:
        tempo = float(text)
    except ValueError:
        visit.tell("Give the tempo as a number, from 20 to 400.")
        return
    if not 20 <= tempo <= 400:
        visit.tell("Give a tempo from 20 to 400.")
        return
    visit.tell("")
    visit.listening.tempo = tempo
    visit.js("lickwright.stop()")
    visit.draw_room()


def _range(visit: Visit, first: int | None, last: int | None) -> None:
    listening = visit.listening
    if first is not None:
        listening.first_bar = first
    if last is not None:
        listening.last_bar = last
    visit.js("lickwright.stop()")


def _set(visit: Visit, name: str, on: bool) -> None:
    setattr(visit.listening, name, on)


def _want(visit: Visit, part: str, on: bool) -> None:
    setattr(visit.listening, part, on)
    visit.js(f"lickwright.want('{part}', {json.dumps(on)})")


async def play(visit: Visit) -> None:
    """Sound the example at the tempo, where that is new, and play the range."""
    listening, proof = visit.listening, visit.proof
    if not proof.notes:
        visit.tell("There is nothing to hear yet: mend the findings first.")
        return
    tempo = listening.tempo or proof.tempi[1]
    last = min(listening.last_bar or len(proof.bars) - 1, len(proof.bars) - 1)
    first = min(listening.first_bar, last)
    span = [proof.bars[first][1], proof.bars[last][2], listening.loop]
    for part in ("lead", "backing", "click"):
        _want(visit, part, getattr(listening, part))
    now = (visit.order(), tempo)
    if visit.notes_of.get("heard") == now:
        visit.js(f"lickwright.play(...{json.dumps(span)})")
        return
    visit.js("lickwright.say('Tuning up.')")
    made = await visit.desk.workers.errands.do(sound, visit.order(), tempo)
    visit.notes_of["heard"] = now
    facts = {
        "address": visit.keep(made),
        "start": made.start_s,
        "quarter": made.quarter_s,
        "length": proof.bars[-1][2],
        "play": span,
    }
    visit.js(f"lickwright.load({json.dumps(facts)})")
