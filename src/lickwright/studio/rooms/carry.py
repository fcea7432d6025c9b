"""Carry: a lick through changes, what was chosen for each chord, and what is pinned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lickwright.drawing import printed_symbol
from lickwright.errors import LickwrightError
from lickwright.studio.session.names import free_name
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, form, select, tag, words
from lickwright.studio.work.carry_alternatives import CarryAlternative, alternatives_for
from lickwright.studio.work.preview import ExampleRequest, ShownChord
from lickwright.theory.finding import pairs_for

WAYS = {
    "idea": "new triads that say each chord",
    "diatonic": "the same steps of the scale",
    "exact": "the same notes, moved",
    "grip": "the same grip on the same strings, moved",
}
#: How many other pairs a chord's list offers.
OFFERED = 12


@dataclass(slots=True)
class CarryState:
    """What is typed for a new example, and other ways for the one at hand.

    Parameters
    ----------
    alternatives_of : the example that the alternatives were worked out for.
    """

    lick: str = ""
    changes: str = ""
    way: str = "idea"
    alternatives: list[CarryAlternative] | None = None
    alternatives_of: ExampleRequest | None = None


def draw(tab: Tab) -> None:
    """The room: a new carried example, and the chords of the one at hand."""
    if tab.entry.kind == "lick":
        with tag("section", "part", aria_labelledby="carry-bars"):
            words("h2", "Chord by chord", "label", id="carry-bars")
            _carried(tab)
    with tag("section", "part", aria_labelledby="carry-new"):
        words("h2", "Carry a lick over changes", "label", id="carry-new")
        _new(tab)


def _sources(tab: Tab) -> list[str]:
    return [example.name for example in tab.lesson.examples if example.kind != "lick"]


def _new(tab: Tab) -> None:
    sources = _sources(tab)
    if not sources:
        words("p", "There is no lick yet that could be carried.", "soft")
        return
    here = tab.entry.name if tab.entry.name in sources else sources[0]
    state = tab.state(CarryState)
    state.lick = here

    async def go(sent: list[str]) -> None:
        state.changes = sent[0]
        await carry(tab, state.lick, state.changes, state.way)

    with form("carry", go):
        select("Lick", here, sources, lambda v: setattr(state, "lick", v))
        field(
            "Changes",
            state.changes,
            lambda v: setattr(state, "changes", v),
            classes="wide",
            hint="a bar between each |: Dm9 | G13 | Cmaj9 | A7b9; a dot for one more beat",
            required=True,
        )
        select("How", state.way, WAYS, lambda v: setattr(state, "way", v), classes="wide")
        with tag("div", "field"):
            words("span", "\u00a0", "hint", aria_hidden="true")
            words("button", "Carry it", "act main", type="submit", data_key="carry-it")


async def carry(tab: Tab, lick: str, changes: str, way: str) -> None:
    """A new example at the end: a lick carried over changes."""
    entry: dict[str, Any] = {
        "name": free_name(tab.lesson, f"{lick} over the changes"),
        "lick": lick,
        "changes": changes,
    }
    if way != "idea":
        entry["carry"] = way
    if await tab.edit(lambda d: d.add_example(entry)):
        await tab.look_at(len(tab.lesson.examples) - 1)


def _carried(tab: Tab) -> None:
    raw = tab.raw
    with tag("div", "fields"):
        field(
            "Changes of this example",
            str(raw.get("changes", "")),
            lambda v: tab.put_here("changes", v),
            classes="wide",
        )
        select(
            "How it is carried",
            str(raw.get("carry", "idea")),
            WAYS,
            lambda v: tab.put_here("carry", None if v == "idea" else v),
            classes="wide",
        )
        field(
            "Kept to frets",
            str(raw.get("frets", "")),
            lambda v: tab.put_here("frets", v),
            hint="such as 7-17",
        )
    with tag("div", "chord-cards", style="margin-top:1rem"):
        seen: set[int] = set()
        for chord in tab.preview.chords:
            _card(tab, chord, pins=chord.bar not in seen)
            seen.add(chord.bar)
    with tag("div", "ways"):
        words("h3", "Other ways through these changes")
        _alternatives(tab)


def _alternatives(tab: Tab) -> None:
    """The best ways, the one on the page first; what differs from it stands out."""
    state = tab.state(CarryState)
    found = state.alternatives
    if found is None or state.alternatives_of != tab.request():
        button("Look for other ways", lambda: look(tab))
        return
    if len(found) < 2:
        words("p", "There is no other way that your pins and its own leave open.", "soft")
        return
    bars = [f"Bar {step.bar}, {printed_symbol(step.chord)}" for step in found[0].steps]
    roll = tag("div", "scroll", tabindex="0", role="group", aria_label="Other ways")
    with roll, tag("table", "rows"):
        words("caption", "Ways to carry the lick, the best first", "unseen")
        with tag("thead"), tag("tr"):
            for name in ("Way", *bars, "The hand travels", "Take it"):
                words("th", name, scope="col")
        with tag("tbody"):
            for at, way in enumerate(found):
                _alternative_row(tab, at, way, found[0])
    words(
        "p",
        "The best first, by all that is weighed: how far the hand travels, how the lines join,"
        " which strokes stay, how clearly each chord is heard.",
        "hint",
    )


def _alternative_row(tab: Tab, at: int, way: CarryAlternative, shown: CarryAlternative) -> None:
    with tag("tr", "chosen" if way is shown else ""):
        words("th", str(at + 1), scope="row")
        for step, own in zip(way.steps, shown.steps, strict=True):
            triads = printed_symbol(" and ".join(step.triads)) or printed_symbol(step.chord)
            place = f"frets {step.frets[0]} to {step.frets[1]}"
            is_same = (step.triads, step.frets) == (own.triads, own.frets)
            with tag("td", "" if is_same and way is not shown else "differs", title=step.why):
                words("span", triads)
                words("span", step.move, "hint")
                words("span", f"{place}, {step.travel_mm:.0f} mm", "hint")
        words("td", f"{way.travel_mm:.0f} mm")
        with tag("td"):
            if way is shown:
                words("span", "on the page", "soft")
            else:
                button(
                    "Take",
                    lambda: take(tab, way),
                    "slim",
                    aria_label=f"Take way {at + 1}",
                    data_key=f"way-{at}",
                )


async def look(tab: Tab) -> None:
    """Ask the worker for other ways, and show them."""
    request, state = tab.request(), tab.state(CarryState)
    state.alternatives = await tab.open_lesson.workers.others.do(alternatives_for, request)
    state.alternatives_of = request
    tab.draw_room()


async def take(tab: Tab, way: CarryAlternative) -> None:
    """Pin every bar to a way."""
    await tab.put_here("pins", {bar: dict(pin) for bar, pin in way.pins.items()})


def _card(tab: Tab, chord: ShownChord, *, pins: bool) -> None:
    pin = dict((tab.raw.get("pins") or {}).get(chord.bar) or {})
    triads = " and ".join(map(printed_symbol, chord.triads))
    with tag("section", "card", aria_label=f"Bar {chord.bar}, {chord.claim}"):
        words("p", f"Bar {chord.bar}", "label")
        words("p", printed_symbol(chord.claim), "big")
        if triads:
            words("p", triads)
        words(
            "p",
            f"Heard as {printed_symbol(chord.symbol) or 'no common name'}: "
            f"{printed_symbol(chord.degrees)}",
            "soft",
        )
        if chord.why:
            words("p", f"{chord.why[:1].upper()}{chord.why[1:]}.", "hint")
        if not pins:
            return
        if str(tab.raw.get("carry", "idea")) == "idea":
            options = {"": "found anew"} | {name: name for name in _offers(chord)}
            own = ", ".join(pin.get("triads") or ())
            if own:
                options.setdefault(own, own)
            select(
                f"Triads of bar {chord.bar}",
                own,
                options,
                lambda v: _pin(tab, chord.bar, "triads", v.split(", ") if v else None),
            )
        with tag("div", "acts", style="margin-top:0.6rem"):
            if pin:
                button(
                    "Unpin",
                    lambda: _unpin(tab, chord.bar),
                    "slim",
                    aria_label=f"Unpin: bar {chord.bar}",
                    data_key=f"pin-{chord.bar}",
                )
            else:
                button(
                    "Pin this",
                    lambda: _pin_all(tab, chord),
                    "slim",
                    aria_label=f"Pin this: bar {chord.bar}",
                    data_key=f"pin-{chord.bar}",
                )


def _offers(chord: ShownChord) -> list[str]:
    """The pairs that say a chord, the best first."""
    try:
        groups = pairs_for(chord.claim)
    except LickwrightError:
        return []
    return [", ".join(map(str, g.triads)) for g in groups if len(g.triads) == 2][:OFFERED]


async def _pin(tab: Tab, bar: int, key: str, value: Any) -> None:
    await tab.put("examples", tab.example, "pins", bar, key, value)


async def _pin_all(tab: Tab, chord: ShownChord) -> None:
    pin: dict[str, Any] = {}
    if chord.triads and str(tab.raw.get("carry", "idea")) == "idea":
        pin["triads"] = list(chord.triads)
    if chord.frets is not None:
        pin["frets"] = f"{chord.frets[0]}-{chord.frets[1]}"
    await tab.put("examples", tab.example, "pins", chord.bar, pin)


async def _unpin(tab: Tab, bar: int) -> None:
    await tab.put("examples", tab.example, "pins", bar, None)
