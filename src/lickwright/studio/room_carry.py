"""Carry: a lick through changes, what was chosen for each chord, and what is pinned."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lickwright.engrave.symbols import printed_symbol
from lickwright.errors import LickwrightError
from lickwright.studio.names import free_name
from lickwright.studio.proof import ChordFact
from lickwright.studio.tags import button, field, form, select, tag, words
from lickwright.theory.pairs import pairs_for

if TYPE_CHECKING:
    from lickwright.studio.visit import Visit

WAYS = {
    "idea": "new triads that say each chord",
    "diatonic": "the same steps of the scale",
    "exact": "the same shape, moved",
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
        select("How", wanted["way"], WAYS, lambda v: wanted.update(way=v))
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


def _card(visit: Visit, chord: ChordFact, *, pins: bool) -> None:
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


def _offers(chord: ChordFact) -> list[str]:
    """The pairs that say a chord, the best first."""
    try:
        groups = pairs_for(chord.claim)
    except LickwrightError:
        return []
    return [", ".join(map(str, g.triads)) for g in groups if len(g.triads) == 2][:OFFERED]


async def _pin(visit: Visit, bar: int, key: str, value: Any) -> None:
    await visit.put("examples", visit.example, "pins", bar, key, value)


async def _pin_all(visit: Visit, chord: ChordFact) -> None:
    pin: dict[str, Any] = {}
    if chord.triads and str(visit.raw.get("carry", "idea")) == "idea":
        pin["triads"] = list(chord.triads)
    if chord.frets is not None:
        pin["frets"] = f"{chord.frets[0]}-{chord.frets[1]}"
    await visit.put("examples", visit.example, "pins", chord.bar, pin)


async def _unpin(visit: Visit, bar: int) -> None:
    await visit.put("examples", visit.example, "pins", bar, None)
