"""Find: what do two triads imply over a bass, and which pairs imply a chord?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from lickwright.drawing import printed_symbol
from lickwright.errors import LickwrightError
from lickwright.studio.rooms.find_pictures import rose, web
from lickwright.studio.session.names import free_name
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, markup, tag, words
from lickwright.studio.work.sounding import pair_sound
from lickwright.theory import NoteName, Triad, parse_note_name, parse_triad
from lickwright.theory.finding import TriadGroup, over_every_bass, pairs_for
from lickwright.theory.hearing import Reading, implied_chords

#: How many pairs the list shows.
SHOWN = 24
NOTES = ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
_KINDS = ("", "m", "dim", "aug", "sus4")
TRIADS = tuple(f"{note}{kind}" for note in NOTES for kind in _KINDS)
CHORDS = ("Dm9", "Cmaj9", "G13", "A7b9", "Em11", "Fmaj7#11", "Bm7b5", "E7#9", "C7alt", "Am6")


@dataclass(slots=True)
class FindState:
    """What Find is looking at; not part of any lesson."""

    first: str = "F"
    second: str = "Am"
    over: str = "D"
    chord: str = "Dm9"
    chosen: int = 0


def draw(tab: Tab) -> None:
    """The room: the pair over twelve basses, and the pairs of a chord."""
    state = tab.state(FindState)
    with tag("div", "cols"):
        with tag("section", "part", aria_labelledby="find-pair"):
            words("h2", "Two triads over a bass", "label", id="find-pair")
            _fields(tab, state)
            _pair(tab, state)
        with tag("section", "part", aria_labelledby="find-chord"):
            words("h2", "The pairs of a chord", "label", id="find-chord")
            _chord(tab, state)


async def look(tab: Tab, changed: dict[str, Any]) -> None:
    """Look at something else, and say so where it cannot be read."""
    state = replace(tab.state(FindState), **changed)
    try:
        if "chosen" in changed:
            group = _pairs(state)[state.chosen]
            state = replace(
                state,
                first=str(group.triads[0]),
                second=str(group.triads[1]),
                over=str(group.reading.bass),
            )
        elif "chord" in changed:
            state = replace(state, chosen=-1)
            _pairs(state)
        else:
            _triads(state)
            parse_note_name(state.over)
            state = replace(state, chosen=-1)
    except LickwrightError as error:
        tab.tell(f"{error.what}. {error.mend}")
        return
    tab.remember(state)
    tab.tell("")
    tab.draw_room()


def _triads(state: FindState) -> tuple[Triad, ...]:
    return tuple(parse_triad(text) for text in (state.first, state.second) if text.strip())


def _pairs(state: FindState) -> list[TriadGroup]:
    """Pairs that say the chord and nothing else, then those that add one tone to it."""
    plain, more = pairs_for(state.chord), pairs_for(state.chord, added_tones=1)
    groups = [*plain, *(group for group in more if group.added)]
    return [group for group in groups if len(group.triads) == 2][:SHOWN]


def _fields(tab: Tab, state: FindState) -> None:
    with tag("div", "fields"):
        field("First triad", state.first, lambda v: look(tab, {"first": v}), choices=TRIADS)
        field("Second triad", state.second, lambda v: look(tab, {"second": v}), choices=TRIADS)
        field("Bass", state.over, lambda v: look(tab, {"over": v}), choices=NOTES)


def _pair(tab: Tab, state: FindState) -> None:
    triads, bass = _triads(state), parse_note_name(state.over)
    key = tab.lesson.entry.key
    rows = over_every_bass(triads, key)
    readings = implied_chords(triads, bass, key)
    first = readings[0]
    with tag("div", "card", style="margin-top:0.9rem"):
        with tag("p"):
            words("span", printed_symbol(first.symbol) or "No common name", "big")
            words("span", f"  {' '.join(map(printed_symbol, first.degrees))}", "soft")
        words("p", _in_words(first), "soft")
        others = [printed_symbol(r.symbol) for r in readings[1:4] if r.symbol]
        if others:
            words("p", f"Also heard as {', '.join(others)}.", "soft")
        with tag("div", "acts"):
            button("Hear it over the bass", lambda: hear(tab, triads, bass))
            button("Add as a new example", lambda: add(tab, triads, bass, first), "main")
            if tab.entry.kind == "triads":
                button(f"Put into {tab.entry.name}", lambda: put_in(tab, triads, bass, first))
    markup(rose(triads, rows, bass), "rose")
    _bass_table(tab, triads, rows, bass)


def _bass_table(
    tab: Tab,
    triads: tuple[Triad, ...],
    rows: dict[NoteName, list[Reading]],
    chosen: NoteName,
) -> None:
    with tag("div", "scroll"), tag("table", "rows"):
        words("caption", "Over each of the twelve basses", "unseen")
        with tag("thead"), tag("tr"):
            for name in ("Bass", "Heard first", "How surely", "Listen"):
                words("th", name, scope="col")
        with tag("tbody"):
            for bass, readings in rows.items():
                first = readings[0]
                with tag("tr", "chosen" if bass.pc == chosen.pc else ""):
                    with tag("th", scope="row"):
                        button(
                            printed_symbol(str(bass)),
                            partial(look, tab, {"over": str(bass)}),
                            "slim",
                            aria_pressed=str(bass.pc == chosen.pc).lower(),
                            aria_label=f"Bass {printed_symbol(str(bass))}",
                            data_key=f"bass-{bass}",
                        )
                    words("td", printed_symbol(first.symbol) or "no common name", "symbol")
                    with tag("td"):
                        _bar(first.strength)
                    with tag("td"):
                        button(
                            "Hear",
                            partial(hear, tab, triads, bass),
                            "slim",
                            aria_label=f"Hear over {bass}",
                            data_key=f"hear-{bass}",
                        )


def _chord(tab: Tab, state: FindState) -> None:
    pairs = _pairs(state)
    with tag("div", "fields"):
        field("A chord", state.chord, lambda v: look(tab, {"chord": v}), choices=CHORDS)
    chosen = pairs[state.chosen] if 0 <= state.chosen < len(pairs) else None
    if not pairs:
        words("p", "No two triads say this chord by themselves.", "soft")
        return
    markup(web(pairs, chosen, state.chord), "web")
    words(
        "p",
        "A thread joins two triads that say the chord together: the thicker, the more of"
        " it. Dashed threads leave the root to the bass.",
        "hint",
    )
    ranked = tag("div", "scroll tall", tabindex="0", role="group", aria_label="Pairs, ranked")
    with ranked, tag("table", "rows"):
        words("caption", f"Pairs of triads that imply {state.chord}", "unseen")
        with tag("thead"), tag("tr"):
            for name in ("Pair", "They give", "Says", "Listen"):
                words("th", name, scope="col")
        with tag("tbody"):
            for at, group in enumerate(pairs):
                _pair_row(tab, at, group, group is chosen)


def _pair_row(tab: Tab, at: int, group: TriadGroup, is_chosen: bool) -> None:
    name = " and ".join(map(str, group.triads))
    with tag("tr", "chosen" if is_chosen else ""):
        with tag("th", scope="row"):
            button(
                printed_symbol(name),
                lambda: look(tab, {"chosen": at}),
                "slim",
                aria_pressed=str(is_chosen).lower(),
                data_key=f"pair-{at}",
            )
        colours = " + ".join(" ".join(colour) for colour in group.colours)
        adds = f", adding {' '.join(group.added)}" if group.added else ""
        words("td", printed_symbol(colours + adds))
        with tag("td"):
            _bar(group.completeness)
        with tag("td"):
            button(
                "Hear",
                lambda: hear(tab, group.triads, group.reading.bass),
                "slim",
                aria_label=f"Hear {name}",
                data_key=f"hear-pair-{at}",
            )


def _bar(share: float) -> None:
    percent = round(100 * share)
    markup(
        f'<span style="width:{percent}%"></span>',
        "bar",
        "span",
        role="img",
        aria_label=f"{percent} of 100",
    )


def _in_words(reading: Reading) -> str:
    said = []
    said.append("the root sounds" if reading.root_sounds else "the root is left out")
    if reading.guide_tones:
        said.append(f"guide tones {' and '.join(map(printed_symbol, reading.guide_tones))}")
    if reading.tensions:
        said.append(f"tensions {', '.join(map(printed_symbol, reading.tensions))}")
    if reading.missing:
        said.append(f"without {', '.join(map(printed_symbol, reading.missing))}")
    said += [f"mind the clash of {printed_symbol(clash)}" for clash in reading.clashes]
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}. Heard {round(100 * reading.strength)} of 100."


# --- what a hand does -----------------------------------------------------------------------------


async def hear(tab: Tab, triads: Sequence[Triad], bass: NoteName) -> None:
    """Sound some triads, one after the other, over a held bass."""
    names = [str(triad) for triad in triads]
    key = tab.lesson.entry.key
    try:
        sound = await tab.open_lesson.workers.others.do(pair_sound, names, str(bass), str(key))
    except LickwrightError as error:
        tab.tell(str(error))
        return
    tab.js(f"lickwright.hear('{tab.keep(sound)}')")


def _keys(triads: Sequence[Triad], bass: NoteName, reading: Reading) -> dict[str, Any]:
    keys: dict[str, Any] = {"triads": [str(triad) for triad in triads], "over": str(bass)}
    if reading.symbol:
        keys["implies"] = reading.symbol
    return keys


async def add(tab: Tab, triads: Sequence[Triad], bass: NoteName, reading: Reading) -> None:
    """A new example of these triads, at the end."""
    name = free_name(tab.lesson, f"{' and '.join(map(str, triads))} over {bass}")
    if await tab.edit(lambda d: d.add_example({"name": name, **_keys(triads, bass, reading)})):
        tab.example = len(tab.lesson.examples) - 1
        await tab.go_to("Place")


async def put_in(tab: Tab, triads: Sequence[Triad], bass: NoteName, reading: Reading) -> None:
    """These triads instead of those of the example at hand; what was fitted to those goes."""
    keys = _keys(triads, bass, reading)
    if await tab.remake(keys, ("implies", "frets", "strings", "strokes", "fingers")):
        await tab.go_to("Place")
