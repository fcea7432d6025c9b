"""Which keys does the chord player press, so that one chord leads smoothly to the next?

A voicing puts each note of a chord once into a middle register.  Over a progression the voicings
are chosen together, by a shortest path: the cost of a step is how far the voices move (the
voice-leading distance of Tymoczko, "The Geometry of Musical Chords", Science 313, 2006, with the
taxicab norm), the cost of a voicing is how far it strays from the middle of the register and
whether its spacing is muddy.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise, product

Voicing = tuple[int, ...]

#: MIDI keys that a voicing may use (E3 to G5) and the middle it is drawn to.
LOWEST, HIGHEST, MIDDLE = 52, 79, 64
_WIDEST = 19
_MOST_VOICES = 5


def voicings(pitch_classes: Sequence[int]) -> tuple[Voicing, ...]:
    """Every usable voicing of some pitch classes, ascending keys, each class once.

    Neighbouring voices are at most an octave apart, and none makes a minor ninth or a bare
    semitone with the voice above it unless the chord leaves no other way.
    """
    wanted = sorted({pc % 12 for pc in pitch_classes})[:_MOST_VOICES]
    places = [[key for key in range(LOWEST, HIGHEST + 1) if key % 12 == pc] for pc in wanted]
    found = []
    for keys in product(*places):
        voicing = tuple(sorted(keys))
        if voicing[-1] - voicing[0] > _WIDEST:
            continue
        if all(high - low <= 12 for low, high in pairwise(voicing)):
            found.append(voicing)
    clear = [voicing for voicing in found if not _rough(voicing)]
    return tuple(sorted(set(clear or found)))


def _rough(voicing: Voicing) -> bool:
    pairs = [(a, b) for i, a in enumerate(voicing) for b in voicing[i + 1 :]]
    return any(b - a in (1, 13) for a, b in pairs)


def motion(first: Voicing, second: Voicing) -> int:
    """Semitones that all voices move together, voices kept in order.

    Where one voicing has more voices, a voice may split or join, as in Tymoczko's multiset
    voice leadings.
    """
    previous = _fill(first, second)
    return previous[-1]


def _fill(first: Voicing, second: Voicing) -> list[int]:
    row: list[int] = []
    for i, low in enumerate(first):
        new: list[int] = []
        for j, high in enumerate(second):
            reached = []
            if i == 0 and j == 0:
                reached.append(0)
            if i > 0:
                reached.append(row[j])
            if j > 0:
                reached.append(new[j - 1])
            if i > 0 and j > 0:
                reached.append(row[j - 1])
            new.append(min(reached) + abs(high - low))
        row = new
    return row


@lru_cache(maxsize=4096)
def spacing_cost(voicing: Voicing) -> float:
    """How far a voicing strays from the middle, and how muddy its low steps are."""
    centre = sum(voicing) / len(voicing)
    muddy = sum(1 for low, high in pairwise(voicing) if high - low < 3 and low < 60)
    return 0.5 * abs(centre - MIDDLE) + 2.0 * muddy


def lead_voices(chords: Sequence[Sequence[int]]) -> tuple[Voicing, ...]:
    """One voicing for each chord (pitch classes), together the smoothest way through them all."""
    if not chords:
        return ()
    choices = [voicings(chord) for chord in chords]
    costs = [spacing_cost(voicing) for voicing in choices[0]]
    back: list[list[int]] = []
    for before, now in pairwise(choices):
        new_costs: list[float] = []
        came_from: list[int] = []
        for voicing in now:
            ways = [cost + motion(v, voicing) for cost, v in zip(costs, before, strict=True)]
            cheapest = min(ways)
            came_from.append(ways.index(cheapest))
            new_costs.append(cheapest + spacing_cost(voicing))
        back.append(came_from)
        costs = new_costs
    at = costs.index(min(costs))
    path = [choices[-1][at]]
    for came_from, options in zip(reversed(back), reversed(choices[:-1]), strict=True):
        at = came_from[at]
        path.append(options[at])
    return tuple(reversed(path))
