"""Hear: the example at hand, with a line that runs over notation, tab and neck."""

from __future__ import annotations

import json
from dataclasses import dataclass

from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, select, tag, tick, words
from lickwright.studio.work.preview import ExampleRequest
from lickwright.studio.work.sounding import sound

CAUTION = (
    "Keep the level where you can talk over it (WHO and ITU H.870: 80 dB for 40 hours a week at"
    " most). Warm up, rest often; stop at pain, numbness or tingling and ask a clinician."
)


@dataclass(slots=True)
class HearState:
    """How Hear plays; not part of any lesson.

    Parameters
    ----------
    tempo : quarter notes a minute; 0 for the full tempo of the example.
    first_bar, last_bar : counted from 0; a last bar of 0 is the last of the example.
    heard : what the browser has the sound of: the example and its tempo.
    """

    tempo: float = 0.0
    first_bar: int = 0
    last_bar: int = 0
    loop: bool = True
    backing: bool = True
    click: bool = False
    lead: bool = True
    heard: tuple[ExampleRequest, float] | None = None


def draw(tab: Tab) -> None:
    """The room: play, the tempo, the range, who plays."""
    listening, preview = tab.state(HearState), tab.preview
    slow, target = preview.tempi
    tempo = listening.tempo or target
    with tag("section", "part", aria_labelledby="hear-play"):
        words("h2", "Play", "label", id="hear-play")
        with tag("div", "acts"):
            button("Play", lambda: play(tab), "main")
            button("Stop", lambda: tab.js("lickwright.stop()"))
            words("span", "Stopped.", "state", id="play-state", role="status")
        with tag("div", "fields", style="margin-top:0.9rem"):
            field(
                "Tempo",
                f"{tempo:g}",
                lambda v: _tempo(tab, v),
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
                        lambda: _tempo(tab, str(slow)),
                        aria_pressed=str(tempo == slow).lower(),
                        data_key="slow",
                    )
                    button(
                        f"Full, {target:g}",
                        lambda: _tempo(tab, str(target)),
                        aria_pressed=str(tempo == target).lower(),
                        data_key="full",
                    )
            bars = {str(at): f"bar {number}" for at, (number, _, _) in enumerate(preview.bars)}
            if bars:
                last = listening.last_bar or len(bars) - 1
                last = min(last, len(bars) - 1)
                select(
                    "From",
                    str(min(listening.first_bar, len(bars) - 1)),
                    bars,
                    lambda v: _range(tab, int(v), None),
                )
                select("To the end of", str(last), bars, lambda v: _range(tab, None, int(v)))
        with tag("div", "acts"):
            tick("Round and round", listening.loop, lambda on: _set(tab, "loop", on))
            tick("Lead", listening.lead, lambda on: _want(tab, "lead", on))
            tick("Backing", listening.backing, lambda on: _want(tab, "backing", on))
            tick("Click", listening.click, lambda on: _want(tab, "click", on))
    with tag("aside", "care", aria_label="Care"):
        words("p", CAUTION)


async def _tempo(tab: Tab, text: str) -> None:
    try:
        tempo = float(text)
    except ValueError:
        tab.tell("Give the tempo as a number, from 20 to 400.")
        return
    if not 20 <= tempo <= 400:
        tab.tell("Give a tempo from 20 to 400.")
        return
    tab.tell("")
    tab.state(HearState).tempo = tempo
    tab.js("lickwright.stop()")
    tab.draw_room()


def _range(tab: Tab, first: int | None, last: int | None) -> None:
    listening = tab.state(HearState)
    if first is not None:
        listening.first_bar = first
    if last is not None:
        listening.last_bar = last
    tab.js("lickwright.stop()")


def _set(tab: Tab, name: str, on: bool) -> None:
    setattr(tab.state(HearState), name, on)


def _want(tab: Tab, part: str, on: bool) -> None:
    setattr(tab.state(HearState), part, on)
    tab.js(f"lickwright.want('{part}', {json.dumps(on)})")


async def play(tab: Tab) -> None:
    """Sound the example at the tempo, where that is new, and play the range."""
    listening, preview = tab.state(HearState), tab.preview
    if not preview.notes:
        tab.tell("There is nothing to hear yet: mend the findings first.")
        return
    tempo = listening.tempo or preview.tempi[1]
    last = min(listening.last_bar or len(preview.bars) - 1, len(preview.bars) - 1)
    first = min(listening.first_bar, last)
    span = [preview.bars[first][1], preview.bars[last][2], listening.loop]
    for part in ("lead", "backing", "click"):
        _want(tab, part, getattr(listening, part))
    now = (tab.request(), tempo)
    if listening.heard == now:
        tab.js(f"lickwright.play(...{json.dumps(span)})")
        return
    tab.js("lickwright.say('Tuning up.')")
    made = await tab.open_lesson.workers.others.do(sound, tab.request(), tempo)
    listening.heard = now
    facts = {
        "address": tab.keep(made),
        "start": made.start_s,
        "quarter": made.quarter_s,
        "swing": [made.share, made.pair, made.swung],
        "length": preview.bars[-1][2],
        "play": span,
    }
    tab.js(f"lickwright.load({json.dumps(facts)})")
