"""Working an example out: from what the teacher wrote to a Score that every medium reads.

The three kinds of example begin differently (a line composed from shapes, the teacher's own tab,
an earlier line carried over changes) and end alike: every note is named by the chord it sounds
under and gets its finger and its stroke.  Nothing is judged here: what makes the music impossible
is raised, what is doubtful is for :mod:`lickwright.lesson.checks`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction

from lickwright.changes.carry import Carried, CarryPin, carry_ways
from lickwright.changes.progression import Changes, held_on, parse_changes
from lickwright.errors import LessonError, LickwrightError, RhythmError
from lickwright.lesson.compile.eased_parts import eased_parts
from lickwright.lesson.compile.line import (
    ComposedLine,
    Under,
    arpeggios_of,
    composed_line,
    one_bass,
    phrasing_of,
)
from lickwright.lesson.compile.parts import (
    basses_of,
    home_tones,
    line_of_parts,
    settings_of,
    shapes_of_parts,
    strokes_of_parts,
    triads_of,
)
from lickwright.lesson.compile.places import USUAL_CONTOUR as USUAL_CONTOUR
from lickwright.lesson.compile.places import chained, merged_there, windows_of
from lickwright.lesson.compile.places import joins_of as joins_of
from lickwright.lesson.compile.worked import Span as Span
from lickwright.lesson.compile.worked import Worked as Worked
from lickwright.lesson.compile.worked import named_notes, printed_chords, silences, span_of
from lickwright.lesson.file import ExampleEntry, Lesson
from lickwright.lick import Lick
from lickwright.lick.hands import finish
from lickwright.lick.phrase import AnyShape, Contour, in_turn, variations
from lickwright.lick.rhythm import Meter, Rhythm, parse_rhythm
from lickwright.lick.tab import lick_from_tab, parse_tab
from lickwright.neck.shapes import MergedArpeggio, Shape
from lickwright.score import Bar, Score
from lickwright.theory import Key

USUAL_RHYTHM = parse_rhythm("16ths")
_MOMENT = Fraction(1, 1024)  # shorter than any note


class Workshop:
    """Works the examples of one lesson out, each at most once."""

    def __init__(self, lesson: Lesson) -> None:
        self.lesson = lesson
        self._done: dict[int, Worked] = {}

    def worked(self, index: int) -> Worked:
        """The example at ``index``, and whatever it carries, worked out.

        Raises
        ------
        LickwrightError
            Where the music is impossible, with the file and the line.
        """
        if index not in self._done:
            with self.at(index):
                self._done[index] = self._work_out(index)
        return self._done[index]

    @contextmanager
    def at(self, index: int, *keys: str | int) -> Iterator[None]:
        """Gives an error that knows no place the place of a key of the example."""
        try:
            yield
        except LickwrightError as error:
            raise error.at(self.lesson.spot("examples", index, *keys)) from error

    def key(self, entry: ExampleEntry) -> Key:
        return entry.key or self._original(entry).key or self.lesson.entry.key

    def time(self, entry: ExampleEntry) -> tuple[int, int]:
        return entry.time or self._original(entry).time or self.lesson.entry.time

    def _original(self, entry: ExampleEntry) -> ExampleEntry:
        """The example whose music it is: for an easier form the lick that it makes easier."""
        if entry.level is None:
            return entry
        return next(example for example in self.lesson.examples if example.name == entry.lick)

    def meter(self, entry: ExampleEntry) -> Meter:
        """Where the bar lines and beats of an example fall."""
        beats, unit = self.time(entry)
        return Meter.of(beats, unit, (entry.pickup or Fraction(0)) * Fraction(4, unit))

    def _work_out(self, index: int) -> Worked:
        entry = self.lesson.examples[index]
        start = {
            "triads": self._composed,
            "parts": self._of_parts,
            "tab": self._from_tab,
            "lick": self._taken_up,
        }
        line = start[entry.kind](index)
        meter = self.meter(entry)
        length = line.lick.length
        if line.changes is not None and length <= meter.pickup + line.changes.length:
            length = meter.pickup + line.changes.length
        else:
            length = meter.bar_end(length)
        spans = tuple(self._spans(index, line, length))
        named = replace(line.lick, notes=tuple(named_notes(line.lick, spans)), length=length)
        tempo = self.lesson.tempo_of(entry)
        score = Score(
            name=entry.name,
            guitar=self.lesson.guitar,
            # A carried lick comes with its hands: its strokes were part of the choice.
            lick=named if line.home.carries else self._finished(index, named, tempo.target),
            bars=tuple(self._bars(entry, line.changes, length)),
            chords=tuple(printed_chords(spans, silences(line.changes, self.meter(entry).pickup))),
            slow_bpm=tempo.slow,
            target_bpm=tempo.target,
            swing=self.lesson.swing_of(entry),
        )
        return Worked(entry, score, spans, line.choices, arpeggios_of(line.shapes), line.cut)

    # --- how an example begins ------------------------------------------------------------------

    def _composed(self, index: int) -> ComposedLine:
        entry = self.lesson.examples[index]
        shapes = self._played(index)
        with self.at(index, "rhythm"):
            lick = self._compose(
                entry,
                shapes,
                entry.contour or USUAL_CONTOUR,
                entry.rhythm or USUAL_RHYTHM,
            )
        triads = (entry.triads or (),)
        return ComposedLine(lick, triads, self._changes(index), entry, shapes=shapes)

    def shapes(self, index: int) -> tuple[Shape, ...]:
        """The shapes of an example that is composed from triads, one a triad.

        Of merged triads, what each has of the arpeggio.
        """
        arpeggio = self.merged(index)
        if arpeggio is not None:
            return arpeggio.shapes(self.lesson.guitar)
        entry, guitar = self.lesson.examples[index], self.lesson.guitar
        triads = entry.triads or ()
        with self.at(index, "frets" if entry.frets else "triads"):
            windows = windows_of(entry.frets, len(triads), guitar)
            contour = entry.contour or USUAL_CONTOUR
            return chained(triads, guitar, windows, entry.strings, contour, self.lesson.hand)

    def merged(self, index: int) -> MergedArpeggio | None:
        """The arpeggio of an example whose triads are merged; ``None`` where they are not."""
        entry = self.lesson.examples[index]
        if entry.kind != "triads" or entry.joined != "merged":
            return None
        frets = None if entry.frets is None else tuple(entry.frets)
        with self.at(index, "frets" if entry.frets else "triads"):
            found = merged_there(
                entry.triads or (),
                self.lesson.guitar,
                frets,
                entry.strings,
                self.lesson.hand,
            )
        return found[0][1]

    def _played(self, index: int) -> tuple[AnyShape, ...]:
        """What an example composed from triads plays once: its shapes, or its arpeggio."""
        entry, arpeggio = self.lesson.examples[index], self.merged(index)
        if arpeggio is None:
            return self.shapes(index)
        return in_turn((arpeggio,), entry.contour or USUAL_CONTOUR)

    def _compose(
        self, entry: ExampleEntry, shapes: Sequence[AnyShape], contour: Contour, rhythm: Rhythm
    ) -> Lick:
        guitar, meter = self.lesson.guitar, self.meter(entry)
        phrasing = phrasing_of(entry, self.key(entry))
        return composed_line(tuple(shapes), contour, rhythm, guitar, entry.bars, meter, phrasing)

    def _of_parts(self, index: int) -> ComposedLine:
        return self._line_of_parts(index, self.meter(self.lesson.examples[index]), None)

    def _line_of_parts(self, index: int, meter: Meter, level: str | None) -> ComposedLine:
        entry, guitar = self.lesson.examples[index], self.lesson.guitar
        settings = settings_of(entry, USUAL_RHYTHM)
        changes = self._changes(index)
        with self.at(index, "parts"):
            shapes = shapes_of_parts(
                settings,
                guitar,
                self.lesson.hand,
                lambda part, key: self.at(index, "parts", part, key),
            )

        eased = eased_parts(settings, shapes, level, meter)
        basses = basses_of(entry) if changes is None else []

        def home(part: int, moment: Fraction) -> tuple[int, ...]:
            if changes is None:
                return home_tones(basses[part][1], basses[part][0])
            begun = bisect_right(changes.chords, moment, key=lambda placed: placed.onset)
            under = changes.chords[begun - 1].chord
            return home_tones(under, under.bass_note)

        with self.at(index, "parts"):
            lick = line_of_parts(eased.settings, eased.shapes, guitar, meter, home)
        starts = [part.onset for part in lick.parts]
        under = [
            Under(starts[at], *bass)
            for at, bass in enumerate(basses)
            if at == 0 or bass != basses[at - 1]
        ]
        played = tuple(shape for own in shapes for shape in own)
        triads = (triads_of(settings),)
        words = "; ".join(eased.changed)
        return ComposedLine(
            lick,
            triads,
            changes,
            entry,
            (words,) * len(under) if words else (),
            under=tuple(under),
            shapes=played,
        )

    def _from_tab(self, index: int) -> ComposedLine:
        entry = self.lesson.examples[index]
        triads = entry.triads or ()
        voices: dict[int, int] = {}
        for voice, triad in enumerate(triads):
            for note in triad.notes:
                voices.setdefault(note.pc, voice)
        with self.at(index, "tab"):
            first_line = self.lesson.spot("examples", index, "tab", line=1)
            block = parse_tab(entry.tab or "", self.lesson.guitar, where=first_line)
        with self.at(index, "rhythm" if entry.rhythm else "tab"):
            lick = lick_from_tab(
                block,
                entry.rhythm or USUAL_RHYTHM,
                self.lesson.guitar,
                meter=self.meter(entry),
                voices=voices,
            )
            meter = self.meter(entry)
            filled = meter.bar_of(lick.length - _MOMENT) + 1
            if filled != block.bars:
                raise RhythmError(
                    f"the tab has {block.bars} {'bar' if block.bars == 1 else 'bars'}, but its"
                    f" rhythm fills {filled}",
                    mend="Move the bar lines of the tab, or change the rhythm",
                )
        return ComposedLine(lick, (triads,), self._changes(index), entry)

    def _taken_up(self, index: int) -> ComposedLine:
        eased = self.lesson.examples[index].level is not None
        return self._eased(index) if eased else self._carried(index)

    def _source(self, index: int) -> int:
        """Which earlier example this one takes its lick from."""
        names = [example.name for example in self.lesson.examples[:index]]
        return names.index(self.lesson.examples[index].lick or "")

    def _eased(self, index: int) -> ComposedLine:
        """An earlier lick with less to do."""
        source = self._source(index)
        entry, home = self.lesson.examples[index], self.lesson.examples[source]
        if home.kind == "parts":
            return self._eased_parts(index, source)
        if home.kind != "triads":
            with self.at(index, "lick"):
                raise LessonError(
                    f"'{home.name}' is not made from triads, so it cannot be made easier",
                    mend="Name a lick that is, or write the easier one as tab",
                )
        easy, medium, _ = variations(
            self._played(source),
            home.contour or USUAL_CONTOUR,
            home.rhythm or USUAL_RHYTHM,
        )
        chosen = easy if entry.level == "easy" else medium
        with self.at(index, "level"):
            home = home.model_copy(update={"time": self.time(entry)})
            lick = self._compose(home, chosen.shapes, chosen.contour, chosen.rhythm)
        words = "; ".join(chosen.changed) or "nothing in it can be made easier"
        changes = self._changes(source)
        count = len(changes.chords) if changes else 1
        return ComposedLine(lick, (home.triads or (),), changes, home, (words,) * count)

    def _eased_parts(self, index: int, source: int) -> ComposedLine:
        entry, home = self.lesson.examples[index], self.lesson.examples[source]
        if home.changes is not None:
            with self.at(index, "lick"):
                raise LessonError(
                    f"'{home.name}' stands over changes, and its easier form takes more time",
                    mend="Name a lick of parts over one bass, and carry the easier form",
                )

        with self.at(index, "level"):
            return self._line_of_parts(source, self.meter(entry), entry.level)

    def _carried(self, index: int) -> ComposedLine:
        (carried,) = self.ways(index, 1)
        return ComposedLine(
            carried.lick,
            tuple(choice.triads for choice in carried.choices),
            self._changes(index),
            self.lesson.examples[index],
            tuple("; ".join(choice.why[1:]) for choice in carried.choices),
            cut=carried.cut,
        )

    def ways(self, index: int, k: int, pins: Mapping[int, CarryPin] | None = None) -> list[Carried]:
        """The ``k`` best ways to carry the lick of an example, the best first.

        Parameters
        ----------
        index : of an example that carries an earlier lick over changes.
        pins : what is settled, in place of what the example pins.

        Raises
        ------
        LessonError, TheoryError, NeckError, HandError, RhythmError
            With the place in the file, where there is no such way.
        """
        entry, source = self.lesson.examples[index], self.worked(self._source(index))
        home = source.spans[0]
        changes = self._changes(index)
        assert changes is not None, "an example of this kind has changes"
        if pins is None:
            pins = {bar: pin.pin() for bar, pin in (entry.pins or {}).items()}
        with self.at(index, "changes"):
            return carry_ways(
                source.score.lick,
                changes,
                entry.carry,
                k=k,
                triads=home.triads,
                source=home.chord,
                source_key=home.key,
                guitar=self.lesson.guitar,
                hand=self.lesson.hand,
                tempo_bpm=self.lesson.tempo_of(entry).target,
                picking=entry.picking,
                frets=None if entry.frets is None else entry.frets[0],
                strings=entry.strings,
                pins=pins,
                filled=entry.filled,
                wish=entry.wish(),
                landing=entry.landing,
            )

    def _changes(self, index: int) -> Changes | None:
        entry = self.lesson.examples[index]
        if entry.changes is None:
            return None
        with self.at(index, "changes"):
            changes = parse_changes(entry.changes, self.key(entry), self.time(entry))
        return held_on(changes) if entry.carries else changes

    # --- how every example ends -----------------------------------------------------------------

    def _spans(self, index: int, line: ComposedLine, length: Fraction) -> Iterator[Span]:
        entry = self.lesson.examples[index]
        if line.changes is None:
            under = line.under or (one_bass(line.home),)
            ends = [*(later.onset for later in under[1:]), length]
            for one, end in zip(under, ends, strict=True):
                time = (one.onset, end - one.onset)
                yield span_of(line.lick, time, one.over, self.key(entry), one.claim, line.triads[0])
            return
        pickup = self.meter(entry).pickup
        if pickup + line.changes.length < length:
            with self.at(index, "changes"):
                raise RhythmError(
                    f"the lick lasts {length} quarter notes, its changes {line.changes.length}",
                    mend="Add bars to the changes, or shorten the lick",
                )
        for place, placed in enumerate(line.changes.chords):
            onset = pickup + placed.onset if place else Fraction(0)
            yield span_of(
                line.lick,
                (onset, pickup + placed.end - onset),
                placed.chord.bass_note,
                placed.key or self.key(entry),
                placed.chord,
                line.triads[place if len(line.triads) > 1 else 0],
            )

    def _finished(self, index: int, lick: Lick, tempo_bpm: float) -> Lick:
        entry = self.lesson.examples[index]
        fingers = entry.fingers or ()
        if len(fingers) > len(lick.notes):
            with self.at(index, "fingers"):
                raise RhythmError(
                    f"there are {len(fingers)} fingers for {len(lick.notes)} notes",
                    mend="Give one finger a note, and . where it is left open",
                )
        own = entry.strokes
        strokes = own and [own[i % len(own)] for i in range(len(lick.notes))]
        meter = self.meter(entry)
        if own is None and lick.parts and (original := self._original(entry)).parts is not None:
            with self.at(index, "parts" if entry.parts else "level"):
                strokes = strokes_of_parts(
                    original, entry, lick, meter, tempo_bpm, self.lesson.player
                )
        with self.at(index, "fingers" if entry.fingers else "strokes"):
            return finish(
                lick,
                self.lesson.guitar,
                tempo_bpm,
                entry.picking,
                strokes=strokes,
                pins={i: finger for i, finger in enumerate(fingers) if finger is not None},
                hand=self.lesson.hand,
                meter=meter,
                start=entry.first_stroke,
                escape=self.lesson.player.escape,
                known=[self.worked(e).score.lick for e in brought_along(self.lesson, index)],
            )

    def _bars(
        self, entry: ExampleEntry, changes: Changes | None, length: Fraction
    ) -> Iterator[Bar]:
        meter, key = self.meter(entry), self.key(entry)
        if meter.pickup:
            yield Bar(0, Fraction(0), meter.pickup, *self.time(entry), key)
        if changes is not None:
            for bar in changes.bars:
                onset = meter.pickup + bar.onset
                yield Bar(bar.number, onset, bar.length, bar.beats, bar.unit, bar.key or key)
            return
        count = (length - meter.pickup) / meter.bar
        for number in range(int(count)):
            onset = meter.pickup + number * meter.bar
            yield Bar(number + 1, onset, meter.bar, *self.time(entry), key)


def brought_along(lesson: Lesson, index: int) -> list[int]:
    """Earlier examples whose fingers the student brings along: of this lick, or of this pair."""
    entry = lesson.examples[index]
    return [
        earlier
        for earlier, other in enumerate(lesson.examples[:index])
        if other.name == entry.lick or (entry.triads and other.triads == entry.triads)
    ]
