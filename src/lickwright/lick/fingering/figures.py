"""Where does a line repeat itself?  Its figures, and which note follows which.

A figure comes again when the same moves of the hand come again: on the same places, along the
neck, or on strings a like interval apart (the third between the second and third string of a
guitar included, where the frets make up for it).  A contour that turns back over the same places
is a figure *mirrored*.  A last repetition that is cut short is one too.

Every note *follows* one earlier note at most; those that follow each other, directly or not, are
one note of one figure and get one finger (:mod:`~lickwright.lick.fingering.ties`).

What counts as a figure is common practice, no source:

* on the same places: two notes or more straight after each other, three or more elsewhere; not
  where a run along a string only turns back over them;
* moved: two or more straight after each other, four or more elsewhere; not in a run of one and the
  same step, which has no parts.  To other frets of the same strings, where it has three notes on
  two or more, or skips a string; else not where one position of four frets holds both (there
  each finger has its fret), and a pair of notes only when it moves twice running.  To other
  strings, two or three notes only where their string begins with them, and two where it ends so;
* mirrored: two notes or more on either side of the turn;
* two notes a string, the same frets apart on three strings or more that no position of four frets
  holds, or on two that none of five does, whatever the interval between the strings;
* none of fewer than six notes after more than 64 moments;
* one grip after the other of the same shape, such as octaves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from lickwright.neck import Guitar, Position

#: Notes that sound together, in the order written.
Together = tuple[Position, ...]

_NEAR_EXACT, _FAR_EXACT = 2, 3
_NEAR_MOVED, _FAR_MOVED = 2, 4
_PAIRS_MOVED = 4
_TURN = 2
_IN_POSITION = 4  # frets
#: A few notes are remembered for so many moments; longer figures always.
_REMEMBERED, _SHORT = 64, 6
#: Distances at which a line is compared with itself: the commonest.
_DISTANCES = 48
_SHORT_DISTANCES = (2, 3, 4)
_LONGEST_TURN = 48


@dataclass(frozen=True, slots=True)
class Repeat:
    """A stretch of moments that does again what an earlier one did.

    Parameters
    ----------
    start, count : the moments that follow, by index.
    first : the moment that ``start`` follows.
    how : ``"again"`` on the same places, ``"moved"``, ``"mirrored"``, or ``"grip"``.
    """

    start: int
    count: int
    first: int
    how: str

    @property
    def rank(self) -> int:
        """What comes again as it was is plainer than what is moved, and that than what turns."""
        if self.how == "again" and (self.near or self.count > _FAR_EXACT):
            return 0
        return 2 if self.how == "mirrored" else 1

    @property
    def near(self) -> bool:
        """Whether it comes straight after what it repeats."""
        return self.start - self.first <= self.count

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Each moment with the earlier one that it follows."""
        back = -1 if self.how == "mirrored" else 1
        for k in range(self.count):
            yield self.start + k, self.first + back * k


def find_repeats(
    moments: Sequence[Together],
    guitar: Guitar,
    slid: Sequence[bool] = (),
    *,
    longest: bool = False,
) -> tuple[Repeat, ...]:
    """The repeats of a line, the plainest and longest first; no moment follows twice.

    Parameters
    ----------
    moments : places of the notes that start together, in time.
    guitar : for the intervals between strings.
    slid : whether a finger slides into each; a figure slides where it did before.
    longest : whether of two repeats on the same places the longer one binds, as it does the pick;
        else the nearer one, as it does the fingers.

    Returns
    -------
    tuple of Repeat
        Empty for a line that never repeats itself.

    Examples
    --------
    >>> line = [(Position(4, 9),), (Position(3, 7),), (Position(2, 8),)] * 2
    >>> find_repeats(line, Guitar())
    (Repeat(start=3, count=3, first=0, how='again'),)
    """
    if len(moments) < 2:
        return ()
    line = _FigureLine(moments, guitar, slid or [False] * len(moments))
    found = sorted(
        {*line.repeats(), *line.turns(), *line.grips(), *line.pairs_of_strings()},
        key=lambda repeat: (
            repeat.rank,
            # The last time is the nearest.
            0 if longest or repeat.rank else repeat.start - repeat.first,
            -repeat.count,
            repeat.start - repeat.first,
        ),
    )
    follows: dict[int, int] = {}
    kept: list[Repeat] = []
    for repeat in found:
        parts = list(_unfollowed(repeat, follows))
        whole = _agrees(repeat, {**follows, **{k: v for part in parts for k, v in part.pairs()}})
        for part in parts:
            if whole or line.is_figure(part):
                kept.append(part)
                follows.update(part.pairs())
    return tuple(sorted(kept, key=lambda repeat: (repeat.rank, -repeat.count, repeat.start)))


def _agrees(repeat: Repeat, follows: Mapping[int, int]) -> bool:
    """Whether each of its moments is one with the moment that it repeats, by whatever way."""

    def root(at: int) -> int:
        while at in follows:
            at = follows[at]
        return at

    return all(root(later) == root(earlier) for later, earlier in repeat.pairs())


def _unfollowed(repeat: Repeat, follows: Mapping[int, int]) -> Iterator[Repeat]:
    """The parts of a repeat whose moments follow nothing yet."""
    pairs = [pair for pair in repeat.pairs() if pair[0] not in follows]
    for _, group in groupby(enumerate(pairs), key=lambda item: item[1][0] - item[0]):
        part = [pair for _, pair in group]
        yield Repeat(part[0][0], len(part), part[0][1], repeat.how)


class _FigureLine:
    """A line as numbers: equal numbers are equal places, grips, or moves."""

    def __init__(self, moments: Sequence[Together], guitar: Guitar, slid: Sequence[bool]) -> None:
        pitch = [0, *(guitar.midi_at(Position(s, 0)) for s in range(1, guitar.string_count + 1))]
        self.moments = moments
        self.heads = [notes[0] for notes in moments]
        self.places = _numbered(list(zip(moments, slid, strict=True)))
        self.shapes = _numbered([_shape(notes, pitch) for notes in moments])
        steps = zip(pairwise(self.shapes), slid[1:], pairwise(self.heads), strict=True)
        self.moves = _numbered(
            [(shapes, into, _move(*heads, pitch)) for shapes, into, heads in steps]
        )

    def repeats(self) -> Iterator[Repeat]:
        """Every stretch that comes again at one of the commonest distances."""
        import numpy as np

        places, moves = np.array(self.places), np.array(self.moves)
        for distance in self._distances():
            for first, count in _runs(places[distance:] == places[:-distance]):
                repeat = Repeat(first + distance, count, first, "again")
                if self.is_figure(repeat):
                    yield repeat
            if distance < len(moves):
                for first, count in _runs(moves[distance:] == moves[:-distance]):
                    repeat = Repeat(first + distance, count + 1, first, "moved")
                    if self.is_figure(repeat):
                        yield repeat

    def turns(self) -> Iterator[Repeat]:
        """Every contour that goes back over its own places."""
        import numpy as np

        places = np.array(self.places)
        n = len(places)
        for gap in (2, 1):  # the turn itself sounds once, or twice
            left = np.arange(n - gap)
            reach = np.zeros(n - gap, np.int64)
            for arm in range(1, _LONGEST_TURN + 1):
                left = left[(left - arm + 1 >= 0) & (left + gap + arm - 1 < n)]
                left = left[places[left - arm + 1] == places[left + gap + arm - 1]]
                if not len(left):
                    break
                reach[left] = arm
            for at in np.flatnonzero(reach >= _TURN).tolist():
                repeat = Repeat(at + gap, int(reach[at]), at, "mirrored")
                if self.is_figure(repeat):
                    yield repeat

    def pairs_of_strings(self) -> Iterator[Repeat]:
        """Every run of like pairs, two notes a string, that one position does not hold."""
        groups = [
            list(group)
            for _, group in groupby(range(len(self.heads)), key=lambda at: self.heads[at].string)
        ]
        frets = [[self.heads[at].fret for at in group] for group in groups]

        def like(k: int) -> tuple[int, int] | None:
            if len(groups[k]) != 2 or len(groups[k + 1]) != 2 or not all(frets[k] + frets[k + 1]):
                return None
            one, two = self.heads[groups[k][0]], self.heads[groups[k + 1][0]]
            apart = frets[k][1] - frets[k][0]
            return (
                (apart, two.string - one.string)
                if frets[k + 1][1] - frets[k + 1][0] == apart
                else None
            )

        for key, run in groupby(range(len(groups) - 1), key=like):
            joins = list(run)
            first, last = joins[0], joins[-1]
            reach = [fret for k in (*joins, last + 1) for fret in frets[k]]
            wide = max(reach) - min(reach)
            if key and wide >= (_IN_POSITION if len(joins) > 1 else _IN_POSITION + 1):
                start = groups[first][0]
                yield Repeat(start + 2, 2 * len(joins), start, "moved")

    def grips(self) -> Iterator[Repeat]:
        """Every run of grips of one shape."""
        for _, group in groupby(range(len(self.moments)), key=lambda at: self.shapes[at]):
            run = list(group)
            if len(run) > 1 and len(self.moments[run[0]]) > 1:
                yield Repeat(run[1], len(run) - 1, run[0], "grip")

    def is_figure(self, repeat: Repeat) -> bool:
        """Whether a stretch that comes again is a figure to a player."""
        near = repeat.near
        if repeat.how == "grip":
            return True
        if repeat.count < _SHORT and repeat.start - repeat.first > _REMEMBERED:
            return False
        if repeat.how == "mirrored":
            notes = self.places[repeat.start : repeat.start + repeat.count]
            return repeat.count >= _TURN and len(set(notes)) > 1
        if repeat.how == "again":
            least = _NEAR_EXACT if near else _FAR_EXACT
            return repeat.count >= least and not self._passes(repeat)
        if self.places[repeat.first] == self.places[repeat.start]:
            return False
        if repeat.count < (_NEAR_MOVED if near else _FAR_MOVED):
            return False
        if near and repeat.count < _PAIRS_MOVED and self._cuts_a_string(repeat):
            return False
        return not self._one_step(repeat) and not self._in_one_position(repeat, near)

    def _passes(self, repeat: Repeat) -> bool:
        """Whether it is no more than where two steps of a run on one string overlap."""
        if repeat.count != repeat.start - repeat.first:
            return False
        end = repeat.start + repeat.count
        own = self.heads[repeat.first : end]
        around = (*self.heads[max(0, repeat.first - 1) : repeat.first], *self.heads[end : end + 1])
        return len({place.string for place in own}) == 1 and any(
            place.string == own[0].string and place not in own for place in around
        )

    def _one_step(self, repeat: Repeat) -> bool:
        """Whether it is a run of one and the same move."""
        last = max(repeat.first + repeat.count - 1, repeat.start)
        return len(set(self.moves[repeat.first : last])) == 1

    def _cuts_a_string(self, repeat: Repeat) -> bool:
        """Whether a short figure on other strings leaves notes of them before, a pair after."""
        strings = [place.string for place in self.heads]
        end = repeat.start + repeat.count
        return strings[repeat.first] != strings[repeat.start] and (
            (repeat.first > 0 and strings[repeat.first - 1] == strings[repeat.first])
            or (repeat.count == 2 and end < len(strings) and strings[end] == strings[end - 1])
        )

    def _in_one_position(self, repeat: Repeat, near: bool) -> bool:
        """Whether each finger has a fret of its own for both without a move of the hand."""
        count = min(repeat.count, repeat.start - repeat.first) if near else repeat.count
        firsts = self.heads[repeat.first : repeat.first + count]
        agains = self.heads[repeat.start : repeat.start + count]
        if firsts[0].fret == agains[0].fret:
            return False
        strings = {place.string for place in firsts}
        if firsts[0].string == agains[0].string and (
            len(strings) > 1 and (count > 2 or max(strings) - min(strings) > 1)
        ):
            return False
        if near and repeat.start - repeat.first == 2 and repeat.count < _PAIRS_MOVED:
            return True
        frets = [place.fret for place in (*firsts, *agains)]
        return max(frets) - min(frets) < _IN_POSITION

    def _distances(self) -> list[int]:
        """The commonest distances from a few notes or moves to where they come again."""
        seen: Counter[int] = Counter()
        for words, size in ((self.places, _FAR_EXACT), (self.moves, _FAR_MOVED - 1)):
            last: dict[tuple[int, ...], int] = {}
            for at in range(len(words) - size + 1):
                word = tuple(words[at : at + size])
                if word in last:
                    seen[at - last[word]] += 1
                last[word] = at
        common = {distance for distance, _ in seen.most_common(_DISTANCES)}
        most = len(self.places) - 1
        return sorted(d for d in common | set(_SHORT_DISTANCES) if d <= most)


def _shape(notes: Together, pitch: Sequence[int]) -> Hashable:
    """What a grip has in common with itself moved."""
    return tuple((note.fret == 0, *_move(notes[0], note, pitch)) for note in notes)


def _move(one: Position, two: Position, pitch: Sequence[int]) -> tuple[int, int, int]:
    """Strings, their interval, and frets from one place to another."""
    return (
        one.string - two.string,
        pitch[one.string] - pitch[two.string],
        one.fret - two.fret,
    )


def _numbered(words: Sequence[Hashable]) -> list[int]:
    """The same number for equal words."""
    numbers: dict[Hashable, int] = {}
    return [numbers.setdefault(word, len(numbers)) for word in words]


def _runs(equal: object) -> Iterator[tuple[int, int]]:
    """Start and length of every run of true flags."""
    import numpy as np

    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.asarray(equal, np.int8), [0]))))
    yield from zip(edges[::2].tolist(), (edges[1::2] - edges[::2]).tolist(), strict=True)
