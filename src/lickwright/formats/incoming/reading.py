"""Which line does a MusicXML file hold, and how is it played?

Any MusicXML with one monophonic part, with or without tablature, becomes the
:class:`~lickwright.score.score.Score` of one lick.  Strings, frets, fingers and strokes that the
file gives are kept; what it leaves open is worked out.  Notation and tablature of the same line, be
they two parts or two staves, are read as one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from operator import itemgetter
from pathlib import Path

from lickwright.errors import LickwrightError, Spot, did_you_mean
from lickwright.formats.incoming.chord_reading import chord_of, is_no_chord
from lickwright.formats.incoming.file import MAX_BYTES, ScoreFileError, XmlPart, read_score_file
from lickwright.formats.incoming.hands import guitar_of, lick_notes, placed, with_hands
from lickwright.formats.incoming.line import (
    StaffLine,
    joined,
    line_of,
    rebased,
    say_the_same,
    staves_of,
    tuplets_of,
)
from lickwright.formats.incoming.part import PartMusic, XmlBar, read_part
from lickwright.lick import Lick, LickNote
from lickwright.lick.rhythm import Meter
from lickwright.neck import Guitar
from lickwright.score import Bar, ChordSpan, Score

#: Quarter notes a minute where the file gives none, as a lesson file has them.
USUAL_TEMPI = (66.0, 112.0)
#: The learning tempo where the file gives one tempo only (common practice, no source).
SLOW_SHARE = 0.6
#: More notes than a lick has; a passage can be taken out of a longer part.
MAX_NOTES = 2_048


@dataclass(frozen=True, slots=True)
class ReadLine:
    """What was read from a MusicXML file.

    Parameters
    ----------
    score : the line.
    left_out : what the file holds beyond it, and what was decided anew, in sentences.
    """

    score: Score
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which line is wanted, and for which hands.

    Parameters
    ----------
    part : its name or id, ``None`` for the only one.
    bars : first and last bar, counted from the first whole bar as 1; ``None`` for all.
    guitar : what it is played on where the file has no tuning.
    octaves : how many octaves to move it.
    hand, picking : as a lesson file has them.
    """

    part: str | None = None
    bars: tuple[int, int] | None = None
    guitar: Guitar | None = None
    octaves: int = 0
    hand: str = "medium"
    picking: str = "sweep"


ANY_LINE = Wanted()


def load_musicxml(path: Path, wanted: Wanted = ANY_LINE) -> ReadLine:
    """Read the line of a MusicXML file, plain or compressed.

    Raises
    ------
    ScoreFileError
        For a file that cannot be read, or holds no single line.
    NeckError, HandError
        For a note that the instrument does not have, or a hand cannot reach.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise ScoreFileError(
            f"the file cannot be read ({(error.strerror or str(error)).lower()})",
            mend="Name a MusicXML file that you may read",
            where=Spot(str(path)),
        ) from error
    return read_musicxml(data, wanted, name=path.stem, where=Spot(str(path)))


def read_musicxml(
    data: bytes, wanted: Wanted = ANY_LINE, *, name: str = "", where: Spot | None = None
) -> ReadLine:
    """Read the line of a MusicXML document; ``name`` names a score without a title."""
    spot = where or Spot()
    file = read_score_file(data, spot)
    line, passed_over = _chosen(file.parts, wanted, spot)
    if len(line.notes) > MAX_NOTES:
        raise ScoreFileError(
            f"the line has {len(line.notes)} notes", mend="Name a few bars of it", where=spot
        )
    try:
        read = _read(line, wanted, file.title or name or line.music.part.name)
    except LickwrightError as error:
        raise error.at(spot) from error
    return replace(read, left_out=(*passed_over, *read.left_out))


# --- which line ---------------------------------------------------------------------------------


def _chosen(parts: Sequence[XmlPart], wanted: Wanted, where: Spot) -> tuple[StaffLine, list[str]]:
    """The one line of the wanted part, or of all parts; and what was passed over, and why."""
    lines: list[StaffLine] = []
    faults: list[ScoreFileError] = []
    for part in _candidates(parts, wanted.part, where):
        try:
            music = read_part(part, where)
            between = _bars(music, wanted.bars, where)
            lines += [line_of(music, staff, between, where) for staff in staves_of(music)]
        except ScoreFileError as error:
            faults.append(error)
    lines = [line for line in lines if line.notes]
    if not lines and faults:
        raise faults[0]
    if not lines:
        raise ScoreFileError(
            "there are no notes to read", mend="Name a part and bars that have some", where=where
        )
    line = lines[0]
    for other in lines[1:]:
        if not say_the_same(line, other):
            raise ScoreFileError(
                f"the score has several lines: {_listed(lines)}",
                mend="Name the part that you want",
                where=where,
            )
        line = joined(line, other)
    return line, [f"left out: {error.what}" for error in faults]


def _candidates(parts: Sequence[XmlPart], wanted: str | None, where: Spot) -> Sequence[XmlPart]:
    if wanted is None:
        return parts
    found = [part for part in parts if wanted in (part.id, part.name)]
    if not found:
        names = [name for part in parts for name in dict.fromkeys((part.name, part.id))]
        raise ScoreFileError(
            f"the score has no part '{wanted}'",
            mend=did_you_mean(wanted, names) or f"Its parts are: {', '.join(names[:12])}",
            where=where,
        )
    return found[:1]


def _bars(music: PartMusic, wanted: tuple[int, int] | None, where: Spot) -> tuple[int, int]:
    """Indices of the first and the last bar to read."""
    last = len(music.bars) - 1
    if wanted is None:
        return 0, last
    offset = 0 if music.bars and music.bars[0].pickup else 1
    first, end = wanted[0] - offset, wanted[1] - offset
    if not 0 <= first <= end <= last:
        raise ScoreFileError(
            f"there are no bars {wanted[0]} to {wanted[1]} in '{music.part.name}'",
            mend=f"Name bars from {offset} to {last + offset}",
            where=where,
        )
    return first, end


def _listed(lines: Sequence[StaffLine]) -> str:
    names = [
        line.music.part.name
        + (f" (staff {line.staves[0]})" if len(staves_of(line.music)) > 1 else "")
        for line in lines
    ]
    return ", ".join(dict.fromkeys(names))


# --- what it becomes ----------------------------------------------------------------------------


def _read(line: StaffLine, wanted: Wanted, name: str) -> ReadLine:
    first, last = _bars(line.music, wanted.bars, Spot())
    start = line.bars[first].onset
    line = rebased(line, start)
    bars = _numbered(line.bars[first : last + 1], start)
    slow, target = _tempi(line.music)
    guitar = guitar_of(line, wanted.guitar)
    places, told = placed(line.notes, guitar, target, wanted.octaves, wanted.hand)
    end = bars[-1].end
    lick = Lick(_cut(lick_notes(line.notes, places), end), end, tuplets_of(line))
    lick, about_hands = with_hands(
        lick, line.notes, guitar, target, _meter(bars), wanted.hand, wanted.picking
    )
    chords, unread = _chords(line.music, start, end)
    score = Score(name, guitar, lick, bars, chords, slow, target, line.music.swing)
    left_out = [f"left out: {_counted(n, what)}" for what, n in line.music.left_out.items()]
    for count, what in (
        (line.music.overlong, "longer than the time signature: the notes decide"),
        (line.music.underfull, "shorter than the time signature: the notes decide"),
    ):
        if count:
            told.append(f"{_counted(count, 'bar')} {what}")
    if unread:
        left_out.append(f"left out: {_counted(unread, 'chord symbol')}")
    return ReadLine(score, (*told, *about_hands, *left_out))


def _numbered(bars: Sequence[XmlBar], start: Fraction) -> tuple[Bar, ...]:
    first = 0 if bars[0].pickup and len(bars) > 1 else 1
    return tuple(
        Bar(number, bar.onset - start, bar.length, bar.beats, bar.unit, bar.key)
        for number, bar in enumerate(bars, first)
    )


def _cut(notes: tuple[LickNote, ...], end: Fraction) -> tuple[LickNote, ...]:
    """The notes, the last of them no longer than the bars that are read."""
    return tuple(
        replace(note, duration=end - note.onset) if note.end > end else note for note in notes
    )


def _meter(bars: Sequence[Bar]) -> Meter:
    """Bar lines and beats as the first whole bar has them."""
    pickup = bars[0].length if bars[0].number == 0 else Fraction(0)
    return Meter.of(bars[0].beats, bars[0].unit, pickup)


def _tempi(music: PartMusic) -> tuple[float, float]:
    if music.tempi is None or not 20 <= music.tempi[1] <= 400:
        return USUAL_TEMPI
    slow, target = music.tempi
    if slow == target:
        slow = target * SLOW_SHARE
    return max(20.0, float(round(slow))), target


def _chords(music: PartMusic, start: Fraction, end: Fraction) -> tuple[tuple[ChordSpan, ...], int]:
    """The chords between two moments, each until the next; and how many have no name here.

    A line without a chord (N.C.) is heard against the chord before it, or else the first one.
    """
    standing = sorted(
        ((onset - start, element) for onset, element in music.harmonies), key=itemgetter(0)
    )
    placed_chords = [(at, chord_of(element), is_no_chord(element)) for at, element in standing]
    unread = sum(chord is None and not silent for _, chord, silent in placed_chords)
    heard = next((chord for _, chord, _ in placed_chords if chord is not None), None)
    spans: list[ChordSpan] = []
    for at, (onset, chord, silent) in enumerate(placed_chords):
        later = placed_chords[at + 1][0] if at + 1 < len(placed_chords) else end
        first, last = max(onset, Fraction(0)), min(later, end)
        heard = chord or heard
        if first >= last or heard is None:
            continue
        if chord is not None:
            spans.append(ChordSpan(first, last - first, chord, chord.notes, chord.bass_note))
        elif silent:
            spans.append(ChordSpan(first, last - first, None, (), heard.bass_note, silent=True))
    return tuple(spans), unread


def _counted(count: int, noun: str) -> str:
    """``1 jump``, ``2 passages without meter``."""
    first, gap, rest = noun.partition(" without")
    return f"{count} {first}{'s' * (count > 1)}{gap}{rest}"
