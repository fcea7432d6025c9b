"""Where in a recording may a line have been played, wholly or in part, at some tempo?

A best path over (note, tempo, start), as in local alignment: it may begin at any note and at any
start, it gains by every note whose pitch and time fit, and it pays for notes left out, for starts
passed over, for steps longer or shorter than written and for every change of tempo.  What is left
above nothing is evidence, in nats, that these starts are this line and not other notes.

Only starts that fit a note's pitch are looked at for it, so the work grows with the recording
and with the line, not with their product in starts of every pitch.  No path is kept: each carries
where it began.

Sources
-------
* Local alignment: Smith and Waterman, "Identification of Common Molecular Subsequences", J. Mol.
  Biol. 147, 1981.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from lickwright.score import Score
from lickwright.take.judging import SAME_PITCH, pitched_notes
from lickwright.take.listening import PITCHES, Events

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

#: What a fitting start is worth: a share of its log odds, and for its pitch and time being right.
_LEAST_ODDS, _MOST_ODDS = -3.0, 2.0
_RIGHT = 1.5
_LEAST_NEW, _LEAST_AGAIN, _SOUNDING = -2.5, -1.0, 0.7
#: What a note left out costs, and a likely start that is passed over.
_LEFT_OUT, _PASSED = 3.0, 1.6
_CLOSED = 1e4
_MOST_LEFT_OUT = 2
#: Spread of a step between two notes: fixed, and by its length; what it costs at most.
_STEP_S, _STEP_SHARE, _STEP_BOUND = 0.022, 0.07, 9.0
#: After a pause of at most so long a line may go on.
_PAUSE_S = 4.0
_TEMPO_STEP = 1.08
_CHANGE = 0.9  # of tempo, by one step, from one note to the next
#: What it costs to begin or end inside a bar, and at a bar line inside the line.
_INSIDE_BAR, _AT_BAR = 3.0, 1.0
#: A path with less evidence than this is none.
LEAST_EVIDENCE = 12.0


@dataclass(frozen=True, slots=True)
class SoughtLine:
    """A line of notes that is looked for.

    Parameters
    ----------
    score : what is printed.
    notes : which of its notes can be listened for.
    keys, quarters : their MIDI keys and onsets in quarter notes.
    begins, ends : what it costs to begin or to end with each of them, in nats.
    slowest_bpm, fastest_bpm : between which tempi it is looked for.
    """

    score: Score
    notes: tuple[int, ...]
    keys: Ints
    quarters: Floats
    begins: Floats
    ends: Floats
    slowest_bpm: float
    fastest_bpm: float

    def may_be(self, tempo_bpm: float) -> bool:
        """Whether the line is looked for at about a tempo."""
        return self.slowest_bpm / _TEMPO_STEP <= tempo_bpm <= self.fastest_bpm * _TEMPO_STEP


@dataclass(frozen=True, slots=True)
class Paths:
    """Ways through a line and a recording, side by side; arrays ``(paths,)``.

    Parameters
    ----------
    evidence : in nats, what it costs to begin and end there taken off.
    first, last : places in the sought line, both included.
    begin, end : events.
    tempo_bpm : at the end.
    """

    evidence: Floats
    first: Ints
    last: Ints
    begin: Ints
    end: Ints
    tempo_bpm: Floats

    def some(self, which: Ints) -> Paths:
        """Some of the paths, by their places."""
        return Paths(*(getattr(self, field.name)[which] for field in fields(self)))


def sought_line(score: Score) -> SoughtLine:
    """A score as a line to look for, from half its slow tempo to a quarter above its target."""
    notes = pitched_notes(score)
    lick = score.lick.notes
    onsets = [lick[i].onset for i in notes]
    bars = [bar.onset for bar in score.bars]
    bar_of = [sum(onset <= at for onset in bars) for at in onsets]
    count = len(notes)
    begins, ends = np.full(count, _INSIDE_BAR), np.full(count, _INSIDE_BAR)
    for place in range(count):
        if place == 0:
            begins[place] = 0.0
        elif bar_of[place] != bar_of[place - 1]:
            begins[place] = ends[place - 1] = _AT_BAR
    ends[-1:] = 0.0
    return SoughtLine(
        score,
        tuple(notes),
        np.array([lick[i].pitch.midi for i in notes], np.int64),
        np.array([float(onset) for onset in onsets]),
        begins,
        ends,
        0.5 * score.slow_bpm,
        1.25 * score.target_bpm,
    )


def paths(events: Events, line: SoughtLine, closed: npt.NDArray[np.bool_]) -> Paths:
    """Ways in which a line may have been played, many of them nearly alike.

    Parameters
    ----------
    closed : ``(events,)``: those that no path may use or cross.

    Returns
    -------
    Paths
        For every begin the best end, where the evidence reaches :data:`LEAST_EVIDENCE`.
    """
    tempi = _tempi(line)
    passed = np.cumsum(np.where(closed, _CLOSED, _PASSED / (1.0 + np.exp(1.0 - events.belief))))
    fitting = {int(key): _fitting(events, int(key), closed) for key in np.unique(line.keys)}
    rows: dict[int, _Row] = {}
    found: list[Paths] = []
    for note in range(len(line.keys)):
        which, gain = fitting[int(line.keys[note])]
        rows[note] = _row(events.time_s, passed, rows, line, note, which, gain, tempi)
        rows.pop(note - _MOST_LEFT_OUT - 1, None)
        found.append(_ended(rows[note], line, note, tempi))
    together = Paths(
        *(np.concatenate([getattr(f, field.name) for f in found]) for field in fields(Paths))
    )
    return together.some(_best_of_each(together.evidence, together.first, together.begin))


@dataclass(frozen=True, slots=True)
class _Row:
    """The best paths that end with one note: ``(tempi, events)``.

    Parameters
    ----------
    events : ``(events,)``: the starts that fit the note.
    value : evidence so far.
    first, begin : the note and the event with which the path began.
    """

    events: Ints
    value: Floats
    first: npt.NDArray[np.int32]
    begin: npt.NDArray[np.int32]


def _tempi(line: SoughtLine) -> Floats:
    count = int(np.ceil(np.log(line.fastest_bpm / line.slowest_bpm) / np.log(_TEMPO_STEP))) + 1
    return np.asarray(line.slowest_bpm * _TEMPO_STEP ** np.arange(count), np.float64)


def _fitting(events: Events, key: int, closed: npt.NDArray[np.bool_]) -> tuple[Ints, Floats]:
    """The events that may be a start of a pitch, and what each is worth."""
    share = events.share(np.array([key]))[0]
    sounding = events.sounding[:, min(max(key - PITCHES[0], 0), len(PITCHES) - 1)]
    new = (share >= SAME_PITCH) & (events.belief > _LEAST_NEW)
    again = (sounding > _SOUNDING) & (events.again > _LEAST_AGAIN)
    again &= (events.belief < 1.0) | new
    which = np.flatnonzero((new | again) & ~closed)
    odds = np.where(new, events.belief, -np.inf)
    odds = np.maximum(odds, np.where(again, np.minimum(events.again, 0.5), -np.inf))[which]
    misfit = np.where(new[which], 4.0 * (1.0 - share[which]), 0.0)
    return which, np.clip(odds, _LEAST_ODDS, _MOST_ODDS) * 0.5 + _RIGHT - misfit


def _row(
    time_s: Floats,
    passed: Floats,
    rows: dict[int, _Row],
    line: SoughtLine,
    note: int,
    which: Ints,
    gain: Floats,
    tempi: Floats,
) -> _Row:
    shape = (len(tempi), len(which))
    best = np.full(shape, -line.begins[note])
    first = np.full(shape, note, np.int32)
    begin = np.broadcast_to(which.astype(np.int32), shape).copy()
    here_s = time_s[which]
    own = passed[which] - passed[which - 1] if len(which) else passed[:0]
    own = np.where(which == 0, passed[0] if len(passed) else 0.0, own)
    for back in range(1, min(_MOST_LEFT_OUT + 1, note) + 1):
        before = rows[note - back]
        if not len(before.events) or not len(which):
            continue
        value, from_tempo = _any_tempo(before.value)
        step = ((line.quarters[note] - line.quarters[note - back]) * 60.0 / tempi)[:, None]
        spread = 2.0 * (_STEP_S**2 + (_STEP_SHARE * step) ** 2)
        before_s = time_s[before.events]
        middle = np.searchsorted(before_s, here_s - step)
        looked_at = [middle - 1, middle]
        if back == 1:  # after a pause, the start just before
            last = np.searchsorted(before.events, which) - 1
            looked_at.append(np.broadcast_to(last, shape))
        for at in looked_at:
            valid = (at >= 0) & (at < len(before_s))
            at = np.where(valid, at, 0)
            gone = here_s - before_s[at]
            valid &= (gone > 0.02) & (gone < step + _PAUSE_S)
            total = np.take_along_axis(value, at, axis=1)
            total = total - np.minimum((gone - step) ** 2 / spread, _STEP_BOUND)
            total -= passed[which] - own - passed[before.events[at]] + _LEFT_OUT * (back - 1)
            better = valid & (total > best)
            best[better] = total[better]
            source = np.take_along_axis(from_tempo, at, axis=1)[better]
            first[better] = before.first[source, at[better]]
            begin[better] = before.begin[source, at[better]]
    return _Row(which, best + gain, first, begin)


def _any_tempo(value: Floats) -> tuple[Floats, Ints]:
    """The best value at a tempo or at its neighbours, and at which."""
    best = value.copy()
    source = np.broadcast_to(np.arange(len(value))[:, None], value.shape).copy()
    for here, there in ((slice(1, None), slice(None, -1)), (slice(None, -1), slice(1, None))):
        moved = value[there] - _CHANGE
        better = moved > best[here]
        best[here][better] = moved[better]
        rows = np.broadcast_to(np.arange(len(value))[there][:, None], moved.shape)
        source[here][better] = rows[better]
    return best, source


def _ended(row: _Row, line: SoughtLine, note: int, tempi: Floats) -> Paths:
    """The paths that end with one note, one for each begin."""
    value = row.value - line.ends[note]
    tempo, at = np.nonzero(value >= LEAST_EVIDENCE)
    found = Paths(
        value[tempo, at],
        row.first[tempo, at].astype(np.int64),
        np.full(len(at), note, np.int64),
        row.begin[tempo, at].astype(np.int64),
        row.events[at],
        tempi[tempo],
    )
    return found.some(_best_of_each(found.evidence, found.first, found.begin))


def _best_of_each(evidence: Floats, first: Ints, begin: Ints) -> Ints:
    """The paths with the most evidence of all with the same begin."""
    order = np.lexsort((-evidence, begin, first))
    same = (np.diff(first[order], prepend=-1) == 0) & (np.diff(begin[order], prepend=-1) == 0)
    return np.asarray(order[~same], np.int64)
