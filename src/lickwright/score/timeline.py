"""When does each quarter note of a Score sound?

A sounding score starts with a count-in; everything that follows is moved by its length.  Times
stay exact fractions of a quarter note until the last moment, so that page, MIDI and audio cannot
drift apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import RhythmError
from lickwright.score.score import Score

#: Samples a second of all audio that is rendered here (CD rate, IEC 60908).
SAMPLE_RATE = 44100


@dataclass(frozen=True, slots=True)
class Click:
    """One click of a count-in; ``accent`` marks the first beat of a bar."""

    onset: Fraction
    accent: bool


@dataclass(frozen=True, slots=True)
class CountIn:
    """The clicks before the music and how long they take, in quarter notes."""

    length: Fraction
    clicks: tuple[Click, ...]


def count_in(score: Score, bars: int = 1) -> CountIn:
    """The count before a score: ``bars`` whole bars, and up to a pickup's entry if there is one.

    Before a one-beat pickup in 4/4 the count is 1 2 3 4 | 1 2 3 and the pickup enters on 4.

    Parameters
    ----------
    score : whose first bar says what is counted.
    bars : how many whole bars; 0 for no count.

    Returns
    -------
    CountIn
        Its clicks and its length, in quarter notes.

    Raises
    ------
    RhythmError
        Where ``bars`` is below 0.

    Examples
    --------
    >>> from lickwright.lick.tab import lick_from_tab
    >>> from lickwright.neck import Guitar
    >>> from lickwright.theory import parse_key
    >>> from lickwright.score.score import Bar
    >>> tab = "\\n".join(["|-----|", "|-8-6-|", *["|-----|"] * 4])
    >>> lick = lick_from_tab(tab, "h")
    >>> bar = Bar(1, Fraction(0), Fraction(4), 4, 4, parse_key("C major"))
    >>> count = count_in(Score("Two notes", Guitar(), lick, (bar,), (), 60, 90))
    >>> len(count.clicks), str(count.length)
    (4, '4')
    """
    if bars < 0:
        raise RhythmError(f"a count-in of {bars} bars", mend="Count in 0 bars or more")
    if bars == 0:
        return CountIn(Fraction(0), ())
    first = score.bars[0]
    whole = first.whole
    length = bars * whole
    if not first.full:
        length += whole - first.length
    clicks = []
    bar_onset = Fraction(0)
    while bar_onset < length:
        onset = bar_onset
        for beat in first.beat_lengths:
            if onset < length:
                clicks.append(Click(onset, onset == bar_onset))
            onset += beat
        bar_onset += whole
    return CountIn(length, tuple(clicks))


def check_tempo(tempo_bpm: float) -> float:
    """A tempo that can be played: 20 to 400 quarter notes a minute.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.

    Returns
    -------
    float
        The same tempo.

    Raises
    ------
    RhythmError
        When nobody could play at it.

    Examples
    --------
    >>> check_tempo(96)
    96
    """
    if not 20 <= tempo_bpm <= 400:
        raise RhythmError(
            f"a tempo of {tempo_bpm:g} quarter notes a minute", mend="Give a tempo from 20 to 400"
        )
    return tempo_bpm


def seconds(quarters: Fraction, tempo_bpm: float) -> float:
    """Seconds that ``quarters`` quarter notes take.

    Parameters
    ----------
    quarters : a length in quarter notes.
    tempo_bpm : quarter notes a minute.

    Returns
    -------
    float
        Seconds.

    Examples
    --------
    >>> seconds(Fraction(4), 80)
    3.0
    """
    return float(quarters) * 60.0 / tempo_bpm
