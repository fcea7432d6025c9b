"""Which start in the recording is which note of the score?

First, without knowing tempo or start: a shortest path over (note, event) for each of a row of
tempi.  It pays for notes left out, for likely starts passed over, for a pitch that does not fit
and for the step from one note to the next being longer or shorter than written.  Then the tempo
line is known (:mod:`lickwright.take.judging.tempo_line`), and a second path pays for the distance
of each start from its place on that line.

Dynamic programming over a score position is how audio is commonly aligned to a score (Müller,
*Fundamentals of Music Processing*, 2015, chapter 3); ours works on starts instead of frames.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.take.listening import PITCHES, Events

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

#: What a note left out costs, in nats.
MISSING = 4.0
#: What a pitch costs that fits an event a share ``1 - x`` worse than its best, and at most.
MISFIT = 12.0
WRONG = 4.0
BOUND = 4.0
#: The printed pitch is believed where it fits a start at least this well against the best pitch.
#: Of 1,900 notes of known performances 99.5 % of right pitches lie above, and 99 % of pitches up to
#: three half steps off below.
SAME_PITCH = 0.72
_AGAIN_BOUND = 0.5  # a string struck again is never as sure as a pitch that is new
_CLEAR = 1.0  # log odds from which another pitch that is new is not overheard
_SOUNDING = 0.7

_SLOWEST_BPM, _FASTEST_BPM, _TEMPO_STEP = 25.0, 320.0, 1.08
_STEP_S, _STEP_SHARE = 0.022, 0.06  # spread of a step between two notes: fixed, and by its length
_STEP_BOUND = 9.0
_NEAREST = range(-3, 3)  # events looked at around the place from where a note would have come
_JUST_BEFORE = range(1, 4)
_MOST_SKIPPED = 3
_MOST_VALUES = 4_000_000  # (note, tempo, event) held at once, where there are several tempi
_AT_ONCE = 4096  # events

_PLACE_S = 0.025
_PLACE_BOUND = 8.0


@dataclass(frozen=True, slots=True)
class Alignment:
    """An alignment: the event of each note, or -1; its score in nats; its tempo."""

    events: Ints
    score: float
    tempo_bpm: float


def gains(events: Events, keys: Ints) -> Floats:
    """What each note gains by each event, in nats against being left out: ``(notes, events)``.

    An event is the note's start because its pitch is new there, or because it was struck again
    while it still sounded; the likelier of the two counts.
    """
    share = events.share(keys)
    new = np.clip(events.belief, -BOUND, BOUND) - np.minimum(MISFIT * (1.0 - share), WRONG)
    sounding = events.sounding[:, np.clip(keys - PITCHES[0], 0, len(PITCHES) - 1)].T
    other = (events.belief > _CLEAR) & (share < SAME_PITCH)
    again = np.where(
        (sounding > _SOUNDING) & ~other, np.clip(events.again, -BOUND, _AGAIN_BOUND), -np.inf
    )
    return MISSING + np.maximum(new, again)


def _gains_in_blocks(events: Events, keys: Ints) -> Floats:
    """:func:`gains`, worked out for some events at a time."""
    gain = np.zeros((len(keys), len(events)))
    for first in range(0, len(events), _AT_ONCE):
        which = np.arange(first, min(first + _AT_ONCE, len(events)))
        gain[:, which] = gains(events.some(which), keys)
    return gain


def find_tempo(events: Events, keys: Ints, quarters: Floats, tempo_bpm: float | None) -> Alignment:
    """The best alignment over all tempi, or over those near a given one.

    Parameters
    ----------
    keys, quarters : MIDI key and onset in quarter notes of each note.
    tempo_bpm : a tempo within a tenth of the take's, or ``None``.
    """
    nothing = Alignment(np.full(len(keys), -1), -np.inf, tempo_bpm or 100.0)
    different, which = np.unique(keys, return_inverse=True)
    gain = _gains_in_blocks(events, different)
    used = np.flatnonzero(gain.max(axis=0, initial=-np.inf) > 0.0)
    if not len(used) or not len(keys):
        return nothing
    time_s, gain = events.time_s[used], gain[:, used]
    tempi = _tempi(tempo_bpm)
    together = max(1, _MOST_VALUES // (len(keys) * len(used)))
    best = nothing
    for first in range(0, len(tempi), together):
        some = tempi[first : first + together]
        chosen, scores = _walk(time_s, gain, which, quarters[:, None] * 60.0 / some)
        for row, score, tempo in zip(chosen, scores, some, strict=True):
            if score > best.score:
                found = np.where(row >= 0, used[np.maximum(row, 0)], -1)
                best = Alignment(found, float(score), float(tempo))
    return best


def _tempi(tempo_bpm: float | None) -> Floats:
    if tempo_bpm is not None:
        return np.asarray(tempo_bpm * _TEMPO_STEP ** np.arange(-2.0, 3.0))
    count = int(np.log(_FASTEST_BPM / _SLOWEST_BPM) / np.log(_TEMPO_STEP)) + 1
    return np.asarray(_SLOWEST_BPM * _TEMPO_STEP ** np.arange(count), np.float64)


def _walk(time_s: Floats, gain: Floats, which: Ints, written_s: Floats) -> tuple[Ints, Floats]:
    """The best path for each tempo: the event of each note ``(tempi, notes)``, and the scores.

    Only the values of the last few notes are held, and of each step back how many notes and events
    it goes: both are small, however long the take.

    Parameters
    ----------
    gain : ``(keys, events)``.
    which : the row of ``gain`` that each note has.
    written_s : the onsets as written at each tempo, ``(notes, tempi)``.
    """
    notes, tempi = written_s.shape
    count = len(time_s)
    value: dict[int, Floats] = {}
    back_notes = np.zeros((notes, tempi, count), np.int8)
    back_events = np.zeros((notes, tempi, count), np.int32)
    scores = np.full(tempi, -np.inf)
    ends = np.zeros((tempi, 2), np.int64)
    here = np.arange(count)
    for note in range(notes):
        best = np.zeros((tempi, count))
        for back in range(1, min(_MOST_SKIPPED + 1, note) + 1):
            step = (written_s[note] - written_s[note - back])[:, None]
            spread = 2.0 * (_STEP_S**2 + (_STEP_SHARE * step) ** 2)
            middle = np.searchsorted(time_s, time_s - step)
            looked_at = [middle + offset for offset in _NEAREST]
            if back == 1:  # after a pause, the start just before
                looked_at += [
                    np.broadcast_to(here - offset, middle.shape) for offset in _JUST_BEFORE
                ]
            for before in looked_at:
                valid = (before >= 0) & (before < here)
                before = np.where(valid, before, 0)
                off = time_s - time_s[before] - step
                total = np.take_along_axis(value[note - back], before, axis=1)
                total -= np.minimum(off * off / spread, _STEP_BOUND)
                better = valid & (total > best)
                best[better] = total[better]
                back_notes[note][better] = back
                back_events[note][better] = (here - before)[better]
        value[note] = best + gain[which[note]]
        value.pop(note - _MOST_SKIPPED - 1, None)
        last = np.argmax(value[note], axis=1)
        ended = value[note][np.arange(tempi), last]
        higher = ended > scores
        scores[higher] = ended[higher]
        ends[higher] = np.stack([np.full(tempi, note), last], axis=1)[higher]
    chosen = np.full((tempi, notes), -1)
    for tempo, (note, event) in enumerate(ends.tolist()):
        while True:
            chosen[tempo, note] = event
            back = int(back_notes[note, tempo, event])
            if not back:
                break
            note, event = note - back, event - int(back_events[note, tempo, event])
    return chosen, scores


def place(events: Events, keys: Ints, expected_s: Floats, reach_s: Floats) -> Ints:
    """The event of each note, or -1, when every note's place in time is known.

    Parameters
    ----------
    expected_s : where each note should start, in seconds.
    reach_s : how far from there it is looked for.
    """
    near = events_near(events, expected_s, reach_s)
    events = events.some(near)
    off = np.abs(events.time_s[None, :] - expected_s[:, None])
    timing = np.minimum(off / _PLACE_S, _PLACE_BOUND)
    gain = np.where(off <= reach_s[:, None], gains(events, keys) - timing, -np.inf)
    notes, count = gain.shape
    # The heaviest common subsequence: value[i, j] over the first i notes and the first j events.
    value = np.zeros((notes + 1, count + 1))
    for note in range(notes):
        with_note = np.maximum(value[note, :-1] + gain[note], value[note, 1:])
        value[note + 1, 1:] = np.maximum.accumulate(with_note)
    chosen = np.full(notes, -1)
    note, event = notes, count
    while note and event:
        here = value[note, event]
        if here == value[note - 1, event]:
            note -= 1
        elif here == value[note, event - 1]:
            event -= 1
        else:
            note, event = note - 1, event - 1
            chosen[note] = near[event]
    return chosen


def events_near(events: Events, at_s: Floats, reach_s: Floats) -> Ints:
    """The events within reach of any of some moments."""
    low = np.searchsorted(events.time_s, at_s - reach_s, "left")
    high = np.searchsorted(events.time_s, at_s + reach_s, "right")
    opened = np.zeros(len(events) + 1, np.int64)
    np.add.at(opened, low, 1)
    np.add.at(opened, high, -1)
    return np.flatnonzero(np.cumsum(opened)[:-1] > 0)
