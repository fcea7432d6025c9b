"""Which keys does the chord player press, so that the chord is heard and the line left alone?

A voicing has the guide tones first: the third and the seventh tell one chord from another.  To them
come colours that the chord names, then its fifth; the root is the bass player's, except in a plain
triad.  It lies below the line, or above where the line is low, and no note of it is a half step
from a note of the line.  Over a progression the voicings are chosen together, by a shortest path:
the cost of a step is how far the voices move (the voice-leading distance of Tymoczko, "The Geometry
of Musical Chords", Science 313, 2006, with the taxicab norm).  The other weights are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise, product

Voicing = tuple[int, ...]

#: MIDI keys that a voicing may use (A#2 to C6) and the middle it is drawn to, under a lead line.
LOWEST, HIGHEST, MIDDLE = 46, 84, 58
_WIDEST, _MOST_VOICES = 16, 4
#: What is lost with a tone that is left out, and what a root that the bass has costs.
_COLOUR, _FIFTH, _DOUBLED = 1.2, 0.3, 1.5
#: What it costs to lie about the whole line, above it, on its notes, a minor ninth under them, and
#: to move all voices together by a half step.
_INSIDE, _ABOVE, _UNISON, _NINTH, _MOTION = 14.0, 2.0, 1.5, 4.0, 0.25
_RUB = 200.0
_KEPT = 24  # voicings of a chord that the path may choose from


@dataclass(frozen=True, slots=True)
class ChordTones:
    """Pitch classes of a chord, by what they do in it.

    Parameters
    ----------
    guides : always sounded: third and seventh, or what stands for them.
    colours : the tensions that the chord names, and altered fifths.
    fifth, root : sounded where there is room.
    rootless : whether the bass has the root, so that nobody else needs it.
    """

    guides: tuple[int, ...]
    colours: tuple[int, ...] = ()
    fifth: int | None = None
    root: int | None = None
    rootless: bool = True


def tones_of(root: int, classes: Iterable[int], bass: int) -> ChordTones:
    """What each pitch class does over a root, all of them 0-11.

    >>> tones_of(2, [2, 5, 9, 0, 4], 2)  # Dm9
    ChordTones(guides=(5, 0), colours=(4,), fifth=9, root=2, rootless=True)
    """
    above = sorted({(pc - root) % 12 for pc in classes})
    third = next((i for i in (4, 3) if i in above), next((i for i in (5, 2) if i in above), None))
    seventh = next((i for i in (10, 11) if i in above), 9 if 9 in above else None)
    guides = [i for i in (third, seventh) if i is not None]
    fifth = 7 if 7 in above else None
    colours = [i for i in above if i not in (0, fifth, *guides)]

    def pitch(i: int | None) -> int | None:
        return None if i is None else (root + i) % 12

    return ChordTones(
        tuple((root + i) % 12 for i in guides),
        tuple((root + i) % 12 for i in colours),
        pitch(fifth),
        root % 12 if 0 in above or not above else None,
        root % 12 == bass % 12,
    )


@lru_cache(maxsize=1024)
def choices(tones: ChordTones) -> tuple[tuple[float, Voicing], ...]:
    """Every usable voicing of a chord with what is lost in it, ascending keys."""
    triad = not tones.colours and len(tones.guides) < 2
    spare = [(pc, _COLOUR) for pc in tones.colours]
    spare += [(tones.fifth, 2 * _COLOUR if triad else _FIFTH)] if tones.fifth is not None else []
    if tones.root is not None:
        spare.append((tones.root, -_DOUBLED if tones.rootless and not triad else 2 * _COLOUR))
    found: list[tuple[float, Voicing]] = []
    for count in range(len(spare) + 1):
        for taken in combinations(spare, count):
            classes = {*tones.guides, *(pc for pc, _ in taken)}
            if not 1 <= len(classes) <= _MOST_VOICES:
                continue
            lost = sum(max(worth, 0.0) for one in spare for pc, worth in [one] if one not in taken)
            lost += sum(_DOUBLED for _, worth in taken if worth < 0)
            if len(classes) < 2 and len(spare) + len(tones.guides) > 1:
                lost += 6.0
            found += [(lost + _spacing(voicing), voicing) for voicing in voicings(classes)]
    return tuple(found)


def voicings(pitch_classes: Iterable[int]) -> tuple[Voicing, ...]:
    """Every usable voicing of some pitch classes, ascending keys, each class once.

    Neighbouring voices are at most an octave apart, and none makes a minor ninth or a bare
    semitone with the voice above it unless the chord leaves no other way.
    """
    wanted = sorted({pc % 12 for pc in pitch_classes})
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


def _spacing(voicing: Voicing) -> float:
    """How muddy its low steps are."""
    return sum(3.0 for low, high in pairwise(voicing) if high - low < (5 if low < 48 else 3))


def motion(first: Voicing, second: Voicing) -> int:
    """Semitones that all voices move together, voices kept in order.

    Where one voicing has more voices, a voice may split or join, as in Tymoczko's multiset
    voice leadings.
    """
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
    return row[-1]


def beside_line(voicing: Voicing, line: Sequence[int]) -> float:
    """What it costs to sound a voicing under these keys of a line."""
    if not line:
        return 0.1 * abs(sum(voicing) / len(voicing) - MIDDLE)
    low, high = voicing[0], voicing[-1]
    cost = _INSIDE * sum(low <= key <= high for key in line) / len(line)
    heard = set(line)
    cost += sum(_RUB for key in voicing if key - 1 in heard or key + 1 in heard)
    cost += sum(_NINTH for key in voicing if key + 13 in heard)
    cost += sum(_UNISON for key in voicing if key in heard)
    if low > max(line):
        cost += _ABOVE
    return cost + 0.1 * abs(sum(voicing) / len(voicing) - MIDDLE)


def lead_voices(
    chords: Sequence[ChordTones], lines: Sequence[Sequence[int]]
) -> tuple[Voicing, ...]:
    """One voicing for each chord, together the smoothest way that leaves the line alone.

    Parameters
    ----------
    chords : what each chord is made of.
    lines : MIDI keys that the line plays while each of them sounds.
    """
    if not chords:
        return ()
    offered = [_offered(chord, line) for chord, line in zip(chords, lines, strict=True)]
    costs = [cost for cost, _ in offered[0]]
    back: list[list[int]] = []
    for before, now in pairwise(offered):
        new_costs: list[float] = []
        came_from: list[int] = []
        for own, voicing in now:
            ways = [
                cost + _MOTION * motion(v, voicing)
                for cost, (_, v) in zip(costs, before, strict=True)
            ]
            cheapest = min(ways)
            came_from.append(ways.index(cheapest))
            new_costs.append(cheapest + own)
        back.append(came_from)
        costs = new_costs
    at = costs.index(min(costs))
    path = [offered[-1][at][1]]
    for came_from, options in zip(reversed(back), reversed(offered[:-1]), strict=True):
        at = came_from[at]
        path.append(options[at][1])
    return tuple(reversed(path))


@lru_cache(maxsize=512)
def _offered_for(chord: ChordTones, line: tuple[int, ...]) -> tuple[tuple[float, Voicing], ...]:
    priced = sorted((cost + beside_line(keys, line), keys) for cost, keys in choices(chord))
    if priced[0][0] >= _RUB:  # a tone that rubs everywhere is left to the line
        clear = sorted(
            (3.0 * (len(keys) - len(kept)) + cost + beside_line(kept, line), kept)
            for cost, keys in choices(chord)
            if (kept := _without_rubs(keys, line))
        )
        priced = clear or priced
    return tuple(priced[:_KEPT])


def _offered(chord: ChordTones, line: Sequence[int]) -> tuple[tuple[float, Voicing], ...]:
    return _offered_for(chord, tuple(sorted(line)))


def _without_rubs(voicing: Voicing, line: Sequence[int]) -> Voicing:
    heard = set(line)
    return tuple(key for key in voicing if key - 1 not in heard and key + 1 not in heard)
