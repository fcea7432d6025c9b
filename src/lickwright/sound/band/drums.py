"""What does the drummer play?

Each bar has the steady strokes of its feel and a few free ones, drawn so that no bar repeats
another.  Every fourth bar, and the bar before the line lands, ends in a fill that grows; a cymbal
answers on the next first beat.  Where the line lands the drummer lands with it and lets it ring.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from fractions import Fraction

from lickwright.score import Bar
from lickwright.sound.band.beats import BackingNote, BandBeat, beats_of, draws
from lickwright.sound.band.feel import (
    CLOSED_HAT,
    CRASH,
    FLOOR_TOM,
    HIGH_TOM,
    KICK,
    MIDDLE_TOM,
    OPEN_HAT,
    RIDE,
    SIDE_STICK,
    SNARE,
    Drumming,
    Hit,
)

#: Bars of a phrase: the last of them ends in a fill.
_PHRASE = 4
#: Free strokes of a bar, fewest and most, and how often a bar is drawn anew to be unlike others.
_FEWEST, _MOST, _TRIES = 1, 3, 60
_CYMBALS = (CLOSED_HAT, OPEN_HAT, RIDE)

Strokes = dict[tuple[Fraction, int], int]  # velocity by onset in the bar and key


def drum_notes(
    drums: Drumming, bars: Sequence[Bar], landing: Fraction | None, start: int
) -> Iterator[BackingNote]:
    """The strokes of whole bars, up to a landing; in no order."""
    seen: set[frozenset[tuple[Fraction, int]]] = set()
    crash = False
    for number, bar in enumerate(bars):
        if landing is not None and bar.onset > landing:
            return
        fills = number % _PHRASE == _PHRASE - 1 or bar is bars[-1]
        if landing is not None:
            fills = fills or (bar.onset < landing <= bar.end) or landing == bar.end
        strokes = _unlike(drums, bar, fills, crash, seen, draws(start, "drums", number))
        seen.add(frozenset(strokes))
        for (at, key), velocity in strokes.items():
            onset = bar.onset + at
            if landing is None or onset < landing:
                yield BackingNote(onset, key, min(_length(bar), bar.end - onset), velocity)
        if landing is not None and bar.onset <= landing < bar.end:
            yield BackingNote(landing, CRASH, bar.end - landing, 84)
            yield BackingNote(landing, KICK, min(_length(bar), bar.end - landing), 96)
            return
        crash = fills


def _length(bar: Bar) -> Fraction:
    return bar.beat_lengths[0] / 4


def _unlike(
    drums: Drumming,
    bar: Bar,
    fills: bool,
    crash: bool,
    seen: set[frozenset[tuple[Fraction, int]]],
    chance: random.Random,
) -> Strokes:
    """A bar that no former bar is like; a bar too short for that may come again."""
    strokes: Strokes = {}
    for attempt in range(_TRIES):
        strokes = _drawn(drums, bar, fills, crash, _MOST + attempt // 20, chance)
        if frozenset(strokes) not in seen:
            break
    return strokes


def _drawn(
    drums: Drumming, bar: Bar, fills: bool, crash: bool, most: int, chance: random.Random
) -> Strokes:
    beats = list(beats_of(bar))
    steady, free = (_struck(drums, beats, bar, which) for which in (0, 1))
    offered = sorted(at for at in free if at not in steady)
    count = min(len(offered), _FEWEST + int(chance.random() * (most - _FEWEST + 1)))
    strokes = dict(steady)
    for at in sorted(offered, key=lambda _: chance.random())[:count]:
        strokes[at] = free[at]
    _one_hand(strokes)
    if crash and beats:
        strokes.pop((Fraction(0), CLOSED_HAT), None)
        strokes[Fraction(0), CRASH] = 76
    if fills:
        _fill(drums, strokes, beats, bar, chance)
    return strokes


def _struck(drums: Drumming, beats: Sequence[BandBeat], bar: Bar, which: int) -> Strokes:
    found: Strokes = {}
    for beat in beats:
        hits: tuple[Hit, ...] = (
            drums.threes[which] if beat.dotted else (drums.steady, drums.free)[which]
        )
        for hit in hits:
            if beat.is_among(hit.beats):
                at = beat.onset - bar.onset + hit.at * beat.length
                found[at, hit.key] = max(hit.velocity, found.get((at, hit.key), 0))
    return found


def _one_hand(strokes: Strokes) -> None:
    """An open hat takes the place of the stroke it grows from; a stick plays one thing at once."""
    for at, key in list(strokes):
        if key == OPEN_HAT:
            for other in (CLOSED_HAT, RIDE):
                strokes.pop((at, other), None)
        if key == SIDE_STICK:
            strokes.pop((at, SNARE), None)


def _fill(
    drums: Drumming,
    strokes: Strokes,
    beats: Sequence[BandBeat],
    bar: Bar,
    chance: random.Random,
) -> None:
    """The last beat or two of a bar: down the drums, growing into the next bar."""
    taken = beats[-2:] if len(beats) > 3 and chance.random() < 0.4 else beats[-1:]
    if len(beats) < 2:
        return
    begin = taken[0].onset - bar.onset
    for at, key in list(strokes):
        if at > begin or (at == begin and key in (*_CYMBALS, SNARE, SIDE_STICK)):
            del strokes[at, key]
    places = []
    for beat in taken:
        parts = 3 if beat.dotted else drums.fill
        places += [
            beat.onset - bar.onset + Fraction(part, parts) * beat.length for part in range(parts)
        ]
    kept = [at for at in places if at == begin or chance.random() < 0.85]
    order = (SNARE, HIGH_TOM, MIDDLE_TOM, FLOOR_TOM)
    for place, at in enumerate(kept):
        share = place / max(1, len(kept) - 1)
        key = order[min(3, int(share * 3 + chance.random()))]
        strokes[at, key] = round(62 + 26 * share)
