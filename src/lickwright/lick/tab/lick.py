"""How do a tab block and a rhythm become a lick?

Tab says where the fingers go and not when, so the rhythm comes beside it.  Every column takes one
note of the rhythm; a held column, ``(12)``, lengthens the note that it holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from lickwright.errors import RhythmError, TabError
from lickwright.lick.notes import Lick, LickNote, Technique
from lickwright.lick.phrase import line_note, plain_spelling
from lickwright.lick.rhythm import COMMON_TIME, Ending, Meter, Rhythm, lay_out, parse_rhythm
from lickwright.lick.tab.block import TabBlock
from lickwright.lick.tab.reading import parse_tab
from lickwright.neck import Guitar
from lickwright.theory import NoteName


def lick_from_tab(
    tab: TabBlock | str,
    rhythm: Rhythm | str,
    guitar: Guitar | None = None,
    *,
    meter: Meter = COMMON_TIME,
    ending: Ending | str = Ending.BAR,
    names: Mapping[int, NoteName] | None = None,
    degrees: Mapping[int, str] | None = None,
    voices: Mapping[int, int] | None = None,
) -> Lick:
    """The lick of a tab block, its fingers and strokes still open.

    Parameters
    ----------
    tab, rhythm : as text or read.
    guitar : the instrument; standard where not given.
    meter : where the bar lines fall.  In a tab of several bars, every note must lie in the same
        bar of the tab and of the rhythm.
    ending : how far the last note is held.
    names, degrees, voices : spelling, label and triad by pitch class.

    Returns
    -------
    Lick
        Its onsets and durations in quarter notes.

    Raises
    ------
    TabError, RhythmError, NeckError
        Where a part cannot be read, or tab and rhythm disagree on a bar.

    Examples
    --------
    >>> tab = "\\n".join(["|-----|", "|-8-6-|", *["|-----|"] * 4])
    >>> [str(note.pitch) for note in lick_from_tab(tab, "h").notes]
    ['G4', 'F4']
    """
    guitar = guitar or Guitar()
    block = parse_tab(tab, guitar) if isinstance(tab, str) else tab
    rhythm = parse_rhythm(rhythm) if isinstance(rhythm, str) else rhythm
    laid = lay_out(rhythm, len(block.columns), meter=meter, ending=ending)
    if block.bars > 1:
        _check_bars(block, [onset for onset, _ in laid.spans], meter)
    spelling = plain_spelling() | dict(names or {})
    notes: list[LickNote] = []
    for column, (onset, duration) in zip(block.columns, laid.spans, strict=True):
        if column.held:
            if not notes or notes[-1].position != column.position:
                raise TabError(
                    f"a held note on {column.position} follows no such note",
                    mend="Hold the note just before it",
                )
            if notes[-1].end != onset:
                raise RhythmError(
                    f"the held note on {column.position} comes after a rest",
                    mend="Put the rest after it, or take the brackets away",
                )
            notes[-1] = replace(notes[-1], duration=onset + duration - notes[-1].onset)
            continue
        if column.technique is not Technique.PICK and (not notes or notes[-1].end != onset):
            raise RhythmError(
                f"the {column.technique.value} to {column.position} comes after a rest",
                mend="Put the rest elsewhere, or take the mark before the fret away",
            )
        midi = guitar.midi_at(column.position)
        note = line_note(
            column.position,
            (onset, duration),
            guitar,
            spelling,
            degrees=degrees,
            voice=(voices or {}).get(midi % 12),
        )
        notes.append(replace(note, technique=column.technique, marks=column.marks))
    return Lick(tuple(notes), laid.length, laid.tuplets)


def _check_bars(block: TabBlock, onsets: list[Fraction], meter: Meter) -> None:
    for at, (column, onset) in enumerate(zip(block.columns, onsets, strict=True)):
        timed = meter.bar_of(onset)
        if timed == column.bar:
            continue
        bar, long = (column.bar, True) if timed > column.bar else (timed, False)
        raise RhythmError(
            f"bar {bar + 1} of the tab is too {'long' if long else 'short'} for its time: note"
            f" {at + 1} stands in bar {column.bar + 1}, but the rhythm puts it in bar {timed + 1}",
            mend="Move the bar line of the tab, or change the rhythm",
        )
