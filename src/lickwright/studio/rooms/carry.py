"""Carry: a lick through changes, what was chosen for each chord, and what is pinned."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lickwright.drawing import printed_symbol
from lickwright.errors import LickwrightError
from lickwright.studio.rooms.carry_ways import CarriedWay, ways
from lickwright.studio.session.names import free_name
from lickwright.studio.session.tags import button, field, form, select, tag, words
from lickwright.studio.work.preview import ShownChord
from lickwright.theory.finding import pairs_for

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

WAYS = {
    "idea": "new triads that say each chord",
    "diatonic": "the same steps of the scale",
    "exact": "the same notes, moved",
    "grip": "the same grip on the same strings, moved",
}
#: How many other pairs a chord's list offers.
OFFERED = 12


def draw(visit: Visit) -> None:
    """The room: a new carried example, and the chords of the one at hand."""
    if visit.entry.kind == "lick":
        with tag("section", "part", aria_labelledby="carry-bars"):
            words("h2", "Chord by chord", "label", id="carry-bars")
            _carried(visit)
    with tag("section", "part", aria_labelledby="carry-new"):
        words("h2", "Carry a lick over changes", "label", id="carry-new")
        _new(visit)


def _sources(visit: Visit) -> list[str]:
    return [example.name for example in visit.lesson.examples if example.kind != "lick"]


def _new(visit: Visit) -> None:
    sources = _sources(visit)
    if not sources:
        words("p", "There is no lick yet that could be carried.", "soft")
        return
    here = visit.entry.name if visit.entry.name in sources else sources[0]
    wanted = visit.notes_of.setdefault("carry", {"changes": "", "way": "idea"})
    wanted["lick"] = here

    async def go(sent: list[str]) -> None:
        wanted["changes"] = sent[0]
        await carry(visit, wanted["lick"], wanted["changes"], wanted["way"])

    with form("carry", go):
        select("Lick", here, sources, lambda v: wanted.update(lick=v))
        field(
            "Changes",
            wanted["changes"],
            lambda v: wanted.update(changes=v),
            classes="wide",
            hint="a bar between each |: Dm9 | G13 | Cmaj9 | A7b9; a dot for one more beat",
            required=True,
        )
        select("How", wanted["way"], WAYS, lambda v: wanted.update(way=v), classes="wide")
        with tag("div", "field"):
            words("span", "\u00a0", "hint", aria_hidden="true")
            words("button", "Carry it", "act main", type="submit", data_key="carry-it")


async def carry(visit: Visit, lick: str, changes: str, way: str) -> None:
    """A new example at the end: a lick carried over changes."""
    entry: dict[str, Any] = {
        "name": free_name(visit.lesson, f"{lick} over the changes"),
        "lick": lick,
        "changes": changes,
    }
    if way != "idea":
        entry["carry"] = way
    if await visit.edit(lambda d: d.add_example(entry)):
        await visit.look_at(len(visit.lesson.examples) - 1)


def _carried(visit: Visit) -> None:
    raw = visit.raw
    with tag("div", "fields"):
        field(
            "Changes of this example",
            str(raw.get("changes", "")),
            lambda v: visit.put_here("changes", v),
            classes="wide",
        )
        select(
            "How it is carried",
            str(raw.get("carry", "idea")),
            WAYS,
            lambda v: visit.put_here("carry", None if v == "idea" else v),
            classes="wide",
        )
        field(
            "Kept to frets",
            str(raw.get("frets", "")),
            lambda v: visit.put_here("frets", v),
            hint="such as 7-17",
        )
    with tag("div", "chord-cards", style="margin-top:1rem"):
        seen: set[int] = set()
        for chord in visit.proof.chords:
            _card(visit, chord, pins=chord.bar not in seen)
            seen.add(chord.bar)
    with tag("div", "ways"):
        words("h3", "Other ways through these changes")
        _ways(visit)


def _ways(visit: Visit) -> None:
    """The best ways, the one on the page first; what differs from it stands out."""
    found: list[CarriedWay] | None = visit.notes_of.get("ways")
    if found is None or visit.notes_of.get("ways-of") != visit.order():
        button("Look for other ways", lambda: look(visit))
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
                _way_row(visit, at, way, found[0])
    words(
        "p",
        "The best first, by all that is weighed: how far the hand travels, how the lines join,"
        " which strokes stay, how clearly each chord is heard.",
        "hint",
    )


def _way_row(visit: Visit, at: int, way: CarriedWay, shown: CarriedWay) -> None:
    with tag("tr", "chosen" if way is shown else ""):
        words("th", str(at + 1), scope="row")
        for step, own in zip(way.steps, shown.steps, strict=True):
            triads = printed_symbol(" and ".join(step.triads)) or printed_symbol(step.chord)
            place = f"frets {step.frets[0]} to {step.frets[1]}"
            is_same = (step.triads, step.frets) == (own.triads, own.frets)
            with tag("td", "" if is_same and way is not shown else "differs", title=step.why):
                words("span", triads)
                words("span", f"{place}, {step.travel_mm:.0f} mm", "hint")
        words("td", f"{way.travel_mm:.0f} mm")
        with tag("td"):
            if way is shown:
                words("span", "on the page", "soft")
            else:
                button(
                    "Take",
                    lambda: take(visit, way),
                    "slim",
                    aria_label=f"Take way {at + 1}",
                    data_key=f"way-{at}",
                )


async def look(visit: Visit) -> None:
    """Ask the worker for other ways, and show them."""
    order = visit.order()
    visit.notes_of["ways"] = await visit.desk.workers.errands.do(ways, order)
    visit.notes_of["ways-of"] = order
    visit.draw_room()


async def take(visit: Visit, way: CarriedWay) -> None:
    """Pin every bar to a way."""
    await visit.put_here("pins", {bar: dict(pin) for bar, pin in way.pins.items()})


def _card(visit: Visit, chord: ShownChord, *, pins: bool) -> None:
    pin = dict((visit.raw.get("pins") or {}).get(chord.bar) or {})
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
        if str(visit.raw.get("carry", "idea")) == "idea":
            options = {"": "found anew"} | {name: name for name in _offers(chord)}
            own = ", ".join(pin.get("triads") or ())
            if own:
                options.setdefault(own, own)
            select(
                f"Triads of bar {chord.bar}",
                own,
                options,
                lambda v: _pin(visit, chord.bar, "triads", v.split(", ") if v else None),
            )
        with tag("div", "acts", style="margin-top:0.6rem"):
            if pin:
                button(
                    "Unpin",
                    lambda: _unpin(visit, chord.bar),
                    "slim",
                    aria_label=f"Unpin: bar {chord.bar}",
                    data_key=f"pin-{chord.bar}",
                )
            else:
                button(
                    "Pin this",
                    lambda: _pin_all(visit, chord),
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


async def _pin(visit: Visit, bar: int, key: str, value: Any) -> None:
    await visit.put("examples", visit.example, "pins", bar, key, value)


async def _pin_all(visit: Visit, chord: ShownChord) -> None:
    pin: dict[str, Any] = {}
    if chord.triads and str(visit.raw.get("carry", "idea")) == "idea":
        pin["triads"] = list(chord.triads)
    if chord.frets is not None:
        pin["frets"] = f"{chord.frets[0]}-{chord.frets[1]}"
    await visit.put("examples", visit.example, "pins", chord.bar, pin)


async def _unpin(visit: Visit, bar: int) -> None:
    await visit.put("examples", visit.example, "pins", bar, None)
