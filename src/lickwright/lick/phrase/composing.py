"""How do shapes, a contour and a rhythm become a lick?

Here a line gets its notes, their spelling and their time; fingers and strokes come after
(:mod:`lickwright.lick.hands.finishing`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.errors import ContourError
from lickwright.lick.notes import ALONE, Belonging, Lick, LickNote
from lickwright.lick.phrase.contour import Contour, PathNote, parse_contour, trace
from lickwright.lick.phrase.joining import Approach, approached, in_cells
from lickwright.lick.rhythm import (
    COMMON_TIME,
    Ending,
    LaidOut,
    Meter,
    Rhythm,
    attacks_within,
    lay_out,
    parse_rhythm,
)
from lickwright.neck import Guitar, Position
from lickwright.neck.shapes import MergedArpeggio, Shape, triads_with
from lickwright.theory import NoteName, Triad, parse_note_name, pitch_from_midi

#: Spelling of a pitch class where neither its triad nor the caller spells it.
_PLAIN_NAMES = tuple(
    map(parse_note_name, ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"))
)

#: Triads on the neck, or bare places from the lowest note to the highest.
AnyShape = Shape | MergedArpeggio | Sequence[Position]

#: Which triads of the example a shape plays: the voice of its triad, or of each merged one.
Voices = int | tuple[int, ...] | None

#: Of a note that only leads to the next.
_APPROACH = Belonging(approach=True)

#: How many notes a line may be played on to meet a strong beat.
_FURTHEST = 256


@dataclass(frozen=True, slots=True)
class Joining:
    """How the shapes of a line become its path.

    Parameters
    ----------
    contour, cells, approach, scale : as :func:`compose` has them.
    """

    contour: Contour
    cells: tuple[int, ...] = ()
    approach: Approach | None = None
    scale: int = 0


def phrase_path(
    joining: Joining, places: Sequence[Sequence[Position]], guitar: Guitar, rounds: int = 1
) -> list[PathNote]:
    """The path of a line, all shapes played through so many times.

    Parameters
    ----------
    joining : how the shapes are joined.
    places : of each shape, low to high.
    guitar : the instrument.
    rounds : how many times.

    Returns
    -------
    list of PathNote
        Every place in turn.

    Raises
    ------
    ContourError
        Where the shapes do not fit the contour, or the cells no approach.

    Examples
    --------
    >>> shapes = [[Position(3, 5), Position(2, 6)], [Position(2, 5), Position(1, 5)]]
    >>> path = phrase_path(Joining(parse_contour("up"), cells=(1,)), shapes, Guitar())
    >>> [note.shape for note in path]
    [0, 1, 0, 1]
    """
    if joining.cells:
        path = in_cells(joining.contour, places, joining.cells) * rounds
    else:
        path = trace(joining.contour, places, rounds=rounds)
    if joining.approach is not None:
        path = approached(path, joining.approach, guitar, joining.scale, joining.cells)
    return path


def compose(
    shapes: Sequence[AnyShape],
    contour: Contour | str,
    rhythm: Rhythm | str,
    guitar: Guitar | None = None,
    *,
    bars: int | None = None,
    meter: Meter = COMMON_TIME,
    ending: Ending | str = Ending.BAR,
    target: Collection[int] = (),
    voices: Sequence[Voices] | None = None,
    names: Mapping[int, NoteName] | None = None,
    degrees: Mapping[int, str] | None = None,
    cells: Sequence[int] = (),
    approach: Approach | None = None,
    scale: int = 0,
    again: bool = False,
) -> Lick:
    """Write a line: the shapes in turn, in the order of the contour, in the time of the rhythm.

    Parameters
    ----------
    shapes : shapes, merged arpeggios, or bare positions low to high; the hand plays them in this
        order.
    contour, rhythm : as text or read.
    guitar : the instrument; standard where not given.
    bars : fill this many bars, playing the shapes over and over; ``None`` plays them once.
    meter : where the bar lines fall.
    ending : how far the last note is held.
    target : pitch classes, one of which the line is to end on, on a strong beat; the line is
        played on until that beat comes, or cut there when ``bars`` are given.
    voices : which triad each shape belongs to, or for a merged arpeggio all of its triads; where
        not given, equal shapes share a number.
    names : spelling by pitch class, for notes that no triad spells.
    degrees : label by pitch class, over the sounding bass.
    cells : how many notes of each shape in turn; empty for shape by shape.
    approach : what leads to the first note of each shape.
    scale : mask of the pitch classes that an approach by a scale step goes by.
    again : whether the line begins again in every bar.

    Raises
    ------
    ContourError, RhythmError, NeckError
        Where the parts cannot be read or do not fit.

    Examples
    --------
    >>> from lickwright.neck.instrument import Position
    >>> line = compose([[Position(3, 5), Position(2, 6), Position(1, 5)]], "up-down", "16ths")
    >>> " ".join(str(note.pitch) for note in line.notes)
    'C4 F4 A4 F4 C4'
    """
    guitar = guitar or Guitar()
    contour = parse_contour(contour) if isinstance(contour, str) else contour
    rhythm = parse_rhythm(rhythm) if isinstance(rhythm, str) else rhythm
    places = [places_of(shape) for shape in shapes]
    joining = Joining(contour, tuple(cells), approach, scale)
    once = phrase_path(joining, places, guitar)
    count, limit = len(once), None
    if bars is not None:
        if bars < 1:
            raise ContourError(f"a line of {bars} bars", mend="Fill at least one bar")
        limit = meter.pickup + bars * meter.bar
        count = attacks_within(rhythm, limit, meter=meter)
    if target:
        count = _target_place(rhythm, count, meter, cut=bars is not None)
    laid = lay_out(rhythm, count, meter=meter, ending=ending, limit=limit)
    starts = [0]
    if again:
        bars_of = [meter.bar_of(onset) for onset, _ in laid.spans]
        starts += [at for at in range(1, count) if bars_of[at] != bars_of[at - 1]]
    path: list[PathNote] = []
    for start, stop in pairwise([*starts, count]):
        wanted = stop - start
        # Where one round ends on the note that the next begins on, that note is struck once.
        rounds = -(-wanted // max(1, len(once) - 1)) + 1 if again else -(-wanted // len(once)) + 1
        path += phrase_path(joining, places, guitar, rounds)[:wanted]
    if len(path) < count:
        laid = lay_out(rhythm, len(path), meter=meter, ending=ending, limit=limit)
    if target:
        path[-1] = _target_note(path, places, target, guitar)
    voice_of = _voices(shapes) if voices is None else list(voices)
    if len(voice_of) != len(shapes):
        raise ContourError(
            f"{len(voice_of)} voices for {len(shapes)} shapes", mend="Give one for each shape"
        )
    notes = line_notes(path, laid, shapes, voice_of, guitar, names=names, degrees=degrees)
    return Lick(notes, laid.length, laid.tuplets)


def line_notes(
    path: Sequence[PathNote],
    laid: LaidOut,
    shapes: Sequence[AnyShape],
    voices: Sequence[Voices],
    guitar: Guitar,
    *,
    names: Mapping[int, NoteName] | None = None,
    degrees: Mapping[int, str] | None = None,
) -> tuple[LickNote, ...]:
    """The notes of a path in its time; parameters as in :func:`compose`, one voice a shape."""
    spelling = [_spelling(shape, names) for shape in shapes]
    return tuple(
        line_note(
            note.position,
            span,
            guitar,
            spelling[note.shape],
            degrees=degrees,
            voice=voice,
            belongs=belongs,
        )
        for note, span in zip(path, laid.spans, strict=True)
        for voice, belongs in [
            (None, _APPROACH)
            if note.approach
            else _belonging(shapes[note.shape], voices[note.shape], note.position, guitar)
        ]
    )


def line_note(
    position: Position,
    span: tuple[Fraction, Fraction],
    guitar: Guitar,
    spelling: Mapping[int, NoteName],
    *,
    degrees: Mapping[int, str] | None = None,
    voice: int | None = None,
    belongs: Belonging = ALONE,
) -> LickNote:
    """A picked note at a place on the neck, spelled and labelled by its pitch class.

    Raises
    ------
    NeckError
        When the instrument has no such place.
    """
    midi = guitar.midi_at(position)
    return LickNote(
        position,
        pitch_from_midi(midi, spelling[midi % 12]),
        *span,
        voice=voice,
        degree=(degrees or {}).get(midi % 12),
        belongs=belongs,
    )


def plain_spelling() -> dict[int, NoteName]:
    """A name for every pitch class where nothing says how to spell it."""
    return dict(enumerate(_PLAIN_NAMES))


def _target_place(rhythm: Rhythm, count: int, meter: Meter, *, cut: bool) -> int:
    """How many notes make the last one fall on a strong beat."""
    reach = count if cut else count + _FURTHEST
    onsets = [onset for onset, _ in lay_out(rhythm, reach, meter=meter).spans]
    strong = [at for at, onset in enumerate(onsets) if at > 0 and meter.is_strong(onset)]
    fitting = [at for at in strong if at < count] if cut else [at for at in strong if at >= count]
    if not fitting:
        raise ContourError(
            f"no note of the rhythm '{rhythm}' falls on a strong beat for the target note",
            mend="Choose a rhythm that meets the first or the middle beat, or leave the target out",
        )
    return (fitting[-1] if cut else fitting[0]) + 1


def _target_note(
    path: Sequence[PathNote],
    places: Sequence[Sequence[Position]],
    target: Collection[int],
    guitar: Guitar,
) -> PathNote:
    """The place nearest in pitch to the note before that sounds a target tone."""
    before = path[-2]
    from_midi = guitar.midi_at(before.position)
    tones = [
        PathNote(position, index)
        for index, shape in enumerate(places)
        for position in shape
        if guitar.midi_at(position) % 12 in {pc % 12 for pc in target}
    ]
    if not tones:
        raise ContourError(
            "no shape holds the target note", mend="Choose a target among the notes of the shapes"
        )
    return min(
        tones,
        key=lambda note: (
            note.position == before.position,
            abs(guitar.midi_at(note.position) - from_midi),
            abs(note.position.string - before.position.string),
            note.shape != before.shape,
            note.position,
        ),
    )


def in_turn(shapes: Sequence[AnyShape], contour: Contour) -> tuple[AnyShape, ...]:
    """The shapes as the hand plays them once: a merged arpeggio once for each way of the contour.

    Other shapes are played once each, whatever the contour; so ``up down`` plays two triads up and
    down, and a merged arpeggio there and back.
    """
    if len(shapes) == 1 and isinstance(shapes[0], MergedArpeggio):
        return tuple(shapes) * len(contour.ways)
    return tuple(shapes)


def places_of(shape: AnyShape) -> tuple[Position, ...]:
    """The places of a shape, from the lowest note to the highest.

    Parameters
    ----------
    shape : of one triad, a merged arpeggio, or places alone.

    Returns
    -------
    tuple of Position
        Places on the neck.

    Examples
    --------
    >>> from lickwright.neck.shapes import ranked_merged
    >>> _, shape = ranked_merged("C Am", frets="5-8", strings="2-4")[0]
    >>> " ".join(f"{place.string}/{place.fret}" for place in places_of(shape))
    '4/5 4/7 3/5 2/5 2/8'
    """
    return tuple(shape.positions if isinstance(shape, Shape | MergedArpeggio) else shape)


def _belonging(
    shape: AnyShape, voices: Voices, position: Position, guitar: Guitar
) -> tuple[int | None, Belonging]:
    """As which triad a note is played, and all that hold it; the first of them is the one."""
    if not isinstance(voices, tuple):
        return voices, ALONE
    assert isinstance(shape, MergedArpeggio), "only merged arpeggios have several voices"
    held = triads_with(guitar.midi_at(position) % 12, shape.triads)
    mine = tuple(sorted(voices[number] for number in held))
    return mine[0], Belonging(mine)


def _voices(shapes: Sequence[AnyShape]) -> list[Voices]:
    """A number for each shape; shapes of one triad, and equal bare shapes, share theirs."""
    seen: list[object] = []

    def number(key: object) -> int:
        if key not in seen:
            seen.append(key)
        return seen.index(key)

    return [
        tuple(map(number, shape.triads))
        if isinstance(shape, MergedArpeggio)
        else number(shape.triad if isinstance(shape, Shape) else tuple(shape))
        for shape in shapes
    ]


def _spelling(shape: AnyShape, names: Mapping[int, NoteName] | None) -> dict[int, NoteName]:
    """Name by pitch class: the triad's own first, then the caller's, then plain ones."""
    spelling = plain_spelling() | dict(names or {})
    triads: Sequence[Triad] = ()
    if isinstance(shape, Shape | MergedArpeggio):
        triads = (shape.triad,) if isinstance(shape, Shape) else shape.triads
    for triad in reversed(triads):
        spelling |= {name.pc: name for name in triad.notes}
    return spelling
