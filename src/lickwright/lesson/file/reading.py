"""Reading a lesson file: YAML in, a :class:`Lesson` out, every fault with its file and line."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails
from yaml import MappingNode, MarkedYAMLError, YAMLError

from lickwright.errors import LessonError, LickwrightError, Spot, did_you_mean
from lickwright.files import TooLargeError, read_plain
from lickwright.lesson.file.entries import ExampleEntry, LessonEntry, PinEntry
from lickwright.lesson.file.keys import FAULT
from lickwright.lesson.file.parts import PartEntry
from lickwright.lesson.file.settings import GuitarEntry, SoundEntry, TempoEntry
from lickwright.lesson.file.yaml_data import (
    MAX_VALUES,
    Lines,
    Path_,
    not_yaml,
    plain_data_of,
    too_large,
)
from lickwright.lesson.file.yaml_tree import TooDeepError, compose
from lickwright.lick.hands import Player, read_player
from lickwright.neck import Guitar
from lickwright.score import Swing
from lickwright.sound.band import feel_named

#: A lesson is text; anything larger is not one, and is refused before it is read.
MAX_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class ParsedText:
    """A text that is YAML: its plain data, the lines of its keys, the parser's tree.

    ``root`` is the composed node, with a mark where each value starts and ends: editing needs it.
    """

    data: dict[str, Any]
    lines: Lines
    root: Any


@dataclass(frozen=True)
class Lesson:
    """A lesson file that was read whole and makes sense key by key.

    ``raw`` is the file as plain data; it is what the build compares to know what changed.
    """

    path: Path
    entry: LessonEntry
    raw: Mapping[str, Any]
    lines: Lines

    @cached_property
    def guitar(self) -> Guitar:
        """The instrument."""
        return replace(self.entry.guitar.guitar(), left_handed=self.player.left_handed)

    @property
    def hand(self) -> str:
        """The size of the left hand, in one word."""
        return self.player.hand.name

    @cached_property
    def player(self) -> Player:
        """Whose hands play it."""
        entry = self.entry
        return entry.player.player(entry.hand, left_handed=entry.guitar.left_handed)

    def played_at(self, level: str) -> Lesson:
        """The lesson for a player of another level, all else as it is written."""
        player = self.entry.player.model_copy(update={"level": read_player(level).level})
        return replace(self, entry=self.entry.model_copy(update={"player": player}))

    @property
    def examples(self) -> Sequence[ExampleEntry]:
        return self.entry.examples

    def tempo_of(self, example: ExampleEntry) -> TempoEntry:
        """The example's tempi, each key falling back on the lesson's."""
        if example.tempo is None:
            return self.entry.tempo
        own = {key: getattr(example.tempo, key) for key in example.tempo.model_fields_set}
        return self.entry.tempo.model_copy(update=own)

    def swing_of(self, example: ExampleEntry) -> Swing | None:
        """How the example swings: as it says, as the lesson says, or as its band does."""
        backing = example.backing or self.entry.backing
        said = example.swing or self.entry.swing
        return said or (None if backing == "none" else feel_named(backing).swing)

    def sound_of(self, example: ExampleEntry) -> SoundEntry:
        """The example's sound, each key falling back on the lesson's."""
        if example.sound is None:
            return self.entry.sound
        own = {key: getattr(example.sound, key) for key in example.sound.model_fields_set}
        return self.entry.sound.model_copy(update=own)

    def spot(self, *path: str | int, line: int | None = None) -> Spot:
        """Where a key stands in the file; ``line`` counts inside a block of text."""
        at = self.lines.of(path) if line is None else self.lines.inside(path, line)
        return Spot(str(self.path), at)


def load_lesson(path: str | os.PathLike[str]) -> Lesson:
    """Read a lesson file.

    Parameters
    ----------
    path : a YAML file.

    Returns
    -------
    Lesson

    Raises
    ------
    LessonError
        With the file, the line and how to mend it: a file that is missing or too large, YAML that
        cannot be read, a key that is unknown or missing, a value that is not what its key wants.
    """
    path = Path(path)
    return read_lesson(decode_lesson(lesson_bytes(path), path), path)


def read_lesson(text: str, path: Path) -> Lesson:
    """Read the text of a lesson file; ``path`` is only named in errors."""
    return understand(parse_text(text, path), path)


def understand(parsed: ParsedText, path: Path) -> Lesson:
    """The lesson that parsed text describes, or a LessonError at its first fault."""
    raw, lines = parsed.data, parsed.lines
    try:
        entry = LessonEntry.model_validate(raw)
    except ValidationError as error:
        # The first fault in the file comes first; a missing key last, since a misspelt one is
        # both unknown and missing, and the spelling is what wants mending.
        details = sorted(
            error.errors(), key=lambda d: (d["type"] == "missing", lines.of(d["loc"]) or 0)
        )
        raise _explain(details[0], lines, path) from error
    lesson = Lesson(path, entry, raw, lines)
    try:
        lesson.guitar  # noqa: B018  built here, so that a bad instrument is told with its line
    except LickwrightError as error:
        raise error.at(lesson.spot("guitar")) from error
    return lesson


def lesson_bytes(path: Path) -> bytes:
    """The bytes of a lesson file, or a LessonError where it cannot be read or is too large.

    A pipe or a device is no lesson file, and is not waited for.
    """
    spot = Spot(str(path))
    try:
        return read_plain(path, MAX_BYTES)
    except FileNotFoundError as error:
        near = did_you_mean(path.name, [p.name for p in path.absolute().parent.glob("*.y*ml")])
        raise LessonError(
            "there is no such file", mend=near or "Check the name and the folder", where=spot
        ) from error
    except OSError as error:
        raise LessonError(
            f"the file cannot be read ({error.strerror})",
            mend="Name a lesson file that you may read",
            where=spot,
        ) from error
    except ValueError as error:
        raise LessonError("this is not a name for a file", mend="Name a file") from error
    except TooLargeError as error:
        raise LessonError(
            "the file is larger than a lesson can be (1 MB)", mend="Split it", where=spot
        ) from error


def decode_lesson(data: bytes, path: Path) -> str:
    """The text of a lesson file without a byte order mark; a LessonError where it is not UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise LessonError(
            "the file is not UTF-8 text", mend="Save it as UTF-8", where=Spot(str(path), line)
        ) from error


def parse_text(text: str, path: Path) -> ParsedText:
    """Parse the text of a lesson as YAML, whatever its keys say; a LessonError where it is not."""
    file = str(path)
    # A value takes a line or a comma; what is too large is refused before it is parsed.
    if max(text.count("\n"), text.count(",")) > MAX_VALUES:
        raise too_large(file)
    try:
        root = compose(text)
    except TooDeepError as error:
        raise too_large(file, error.line) from error
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        what = str(error.problem or error.context)
        raise not_yaml(what, file, mark.line + 1 if mark else None) from error
    except (YAMLError, ValueError) as error:
        raise LessonError(
            f"this is not YAML: {str(error).splitlines()[0]}",
            mend="Take the strange characters out",
            where=Spot(file),
        ) from error
    if not isinstance(root, MappingNode):
        raise LessonError(
            "the file holds no lesson",
            mend="Begin with lesson:, key: and examples:",
            where=Spot(file, 1),
        )
    return ParsedText(*plain_data_of(root, file), root)


_WANTED = {
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "string_type": "must be text",
    "list_type": "must be a list",
    "model_type": "must hold keys of its own, such as slow: 66",
}


def _explain(detail: ErrorDetails, lines: Lines, path: Path) -> LessonError:
    """One sentence of what is wrong and one of how to mend it, from a validator's record."""
    place: Path_ = tuple(detail["loc"])
    context = detail.get("ctx", {})
    kind = detail["type"]
    name = _name_of(place)
    if kind == FAULT:
        place = (*place, *context["place"])
        what, mend = context["what"], context["mend"]
        if not place or isinstance(place[-1], int) or str(place[-1]) in what:
            pass
        else:
            what = f"'{place[-1]}': {what}"
    elif kind == "extra_forbidden":
        known = _keys_at(place[:-1])
        what = f"there is no key '{place[-1]}'" + (
            f" in {_name_of(place[:-1])}" if place[1:] else ""
        )
        mend = did_you_mean(str(place[-1]), known) or f"The keys are: {', '.join(known)}"
    elif kind == "missing":
        what, place = f"'{place[-1]}' is missing" + _inside(place[:-1]), place[:-1]
        mend = f"Add {detail['loc'][-1]}:"
    elif kind == "too_short" or kind == "string_too_short":
        what, mend = f"{name} is empty", "Give at least one"
    elif kind == "literal_error":
        what, mend = f"{name} cannot be '{detail['input']}'", f"Use {context['expected']}"
        near = did_you_mean(str(detail["input"]), context["expected"].replace("'", "").split(", "))
        mend = near or mend
    elif kind in _WANTED:
        what, mend = f"{name} {_WANTED[kind]}", "Write it so"
    else:
        what, mend = f"{name}: {detail['msg'][0].lower()}{detail['msg'][1:]}", "Change the value"
    return LessonError(what, mend=mend, where=Spot(str(path), lines.of(place)))


def _name_of(place: Path_) -> str:
    if not place:
        return "the lesson"
    if isinstance(place[-1], int):
        return f"entry {place[-1] + 1} of '{place[-2]}'" if len(place) > 1 else "an entry"
    return f"'{place[-1]}'"


def _inside(place: Path_) -> str:
    return f" in {_name_of(place)}" if place else ""


def _keys_at(place: Path_) -> list[str]:
    """The keys that may stand in the entry at ``place``."""
    model: Any = LessonEntry
    if place[:1] == ("examples",):
        of_key = {
            "tempo": TempoEntry,
            "sound": SoundEntry,
            "pins": PinEntry,
            "parts": PartEntry,
        }
        model = of_key.get(str([*place, ""][2]), ExampleEntry)
    elif place[:1] == ("guitar",):
        model = GuitarEntry
    elif place[:1] == ("tempo",):
        model = TempoEntry
    elif place[:1] == ("sound",):
        model = SoundEntry
    return list(model.model_fields)
