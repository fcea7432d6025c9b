"""What a lesson file may say: every key, its type, its meaning, its default.

The models hold values of the trade (a :class:`Key`, a tuple of triads), read once at the edge.
``lickwright schema`` prints the JSON Schema that follows from them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    PlainValidator,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError

from lickwright.changes.carry_task import CarryPin
from lickwright.changes.progression import parse_time
from lickwright.errors import LessonError, LickwrightError
from lickwright.lick.contour import Contour, parse_contour
from lickwright.lick.notes import Stroke
from lickwright.lick.rhythm import Rhythm, parse_rhythm
from lickwright.lick.stroke_text import parse_strokes
from lickwright.neck.geometry import parse_scale_lengths
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName, parse_note_name
from lickwright.theory.triad import Triad, parse_triad

T = TypeVar("T")

#: The type of every fault found by our own validators; its context holds ``what``, ``mend`` and
#: ``place``, the keys inside the faulty entry that lead to the blame.
FAULT = "lesson_fault"


def _fault(what: str, mend: str, *place: str | int) -> PydanticCustomError:
    return PydanticCustomError(FAULT, "{what}", {"what": what, "mend": mend, "place": place})


def _checked(parse: Callable[[Any], T]) -> Any:
    """A validator that reads a value with ``parse`` and keeps what its error says."""

    def read(value: Any) -> T:
        try:
            return parse(value)
        except LickwrightError as error:
            raise _fault(error.what, error.mend) from error

    return PlainValidator(read)


def _text(value: Any, what: str) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise LessonError(f"{what} must be text", mend=f"Write {what} on one line after the colon")
    return str(value)


def _read(what: str, parse: Callable[[str], T]) -> Any:
    """A validator that reads one piece of text with ``parse``."""
    return _checked(lambda value: parse(_text(value, what)))


def _as_text(example: str, description: str) -> Any:
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


def _parse_triads(value: Any) -> tuple[Triad, ...]:
    words = value if isinstance(value, list) else [value]
    if not 1 <= len(words) <= 4:
        raise LessonError(f"{len(words)} triads", mend="Give one to four, such as [F, Am]")
    return tuple(parse_triad(_text(word, "a triad")) for word in words)


def _parse_fingers(value: Any) -> tuple[int | None, ...]:
    words = value if isinstance(value, list) else _text(value, "fingers").split()
    fingers: list[int | None] = []
    for word in map(str, words):
        if word == ".":
            fingers.append(None)
        elif word in {"0", "1", "2", "3", "4"}:
            fingers.append(int(word))
        else:
            raise LessonError(
                f"'{word}' is not a finger",
                mend="Write 1 (index) to 4 (little), 0 for an open string, or . to leave it open",
            )
    return tuple(fingers)


def _parse_tempo(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 20 <= value <= 400:
        raise LessonError(f"a tempo of {value}", mend="Give quarter notes a minute, from 20 to 400")
    return float(value)


NoteKey = Annotated[
    NoteName, _read("a note", parse_note_name), _as_text("D", "a note name, such as F#")
]
KeyKey = Annotated[Key, _read("a key", parse_key), _as_text("D dorian", "a tonic and a mode")]
ChordKey = Annotated[Chord, _read("a chord", parse_chord), _as_text("Dm9", "a chord symbol")]
RangeKey = Annotated[
    tuple[int, int], _read("a range", _parse_range), _as_text("9-14", "lowest-highest")
]
FretsKey = Annotated[
    list[tuple[int, int]],
    _checked(_parse_frets),
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
    tuple[int, int], _read("a time signature", parse_time), _as_text("4/4", "beats/unit")
]
RhythmKey = Annotated[
    Rhythm, _read("a rhythm", parse_rhythm), _as_text("16ths", "one word, or values in order")
]
ContourKey = Annotated[
    Contour, _read("a contour", parse_contour), _as_text("up down", "which way each triad runs")
]
StrokesKey = Annotated[
    tuple[Stroke | None, ...],
    _read("strokes", lambda text: tuple(parse_strokes(text))),
    _as_text("DDD U UUU D", "D down, U up, in order and repeated"),
]
TriadsKey = Annotated[
    tuple[Triad, ...],
    _checked(_parse_triads),
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
    tuple[int | None, ...],
    _checked(_parse_fingers),
    _as_text("1 3 4 . 1", "a finger a note, . where it is left open"),
]
TempoKey = Annotated[
    float,
    _checked(_parse_tempo),
    WithJsonSchema({"type": "number", "minimum": 20, "maximum": 400}),
]
BeatsKey = Annotated[
    Fraction, _read("beats", _parse_beats), _as_text("1", "beats of the time signature")
]


Backing = Literal["drone", "chords", "straight", "shuffle", "half-time", "vamp", "none"]
AudioKind = Literal["wav", "flac", "ogg", "mp3"]
Extra = Literal["ladder", "loop", "stems", "video", "overlay"]
Level = Literal["easy", "medium"]
CarryWay = Literal["exact", "diatonic", "idea"]
Labels = Literal["degrees", "notes", "fingers"]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


class TempoEntry(_Entry):
    """Two tempi, in quarter notes a minute."""

    slow: TempoKey = Field(66.0, description="the tempo to learn at")
    target: TempoKey = Field(112.0, description="the tempo of the finished lick")

    @model_validator(mode="after")
    def _slow_is_slower(self) -> Self:
        if self.slow > self.target:
            raise _fault(
                f"the slow tempo {self.slow:g} is faster than the target {self.target:g}",
                "Swap them",
                "slow",
            )
        return self


class GuitarEntry(_Entry):
    """The instrument; every key may be left out."""

    tuning: Annotated[
        tuple[Any, ...],
        _read("a tuning", parse_tuning),
        _as_text("E2 A2 D3 G3 B3 E4", "a name, or open strings from the lowest"),
    ] = Field(default_factory=lambda: parse_tuning("standard"))
    frets: int = Field(24, ge=1, le=36, description="frets on the neck")
    scale_length: str | float = Field(
        "648 mm",
        description="one length, or the shortest and the longest of fanned frets: 25.5-27 in",
    )
    string_spacing: float = Field(
        8.0, ge=4.0, le=20.0, description="mm between neighbouring strings under the left hand"
    )
    capo: int = Field(0, ge=0, le=12, description="fret of the capo, 0 for none")
    left_handed: bool = Field(False, description="mirror the diagrams")

    def guitar(self) -> Guitar:
        """The instrument these keys describe."""
        return Guitar(
            open_strings=self.tuning,
            frets=self.frets,
            scale_mm=parse_scale_lengths(self.scale_length, len(self.tuning)),
            spacing_mm=self.string_spacing,
            capo=self.capo,
            left_handed=self.left_handed,
        )


class PinEntry(_Entry):
    """What is settled for the chords that begin in one bar of a carried lick."""

    triads: TriadsKey | None = Field(None, description="the triads, for a lick carried by idea")
    frets: RangeKey | None = Field(None, description="where on the neck")
    strings: RangeKey | None = Field(None, description="which strings")

    def pin(self) -> CarryPin:
        """The same for the room that carries."""
        return CarryPin(self.triads, self.frets, self.strings)


#: Which keys belong to which kind of example, beside those that any example may have.
ANY_EXAMPLE = frozenset(
    {
        "name",
        "text",
        "notes",
        "key",
        "time",
        "tempo",
        "backing",
        "labels",
        "extras",
        "implies",
        "picking",
    }
)
KEYS_BY_KIND: dict[str, frozenset[str]] = {
    "triads": frozenset(
        {"triads", "over", "frets", "strings", "contour", "rhythm", "strokes", "fingers", "bars"}
    ),
    "tab": frozenset(
        {"tab", "triads", "over", "rhythm", "strokes", "fingers", "changes", "pickup"}
    ),
    "lick": frozenset({"lick", "level", "changes", "carry", "pins", "frets", "strings"}),
}
KIND_IN_WORDS = {
    "triads": "an example composed from triads",
    "tab": "an example given as tab",
    "lick": "a lick taken up again",
}


class ExampleEntry(_Entry):
    """One example: composed from ``triads``, or your own ``tab``, or a ``lick`` carried."""

    name: str = Field(min_length=1, max_length=80, description="printed above the music")
    text: str = Field("", max_length=20_000, description="Markdown printed before the music")
    notes: str = Field("", max_length=20_000, description="Markdown printed after it: how to play")

    triads: TriadsKey | None = Field(None, description="one to four triads")
    over: NoteKey | None = Field(None, description="the sounding bass")
    implies: ChordKey | None = Field(None, description="your claim, which is checked")
    frets: FretsKey | None = Field(
        None, description="where on the neck: one range, or one for each triad"
    )
    strings: RangeKey | None = Field(None, description="which strings, 1 is the highest")
    contour: ContourKey | None = Field(None, description="which way each triad runs")
    rhythm: RhythmKey | None = Field(None, description="note values")
    bars: int | None = Field(None, ge=1, le=16, description="how many bars the lick fills")
    strokes: StrokesKey | None = Field(None, description="picking hand; worked out if left out")
    picking: Literal["sweep", "alternate", "down", "legato"] = Field(
        "sweep", description="how strokes are worked out where you give none"
    )
    fingers: FingersKey | None = Field(None, description="left hand; worked out if left out")

    tab: str | None = Field(None, max_length=20_000, description="a block of tab, a line a string")
    pickup: BeatsKey | None = Field(None, description="beats before the first whole bar")

    lick: str | None = Field(None, description="name of an earlier example, carried or made easier")
    level: Level | None = Field(
        None, description="make the lick easier: easy (fewer notes, slower), medium (slower)"
    )
    changes: str | None = Field(
        None, max_length=2_000, description="chords, bars parted by |: Dm9 | G13 . | Cmaj9"
    )
    carry: CarryWay = Field(
        "idea", description="the same shape moved, the same degrees in key, or new triads"
    )

    pins: dict[int, PinEntry] | None = Field(
        None, description="what is settled, by the number of the bar"
    )

    key: KeyKey | None = Field(None, description="instead of the lesson's key")
    time: TimeKey | None = Field(None, description="instead of the lesson's time signature")
    tempo: TempoEntry | None = Field(None, description="instead of the lesson's tempi")
    backing: Backing | None = Field(None, description="what plays under the lick")
    labels: Labels | None = Field(None, description="what the marks of the neck diagram say")
    extras: tuple[Extra, ...] | None = Field(None, description="instead of the lesson's")

    @property
    def kind(self) -> Literal["triads", "tab", "lick"]:
        """How the example is given."""
        if self.lick is not None:
            return "lick"
        return "tab" if self.tab is not None else "triads"

    @property
    def carries(self) -> bool:
        """Whether it carries an earlier lick over changes."""
        return self.lick is not None and self.level is None

    @model_validator(mode="after")
    def _keys_fit_the_kind(self) -> Self:
        if self.tab is None and self.lick is None and self.triads is None:
            raise _fault(
                f"the example '{self.name}' has no music",
                "Give it triads, or tab, or the name of an earlier lick with changes",
            )
        allowed = KEYS_BY_KIND[self.kind] | ANY_EXAMPLE
        for key in sorted(self.model_fields_set - allowed):
            raise _fault(
                f"'{key}' has no place in {KIND_IN_WORDS[self.kind]}", f"Take '{key}' out", key
            )
        if self.kind == "lick" and (self.changes is None) == (self.level is None):
            raise _fault(
                f"the example '{self.name}' takes up a lick"
                + (" both ways" if self.level else " but does not say how"),
                "Give it changes to carry it over (Dm9 | G13), or a level to make it easier",
                "lick",
            )
        if self.kind != "lick" and self.over is None and self.changes is None:
            raise _fault(f"the example '{self.name}' has no bass", "Add over, such as: over: D")
        return self


class LessonEntry(_Entry):
    """A whole lesson."""

    lesson: str = Field(min_length=1, max_length=120, description="the title")
    number: int | None = Field(None, ge=0, le=9999, description="its number in a series")
    teacher: str = Field("", max_length=120, description="printed under the title")
    guitar: GuitarEntry = Field(default_factory=GuitarEntry, description="the instrument")
    hand: Literal["small", "medium", "large"] = Field("medium", description="the left hand's size")
    key: KeyKey = Field(description="such as D dorian")
    time: TimeKey = Field((4, 4), description="such as 4/4")
    tempo: TempoEntry = Field(default_factory=TempoEntry, description="slow and target")
    backing: Backing = Field("chords", description="what plays under each lick")
    audio: AudioKind = Field("wav", description="the kind of audio files")
    extras: tuple[Extra, ...] = Field(
        ("ladder", "loop"),
        description="more to ship: ladder (slow to target in one piece), loop (the band alone,"
        " joining without a click), stems (lead, band and click apart), video (tab and neck in time"
        " with the sound), overlay (the same to lay over your own film)",
    )
    labels: Labels = Field("degrees", description="what the marks of the neck diagrams say")
    paper: Literal["a4", "letter"] = Field("a4", description="size of the printed sheet")
    text: str = Field("", max_length=50_000, description="opening text, Markdown")
    examples: list[ExampleEntry] = Field(min_length=1, max_length=64)
    closing: str = Field("", max_length=50_000, description="closing text, Markdown")

    @model_validator(mode="after")
    def _names_are_unique(self) -> Self:
        seen: set[str] = set()
        for index, example in enumerate(self.examples):
            if example.lick is not None and example.lick not in seen:
                raise _fault(
                    f"example {index + 1} carries '{example.lick}', but no earlier one is named so",
                    "Name an example that stands above it",
                    "examples",
                    index,
                    "lick",
                )
            if example.name in seen:
                raise _fault(
                    f"two examples are named '{example.name}'",
                    "Rename one of them",
                    "examples",
                    index,
                    "name",
                )
            seen.add(example.name)
        return self
