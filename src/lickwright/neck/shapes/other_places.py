"""Where else on the neck do the same notes lie?  Every way under one hand.

A shape, a part or a lick moves to other strings at the same pitch so that

* every note keeps its pitch, and notes of one place stay together in one place;
* strings never cross: a higher note never lies on a lower-sounding string than a lower note;
* all of it lies under one hand: within the greatest reach in mm, or, where the notes are given
  wider than that, within as much as they are given.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.shapes.shape import frame_mm
from lickwright.neck.window import Span, fret_window, read_guitar, string_window

_Way = tuple[Position, ...]
_Frame = tuple[float, float, float]  # lowest and highest place along the string; longest scale


def elsewhere(
    positions: Sequence[Position],
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    *,
    hand: str | HandProfile = "medium",
) -> list[tuple[Position, ...]]:
    """Every way to lay the notes at some places (see the module), the given one among them.

    Parameters
    ----------
    positions : the notes in the order in which they are played; a place may come again.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows to stay within, such as ``"5-12"`` and ``"2-4"``.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    list of tuple of Position
        One place a note, in the order given; ways lower on the neck first.

    Raises
    ------
    NeckError, HandError
        When there are no notes, or the instrument does not have what is asked for.

    Examples
    --------
    >>> shape = [Position(4, 7), Position(3, 5), Position(2, 5)]
    >>> for way in elsewhere(shape, frets="8-14"):
    ...     print(*(f"{place.string}/{place.fret}" for place in way))
    5/12 4/10 3/9
    5/12 4/10 4/14
    """
    guitar = read_guitar(guitar)
    if not positions:
        raise NeckError("there are no notes to lay elsewhere", mend="Give at least one note")
    low_fret, high_fret = fret_window(frets, guitar)
    top, bottom = string_window(strings, guitar)
    own_low, own_high = frame_mm(positions, guitar)
    reach_mm = max(hand_profile(hand).greatest_reach_mm, own_high - own_low)
    distinct = sorted(set(positions), key=lambda p: (guitar.midi_at(p), -p.string))
    keys = [guitar.midi_at(place) for place in distinct]
    opens = {s: guitar.midi_at(Position(s, 0)) for s in range(top, bottom + 1)}
    choices = [
        [Position(s, key - low) for s, low in opens.items() if low_fret <= key - low <= high_fret]
        for key in keys
    ]

    def lay(
        index: int, frame: _Frame, laid: tuple[Position, ...]
    ) -> Iterator[tuple[Position, ...]]:
        if index == len(distinct):
            yield laid
            return
        lower = (p.string for p, key in zip(laid, keys, strict=False) if key < keys[index])
        lowest_string = min(lower, default=bottom)
        for place in choices[index]:
            if place.string > lowest_string:
                continue
            low, high, longest = frame
            if place.fret:
                along = guitar.along(place)
                low, high = min(low, along), max(high, along)
                longest = max(longest, guitar.scale_mm[place.string - 1])
                if (high - low) * longest > reach_mm + 1e-9:
                    continue
            yield from lay(index + 1, (low, high, longest), (*laid, place))

    ways = []
    for laid in lay(0, (1.0, 0.0, 0.0), ()):
        at = dict(zip(distinct, laid, strict=True))
        ways.append(tuple(at[place] for place in positions))
    return sorted(ways, key=lambda way: (sum(place.fret for place in way), way))
