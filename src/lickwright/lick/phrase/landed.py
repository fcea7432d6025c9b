"""How does a composed line come to its landing?

The line is played as it stands until the beat on which it lands; there one note is held.  Where
the tone lies among the notes of the line's own shapes it is played there, else near the hand.  A
line of a given number of bars lands in the last of them; any other on the next such beat after its
last note has begun, over the bar line if need be.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from lickwright.errors import ContourError, RhythmError
from lickwright.lick.notes import Lick, LickNote
from lickwright.lick.phrase.landing import Landing, landing_beat, landing_length
from lickwright.lick.rhythm import Meter
from lickwright.neck import Guitar, Position
from lickwright.theory import NoteName, pitch_from_midi

#: How far from the hand a landing note may lie that is in none of the line's shapes, in frets.
_NEAR_FRETS = 4
#: What a landing costs, in semitones (common practice): the same pitch again is no arrival, a tone
#: that the line has not is further than one that it has.
_SAME, _FOREIGN = 5, 2


def landing_of(lick: Lick, landing: Landing, meter: Meter, bars: int | None) -> Fraction:
    """When a composed line lands, in quarter notes.

    Parameters
    ----------
    lick : the line.
    landing : what is asked for.
    meter : where the bar lines fall.
    bars : how many bars the line fills, ``None`` where it ends with its notes.

    Returns
    -------
    Fraction
        After the first note.

    Raises
    ------
    ContourError
        When there is no such beat, or no note before it.

    Examples
    --------
    >>> from lickwright.lick.phrase.composing import compose
    >>> lick = compose([[Position(3, 5), Position(2, 6), Position(1, 5)]], "up", "8ths")
    >>> landing_of(lick, Landing("3", 1), Meter(), None)
    Fraction(4, 1)
    """
    last = lick.notes[-1].onset
    stop = meter.bar_line_after(last)
    bar = replace(meter, pickup=Fraction(0))  # beats are counted from a bar line here
    begin = stop - meter.bar
    moment = begin + landing_beat(landing, bar, Fraction(0), meter.bar)
    if bars is None:
        if landing.beat is None:
            strong = (begin + beat for beat in meter.beat_starts if bar.is_strong(beat))
            return next((beat for beat in strong if beat > last), stop)
        return moment if moment > last else moment + meter.bar
    if landing.beat is None and moment <= lick.notes[0].onset:
        moment = stop - meter.bar + meter.beat_starts[-1]  # a single bar in three
    if moment <= lick.notes[0].onset:
        raise ContourError(
            "there is no note before the one to land on", mend="Land on a later beat"
        )
    return moment


def land(
    lick: Lick,
    landing: Landing,
    tones: int,
    moment: Fraction,
    guitar: Guitar,
    meter: Meter,
    names: Mapping[int, NoteName],
) -> Lick:
    """A line that lands at a moment; what it would have played from there on is left out.

    Parameters
    ----------
    lick : the line, its hands still open.
    landing : what is asked for.
    tones : the pitch classes on which it may land, as a mask.
    moment : when, in quarter notes.
    guitar, meter : the instrument, and where the bar lines fall.
    names : spelling by pitch class.

    Returns
    -------
    Lick
        It ends on a bar line; after the landing note there may be rest.

    Raises
    ------
    ContourError, RhythmError
        When no place near the hand sounds such a tone, or a tuplet is cut.

    Examples
    --------
    >>> from lickwright.lick.phrase.composing import compose
    >>> lick = compose([[Position(3, 5), Position(2, 6), Position(1, 5)]], "up", "8ths")
    >>> from lickwright.lick.phrase.composing import plain_spelling
    >>> at, meter, names = Fraction(4), Meter(), plain_spelling()
    >>> landed = land(lick, Landing("G"), 1 << 7, at, Guitar(), meter, names)
    >>> str(landed.notes[-1].pitch), landed.length
    ('G4', Fraction(8, 1))
    """
    cut = [t for t in lick.tuplets if t.onset < moment < t.onset + t.length]
    if cut:
        raise RhythmError(
            "the line would land in the middle of a tuplet", mend="Land on another beat"
        )
    before = [note for note in lick.notes if note.onset < moment]
    held = [replace(n, duration=min(n.duration, moment - n.onset)) for n in before]
    place, model = _place(before, tones, guitar, landing)
    midi = guitar.midi_at(place)
    stop = meter.bar_line_after(moment)
    # The note belongs to what its place belongs to in the line; a new place belongs to nothing.
    last = held[-1]
    landed = LickNote(
        place,
        pitch_from_midi(midi, names[midi % 12]),
        moment,
        landing_length(landing, meter, moment, stop),
        voice=None if model is None else model.voice,
        belongs=replace(
            last.belongs, triads=() if model is None else model.belongs.triads, approach=False
        ),
    )
    length = max(stop, lick.length) if lick.parts else stop
    parts = lick.parts
    if parts and length > lick.length:
        parts = (*parts[:-1], replace(parts[-1], length=length - parts[-1].onset))
    tuplets = tuple(tuplet for tuplet in lick.tuplets if tuplet.onset < moment)
    return Lick((*held, landed), length, tuplets, parts)


def _place(
    before: Sequence[LickNote], tones: int, guitar: Guitar, landing: Landing
) -> tuple[Position, LickNote | None]:
    """Where the line lands best, and the note of the line that lies there."""
    last = before[-1]
    own = {note.position: note for note in before if not note.belongs.approach}
    place = landing_place(last.position, frozenset(own), tones, guitar)
    if place is None:
        raise ContourError(
            f"there is no {landing.tone} to land on within reach of {last.position}",
            mend="Land on another tone, or choose other frets",
        )
    return place, own.get(place)


def landing_place(
    last: Position, own: frozenset[Position], tones: int, guitar: Guitar
) -> Position | None:
    """Where a line lands best: by step, in the hand, rather where it has been.

    Parameters
    ----------
    last : where the line is before it lands.
    own : the places of its notes.
    tones : mask of the pitch classes on which it may land.
    guitar : the instrument.

    Returns
    -------
    Position or None
        ``None`` where the hand reaches no such tone.

    Examples
    --------
    >>> str(landing_place(Position(2, 6), frozenset(), 1 << 7, Guitar()))
    'string 2 fret 8'
    """
    from_midi = guitar.midi_at(last)
    best: tuple[tuple[int, ...], Position] | None = None
    for string in range(1, guitar.string_count + 1):
        open_midi = guitar.midi_at(Position(string, 0))
        for fret in range(guitar.last_fret + 1):
            midi = open_midi + fret
            if not tones >> midi % 12 & 1:
                continue
            place = Position(string, fret)
            if place not in own and abs(fret - last.fret) > _NEAR_FRETS:
                continue
            step = abs(midi - from_midi)
            cost = (
                step + (_SAME if step == 0 else 0) + (0 if place in own else _FOREIGN),
                abs(string - last.string),
                abs(fret - last.fret),
                string,
                fret,
            )
            if best is None or cost < best[0]:
                best = cost, place
    return None if best is None else best[1]


def displaced(lick: Lick, value: Fraction, meter: Meter, *, cut: bool) -> Lick:
    """A line that begins later by a note value, with rest before it.

    Parameters
    ----------
    lick : the line, without parts.
    value : in quarter notes, less than a bar.
    meter : where the bar lines fall.
    cut : whether it ends where it ended, what would be later being left out.

    Returns
    -------
    Lick
        Its last note ends on a bar line as before.

    Raises
    ------
    RhythmError
        When it has tuplets, or the value is a bar or longer.

    Examples
    --------
    >>> from lickwright.lick.phrase.composing import compose
    >>> lick = compose([[Position(3, 5), Position(2, 6), Position(1, 5)]], "up", "8ths")
    >>> late = displaced(lick, Fraction(1, 2), Meter(), cut=False)
    >>> late.notes[0].onset, late.length
    (Fraction(1, 2), Fraction(4, 1))
    """
    if lick.tuplets:
        raise RhythmError("a line with tuplets cannot be displaced", mend="Take plain values")
    if value >= meter.bar:
        raise RhythmError(
            f"a line cannot be displaced by {value} quarter notes", mend="Take less than a bar"
        )
    moved = [replace(note, onset=note.onset + value) for note in lick.notes]
    end = lick.length if cut else meter.bar_end(moved[-1].onset + lick.notes[-1].duration)
    moved = [note for note in moved if note.onset < end]
    if not cut and lick.notes[-1].end == lick.length:  # held to the bar line: it still is
        end = meter.bar_line_after(moved[-1].onset)
    last = moved[-1]
    moved[-1] = replace(last, duration=min(last.duration, end - last.onset))
    if not cut:
        moved[-1] = replace(last, duration=end - last.onset)
    return Lick(tuple(moved), end, (), lick.parts)
