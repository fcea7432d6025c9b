"""What is an example once it is worked out: which chord sounds when, what is each note in it?"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from lickwright.changes.progression import Changes, Stretch
from lickwright.lesson.file import ExampleEntry
from lickwright.lick import Lick, LickNote
from lickwright.neck.shapes import MergedArpeggio
from lickwright.score import ChordSpan, Score
from lickwright.theory import Chord, Key, NoteName, Triad, degree_between, pitch_from_midi, spell
from lickwright.theory.hearing import Reading, implied_chords


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of an example under one bass: what is claimed, and what the notes imply.

    Parameters
    ----------
    onset, length : quarter notes.
    claim : the chord of the changes, or the teacher's claim; ``None`` where there is neither.
    triads : by voice, of the notes that start here.
    notes : the pitch classes that start here, once each, in playing order.
    readings : ranked, of those notes over the bass; empty where none starts.
    """

    onset: Fraction
    length: Fraction
    over: NoteName
    key: Key
    claim: Chord | None
    triads: tuple[Triad, ...]
    notes: tuple[int, ...]
    readings: tuple[Reading, ...]

    @property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def chord(self) -> Chord | None:
        """What the page prints and the backing plays: the claim, or what is heard first."""
        if self.claim is not None:
            return self.claim
        return self.readings[0].chord if self.readings else None

    @property
    def reading(self) -> Reading | None:
        """The reading on the printed chord's root, or the first."""
        for reading in self.readings:
            if self.claim is not None and reading.root.pc == self.claim.root.pc:
                return reading
        return self.readings[0] if self.readings else None

    def name_of(self, note: LickNote) -> NoteName:
        """A note's spelling: as a tone of the printed chord, of what is heard, or of the key.

        The chord comes before the triad that a note belongs to, so that one sound has one name in
        a bar, and a raised ninth looks like one.
        """
        pc = note.pitch.midi % 12
        chord = () if self.chord is None else self.chord.notes
        reading = () if self.reading is None else self.reading.notes
        return next((name for name in (*chord, *reading) if name.pc == pc), spell(pc, self.key))

    def degree_of(self, name: NoteName) -> str:
        """A note's degree over the printed chord's root."""
        if self.reading is not None:
            for own, degree in zip(self.reading.notes, self.reading.degrees, strict=True):
                if own.pc == name.pc:
                    return degree
        root = self.over if self.chord is None else self.chord.root
        return degree_between(root, name)


@dataclass(frozen=True, slots=True)
class Worked:
    """One example, worked out.

    Parameters
    ----------
    spans : in time, covering every bar.
    choices : for a carried lick, one a chord: how the line and the hand come to it.
    arpeggios : the merged arpeggios that the example plays, each once.
    cut : parts of a carried lick that a chord ends too early, as sentences say it.
    """

    entry: ExampleEntry
    score: Score
    spans: tuple[Span, ...]
    choices: tuple[str, ...] = ()
    arpeggios: tuple[MergedArpeggio, ...] = ()
    cut: tuple[str, ...] = ()


def span_of(
    lick: Lick,
    time: tuple[Fraction, Fraction],
    over: NoteName,
    key: Key,
    claim: Chord | None,
    triads: tuple[Triad, ...],
) -> Span:
    """The stretch of a line from an onset for a length, and what its notes imply."""
    onset, length = time
    inside = lick.notes_in(onset, onset + length)
    heard = [note for note in inside if not (note.marks.dead or note.belongs.approach)]
    pcs = tuple(dict.fromkeys(note.pitch.midi % 12 for note in heard))
    spelled = {name.pc: name for triad in reversed(triads) for name in triad.notes}
    readings = implied_chords([spelled.get(pc, pc) for pc in pcs], over, key) if pcs else []
    return Span(onset, length, over, key, claim, triads, pcs, tuple(readings))


def named_notes(lick: Lick, spans: tuple[Span, ...]) -> Iterator[LickNote]:
    """The notes spelled, each with its degree over the chord it starts under."""
    onsets = [span.onset for span in spans]
    for note in lick.notes:
        span = spans[bisect_right(onsets, note.onset) - 1]
        name = span.name_of(note)
        pitch = pitch_from_midi(note.pitch.midi, name)
        yield replace(note, pitch=pitch, degree=span.degree_of(name))


def silences(changes: Changes | None, pickup: Fraction) -> list[Stretch]:
    """Where no chord sounds; one at the very beginning holds for the pickup too."""
    return [
        (pickup + start if start else Fraction(0), pickup + end)
        for start, end in (changes.silences if changes else ())
    ]


def printed_chords(spans: tuple[Span, ...], silences: Sequence[Stretch] = ()) -> list[ChordSpan]:
    """The chords as the page prints and the backing plays them.

    Parameters
    ----------
    silences : from and to, where no chord sounds.
    """
    printed: list[ChordSpan] = []
    for chord in _sounding_chords(spans):
        inside = [(max(start, chord.onset), min(end, chord.end)) for start, end in silences]
        begins = chord.onset
        for start, end in inside:
            if start >= end:
                continue
            if begins < start:
                printed.append(replace(chord, onset=begins, length=start - begins))
            printed.append(ChordSpan(start, end - start, None, (), chord.bass, silent=True))
            begins = end
        if begins < chord.end:
            printed.append(replace(chord, onset=begins, length=chord.end - begins))
    return printed


def _sounding_chords(spans: tuple[Span, ...]) -> Iterator[ChordSpan]:
    for span in spans:
        chord = span.chord
        if chord is not None:
            yield ChordSpan(span.onset, span.length, chord, chord.notes, span.over)
        elif span.readings:
            # No common name: the bass alone is printed, and the notes themselves are the chord.
            notes = span.readings[0].notes
            yield ChordSpan(span.onset, span.length, None, notes, span.over)
