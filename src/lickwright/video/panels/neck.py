"""The neck of the moment: the places of both triads, and light on the one that sounds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from lickwright.drawing import INK, NeckWindow, svg
from lickwright.lick import LickNote
from lickwright.neck import Position
from lickwright.video.frames import (
    CAPITAL_EM,
    LAMP,
    Album,
    Area,
    Clock,
    Drawing,
    Placed,
    Sprite,
    Words,
)
from lickwright.video.panels.neck_layout import FilmNeck, window_of
from lickwright.video.panels.panel import centred, even, round_lamp, sheet_of_paper
from lickwright.video.panels.triad_marks import MARK_REACH, SCREEN_MARKS, check_voice, mark
from lickwright.video.words import signs

Labels = Literal["degrees", "notes", "fingers", "none"]

_ORDINALS = ("first", "second", "third", "fourth")
_LIT = 1.22
#: How much smaller marks may be so that the neck stands still when the chord changes.
_STEADY = 0.85


def label_of(note: LickNote, labels: Labels) -> str:
    """What stands inside a note's mark."""
    if labels == "degrees":
        return signs(note.degree or "")
    if labels == "notes":
        return signs(str(note.pitch.name))
    if labels == "fingers" and note.finger is not None:
        return str(note.finger)
    return ""


@dataclass(frozen=True, slots=True)
class Scene:
    """What the neck shows for a stretch of music: the places of its notes."""

    notes: tuple[LickNote, ...]
    names: tuple[str, ...]

    def places(self) -> dict[Position, tuple[int, ...]]:
        """The triads of each place, lowest string first."""
        found: dict[Position, set[int]] = {}
        for note in self.notes:
            found.setdefault(note.position, set()).update(note.triads)
        order = sorted(found, key=lambda place: (-place.string, place.fret))
        return {place: tuple(sorted(found[place])) for place in order}

    def voices(self) -> tuple[int, ...]:
        return tuple(sorted({voice for note in self.notes for voice in note.triads}))

    def name(self, voice: int) -> str:
        if voice < len(self.names) and self.names[voice].strip():
            return signs(self.names[voice].strip())
        return f"{_ORDINALS[voice]} triad"


def scenes_of(clock: Clock) -> tuple[tuple[Scene, ...], tuple[int, ...]]:
    """The scenes of a passage, and which of them each note belongs to.

    A scene lasts from one chord to the next, from one pair of triads to the next, or from one part
    to the next.
    """
    passage = clock.passage
    cuts = {chord.onset for chord in passage.score.chords if not chord.silent}
    cuts |= {named.onset for named in passage.triads}
    cuts |= {part.onset for part in passage.score.lick.parts}
    starts = sorted(cuts | {Fraction(0)})
    scenes: list[Scene] = []
    scene_of: list[int] = []
    for start, end in zip(starts, [*starts[1:], None], strict=True):
        notes = tuple(
            note
            for note in passage.score.lick.notes
            if note.onset >= start and (end is None or note.onset < end)
        )
        if notes:
            scenes.append(Scene(notes, passage.names_at(notes[0].onset)))
            scene_of += [len(scenes) - 1] * len(notes)
    return tuple(scenes), tuple(scene_of)


class NeckPanel:
    """The neck of one passage in a box of the screen."""

    def __init__(
        self, clock: Clock, box: Area, album: Album, unit: float, alpha: float, labels: Labels
    ) -> None:
        self.clock, self.box, self.unit = clock, box, unit
        self._album, self._labels = album, labels
        self.notes = clock.passage.score.lick.notes
        for note in self.notes:
            for voice in note.triads:
                check_voice(voice)
        self._paper = sheet_of_paper(album, box, unit, alpha)
        self.scenes, self.scene_of = scenes_of(clock)
        self.boards = self._boards()
        self._stills = [
            self._still(scene, board) for scene, board in zip(self.scenes, self.boards, strict=True)
        ]
        self._lamps = [self._lamp_sprite(board) for board in self.boards]
        self._lit = [self._lit_sprite(index) for index in range(len(self.notes))]
        self._underline = [self._underline_sprite(scene) for scene in self.scenes]

    # --- what stands where ----------------------------------------------------------------------

    def place_xy(self, index: int) -> tuple[float, float]:
        """Where a note's place stands on the screen."""
        board, place = self.boards[self.scene_of[index]], self.notes[index].position
        return self.box.left + board.x(place), self.box.top + board.string_y(place.string)

    def at(self, time_s: float) -> Iterator[Placed]:
        yield self._paper
        if not self.scenes:
            return
        index = self.clock.note_at(time_s)
        scene = self.scene_of[index] if index is not None else self._awaited(time_s)
        board, marks = self._stills[scene]
        yield Placed(board, self.box.left, self.box.top)
        if index is not None:
            # Behind the marks, so that the neighbours of a lit one stay whole.
            yield centred(self._lamps[scene], *self.place_xy(index))
        yield Placed(marks, self.box.left, self.box.top)
        if index is not None:
            for voice in self.notes[index].triads:
                x = self.box.left + self._legend_x(self.scenes[scene], voice)
                y = self.box.top + round(58 * self.unit)
                yield centred(self._underline[scene], x, y)
            yield centred(self._lit[index], *self.place_xy(index))

    def _awaited(self, time_s: float) -> int:
        """In silence, the scene of the note that comes next, or of the last one."""
        for index, note in enumerate(self.notes):
            if self.clock.passage.seconds(note.onset) > time_s:
                return self.scene_of[index]
        return len(self.scenes) - 1

    def _boards(self) -> tuple[FilmNeck, ...]:
        """One stretch of neck for all scenes, unless its marks would be much smaller."""
        guitar = self.clock.passage.score.guitar
        own = tuple(self._board(window_of(scene.places(), guitar)) for scene in self.scenes)
        whole = self._board(window_of((note.position for note in self.notes), guitar))
        if whole.mark_size >= _STEADY * max((board.mark_size for board in own), default=0.0):
            return (whole,) * len(own)
        return own

    def _board(self, window: NeckWindow) -> FilmNeck:
        box, guitar = self.box, self.clock.passage.score.guitar
        width, height = float(box.right - box.left), float(box.bottom - box.top)
        return FilmNeck(guitar, window, width, height, 92 * self.unit, self.unit)

    # --- drawings -------------------------------------------------------------------------------

    def _still(self, scene: Scene, board: FilmNeck) -> tuple[Sprite, Sprite]:
        """The board with the triads' threads, and the marks that stand on it."""
        size = (self.box.right - self.box.left, self.box.bottom - self.box.top)
        wood = "".join([board.shapes(), *self._shape_lines(scene, board)])
        behind = self._album.add(Drawing(*size, wood, tuple(board.words())))
        shapes: list[str] = []
        words: list[Words] = []
        labels = {note.position: label_of(note, self._labels) for note in reversed(scene.notes)}
        for place, voices in scene.places().items():
            x, y = board.x(place), board.string_y(place.string)
            drawn, label = mark(x, y, board.mark_size, voices, labels[place])
            shapes.append(drawn)
            words += label
        self._draw_legend(scene, shapes, words)
        return behind, self._album.add(Drawing(*size, "".join(shapes), tuple(words)))

    def _shape_lines(self, scene: Scene, board: FilmNeck) -> Iterator[str]:
        """A thread through each triad's places: whole for the first triad, dashed for others.

        Only where a triad has one place a string: through more it would say nothing.
        """
        for voice in scene.voices():
            places = [place for place, voices in scene.places().items() if voice in voices]
            if len({place.string for place in places}) < len(places):
                continue
            points = [(board.x(place), board.string_y(place.string)) for place in places]
            dash = "" if voice == 0 else f"{9 * self.unit:.1f} {9 * self.unit:.1f}"
            if len(points) > 1:
                yield svg.path(points, 4 * self.unit, SCREEN_MARKS.voices[voice].look.colour, dash)

    def _legend_x(self, scene: Scene, voice: int) -> float:
        """The middle of a triad's entry above the neck."""
        voices = scene.voices()
        width = self.box.right - self.box.left
        return width * (voices.index(voice) + 0.5) / len(voices)

    def _draw_legend(self, scene: Scene, shapes: list[str], words: list[Words]) -> None:
        voices = scene.voices()
        slot = (self.box.right - self.box.left) / max(1, len(voices))
        longest = max((len(scene.name(voice)) for voice in voices), default=1)
        size, y = min(36 * self.unit, (slot - 52 * self.unit) / (0.5 * longest)), 29 * self.unit
        for voice in voices:
            name = scene.name(voice)
            half = min(0.26 * size * len(name) + 24 * self.unit, slot / 2 - 5 * self.unit)
            left = self._legend_x(scene, voice) - half
            drawn, _ = mark(left + 16 * self.unit, y, 14 * self.unit, (voice,), "")
            shapes.append(drawn)
            base, room = y + CAPITAL_EM / 2 * size, slot - 52 * self.unit
            words.append(Words(name, left + 42 * self.unit, base, size, anchor="start", room=room))

    def _underline_sprite(self, scene: Scene) -> Sprite:
        """Shows which triad sounds."""
        width = (self.box.right - self.box.left) / max(1, len(scene.voices()))
        w, h = even(min(width * 0.8, 160 * self.unit)), even(10 * self.unit)
        rim = 2 * self.unit
        corners = (rim / 2, rim / 2, w - rim / 2, h - rim / 2)
        bar = svg.rect(*corners, LAMP, rounding=h / 2, stroke=INK, width=rim)
        return self._album.add(Drawing(w, h, bar))

    def _lit_sprite(self, index: int) -> Sprite:
        note, scene = self.notes[index], self.scenes[self.scene_of[index]]
        board = self.boards[self.scene_of[index]]
        size = board.mark_size * _LIT
        voices: Sequence[int] = scene.places()[note.position]
        side = even(2 * MARK_REACH * size)
        drawn, label = mark(side / 2, side / 2, size, voices, label_of(note, self._labels))
        return self._album.add(Drawing(side, side, drawn, label))

    def _lamp_sprite(self, board: FilmNeck) -> Sprite:
        radius = min(1.85 * board.mark_size, 37 * self.unit)
        side = even(2 * radius + 6 * self.unit)
        return self._album.add(Drawing(side, side, round_lamp(side, radius, self.unit)))
