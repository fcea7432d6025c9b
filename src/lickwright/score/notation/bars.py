"""How is a lick written? Its notes cut at bar lines and beats, with values, ties and rests.

The sounding time of a Score is exact; the page has only plain and dotted values, ties between
them, and tuplets.  Each :class:`WrittenNote` is one symbol of the page.  Rules, common practice, no
source:

* a note is cut at every bar line, and at the edges of every tuplet;
* inside a bar it may cross a division only from or to a moment at least as strong, or as the
  plain syncopation (half of each of the two neighbours, as in eighth-quarter-eighth);
* a rest never crosses a division: each fills a half of a bar, a beat, a half of a beat.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter

from lickwright.errors import RhythmError
from lickwright.lick import Tuplet
from lickwright.score.notation.accents import AccentGrid, MeterAccents, meter, tuplet_grid
from lickwright.score.notation.beams import Beam, Beamable, beam_marks
from lickwright.score.notation.values import VALUES, NoteValue, value_of
from lickwright.score.score import Bar, Score

Stretch = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class TupletPart:
    """A piece's place in a tuplet: ``actual`` values of ``unit`` in the room of ``normal``.

    The first piece says whether a ``bracket`` shows how far the tuplet reaches.
    """

    index: int
    actual: int
    normal: int
    unit: NoteValue
    starts: bool = False
    stops: bool = False
    bracket: bool = False


@dataclass(frozen=True, slots=True)
class WrittenNote:
    """One symbol of the page: a note head or a rest.

    Parameters
    ----------
    onset, duration : sounding quarter notes from the start of the Score.
    value : what is drawn; ``None`` for the rest that fills a bar whatever its meter.
    note : index into the lick's notes, ``None`` for a rest.
    part : which of the note's tied parts, 0 for the first.
    tied_to : the note goes on into the piece after.
    tuplet : the tuplet that it stands in.
    beams : per beam, the outermost (eighths) first, what happens to it at this note.
    stem_up : which way the stem points; settled when the clef is.
    """

    onset: Fraction
    duration: Fraction
    value: NoteValue | None
    note: int | None = None
    part: int = 0
    tied_to: bool = False
    tuplet: TupletPart | None = None
    beams: tuple[Beam, ...] = ()
    stem_up: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration

    @property
    def tied_from(self) -> bool:
        """Whether the note goes on from the piece before."""
        return self.part > 0

    @property
    def flags(self) -> int:
        """Flags of the symbol when it stands alone."""
        return 0 if self.value is None else self.value.flags


@dataclass(frozen=True, slots=True)
class NotatedBar:
    """A bar as the page shows it; a ``pickup`` leans on its end and carries no number."""

    bar: Bar
    pickup: bool
    pieces: tuple[WrittenNote, ...]

    @property
    def zero(self) -> Fraction:
        """Where a full bar of the meter would begin: before the onset of a pickup."""
        return _zero(self.bar, self.pickup)


@dataclass(frozen=True, slots=True)
class _Segment:
    """A stretch of a bar with one way of counting: plain time, or the inside of a tuplet.

    A moment ``t`` of the Score is ``(t - origin) * stretched`` on the grid.
    """

    start: Fraction
    end: Fraction
    origin: Fraction
    grid: AccentGrid
    stretched: Fraction = Fraction(1)
    tuplet: TupletPart | None = None

    def cut(self, start: Fraction, end: Fraction, note: int | None) -> Iterator[WrittenNote]:
        """The pieces that write one note, or one silence, inside this segment."""
        a, b = (start - self.origin) * self.stretched, (end - self.origin) * self.stretched
        whole = note is not None or self.tuplet is not None
        for c, d in _cut_note(a, b, self.grid) if whole else _cut_rest(a, b, self.grid):
            yield WrittenNote(
                self.origin + c / self.stretched,
                (d - c) / self.stretched,
                value_of(d - c),
                note,
                tuplet=self.tuplet,
            )


def write_bars(score: Score) -> tuple[NotatedBar, ...]:
    """The written layer of a Score: one :class:`NotatedBar` per bar.

    Raises
    ------
    RhythmError
        When the bars do not follow one another or the lick does not fit them, notes overlap, or
        a moment has no written value.
    """
    _check_bars(score)
    _check_lick(score)
    times = tuple((note.onset, note.end) for note in score.lick.notes)
    return _written(score.bars, _Time(times, score.lick.tuplets))


@dataclass(frozen=True, slots=True)
class _Time:
    """All of a lick that decides how it is cut: when each note begins and ends, and its tuplets."""

    notes: tuple[tuple[Fraction, Fraction], ...]
    tuplets: tuple[Tuplet, ...]


@lru_cache(maxsize=64)
def _written(bars: tuple[Bar, ...], time: _Time) -> tuple[NotatedBar, ...]:
    """The bars with their pieces; most edits leave the time as it was."""
    written = []
    parts = [0] * len(time.notes)
    for index in range(len(bars)):
        bar = _write_bar(bars, index, time)
        written.append(replace(bar, pieces=tuple(_tie(bar.pieces, time, parts))))
    return tuple(written)


def _check_bars(score: Score) -> None:
    if not score.bars:
        raise RhythmError("there is no bar to write", mend="Give the example at least one bar")
    for before, after in pairwise(score.bars):
        if before.end != after.onset:
            raise RhythmError(f"bar {after.number} does not start where bar {before.number} ends")
    for bar in score.bars:
        full = meter(bar.beats, bar.unit).grid.length
        if not 0 < bar.length <= full:
            raise RhythmError(
                f"bar {bar.number} holds {bar.length} quarter notes where {bar.beats}/{bar.unit} "
                f"takes {full}",
                mend="Make its notes and rests add up to the meter",
            )


def _check_lick(score: Score) -> None:
    moment = score.bars[0].onset
    for number, note in enumerate(score.lick.notes, start=1):
        if note.duration <= 0:
            raise RhythmError(
                f"note {number} ({note.pitch}) has no length", mend="Give it a duration"
            )
        if note.onset < moment:
            raise RhythmError(
                f"note {number} ({note.pitch}) starts before the note before it ends",
                mend="A lick is one line: end each note where the next begins, or earlier",
            )
        moment = note.end
    if moment > score.length:
        raise RhythmError(
            f"the last note ends {moment - score.length} quarter notes after the last bar",
            mend="Add a bar or shorten the note",
        )
    for before, after in pairwise(score.lick.tuplets):
        if after.onset < before.onset + before.length:
            raise RhythmError(
                f"the tuplet that starts {after.onset} quarter notes in lies inside another",
                mend="Let tuplets follow one another",
            )


def _write_bar(bars: Sequence[Bar], index: int, time: _Time) -> NotatedBar:
    bar = bars[index]
    measure = meter(bar.beats, bar.unit)
    # A short first bar is a pickup: its end, not its start, is a bar line of the meter.
    pickup = index == 0 and bar.length < measure.grid.length and len(bars) > 1
    zero = _zero(bar, pickup)
    spans = list(_spans(time, bar))
    if bar.length == measure.grid.length and all(note is None for note, _, _ in spans):
        return NotatedBar(bar, pickup, (WrittenNote(bar.onset, bar.length, None),))
    edges = [start for _, start, _ in spans]
    pieces: list[WrittenNote] = []
    for segment in _segments(time, bar, edges, measure, zero):
        for note, span_start, span_end in spans:
            start, end = max(span_start, segment.start), min(span_end, segment.end)
            if start < end:
                pieces.extend(segment.cut(start, end, note))
    pieces = _bound_tuplets(pieces)
    return NotatedBar(bar, pickup, tuple(_beam(pieces, time, measure, zero)))


def _zero(bar: Bar, pickup: bool) -> Fraction:
    return bar.end - meter(bar.beats, bar.unit).grid.length if pickup else bar.onset


def _spans(time: _Time, bar: Bar) -> Iterator[tuple[int | None, Fraction, Fraction]]:
    """What fills the bar, in time: parts of notes (by index) and gaps (``None``)."""
    moment = bar.onset
    for index in range(bisect_right(time.notes, bar.onset, key=itemgetter(1)), len(time.notes)):
        onset, end = time.notes[index]
        if onset >= bar.end:
            break
        start, end = max(onset, bar.onset), min(end, bar.end)
        if moment < start:
            yield None, moment, start
        yield index, start, end
        moment = end
    if moment < bar.end:
        yield None, moment, bar.end


def _end(tuplet: Tuplet) -> Fraction:
    return tuplet.onset + tuplet.length


def _segments(
    time: _Time, bar: Bar, edges: list[Fraction], measure: MeterAccents, zero: Fraction
) -> Iterator[_Segment]:
    """The bar cut into plain time and tuplets; a tuplet that nothing divides is plain time."""
    moment = bar.onset
    for index in range(bisect_right(time.tuplets, bar.onset, key=_end), len(time.tuplets)):
        tuplet = time.tuplets[index]
        start, end = max(tuplet.onset, bar.onset), min(_end(tuplet), bar.end)
        if start >= end:
            break
        if not any(start < edge < end for edge in edges):
            continue
        unit = value_of(tuplet.length / tuplet.normal)
        if unit is None:
            raise RhythmError(
                f"a tuplet of {tuplet.actual} in the room of {tuplet.normal} over "
                f"{tuplet.length} quarter notes has no written value",
                mend="Let its length divide into plain note values",
            )
        if moment < start:
            yield _Segment(moment, start, zero, measure.grid)
        yield _Segment(
            start,
            end,
            tuplet.onset,
            tuplet_grid(tuplet.actual, unit.quarters),
            Fraction(tuplet.actual, tuplet.normal),
            TupletPart(index, tuplet.actual, tuplet.normal, unit),
        )
        moment = end
    if moment < bar.end:
        yield _Segment(moment, bar.end, zero, measure.grid)


@lru_cache(maxsize=4096)
def _cut_note(start: Fraction, end: Fraction, grid: AccentGrid) -> tuple[Stretch, ...]:
    """A note as few values as the rules above allow."""
    length = end - start
    left, right = grid.level(start), grid.level(end)
    level, inside = grid.strongest_inside(start, end)
    if value_of(length) is not None and (
        min(left, right) <= level or _syncopated(start, end, grid, level)
    ):
        return ((start, end),)
    cuts = [_cut_note(start, cut, grid) + _cut_note(cut, end, grid) for cut in inside]
    # Fewest symbols; of those, the longest value first where the note starts on a strong moment.
    fewest = min(len(cut) for cut in cuts)
    best = [cut for cut in cuts if len(cut) == fewest]
    return best[0] if left > level else best[-1]


def _syncopated(start: Fraction, end: Fraction, grid: AccentGrid, level: int) -> bool:
    """Whether a note fills the second half of one part of the bar and the first of the next."""
    half = (end - start) / 2
    outer, middle = (start - half, end + half), start + half
    return (
        outer[0] >= 0
        and outer[1] <= grid.length
        and all(grid.level(moment) <= level for moment in (*outer, middle))
    )


def _cut_rest(start: Fraction, end: Fraction, grid: AccentGrid) -> list[Stretch]:
    """A silence as rests that each fill one part of the bar."""
    rests: list[Stretch] = []
    while start < end:
        length = next(
            (
                value.quarters
                for value in VALUES
                if start + value.quarters <= end and _rest_fits(start, value, grid)
            ),
            None,
        )
        if length is None:
            raise RhythmError(
                f"a rest of {end - start} quarter notes has no written value",
                mend="Round it to a plain note value",
            )
        rests.append((start, start + length))
        start += length
    return rests


def _rest_fits(start: Fraction, value: NoteValue, grid: AccentGrid) -> bool:
    end = start + value.quarters
    level, _ = grid.strongest_inside(start, end)
    ternary = grid.cell <= Fraction(1, 2)  # dotted beats: 6/8 and its kin
    if grid.level(start) >= level or (value.dotted and not ternary):
        return False
    if grid.level(end) < level:
        return True
    # The first two eighths of a dotted beat are one quarter rest.
    return (
        ternary
        and value.quarters == 2 * grid.cell
        and end + grid.cell <= grid.length
        and grid.level(end + grid.cell) < level
    )


def _bound_tuplets(pieces: list[WrittenNote]) -> list[WrittenNote]:
    """Mark the first and the last piece of each tuplet."""
    indices = [piece.tuplet.index if piece.tuplet else None for piece in pieces]
    bound = []
    for place, piece in enumerate(pieces):
        if piece.tuplet is not None:
            index = piece.tuplet.index
            starts = place == 0 or indices[place - 1] != index
            stops = place == len(pieces) - 1 or indices[place + 1] != index
            piece = replace(piece, tuplet=replace(piece.tuplet, starts=starts, stops=stops))
        bound.append(piece)
    return bound


def _tie(pieces: Iterable[WrittenNote], time: _Time, parts: list[int]) -> Iterator[WrittenNote]:
    """Number the pieces of each note and tie them; ``parts`` counts those met so far."""
    for piece in pieces:
        note = piece.note
        if note is not None:
            piece = replace(piece, part=parts[note], tied_to=piece.end < time.notes[note][1])
            parts[note] += 1
        yield piece


def _beam(
    pieces: list[WrittenNote], time: _Time, measure: MeterAccents, zero: Fraction
) -> Iterator[WrittenNote]:
    """Give each piece its beams."""
    beats = [measure.beat_of(piece.onset - zero) for piece in pieces]
    crowded = {
        beat
        for beat, piece in zip(beats, pieces, strict=True)
        if piece.flags >= 3 and piece.tuplet is None
    }
    symbols = []
    for beat, piece in zip(beats, pieces, strict=True):
        start, end = zero + measure.beats[beat], zero + measure.beats[beat + 1]
        group, part, place = (0, beat), (0, 0), piece.onset - start
        if piece.tuplet is not None:
            tuplet = time.tuplets[piece.tuplet.index]
            part = (1, piece.tuplet.index)
            place = (piece.onset - tuplet.onset) * Fraction(tuplet.actual, tuplet.normal)
            if tuplet.onset < start or tuplet.onset + tuplet.length > end:
                group = part
        elif end - start >= 2:
            part = (0, int(place))  # half-note beats: the reader counts quarters
        elif beat in crowded:
            part = (0, int(2 * place))  # eighths stay visible among 32nds
        symbols.append(Beamable(piece.flags, piece.note is None, group, part, place))
    for piece, marks in zip(pieces, beam_marks(symbols), strict=True):
        yield replace(piece, beams=marks)
