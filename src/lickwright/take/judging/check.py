"""Was what was played what is printed?  A take held against its score, note by note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from lickwright.score import Score, played_time
from lickwright.take.errors import TakeError
from lickwright.take.judging.align import BOUND, MISSING, SAME_PITCH, events_near, gains
from lickwright.take.judging.follow import Followed, follow
from lickwright.take.judging.tempo_line import TempoLine
from lickwright.take.listening import (
    HIGHEST_MIDI,
    LOWEST_MIDI,
    PITCHES,
    Events,
    Recording,
    Spectrum,
    find_events,
    key_range,
    listen,
    ringing,
)
from lickwright.take.report import ExtraNote, HeardNote, NoteVerdict, Pause, Take

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

#: A note this far from its place is early or late.  In an even line listeners notice a displaced
#: note from about 6 ms on (Friberg and Sundberg, "Time discrimination in a monotonic, isochronous
#: sequence", J. Acoust. Soc. Am. 98:5, 1995; from memory); 25 ms is a fault worth practising.
TOLERANCE_S = 0.025

#: A wrong or extra note lies within so many half steps of what is printed there; what lies further
#: off is the band, or a partial.
_NEAR = 9
_CLEAR = 0.5  # log odds from which a start is a note that is not printed
_EXTRA_STRENGTH, _EXTRA_APART_S = 0.45, 0.030
#: A pitch near the printed one that fits this much worse than one far off is not what was played.
_NEARLY_BEST = 0.8
#: Fewer right pitches than this share, and the recording is of something else.
_LEAST_RIGHT = 0.4
#: Known performances reach 0.6 to 0.9 in every voice tried, white noise 0.31.
_LEAST_CLARITY = 0.42
_SHIFTS = (-1, 1, -2, 2, -3, 3, -12, 12)


def check_take(
    score: Score,
    recording: Recording,
    tempo_bpm: float | None = None,
    *,
    tolerance_s: float = TOLERANCE_S,
) -> Take:
    """Hold a take against the score that it plays.

    Parameters
    ----------
    score : what is printed.
    recording : a take of it: with or without a count and a band, starting anywhere.
    tempo_bpm : about the tempo of the take, in quarter notes a minute, within a tenth; any tempo
        from 25 to 320 is found without it.
    tolerance_s : a note this far from its place is early or late.

    Raises
    ------
    TakeError
        Where the score has no notes, or the recording is not of it.
    """
    pitched = pitched_notes(score)
    if not pitched:
        raise TakeError("this example has no notes to listen for", mend="Choose another example")
    keys = _keys(score, pitched)
    sound = listen(recording)
    events = find_events(recording, sound, key_range(score.guitar))
    quarters = _played(score, pitched, tempo_bpm or score.target_bpm)
    followed = follow(events, keys, quarters, tempo_bpm)
    kept = followed.line.bpm(float(quarters[0]), max(float(quarters[-1]), float(quarters[0]) + 1.0))
    swung = _played(score, pitched, kept)
    if tempo_bpm is None and not np.array_equal(swung, quarters):
        # How far notes swing depends on the tempo, which is known only now.
        quarters = swung
        followed = follow(events, keys, quarters, kept)
    _check_clear(events, followed)
    heard = _judged(events, keys, followed, tolerance_s)
    if sum(note.heard_midi == note.midi for note in heard) < _LEAST_RIGHT * len(heard):
        raise _other_music(events, keys, quarters, followed)
    return _take(score, recording, sound, events, pitched, followed, heard, tolerance_s)


def take_of_part(
    score: Score,
    recording: Recording,
    sound: Spectrum,
    events: Events,
    notes: Sequence[int],
    tempo_bpm: float,
    *,
    tolerance_s: float = TOLERANCE_S,
) -> Take:
    """Hold some notes of a score against a stretch of a recording that is known to play them.

    Parameters
    ----------
    sound : what the whole recording shows.
    events : the possible starts of the stretch alone.
    notes : which notes of the lick were played, rising, none of them dead; the others are not
        judged.
    tempo_bpm : the tempo of the stretch, within a tenth, in quarter notes a minute.

    Returns
    -------
    Take
        Its tempo, drift and pauses are those of the part.
    """
    pitched = list(notes)
    keys, quarters = _keys(score, pitched), _played(score, pitched, tempo_bpm)
    followed = follow(events, keys, quarters, tempo_bpm)
    heard = _judged(events, keys, followed, tolerance_s)
    return _take(score, recording, sound, events, pitched, followed, heard, tolerance_s)


def pitched_notes(score: Score) -> list[int]:
    """The notes of a lick that can be listened for: neither dead nor beyond what is heard."""
    return [
        i
        for i, note in enumerate(score.lick.notes)
        if not note.marks.dead and LOWEST_MIDI <= note.pitch.midi <= HIGHEST_MIDI
    ]


def _keys(score: Score, notes: Sequence[int]) -> Ints:
    """The MIDI keys of some notes of a lick."""
    return np.array([score.lick.notes[i].pitch.midi for i in notes])


def _take(
    score: Score,
    recording: Recording,
    sound: Spectrum,
    events: Events,
    pitched: list[int],
    followed: Followed,
    heard: list[HeardNote],
    tolerance_s: float,
) -> Take:
    """What was heard of some notes, as a take of the score."""
    keys, quarters = _keys(score, pitched), [score.lick.notes[i].onset for i in pitched]
    rings = ringing(recording, sound.tuning_cents, heard, [score.lick.notes[i] for i in pitched])
    heard = [replace(note, ring_s=ring) for note, ring in zip(heard, rings, strict=True)]
    extras = _extras(events, keys, followed, heard)
    pauses = tuple(replace(pause, index=pitched[pause.index]) for pause in followed.pauses)
    line = followed.line
    beginning, end = _tempi(line, float(quarters[0]), float(quarters[-1]))
    return Take(
        score=score,
        notes=_all_notes(score, dict(zip(pitched, heard, strict=True)), line, pauses),
        extras=tuple(replace(extra, after=pitched[extra.after]) for extra in extras),
        pauses=pauses,
        tempo_bpm=line.bpm(float(quarters[0]), max(float(quarters[-1]), float(quarters[0]) + 1.0)),
        drift=end / beginning - 1.0,
        start_s=float(line.at(np.array([0.0]))[0]),
        tuning_cents=sound.tuning_cents,
        tolerance_s=tolerance_s,
        clipped=recording.clipped,
    )


def _played(score: Score, notes: list[int], tempo_bpm: float) -> Floats:
    """When notes of a score are due, in quarter notes, as they swing at a tempo."""
    times = played_time(score, tempo_bpm)
    return np.array([float(times.line(score.lick.notes[i].onset)) for i in notes])


def _check_clear(events: Events, followed: Followed) -> None:
    """Refuse a recording whose starts are not those of pitches."""
    clarity = events.clarity[followed.chosen[followed.chosen >= 0]]
    if len(clarity) and np.median(clarity) < _LEAST_CLARITY:
        raise TakeError(
            "no clear notes can be heard in the take",
            mend="Record the guitar louder against the noise around it",
        )


def _tempi(line: TempoLine, low: float, high: float) -> tuple[float, float]:
    """The tempo over the first and over the last third of the notes."""
    third = (high - low) / 3.0
    if not third:
        return 1.0, 1.0
    return line.bpm(low, low + third), line.bpm(high - third, high)


def _all_notes(
    score: Score, heard: dict[int, HeardNote], line: TempoLine, pauses: tuple[Pause, ...]
) -> tuple[HeardNote, ...]:
    """The judged notes with their places in the lick, and the dead ones between them."""
    notes = []
    moments = _played(score, list(range(len(score.lick.notes))), score.target_bpm)
    for index, note in enumerate(score.lick.notes):
        if index in heard:
            notes.append(replace(heard[index], index=index))
        else:
            due = float(line.at(moments[index : index + 1])[0])
            due += sum(pause.seconds for pause in pauses if pause.index <= index)
            notes.append(HeardNote(index, note.pitch.midi, due, NoteVerdict.UNJUDGED))
    return tuple(notes)


def _judged(events: Events, keys: Ints, followed: Followed, tolerance_s: float) -> list[HeardNote]:
    """What became of each note."""
    notes = []
    for index, event in enumerate(followed.chosen.tolist()):
        due, key = float(followed.expected_s[index]), int(keys[index])
        pitch = key
        if event >= 0 and events.belief[event] > _CLEAR:
            share = events.share_of(keys[[index]], np.array([event]))[0]
            pitch = key if share >= SAME_PITCH else _other_pitch(events, event, key)
        if event < 0 or pitch == _NONE:
            best = _best_guess(events, key, due)
            notes.append(HeardNote(index, key, due, NoteVerdict.MISSING, sure=_odds(-best)))
            continue
        time = float(events.time_s[event])
        verdict = NoteVerdict.PLAYED
        if pitch != key:
            verdict = NoteVerdict.WRONG
        elif abs(time - due) > tolerance_s:
            verdict = NoteVerdict.LATE if time > due else NoteVerdict.EARLY
        gain = float(gains(events.some(np.array([event])), keys[[index]])[0, 0])
        sure = _odds(float(max(events.belief[event], gain - MISSING)))
        notes.append(HeardNote(index, key, due, verdict, time, pitch, sure))
    return notes


_NONE = -1


def _other_pitch(events: Events, event: int, key: int) -> int:
    """The pitch that was played instead of ``key``; :data:`_NONE` where it was the band's."""
    near = np.abs(PITCHES - key) <= _NEAR
    fit = events.fit[event]
    best = int(PITCHES[near][np.argmax(fit[near])])
    if best != key and fit[near].max() >= _NEARLY_BEST * fit.max():
        return best
    return key if fit[key - PITCHES[0]] >= 0.5 * fit.max() else _NONE


def _best_guess(events: Events, key: int, due_s: float) -> float:
    """How likely, in log odds, the likeliest start near a place is this note."""
    near = events.some(events_near(events, np.array([due_s]), np.array([_EXTRA_APART_S])))
    return float(gains(near, np.array([key])).max(initial=-BOUND + MISSING)) - MISSING


def _odds(log_odds: float) -> float:
    return float(1.0 / (1.0 + np.exp(-np.clip(log_odds, -30.0, 30.0))))


def _extras(
    events: Events, keys: Ints, followed: Followed, heard: list[HeardNote]
) -> list[ExtraNote]:
    """Clear notes between the first and the last that no printed note accounts for."""
    taken = {note.heard_s for note in heard if note.heard_s is not None}
    if not taken:
        return []
    at = np.array(sorted(taken))
    places = np.array([note.expected_s if note.heard_s is None else note.heard_s for note in heard])
    strength = events.strength
    usual = float(np.median(strength[np.isin(events.time_s, at)]))
    found = []
    for event in np.flatnonzero(events.belief > _CLEAR).tolist():
        time = float(events.time_s[event])
        if not at[0] < time < at[-1] or np.abs(at - time).min() < _EXTRA_APART_S:
            continue
        after = max(int(np.searchsorted(places, time)) - 1, 0)
        pitch = int(events.best[event])
        far = np.abs(keys[after : after + 2] - pitch).min() > _NEAR
        if far or strength[event] < _EXTRA_STRENGTH * usual:
            continue
        found.append(ExtraNote(after, time, pitch, _odds(float(events.belief[event]))))
    return found


def _other_music(events: Events, keys: Ints, quarters: Floats, followed: Followed) -> TakeError:
    """Why so few notes are right: another tuning, or another piece."""
    here = _right_share(events, keys, followed)
    for shift in _SHIFTS:
        moved = follow(events, keys + shift, quarters, None)
        share = _right_share(events, keys + shift, moved)
        if share > max(0.7, here + 0.3):
            steps = abs(shift)
            name = "an octave" if steps == 12 else f"{steps} half step{'s' * (steps > 1)}"
            return TakeError(
                f"the take sounds {name} {'above' if shift > 0 else 'below'} what is printed",
                mend="Tune the guitar, or give the lesson the tuning and capo of the take",
            )
    return TakeError(
        f"of {len(keys)} printed notes only {round(here * len(keys))} could be found in the take",
        mend="Check that it is a take of this example, and give its tempo",
    )


def _right_share(events: Events, keys: Ints, followed: Followed) -> float:
    found = followed.chosen >= 0
    right = events.share_of(keys[found], followed.chosen[found]) > SAME_PITCH
    return float(right.sum()) / len(keys)
