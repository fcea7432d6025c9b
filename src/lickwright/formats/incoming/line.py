"""Which single line of notes does a staff hold, and do two staves hold the same one?

Notes that are tied become one; a note that two voices share is one note.  Anything that sounds
together is no line, and is told with its bar.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from itertools import pairwise

from lickwright.errors import Spot
from lickwright.formats.incoming.file import ScoreFileError
from lickwright.formats.incoming.note_reading import NoteWords
from lickwright.formats.incoming.part import NoteHead, PartMusic, XmlBar
from lickwright.lick import Tuplet


@dataclass(frozen=True, slots=True)
class StaffLine:
    """One staff of one part.

    Parameters
    ----------
    notes : single notes in time, tied ones joined.
    written : note heads and rests as they stand, for the tuplets.
    staves : the staves that say it.
    """

    music: PartMusic
    staves: tuple[int, ...]
    notes: tuple[NoteHead, ...]
    written: tuple[NoteHead, ...]

    @property
    def bars(self) -> Sequence[XmlBar]:
        return self.music.bars


def staves_of(music: PartMusic) -> list[int]:
    """The staves of a part that have notes."""
    return sorted({head.staff for head in music.heads if head.pitch is not None})


def line_of(music: PartMusic, staff: int, bars: tuple[int, int], where: Spot) -> StaffLine:
    """The line of one staff between two bars (indices, both included).

    Raises
    ------
    ScoreFileError
        Where two notes sound at once.
    """
    inside = [
        head for head in music.heads if head.staff == staff and bars[0] <= head.bar <= bars[1]
    ]
    inside.sort(key=lambda head: (head.onset, head.pitch is None))
    sounding = [head for head in inside if head.pitch is not None]
    notes: list[NoteHead] = []
    for head in sounding:
        before = notes[-1] if notes else None
        if before is None or head.onset >= before.end:
            if before is not None and _goes_on(before, head):
                notes[-1] = _prolonged(before, head)
            else:
                notes.append(head)
        elif before.pitch == head.pitch and before.onset == head.onset:
            notes[-1] = replace(before, words=_both(before.words, head.words))
        else:
            raise ScoreFileError(
                f"bar {printed_number(music, head.bar)} of '{music.part.name}' has two notes at"
                " once",
                mend="Give a part with single notes, or name bars that have them",
                where=where,
            )
    rests = [head for head in inside if head.pitch is None and not _covered(head, notes)]
    written = sorted([*sounding, *rests], key=lambda head: head.onset)
    return StaffLine(music, (staff,), tuple(notes), tuple(written))


def printed_number(music: PartMusic, index: int) -> int:
    """A bar's number: the first whole bar is 1, a pickup 0."""
    pickup = bool(music.bars) and music.bars[0].pickup
    return index + (0 if pickup else 1)


def _goes_on(before: NoteHead, head: NoteHead) -> bool:
    tied = before.words.tied_to  # its end may be missing; the next note of its pitch is it
    same = before.pitch is not None and head.pitch is not None
    return tied and same and before.end == head.onset and before.pitch == head.pitch


def _prolonged(before: NoteHead, head: NoteHead) -> NoteHead:
    words = replace(before.words, tied_to=head.words.tied_to, leaves_by=head.words.leaves_by)
    if before.words.leaves_by is not None and head.words.leaves_by is None:
        words = replace(words, leaves_by=before.words.leaves_by)
    return replace(before, duration=head.end - before.onset, words=words)


def _covered(rest: NoteHead, notes: Sequence[NoteHead]) -> bool:
    """Whether a note of the line sounds while another voice rests."""
    later = bisect_left(notes, rest.end, key=lambda note: note.onset)
    return later > 0 and notes[later - 1].end > rest.onset


def _both(first: NoteWords, second: NoteWords) -> NoteWords:
    """What either of two heads of one note says, the first before the second."""
    kept = {
        field.name: getattr(first, field.name) or getattr(second, field.name)
        for field in fields(NoteWords)
        if field.name not in ("fret", "finger", "marks")
    }
    kept["marks"] = first.marks.or_of(second.marks)
    for name in ("fret", "finger"):  # 0 is something to say there
        own = getattr(first, name)
        kept[name] = getattr(second, name) if own is None else own
    return NoteWords(**kept)


def say_the_same(first: StaffLine, second: StaffLine) -> bool:
    """Whether two staves hold one line: the same moments, the same notes whatever the octave."""
    return len(first.notes) == len(second.notes) and all(
        one.onset == two.onset
        and one.pitch is not None
        and two.pitch is not None
        and one.pitch.midi % 12 == two.pitch.midi % 12
        for one, two in zip(first.notes, second.notes, strict=True)
    )


def joined(first: StaffLine, second: StaffLine) -> StaffLine:
    """One line from two staves that say the same; time and pitch are the first's."""
    notes = tuple(
        replace(one, words=_both(one.words, two.words))
        for one, two in zip(first.notes, second.notes, strict=True)
    )
    music = first.music
    if second.music is not music:
        music = replace(
            music,
            tunings=music.tunings or second.music.tunings,
            capo=music.capo or second.music.capo,
            tempi=music.tempi or second.music.tempi,
            harmonies=music.harmonies or second.music.harmonies,
        )
    return StaffLine(music, (*first.staves, *second.staves), notes, first.written)


def tuplets_of(line: StaffLine) -> tuple[Tuplet, ...]:
    """The tuplets of a line: bracket by bracket, or as soon as one is full."""
    found: list[Tuplet] = []
    run: list[NoteHead] = []
    for head in line.written:
        words = head.words.tuplet
        if words is None:
            run = []
            continue
        if run and (words.starts or _breaks(run[-1], head)):
            run = []
        run.append(head)
        length = head.end - run[0].onset
        unit = run[0].words.tuplet.unit if run[0].words.tuplet else None
        full = unit is not None and length % (words.normal * unit) == 0
        bracketed = any(each.words.tuplet and each.words.tuplet.starts for each in run)
        if words.stops or (full and not bracketed):
            found.append(Tuplet(run[0].onset, length, words.actual, words.normal))
            run = []
    return tuple(tuplet for tuplet in found if tuplet.actual != tuplet.normal)


def _breaks(before: NoteHead, head: NoteHead) -> bool:
    one, two = before.words.tuplet, head.words.tuplet
    assert one is not None, "a run is of tuplet members"
    assert two is not None, "asked only of tuplet members"
    return (
        before.end != head.onset
        or before.bar != head.bar
        or (one.actual, one.normal) != (two.actual, two.normal)
    )


def rebased(line: StaffLine, start: Fraction) -> StaffLine:
    """The line with its time counted from ``start``."""

    def moved(heads: Sequence[NoteHead]) -> tuple[NoteHead, ...]:
        return tuple(replace(head, onset=head.onset - start) for head in heads)

    return replace(line, notes=moved(line.notes), written=moved(line.written))


def gaps(notes: Sequence[NoteHead]) -> list[bool]:
    """Per note whether silence lies between it and the note before."""
    return [True, *(one.end < two.onset for one, two in pairwise(notes))][: len(notes)]
