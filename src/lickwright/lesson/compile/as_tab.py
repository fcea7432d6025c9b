"""A worked-out example as an ordinary one: tab, rhythm, strokes, fingers.

So a lick that was composed or carried can be taken into the lesson file and edited by hand.  What
tab cannot say, parts and bars of different lengths, stays a lick that is carried.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lickwright.lesson.compile.examples import Worked
from lickwright.lick.picking import print_strokes
from lickwright.lick.rhythm import Meter, rhythm_of
from lickwright.lick.tab import print_tab


def tab_example(
    worked: Worked,
    meter: Meter,
    changes: str | None = None,
    said: Mapping[str, str | bool] | None = None,
) -> dict[str, Any]:
    """The keys of an example that is given as tab and sounds like this one.

    Parameters
    ----------
    worked : the example.
    meter : where its bar lines fall.
    changes : its chords as text, where it is not over one bass.
    said : other keys that made the line what it is, where it stays a lick.

    Returns
    -------
    Plain data, as the lesson file holds it under ``examples``.
    """
    lick = worked.score.lick
    first = worked.spans[0]
    entry: dict[str, Any] = {"name": worked.entry.name}
    if changes is not None:
        entry["changes"] = changes
    else:
        entry["over"] = str(first.over)
        if first.claim is not None:
            entry["implies"] = str(first.claim)
        entry["triads"] = [str(triad) for triad in first.triads]
    if changes is not None and (lick.parts or _changes_time(worked, meter)):
        own = worked.entry
        entry |= {"lick": own.lick, "carry": own.carry}
        entry |= {"filled": own.filled} if "filled" in own.model_fields_set else {}
        return entry | dict(said or {})
    tab = print_tab(lick, worked.score.guitar, meter=meter)
    return entry | {
        "tab": tab.rstrip("\n") + "\n",
        "rhythm": str(rhythm_of(lick)),
        "strokes": print_strokes([note.stroke for note in lick.notes]),
        "fingers": " ".join("." if n.finger is None else str(n.finger) for n in lick.notes),
    }


def _changes_time(worked: Worked, meter: Meter) -> bool:
    """Whether a bar has another length than the meter's."""
    return any(bar.number and bar.length != meter.bar for bar in worked.score.bars)
