"""What the page decides about a Score before any file format: one value that both staves read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from lickwright.lick import LickNote
from lickwright.score.notation.accents import meter
from lickwright.score.notation.bars import NotatedBar, WrittenNote, write_bars
from lickwright.score.notation.legato import Run, mute_runs, slides, slur_runs
from lickwright.score.notation.staff import Clef, clef_for, octave_shifts
from lickwright.score.notation.stems import set_stems
from lickwright.score.score import Score


@dataclass(frozen=True, slots=True)
class WrittenScore:
    """A Score with its written layer.

    Parameters
    ----------
    bars : every bar as pieces: note heads and rests.
    divisions : parts of a quarter note in which every moment of the page is whole.
    clef : the clef of the notation.
    shifts : per note of the lick the octaves by which a bracket moves it on the page.
    slurs, slides, mutes : stretches of notes, by index of their first and last.
    """

    score: Score
    bars: tuple[NotatedBar, ...]
    divisions: int
    clef: Clef
    shifts: tuple[int, ...]
    slurs: tuple[Run, ...]
    slides: tuple[Run, ...]
    mutes: tuple[Run, ...]

    def note(self, piece: WrittenNote) -> LickNote | None:
        """The lick's note that a piece writes, ``None`` for a rest."""
        return None if piece.note is None else self.score.lick.notes[piece.note]

    def ticks(self, quarters: Fraction) -> str:
        """A length in divisions of a quarter note."""
        return str(int(quarters * self.divisions))


def write(score: Score) -> WrittenScore:
    """The written layer of a Score.

    Parameters
    ----------
    score : one example, in time.

    Returns
    -------
    WrittenScore
        Its symbols bar by bar, with clef, octave signs, slurs, slides and mutes.

    Raises
    ------
    RhythmError
        See :func:`lickwright.score.notation.bars.write_bars`.

    Examples
    --------
    >>> from lickwright.lick.tab import lick_from_tab
    >>> from lickwright.neck import Guitar
    >>> from lickwright.theory import parse_key
    >>> from lickwright.score import Bar
    >>> tab = "\\n".join(["|-----|", "|-8-6-|", *["|-----|"] * 4])
    >>> lick = lick_from_tab(tab, "h")
    >>> bar = Bar(1, Fraction(0), Fraction(4), 4, 4, parse_key("C major"))
    >>> written = write(Score("Two notes", Guitar(), lick, (bar,), (), 60, 90))
    >>> [len(bar.pieces) for bar in written.bars]
    [2]
    """
    bars = write_bars(score)
    notes = score.lick.notes
    moments = [
        moment for bar in bars for piece in bar.pieces for moment in (piece.onset, piece.end)
    ]
    moments += [chord.onset for chord in score.chords]
    pitches = [note.pitch for note in notes]
    clef = clef_for(score.guitar, pitches)
    shifts = octave_shifts(clef, pitches, _breaks(bars, notes))
    heights = [
        clef.written_step(pitch) + 7 * shift - clef.middle_step
        for pitch, shift in zip(pitches, shifts, strict=True)
    ]
    return WrittenScore(
        score=score,
        bars=tuple(_with_stems(bar, heights) for bar in bars),
        divisions=lcm(*(moment.denominator for moment in moments)),
        clef=clef,
        shifts=shifts,
        slurs=slur_runs(notes),
        slides=slides(notes),
        mutes=mute_runs(notes),
    )


def _with_stems(bar: NotatedBar, heights: Sequence[int]) -> NotatedBar:
    own = [None if piece.note is None else heights[piece.note] for piece in bar.pieces]
    return replace(bar, pieces=set_stems(bar.pieces, own))


def _breaks(bars: Sequence[NotatedBar], notes: Sequence[LickNote]) -> list[int]:
    """Per note 0 where it is the first of its bar, 1 of a beat, 2 for neither."""
    breaks, before = [], (-1, -1)
    index = 0
    for note in notes:
        while index + 1 < len(bars) and bars[index + 1].bar.onset <= note.onset:
            index += 1
        bar = bars[index]
        beat = meter(bar.bar.beats, bar.bar.unit).beat_of(note.onset - bar.zero)
        breaks.append(0 if before[0] != index else 1 if before[1] != beat else 2)
        before = (index, beat)
    return breaks
