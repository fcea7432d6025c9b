"""What a hand does to one note, and to the whole line."""

from __future__ import annotations

from typing import Any

from lickwright.lesson.file import ANY_EXAMPLE, KEYS_BY_KIND
from lickwright.lick import Stroke
from lickwright.lick.fingering import Pin
from lickwright.lick.picking import print_strokes
from lickwright.studio.session.tab import Tab
from lickwright.studio.work.tab_edits import as_tab, pinned_fingers, same_pitch, with_note_moved

_KEPT = ANY_EXAMPLE | KEYS_BY_KIND["tab"]


async def change_note(tab: Tab, what: str) -> None:
    """A key struck on the chosen note: see the label of the page."""
    if tab.note is None or not 0 <= tab.note < len(tab.preview.notes):
        return
    note = tab.preview.notes[tab.note]
    if what in {"higher", "lower"}:
        await move(tab, note.string, note.fret + (1 if what == "higher" else -1))
    elif what == "string":
        places = await tab.open_lesson.workers.previews.do(same_pitch, tab.request(), tab.note)
        if places:
            await move(tab, *places[0])
    elif what in {"D", "U"}:
        await stroke(tab, Stroke(what))
    else:
        await finger(tab, None if what == "free" else int(what))


async def move(tab: Tab, string: int, fret: int) -> None:
    """Play the chosen note elsewhere; an example that was composed becomes one of its own tab."""
    if tab.note is None:
        return
    keys = await tab.open_lesson.workers.previews.do(
        with_note_moved, tab.request(), tab.note, string, fret
    )
    await _write_tab(tab, keys)


async def write_out(tab: Tab) -> None:
    """The example as tab, note for note as it is now."""
    await _write_tab(tab, await _tab(tab))


async def _tab(tab: Tab) -> dict[str, Any]:
    return await tab.open_lesson.workers.previews.do(as_tab, tab.request())


async def _write_tab(tab: Tab, keys: dict[str, Any]) -> None:
    gone = [key for key in tab.raw if key not in _KEPT]
    await tab.remake(keys, gone)


async def finger(tab: Tab, which: int | None) -> None:
    """Pin a finger on the chosen note, or leave it open again."""
    if tab.note is None:
        return
    here_only = isinstance(_pinned(tab), Pin)
    pin = Pin(which, here_only=True) if which is not None and here_only else which
    await _pin(tab, tab.note, pin)


async def here_only(tab: Tab) -> None:
    """Let the pinned finger of the chosen note bind that note alone, or all times it comes."""
    own = _pinned(tab)
    if tab.note is None or own is None:
        return
    await _pin(tab, tab.note, own.finger if isinstance(own, Pin) else Pin(own, here_only=True))


def _pinned(tab: Tab) -> int | Pin | None:
    return None if tab.note is None else dict(enumerate(tab.entry.fingers or ())).get(tab.note)


async def _pin(tab: Tab, note: int, pin: int | Pin | None) -> None:
    text = pinned_fingers(tab.entry.fingers, len(tab.preview.notes), {note: pin})
    await _set(tab, "fingers", text if text.strip(". ") else None)


async def stroke(tab: Tab, which: Stroke) -> None:
    """Set the stroke of the chosen note; the others stay as they are."""
    if tab.note is None:
        return
    strokes = [Stroke(note.stroke) if note.stroke else None for note in tab.preview.notes]
    strokes[tab.note] = which
    await _set(tab, "strokes", print_strokes(strokes))


async def _set(tab: Tab, key: str, value: str | None) -> None:
    if tab.entry.kind != "lick":
        await tab.put_here(key, value)
    elif value is not None:
        # A carried lick takes no fingers or strokes of its own: it is written out first.
        await _write_tab(tab, {**await _tab(tab), key: value})
