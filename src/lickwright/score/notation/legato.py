"""Which notes hang together under one hand's movement: slurs, slides, mutes."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from operator import itemgetter

from lickwright.lick import LickNote, Technique

#: A stretch of notes, by index: the first and the last of it.
Run = tuple[int, int]


def joins(before: LickNote, note: LickNote) -> bool:
    """Whether the fretting hand sounds ``note`` out of the ringing ``before``."""
    return (
        note.technique is not Technique.PICK
        and note.position.string == before.position.string
        and note.onset == before.end
    )


def slur_runs(notes: Sequence[LickNote]) -> tuple[Run, ...]:
    """The stretches that one slur covers: a sounding note and all that hang on it."""
    return _runs([False, *(joins(*pair) for pair in pairwise(notes))], reach_back=1)


def slides(notes: Sequence[LickNote]) -> tuple[Run, ...]:
    """The pairs of notes with a slide between them."""
    return tuple(
        (index, index + 1)
        for index, (before, note) in enumerate(pairwise(notes))
        if note.technique is Technique.SLIDE and joins(before, note)
    )


def mute_runs(notes: Sequence[LickNote]) -> tuple[Run, ...]:
    """The stretches of notes under the palm."""
    return _runs([note.marks.palm_mute for note in notes], reach_back=0)


def runs_at(runs: Sequence[Run], note: int) -> Iterator[Run]:
    """The runs that hold a note.

    Parameters
    ----------
    runs : first and last note of each; they follow each other, touching at most.
    note : index of the note in the line.

    Yields
    ------
    Run
        In order: none, one, or the two that touch at the note.

    Returns
    -------
    Iterator of Run
        Worked out as it is asked for.

    Examples
    --------
    >>> list(runs_at([(0, 2), (2, 5)], 2))
    [(0, 2), (2, 5)]
    """
    for index in range(bisect_left(runs, note, key=itemgetter(1)), len(runs)):
        if runs[index][0] > note:
            return
        yield runs[index]


def _runs(flags: Sequence[bool], reach_back: int) -> tuple[Run, ...]:
    runs: list[Run] = []
    start: int | None = None
    for index, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = index - reach_back
        elif not flag and start is not None:
            runs.append((start, index - 1))
            start = None
    return tuple(runs)
