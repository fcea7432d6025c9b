"""The parts of a lick in Shape: what each is, how long it lasts, and one more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from lickwright.drawing import printed_symbol
from lickwright.lesson.file import PartEntry, model_of, part_names
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, form, select, tag, words

#: What a new part does with an earlier one, as the lesson file says it.
LINKS = {
    "mirror": "turns it round",
    "answer": "answers it",
    "vary": "varies it",
    "repeat": "repeats it",
    "": "stands alone",
}
LASTS = ("half a bar", "a bar", "2 bars", "as written")
#: What belongs to the first part, where an example is made one of parts.
_OF_THE_PART = ("triads", "frets")
#: What an example made of parts does not have, or what would no longer fit its notes.
_GONE = (*_OF_THE_PART, "bars", "strokes", "fingers")


_GAP = "margin-top:0.8rem"


@dataclass(slots=True)
class PartState:
    """What is chosen for a new part."""

    link: str = "mirror"
    of: int = 1


def draw(tab: Tab) -> None:
    """The parts there are, and a form for one more."""
    parts = tab.entry.parts or []
    names = part_names(parts) or ["Part 1"]
    for at in range(len(parts)):
        _part(tab, at, parts, names)
    _more(tab, names)


def _part(tab: Tab, at: int, parts: list[PartEntry], names: list[str]) -> None:
    raw, part, name = _raw_parts(tab)[at], parts[at], names[at]
    with tag("section", "card", aria_label=name, style=_GAP):
        said = [name]
        if part.triads:
            said.append(printed_symbol(" and ".join(map(str, part.triads))))
        if part.link is not None:
            model = model_of(parts, at)
            assert model is not None, "what is linked has a model"
            said.append(LINKS[part.link.value].replace("it", names[model], 1))
        words("p", ", ".join(said))
        with tag("div", "fields"):
            field(
                f"Triads of {name}",
                ", ".join(map(str, raw.get("triads", ()))),
                lambda v: _put(tab, at, "triads", _list(v)),
            )
            field(
                f"Frets of {name}",
                str(raw.get("frets", "")),
                lambda v: _put(tab, at, "frets", v),
            )
            if part.link is None or "lasts" in raw:
                field(
                    f"{name} lasts",
                    str(raw.get("lasts", "")),
                    lambda v: _put(tab, at, "lasts", v),
                    choices=LASTS,
                    hint="half a bar, a bar, 2 bars, or as written",
                )
        if at == len(names) - 1 and at:
            with tag("div", "acts", style=_GAP):
                button(f"Take {name} out", partial(_take_out, tab), "slim")


def _more(tab: Tab, names: list[str]) -> None:
    state = tab.state(PartState)
    state.of = min(state.of, len(names))

    async def go(sent: list[str]) -> None:
        await add(tab, _list(sent[0]), sent[1].strip(), state.link, state.of)

    with tag("div", style=_GAP), form("part", go):
        field("Its triads", "", lambda _: None, hint="such as C, Em; empty: the same")
        field("Its frets", "", lambda _: None, hint="such as 4-12; empty: near the part before")
        select("What it does", state.link, LINKS, lambda v: setattr(state, "link", v))
        numbered = {str(number): name for number, name in enumerate(names, start=1)}
        if len(names) > 1:
            select(
                "With which part",
                str(state.of),
                numbered,
                lambda v: setattr(state, "of", int(v)),
            )
        with tag("div", "field"):
            words("span", "\u00a0", "hint", aria_hidden="true")
            words("button", "Add a part", "act", type="submit", data_key="add-part")


async def add(tab: Tab, triads: list[str], frets: str, link: str, of: int) -> None:
    """One more part; an example composed from triads becomes the first part of its own lick."""
    part: dict[str, Any] = {}
    if triads:
        part["triads"] = triads
    if frets:
        part["frets"] = frets
    if link:
        part[link] = of
    else:
        part["lasts"] = "a bar"
    before = _raw_parts(tab)
    if before:
        await tab.remake({"parts": [*before, part]}, ("strokes", "fingers"))
        return
    bars = tab.raw.get("bars", 1)
    first = {key: tab.raw[key] for key in _OF_THE_PART if key in tab.raw}
    first["lasts"] = "a bar" if bars == 1 else f"{bars} bars"
    await tab.remake({"parts": [first, part]}, _GONE)


def _raw_parts(tab: Tab) -> list[dict[str, Any]]:
    return [dict(part) for part in tab.raw.get("parts") or ()]


async def _put(tab: Tab, at: int, key: str, value: str | list[str]) -> None:
    parts = _raw_parts(tab)
    parts[at] = _with(parts[at], key, value)
    await tab.remake({"parts": parts})


def _with(part: Mapping[str, Any], key: str, value: str | list[str]) -> dict[str, Any]:
    kept = {k: v for k, v in part.items() if k != key}
    return {**kept, key: value} if value else kept


async def _take_out(tab: Tab) -> None:
    """The last part goes."""
    await tab.remake({"parts": _raw_parts(tab)[:-1]}, ("strokes", "fingers"))


def _list(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]
