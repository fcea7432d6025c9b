"""How is the tempo of a Score printed?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lickwright.score.notation.accents import meter
from lickwright.score.notation.values import NoteValue, value_of
from lickwright.score.score import Score
from lickwright.score.swing import Swing


@dataclass(frozen=True, slots=True)
class PrintedTempo:
    """A tempo mark: the value that is counted, and how many a minute (``66–112``).

    Parameters
    ----------
    swing : what is printed beside it of notes that are not even: ``Swing``, ``Swing 3:2``.
    """

    beat: NoteValue
    per_minute: str
    swing: str = ""


def printed_tempo(score: Score) -> PrintedTempo:
    """The practice range as one mark, counted in the beat of the first bar.

    Parameters
    ----------
    score : whose slow and target tempi are printed.

    Returns
    -------
    PrintedTempo
        The value that is counted, and how many a minute.

    Examples
    --------
    >>> from lickwright.lick.tab import lick_from_tab
    >>> from lickwright.neck import Guitar
    >>> from lickwright.theory import parse_key
    >>> from lickwright.score import Bar
    >>> tab = "\\n".join(["|-----|", "|-8-6-|", *["|-----|"] * 4])
    >>> lick = lick_from_tab(tab, "h")
    >>> bar = Bar(1, Fraction(0), Fraction(4), 4, 4, parse_key("C major"))
    >>> printed_tempo(Score("Two notes", Guitar(), lick, (bar,), (), 60, 90)).per_minute == "60–90"
    True
    """
    bar = score.bars[0]
    counted = meter(bar.beats, bar.unit)
    quarters = counted.beats[1] if counted.compound or bar.unit == 2 else Fraction(1)
    beat = value_of(quarters) or NoteValue(Fraction(1))
    tempi = [_beats_a_minute(bpm, beat) for bpm in (score.slow_bpm, score.target_bpm)]
    return PrintedTempo(beat, "–".join(dict.fromkeys(tempi)), printed_swing(score.swing))


def printed_swing(swing: Swing | None) -> str:
    """How swing is told on a page: nothing for even notes, the ratio where it is not a triplet's.

    >>> printed_swing(Swing(Fraction(3, 2), Fraction(1, 4)))
    'Swing 16ths 3:2'
    """
    if swing is None or swing.ratio == 1:
        return ""
    words = ["Swing"]
    if swing.unit == Fraction(1, 4):
        words.append("16ths")
    if swing.ratio not in (None, 2):
        words.append(f"{swing.ratio.numerator}:{swing.ratio.denominator}")
    return " ".join(words)


def tempo_number(bpm: float) -> str:
    """A tempo without needless decimals.

    Parameters
    ----------
    bpm : beats a minute.

    Returns
    -------
    str
        With at most six decimals.

    Examples
    --------
    >>> tempo_number(92.0), tempo_number(66.5)
    ('92', '66.5')
    """
    return f"{bpm:.6f}".rstrip("0").rstrip(".")


def _beats_a_minute(quarters_bpm: float, beat: NoteValue) -> str:
    """A tempo counted in ``beat``, to the whole where it is not counted in quarters."""
    if beat.quarters == 1:
        return tempo_number(quarters_bpm)
    return str(round(quarters_bpm / float(beat.quarters)))
