"""What a hand does to one note, and to the whole line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lickwright.lesson.file import ANY_EXAMPLE, KEYS_BY_KIND
from lickwright.lick import Stroke
from lickwright.lick.picking import print_strokes
from lickwright.studio.work.slow import as_tab, pinned_fingers, same_pitch, with_note_moved

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

_KEPT = ANY_EXAMPLE | KEYS_BY_KIND["tab"]


async def deed(visit: Visit, what: str) -> None:
    """A key struck on the chosen note: see the label of the page."""
    if visit.note is None or not 0 <= visit.note < len(visit.proof.notes):
        return
    note = visit.proof.notes[visit.note]
    if what in {"higher", "lower"}:
        await move(visit, note.string, note.fret + (1 if what == "higher" else -1))
    elif what == "string":
        places = await visit.desk.workers.proofs.do(same_pitch, visit.order(), visit.note)
        if places:
            await move(visit, *places[0])
    elif what in {"D", "U"}:
        await stroke(visit, Stroke(what))
    else:
        await finger(visit, None if what == "free" else int(what))


async def move(visit: Visit, string: int, fret: int) -> None:
    """Play the chosen note elsewhere; an example that was composed becomes one of its own tab."""
    if visit.note is None:
        return
    keys = await visit.desk.workers.proofs.do(
        with_note_moved, visit.order(), visit.note, string, fret
    )
    await _write_tab(visit, keys)


async def write_out(visit: Visit) -> None:
    """The example as tab, note for note as it is now."""
    await _write_tab(visit, await _tab(visit))


async def _tab(visit: Visit) -> dict[str, Any]:
    return await visit.desk.workers.proofs.do(as_tab, visit.order())


async def _write_tab(visit: Visit, keys: dict[str, Any]) -> None:
    gone = [key for key in visit.raw if key not in _KEPT]
    await visit.remake(keys, gone)


async def finger(visit: Visit, which: int | None) -> None:
    """Pin a finger on the chosen note, or leave it open again."""
    if visit.note is None:
        return
    text = pinned_fingers(visit.entry.fingers, len(visit.proof.notes), {visit.note: which})
    await _set(visit, "fingers", text if text.strip(". ") else None)


async def stroke(visit: Visit, which: Stroke) -> None:
    """Set the stroke of the chosen note; the others stay as they are."""
    if visit.note is None:
        return
    strokes = [Stroke(note.stroke) if note.stroke else None for note in visit.proof.notes]
    strokes[visit.note] = which
    await _set(visit, "strokes", print_strokes(strokes))


async def _set(visit: Visit, key: str, value: str | None) -> None:
    if visit.entry.kind != "lick":
        await visit.put_here(key, value)
    elif value is not None:
        # A carried lick takes no fingers or strokes of its own: it is written out first.
        await _write_tab(visit, {**await _tab(visit), key: value})
