"""Did a player stop inside a line, go back some notes and play on from there?

A path goes forward only, so a player who goes back leaves two: one up to the stop, one from where
he began again.  A path that bridged the stop is tried in two, split where the playing paused; two
that belong together become one playing, of whose repeated notes the last ones count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from lickwright.take.finding.choosing import PossiblePlaying
from lickwright.take.finding.walking import Paths, SoughtLine, paths
from lickwright.take.listening import Events
from lickwright.take.report import GoingBack, Take

#: What going back costs, in nats, beside beginning and ending inside a bar.
_BACK = 4.0
#: A stop is at least so long, and so many times the usual step between notes.
_STOP_S, _STOP_STEPS = 0.25, 1.6
_MOST_STOPS = 4
#: Who goes back to one of so many notes after the first begins anew: that is another playing.
_ANEW = 2
#: From the last note before a stop to the first after it.
_LONGEST_STOP_S = 3.0
_LIKELY = 0.5  # log odds


def parted(
    line: SoughtLine, events: Events, candidate: PossiblePlaying
) -> tuple[PossiblePlaying, ...]:
    """A candidate in two where the player went back, else as it is.

    Returns
    -------
    tuple of PossiblePlaying
        One or two, in time.
    """
    places = np.arange(candidate.begin, candidate.end + 1)
    inside = events.some(places)
    likely = np.flatnonzero(inside.belief > _LIKELY)
    steps = np.diff(inside.time_s[likely])
    if len(steps) < 4:
        return (candidate,)
    least = max(_STOP_S, _STOP_STEPS * float(np.median(steps)))
    stops = [int(at) for at in np.argsort(-steps, kind="stable")[:_MOST_STOPS] if steps[at] > least]
    best: tuple[PossiblePlaying, ...] = (candidate,)
    most = candidate.evidence
    for stop in stops:
        first = likely[stop + 1]
        before = _best(line, inside, places >= candidate.begin + first)
        after = _best(line, inside, places < candidate.begin + first)
        if before is None or after is None:
            continue
        back = before.first + _ANEW < after.first <= before.last < after.last
        total = before.evidence + after.evidence - _BACK
        if back and total > most:
            most = total
            best = tuple(
                replace(
                    part,
                    line=candidate.line,
                    begin=part.begin + candidate.begin,
                    end=part.end + candidate.begin,
                )
                for part in (before, after)
            )
    return best


def goes_on(line: SoughtLine, events: Events, one: PossiblePlaying, other: PossiblePlaying) -> bool:
    """Whether a candidate goes on from inside of the one before it, after a short stop."""
    if one.line != other.line:
        return False
    stop_s = float(events.time_s[other.begin] - events.time_s[one.end])
    back = one.first + _ANEW < other.first <= one.last < other.last
    return back and stop_s <= _LONGEST_STOP_S


def joined_takes(takes: Sequence[tuple[Take, int, int]]) -> Take:
    """Takes of parts of a line that were played one after the other, as one.

    Parameters
    ----------
    takes : each with the first and the last note of the lick that it holds.

    Returns
    -------
    Take
        Notes that were played twice as they were played last; tempo and drift of the longest part.
    """
    longest = max(takes, key=lambda part: part[2] - part[1])[0]
    notes = list(longest.notes)
    for take, first, last in takes:
        notes[first : last + 1] = take.notes[first : last + 1]
    returns = tuple(
        GoingBack(one[2], other[1], _starts(other) - _ends(one)) for one, other in pairwise(takes)
    )
    return replace(
        longest,
        notes=tuple(notes),
        extras=tuple(extra for take, _, _ in takes for extra in take.extras),
        pauses=tuple(
            pause
            for number, (take, _, _) in enumerate(takes)
            for pause in take.pauses
            if number + 1 == len(takes) or pause.index < takes[number + 1][1]
        ),
        start_s=takes[0][0].start_s,
        returns=returns,
    )


def _starts(part: tuple[Take, int, int]) -> float:
    note = part[0].notes[part[1]]
    return note.expected_s if note.heard_s is None else note.heard_s


def _ends(part: tuple[Take, int, int]) -> float:
    note = part[0].notes[part[2]]
    return note.expected_s if note.heard_s is None else note.heard_s


def _best(
    line: SoughtLine, events: Events, closed: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> PossiblePlaying | None:
    found: Paths = paths(events, line, closed)
    if not len(found.evidence):
        return None
    at = int(np.argmax(found.evidence))
    return PossiblePlaying(
        0,
        int(found.first[at]),
        int(found.last[at]),
        int(found.begin[at]),
        int(found.end[at]),
        float(found.evidence[at]),
    )
