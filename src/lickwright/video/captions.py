"""Captions and chapter marks as WebVTT (W3C, WebVTT: The Web Video Text Tracks Format).

A count-in is one cue with a timestamp before each beat, so that a player can count along; then
each bar is a cue that says what sounds in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from lickwright.lick import LickNote
from lickwright.score import Bar, ChordSpan
from lickwright.video.frames import Beat, ChapterMark, Clock, Passage
from lickwright.video.words import signs

# Section 3.3 of the format: these three start tags, escapes and arrows in cue text.
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


def captions_vtt(passages: Sequence[Passage], offset_s: float = 0.0) -> str:
    """Captions of passages that are played one after the other.

    Parameters
    ----------
    offset_s : how long after the beginning of the film the first passage begins.
    """
    cues: list[str] = []
    for passage in passages:
        cues += _counts(passage, offset_s)
        cues += _bars(passage, offset_s)
        offset_s += passage.length_s
    return "WEBVTT\n\n" + "\n".join(cues)


def followed_captions(placed: Sequence[tuple[float, Passage]], settings: str = "") -> str:
    """Captions of playings that lie somewhere in a film.

    Parameters
    ----------
    placed : when each passage begins in the film, and the passage, in time.
    settings : where the captions stand, as cue settings of WebVTT.

    Returns
    -------
    str
        A WebVTT file; bars of which nothing was played have no cue.
    """
    cues = []
    for offset_s, passage in placed:
        for cue in _bars(passage, offset_s):
            first, _, rest = cue.partition("\n")
            cues.append(f"{first} {settings}".rstrip() + f"\n{rest}" if cue else "")
    return "WEBVTT\n\n" + "\n".join(cue for cue in cues if cue)


def chapters_vtt(marks: Iterable[ChapterMark]) -> str:
    """Chapter marks; each lasts until the next begins."""
    cues = (_cue(mark.start_s, mark.end_s, _inert(mark.title)) for mark in marks)
    return "WEBVTT\n\n" + "\n".join(cue for cue in cues if cue)


def passage_marks(passage: Passage, offset_s: float = 0.0) -> tuple[ChapterMark, ...]:
    """Chapters of one example: the count-in, then each chord, or each bar under one chord."""
    score = passage.score
    starts: list[tuple[Fraction, str]] = []
    chords = [(chord.onset, _symbol(chord)) for chord in score.chords]
    for symbol, run in groupby(chords, key=lambda chord: chord[1]):
        starts.append((next(run)[0], symbol))
    if len(starts) < 2:
        starts = [(bar.onset, _bar_name(bar)) for bar in score.bars]
    begins = [(offset_s + passage.seconds(onset), title) for onset, title in starts]
    if passage.start_s > 0:
        begins.insert(0, (offset_s, "Count-in"))
    return _marks(begins, offset_s + passage.length_s)


def sequence_marks(passages: Sequence[Passage], offset_s: float = 0.0) -> tuple[ChapterMark, ...]:
    """Chapters of a lesson's sequence: one a passage, by its name and tempo."""
    begins, at = [], offset_s
    for passage in passages:
        begins.append((at, passage_title(passage)))
        at += passage.length_s
    return _marks(begins, at)


def passage_title(passage: Passage) -> str:
    return f"{passage.score.name}, ♩ = {passage.tempo_bpm:g}"


def _marks(begins: Sequence[tuple[float, str]], end_s: float) -> tuple[ChapterMark, ...]:
    ends = [*(start for start, _ in begins[1:]), end_s]
    return tuple(
        ChapterMark(start, end, title) for (start, title), end in zip(begins, ends, strict=True)
    )


# --- cues -----------------------------------------------------------------------------------


def _counts(passage: Passage, offset_s: float) -> Iterator[str]:
    """One cue for each bar of the count-in."""
    beats = [beat for beat in Clock(passage).beats if beat.bar is None]
    bars: list[list[Beat]] = []
    for beat in beats:
        if not bars or beat.number == 1:
            bars.append([])
        bars[-1].append(beat)
    for bar, after in zip(bars, [*bars[1:], []], strict=True):
        end_s = after[0].time_s if after else passage.start_s
        words = [f"Count-in: {bar[0].number}"]
        words += [f"<{_clock(offset_s + beat.time_s)}>{beat.number}" for beat in bar[1:]]
        yield _cue(offset_s + bar[0].time_s, offset_s + end_s, " ".join(words))


def _bars(passage: Passage, offset_s: float) -> Iterator[str]:
    """One cue for each bar: its chords, the parts that begin, the triads, the degrees."""
    score = passage.score
    sounded = {note.onset for n, note in enumerate(score.lick.notes) if n not in passage.silent}
    for bar in score.bars:
        notes = score.lick.notes_in(bar.onset, bar.end)
        if passage.moments and not any(note.onset in sounded for note in notes):
            continue
        chords = [
            chord for chord in score.chords if chord.onset < bar.end and chord.end > bar.onset
        ]
        parts = [_bar_name(bar)]
        if chords:
            parts[0] += ", " + " then ".join(dict.fromkeys(map(_symbol, chords)))
        names = [part.name for part in score.lick.parts if bar.onset <= part.onset < bar.end]
        if names and len(score.lick.parts) > 1:
            parts[0] += ", " + " then ".join(names)
        lines = [_inert(": ".join([parts[0], *_triads(passage, notes)]))]
        degrees = " ".join(signs(note.degree) for note in notes if note.degree)
        lines.append(_inert(degrees or ("rest" if not notes else "")))
        text = "\n".join(line for line in lines if line)
        start_s = max(passage.seconds(bar.onset), 0.0)
        end_s = min(passage.seconds(bar.end), passage.length_s)
        yield _cue(offset_s + start_s, offset_s + end_s, text)


def _triads(passage: Passage, notes: Sequence[LickNote]) -> Iterator[str]:
    """The triads of a bar in the order in which they are played, if they have names."""
    played = []
    for note in notes:
        names = passage.names_at(note.onset)
        of_note = (names[voice].strip() for voice in note.triads if voice < len(names))
        played += [signs(name) for name in of_note if name]
    order = list(dict.fromkeys(played))
    if order:
        yield " and ".join(order)


def _symbol(chord: ChordSpan) -> str:
    return signs(chord.symbol) or f"over {signs(str(chord.bass))}"


def _bar_name(bar: Bar) -> str:
    return "Pickup" if bar.number == 0 else f"Bar {bar.number}"


def _cue(start_s: float, end_s: float, text: str) -> str:
    """One cue; nothing where it would have no duration, or nothing to say."""
    if round(end_s * 1000) <= round(start_s * 1000) or not text:
        return ""
    return f"{_clock(start_s)} --> {_clock(end_s)}\n{text}\n"


def _clock(time_s: float) -> str:
    """A WebVTT timestamp, with hours."""
    minutes, milliseconds = divmod(round(time_s * 1000), 60_000)
    hours, minutes = divmod(minutes, 60)
    seconds, milliseconds = divmod(milliseconds, 1000)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{milliseconds:03d}"


def _inert(text: str) -> str:
    """Text on one line that no player takes for markup."""
    return " ".join(text.replace("\0", "").split()).translate(_ESCAPES)
