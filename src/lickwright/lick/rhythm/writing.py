"""Which rhythm text writes the time of a lick?

The way back from notes to text, so that a line that was worked out can be frozen into a lesson
file as tab and rhythm and edited there.
"""

from __future__ import annotations

from fractions import Fraction

from lickwright.errors import RhythmError
from lickwright.lick.notes import Lick, Tuplet
from lickwright.lick.rhythm.reading import VALUES, Item, Rhythm, RhythmValue, TupletGroup, cycle_of

#: Plain and dotted values, longest first.
_WRITTEN = tuple(
    sorted(
        (RhythmValue(base, dots) for base in VALUES.values() for dots in (0, 1)),
        key=lambda value: -value.length,
    )
)
_GRAIN = min(VALUES.values())


def rhythm_of(lick: Lick) -> Rhythm:
    """The rhythm that lays out the notes of a lick in the very places they have.

    Parameters
    ----------
    lick : whose onsets, durations and tuplets are taken.

    Returns
    -------
    Rhythm
        Written as its shortest cycle.

    Raises
    ------
    RhythmError
        Where a length is finer than a thirty-second note, or there are no notes.

    Examples
    --------
    >>> from lickwright.lick.tab import lick_from_tab
    >>> tab = "\\n".join(["|-------|", "|-8---6-|", "|---7---|", *["|-------|"] * 3])
    >>> line = lick_from_tab(tab, "q e e", ending="written")
    >>> [str(item.length) for item in rhythm_of(line).items]
    ['1', '1/2', '1/2']
    """
    if not lick.notes:
        raise RhythmError("a line without notes has no rhythm", mend="Give it notes")
    segments = _segments(lick)
    items: list[Item] = []
    waiting = list(lick.tuplets)
    at = Fraction(0)
    end = max(segments[-1][1], *(t.onset + t.length for t in lick.tuplets), Fraction(0))
    while at < end:
        tuplet = waiting.pop(0) if waiting and waiting[0].onset == at else None
        until = waiting[0].onset if waiting else end
        if tuplet is not None:
            until = at + tuplet.length
        values = _values(segments, at, until, tuplet)
        items += values if tuplet is None else [TupletGroup(tuplet.actual, tuplet.normal, values)]
        at = until
    return cycle_of(tuple(items))


def _segments(lick: Lick) -> list[tuple[Fraction, Fraction, bool]]:
    """The whole time as (start, end, whether a note sounds), without holes."""
    segments: list[tuple[Fraction, Fraction, bool]] = []
    now = Fraction(0)
    for note in lick.notes:
        if note.onset > now:
            segments.append((now, note.onset, False))
        segments.append((note.onset, note.end, True))
        now = note.end
    return segments


def _values(
    segments: list[tuple[Fraction, Fraction, bool]],
    start: Fraction,
    end: Fraction,
    tuplet: Tuplet | None,
) -> tuple[RhythmValue, ...]:
    """Written values of a stretch of time; in a tuplet, as long as they are written there."""
    stretch = Fraction(tuplet.actual, tuplet.normal) if tuplet is not None else Fraction(1)
    values: list[RhythmValue] = []
    for first, last, sounds in [*segments, (segments[-1][1], end, False)]:
        begin, stop = max(first, start), min(last, end)
        if begin >= stop:
            continue
        lengths = _spelled((stop - begin) * stretch)
        for number, value in enumerate(lengths):
            held_on = sounds and (number < len(lengths) - 1 or last > end)
            values.append(RhythmValue(value.base, value.dots, rest=not sounds, tied=held_on))
    return tuple(values)


def _spelled(length: Fraction) -> list[RhythmValue]:
    """A length as plain and dotted values, longest first."""
    if length % _GRAIN:
        raise RhythmError(
            f"a length of {length} quarter notes is finer than a thirty-second note",
            mend="Use values down to the thirty-second note",
        )
    values: list[RhythmValue] = []
    while length:
        value = next(v for v in _WRITTEN if v.length <= length and not (length - v.length) % _GRAIN)
        values.append(value)
        length -= value.length
    return values
