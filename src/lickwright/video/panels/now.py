"""The moment in large letters: the chord, the degree, the stroke, the finger, the place.

In the count-in it counts.
"""

from __future__ import annotations

from collections.abc import Iterator

from lickwright.drawing import INK
from lickwright.lick import LickNote, Stroke, Technique
from lickwright.score import ChordSpan, place_name
from lickwright.video.frames import (
    CAPITAL_EM,
    SOFT,
    Album,
    Area,
    Beat,
    Clock,
    Drawing,
    Placed,
    Sprite,
    Words,
    stroke_sign,
)
from lickwright.video.panels.panel import centred, even, lamp, sheet_of_paper, words_sprite
from lickwright.video.panels.triad_marks import mark
from lickwright.video.words import signs

_UNPICKED = {
    Technique.PICK: "",
    Technique.HAMMER_ON: "hammer",
    Technique.PULL_OFF: "pull",
    Technique.SLIDE: "slide",
}


class NowPanel:
    """The readout of one passage in a box of the screen."""

    def __init__(self, clock: Clock, box: Area, album: Album, unit: float, alpha: float) -> None:
        self.clock, self.box, self.unit = clock, box, unit
        self._album = album
        score = clock.passage.score
        self._width = box.right - box.left
        self._paper = sheet_of_paper(album, box, unit, alpha)
        self._chords = {chord: self._chord_sprite(chord) for chord in score.chords}
        self._notes = [self._note_sprite(note) for note in score.lick.notes]
        rest = Words("rest", 0, 0, 60 * unit, SOFT, "regular", italic=True)
        self._rest = words_sprite(album, rest, self._width, 80 * unit)
        self._counts = {beat: self._count_sprite(beat) for beat in clock.beats if beat.bar is None}
        self._bars = {beat: self._bar_sprite(beat) for beat in clock.beats if beat.bar is not None}

    def at(self, time_s: float) -> Iterator[Placed]:
        yield self._paper
        middle = (self.box.left + self.box.right) / 2
        chord = self.clock.chord_at(time_s)
        if chord is not None:
            yield centred(self._chords[chord], middle, self._y(56))
        beat = self.clock.beat_at(time_s)
        if beat in self._counts:
            yield centred(self._counts[beat], middle, self._y(206))
        index = self.clock.note_at(time_s)
        if index is not None:
            yield centred(self._notes[index], middle, self._y(196))
        elif beat in self._bars:
            yield centred(self._rest, middle, self._y(196))
        if beat in self._bars:
            yield centred(self._bars[beat], middle, self._y(316))

    def _y(self, share: float) -> float:
        """A height of the panel, in 352nds of it."""
        return self.box.top + share / 352 * (self.box.bottom - self.box.top)

    def _chord_sprite(self, chord: ChordSpan) -> Sprite:
        words = Words(signs(chord.symbol or f"/{chord.bass}"), 0, 0, 84 * self.unit)
        return words_sprite(self._album, words, self._width - 24 * self.unit, 100 * self.unit)

    def _count_sprite(self, beat: Beat) -> Sprite:
        unit = self.unit
        w, h = even(210 * unit), even(190 * unit)
        size = 150 * unit
        number = Words(str(beat.number), w / 2, 0.5 * h + CAPITAL_EM / 2 * size, size)
        return self._album.add(Drawing(w, h, lamp(w, h, unit), (number,)))

    def _bar_sprite(self, beat: Beat) -> Sprite:
        words = Words(
            place_name(beat.bar or 0, beat.number), 0, 0, 33 * self.unit, SOFT, "semibold"
        )
        return words_sprite(self._album, words, self._width - 20 * self.unit, 44 * self.unit)

    def _note_sprite(self, note: LickNote) -> Sprite:
        """Degree, stroke and finger side by side, and below them string and fret."""
        unit = self.unit
        w, h = even(self._width - 16 * unit), even(184 * unit)
        xs = (w * 0.2, w * 0.53, w * 0.84)
        y = 46 * unit
        degree = signs(note.degree or str(note.pitch.name))
        size = (42 if len(note.triads) < 2 else 34) * unit
        shapes, label = mark(xs[0], y, size, note.triads, "×" if note.marks.dead else degree)
        words = [*label, Words("degree", xs[0], y + 72 * unit, 24 * unit, SOFT, "regular")]
        if note.stroke is not None:
            shapes += stroke_sign(note.stroke is Stroke.DOWN, xs[1], y, 60 * unit, INK)
        elif _UNPICKED[note.technique]:
            words.append(
                Words(
                    _UNPICKED[note.technique],
                    xs[1],
                    y + 12 * unit,
                    42 * unit,
                    italic=True,
                    room=w * 0.36,
                )
            )
        if note.stroke is not None or _UNPICKED[note.technique]:
            words.append(Words("stroke", xs[1], y + 72 * unit, 24 * unit, SOFT, "regular"))
        if note.finger is not None:
            size = 92 * unit
            words.append(Words("finger", xs[2], y + 72 * unit, 24 * unit, SOFT, "regular"))
            words.append(Words(str(note.finger), xs[2], y + CAPITAL_EM / 2 * size, size))
        place = note.position
        fret = "open" if place.fret == 0 else f"fret {place.fret}"
        words.append(
            Words(f"string {place.string}, {fret}", w / 2, h - 16 * unit, 44 * unit, room=0.94 * w)
        )
        return self._album.add(Drawing(w, h, shapes, tuple(words)))
