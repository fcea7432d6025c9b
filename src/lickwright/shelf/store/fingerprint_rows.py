"""Writing the prints of licks beside them."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, insert

from lickwright.score import Score
from lickwright.shelf.likeness import prints_of
from lickwright.shelf.store import tables


def write_prints(connection: Connection, licks: Sequence[tuple[int, Score]]) -> None:
    """Write the prints of some licks, by their ids; a lick too short to compare has none."""
    prints, bands = [], []
    for lick_id, score in licks:
        made = prints_of(score)
        if made is None:
            continue
        prints.append(
            {
                "lick_id": lick_id,
                "line": made.line,
                "shape": made.shape,
                "tones": made.tones,
                "contour": made.contour,
                "rhythm": made.rhythm,
            }
        )
        bands += [
            {"lick_id": lick_id, "nth": nth, "band": band} for nth, band in enumerate(made.bands)
        ]
    if prints:
        connection.execute(insert(tables.prints), prints)
        connection.execute(insert(tables.band), bands)
