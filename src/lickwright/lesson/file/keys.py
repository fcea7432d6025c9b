"""How is one value of a lesson file read: a note, a range of frets, a rhythm?

Each ``...Key`` is a type that reads a value once, at the edge, and says what is wrong with it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from lickwright.changes.progression import parse_time
from lickwright.errors import LessonError, LickwrightError
from lickwright.lick import Stroke
from lickwright.lick.fingering import Pin
from lickwright.lick.phrase import Contour, parse_contour
from lickwright.lick.picking import parse_strokes
from lickwright.lick.rhythm import Rhythm, parse_rhythm
from lickwright.score import Swing, parse_swing
from lickwright.theory import (
    Chord,
    Key,
    NoteName,
    Triad,
    parse_chord,
    parse_key,
    parse_note_name,
    parse_triad,
)

T = TypeVar("T")

#: The type of every fault found by our own validators; its context holds ``what``, ``mend`` and
#: ``place``, the keys inside the faulty entry that lead to the blame.
FAULT = "lesson_fault"


def fault(what: str, mend: str, *place: str | int) -> PydanticCustomError:
    """A fault of an entry, as a validator raises it; see :data:`FAULT`."""
    return PydanticCustomError(FAULT, "{what}", {"what": what, "mend": mend, "place": place})


def checked(parse: Callable[[Any], T]) -> Any:
    """A validator that reads a value with ``parse`` and keeps what its error says."""

    def read(value: Any) -> T:
        try:
            return parse(value)
        except LickwrightError as error:
            raise fault(error.what, error.mend) from error

    return PlainValidator(read)


def _text(value: Any, what: str) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise LessonError(f"{what} must be text", mend=f"Write {what} on one line after the colon")
    return str(value)


def read_text(what: str, parse: Callable[[str], T]) -> Any:
    """A validator that reads one piece of text with ``parse``."""
    return checked(lambda value: parse(_text(value, what)))


def as_text(example: str, description: str) -> Any:
    return WithJsonSchema({"type": "string", "examples": [example], "description": description})


def _parse_range(text: str) -> tuple[int, int]:
    match = re.fullmatch(r"\s*(\d{1,2})\s*(?:-|–|to)\s*(\d{1,2})\s*", text)
    if match is None:
        raise LessonError(
            f"'{text}' is not a range", mend="Write the lowest and highest, such as 9-14"
        )
    low, high = sorted((int(match[1]), int(match[2])))
    return low, high


def _parse_frets(value: Any) -> list[tuple[int, int]]:
    windows = value if isinstance(value, list) else [value]
    if not 1 <= len(windows) <= 4:
        raise LessonError(f"{len(windows)} windows of frets", mend="Give one, or one a triad")
    return [_parse_range(_text(window, "a range")) for window in windows]


def _parse_beats(text: str) -> Fraction:
    try:
        beats = Fraction(text.strip())
    except (ValueError, ZeroDivisionError) as error:
        raise LessonError(
            f"'{text}' is not a number of beats", mend="Write a number such as 1 or 3/2"
        ) from error
    if not 0 < beats < 16:
        raise LessonError(f"a pickup of {text} beats", mend="Give less than one bar")
    return beats


def _parse_lasts(text: str) -> Fraction | None:
    words = " ".join(text.lower().split())
    if words == "as written":
        return None
    if words in ("half a bar", "half bar", "1/2 bar"):
        return Fraction(1, 2)
    match = re.fullmatch(r"(?:a|([1-9][0-9]?)) bars?|bar", words)
    if match is None or int(match[1] or 1) > 16:
        raise LessonError(
            f"'{text}' is no length of a part",
            mend="Write half a bar, a bar, 2 bars (16 at most) or as written",
        )
    return Fraction(int(match[1] or 1))


def _parse_model(value: Any) -> str | int:
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise LessonError("a part is named by its name or its number", mend="Write it so: 1")
    return value


def _parse_triads(value: Any) -> tuple[Triad, ...]:
    words = value if isinstance(value, list) else [value]
    if not 1 <= len(words) <= 4:
        raise LessonError(f"{len(words)} triads", mend="Give one to four, such as [F, Am]")
    return tuple(parse_triad(_text(word, "a triad")) for word in words)


def _parse_fingers(value: Any) -> tuple[int | Pin | None, ...]:
    words = value if isinstance(value, list) else _text(value, "fingers").split()
    fingers: list[int | Pin | None] = []
    for word in map(str, words):
        if word == ".":
            fingers.append(None)
        elif word in {"0", "1", "2", "3", "4"}:
            fingers.append(int(word))
        elif word in {"0!", "1!", "2!", "3!", "4!"}:
            fingers.append(Pin(int(word[0]), here_only=True))
        else:
            raise LessonError(
                f"'{word}' is not a finger",
                mend="Write 1 (index) to 4 (little), 0 for an open string, or . to leave it open; "
                "3! is for here only, where the figure comes again",
            )
    return tuple(fingers)


def _parse_tempo(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 20 <= value <= 400:
        raise LessonError(f"a tempo of {value}", mend="Give quarter notes a minute, from 20 to 400")
    return float(value)


NoteKey = Annotated[
    NoteName, read_text("a note", parse_note_name), as_text("D", "a note name, such as F#")
]
KeyKey = Annotated[Key, read_text("a key", parse_key), as_text("D dorian", "a tonic and a mode")]
ChordKey = Annotated[Chord, read_text("a chord", parse_chord), as_text("Dm9", "a chord symbol")]


@dataclass(frozen=True, slots=True)
class Meant:
    """A finding that the teacher means so: the key it is of, and the bar if only that is meant."""

    key: str
    bar: int | None = None

    def __str__(self) -> str:
        return self.key if self.bar is None else f"{self.key} bar {self.bar}"


#: The keys of an example that a check can find something in.
FOUND_IN = ("implies", "changes", "under", "strokes", "fingers", "triads", "tab", "parts", "lick")


def _parse_meant(text: str) -> Meant:
    match = re.fullmatch(r"\s*([a-z]+)(?:[\s,]+bar\s+(\d{1,3}))?\s*", text)
    if match is None or match[1] not in FOUND_IN:
        raise LessonError(
            f"'{text}' is no finding that can be meant",
            mend=f"Write one of {', '.join(FOUND_IN)}, or one with a bar: changes bar 2",
        )
    return Meant(match[1], None if match[2] is None else int(match[2]))


MeantKey = Annotated[
    Meant,
    read_text("a finding", _parse_meant),
    as_text("implies bar 2", "a key of the example, and a bar where only that is meant"),
]
RangeKey = Annotated[
    tuple[int, int], read_text("a range", _parse_range), as_text("9-14", "lowest-highest")
]
FretsKey = Annotated[
    list[tuple[int, int]],
    checked(_parse_frets),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "examples": ["9-14"]},
                {"type": "array", "items": {"type": "string"}, "examples": [["7-10", "12-15"]]},
            ]
        }
    ),
]
TimeKey = Annotated[
    tuple[int, int], read_text("a time signature", parse_time), as_text("4/4", "beats/unit")
]
RhythmKey = Annotated[
    Rhythm, read_text("a rhythm", parse_rhythm), as_text("16ths", "one word, or values in order")
]
ContourKey = Annotated[
    Contour, read_text("a contour", parse_contour), as_text("up down", "which way each triad runs")
]
StrokesKey = Annotated[
    tuple[Stroke | None, ...],
    read_text("strokes", lambda text: tuple(parse_strokes(text))),
    as_text("DDD U UUU D", "D down, U up, in order and repeated"),
]
TriadsKey = Annotated[
    tuple[Triad, ...],
    checked(_parse_triads),
    WithJsonSchema(
        {
            "type": "array",
            "items": {"type": "string"},
            "minItems": 1,
            "maxItems": 4,
            "examples": [["F", "Am"]],
        }
    ),
]
FingersKey = Annotated[
    tuple[int | Pin | None, ...],
    checked(_parse_fingers),
    as_text("1 3 4! . 1", "a finger a note, . where it is left open, ! for here only"),
]
LastsKey = Annotated[
    Fraction | None,
    read_text("a length", _parse_lasts),
    as_text("half a bar", "half a bar, a bar, a number of bars, or as written"),
]
ModelKey = Annotated[
    str | int,
    checked(_parse_model),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "integer", "minimum": 1}]}),
]
SwingKey = Annotated[
    Swing,
    read_text("a swing", parse_swing),
    as_text("2:1", "straight, by tempo, or long to short: 2:1, 16ths 3:2"),
]
TempoKey = Annotated[
    float,
    checked(_parse_tempo),
    WithJsonSchema({"type": "number", "minimum": 20, "maximum": 400}),
]
BeatsKey = Annotated[
    Fraction, read_text("beats", _parse_beats), as_text("1", "beats of the time signature")
]


class Entry(BaseModel):
    """A part of a lesson file with keys of its own."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)
