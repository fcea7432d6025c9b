"""Which notes are slurred, where the picking asks for it and nobody has said?"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from lickwright.lick.notes import Technique
from lickwright.lick.picking.costs import check_onsets
from lickwright.lick.picking.motions import REST_GAP, as_positions
from lickwright.neck import Position


def legato_techniques(
    positions: Sequence[Position | tuple[int, int]],
    *,
    onsets: Sequence[Fraction] | None = None,
) -> list[Technique]:
    """Hammer-ons up a string, pull-offs down it; the first note on a string is picked.

    A note repeated on its fret is picked again, and so is one after a gap of a quarter note, when
    the string has stopped sounding enough to be fretted clearly.
    """
    places = as_positions(positions)
    check_onsets(len(places), onsets)
    techniques: list[Technique] = []
    for index, place in enumerate(places):
        before = places[index - 1] if index else None
        rested = index > 0 and onsets is not None and onsets[index] - onsets[index - 1] >= REST_GAP
        if before is None or before.string != place.string or before.fret == place.fret or rested:
            techniques.append(Technique.PICK)
        else:
            up = place.fret > before.fret
            techniques.append(Technique.HAMMER_ON if up else Technique.PULL_OFF)
    return techniques


def even_techniques(
    positions: Sequence[Position | tuple[int, int]],
    *,
    onsets: Sequence[Fraction] | None = None,
) -> list[Technique]:
    """An even number of picked notes on each string, by slurring one where there are three or more.

    A pick that leaves the strings on one stroke only then begins every string alike.  The last note
    on a string that can be slurred is; a single note has none to be slurred from.

    Parameters
    ----------
    positions : the notes in order, as positions or ``(string, fret)``; string 1 is the highest.
    onsets : quarter notes; after a gap of a quarter note the hand is free.

    Returns
    -------
    list of Technique
        One a note.

    Raises
    ------
    HandError
        For notes that are none, or onsets that are not one a note.

    Examples
    --------
    >>> [str(way) for way in even_techniques([(4, 5), (4, 7), (4, 9), (3, 5)])]
    ['pick', 'pick', 'hammer-on', 'pick']
    """
    places = as_positions(positions)
    check_onsets(len(places), onsets)
    techniques = [Technique.PICK] * len(places)
    first = 0
    for at in range(1, len(places) + 1):
        if at < len(places):
            rested = onsets is not None and onsets[at] - onsets[at - 1] >= REST_GAP
            if not rested and places[at].string == places[at - 1].string:
                continue
        if (at - first) % 2:
            _slur_one(places, techniques, first, at)
        first = at
    return techniques


def _slur_one(
    places: Sequence[Position], techniques: list[Technique], first: int, end: int
) -> None:
    """Slur the last note of a string's that is not on the fret before it."""
    for at in range(end - 1, first, -1):
        rise = places[at].fret - places[at - 1].fret
        if rise:
            techniques[at] = Technique.HAMMER_ON if rise > 0 else Technique.PULL_OFF
            return
