"""What a lesson file may say: every key, its type, its meaning, its default.

The models hold values of the trade (a :class:`Key`, a tuple of triads), read once at the edge.
``lickwright schema`` prints the JSON Schema that follows from them.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from lickwright.changes.carry import CarryPin
from lickwright.lesson.file.keys import (
    BeatsKey,
    ChordKey,
    ContourKey,
    Entry,
    FingersKey,
    FretsKey,
    KeyKey,
    NoteKey,
    RangeKey,
    RhythmKey,
    StrokesKey,
    SwingKey,
    TempoKey,
    TimeKey,
    TriadsKey,
    as_text,
    fault,
    read_text,
)
from lickwright.lesson.file.parts import Filled, Joined, PartEntry, model_of, part_names
from lickwright.lick import PartLink
from lickwright.neck import Guitar, parse_scale_lengths, parse_tuning
from lickwright.theory import Triad

Backing = Literal[
    "drone",
    "chords",
    "straight",
    "swing",
    "shuffle",
    "half-time",
    "12/8",
    "bossa",
    "funk",
    "vamp",
    "none",
]
Place = Literal["bridge", "middle", "neck"]
AudioKind = Literal["wav", "flac", "ogg", "mp3"]
Extra = Literal["ladder", "loop", "stems", "video", "overlay"]
Level = Literal["easy", "medium"]
CarryWay = Literal["exact", "grip", "diatonic", "idea"]
Labels = Literal["degrees", "notes", "fingers"]


class TempoEntry(Entry):
    """Two tempi, in quarter notes a minute."""

    slow: TempoKey = Field(66.0, description="the tempo to learn at")
    target: TempoKey = Field(112.0, description="the tempo of the finished lick")

    def check_written(self, former: TempoEntry | None, *place: str | int) -> None:
        """That slow is slower, where one tempo stands here and the other is the ``former``'s.

        Raises
        ------
        PydanticCustomError
            With what is written, and where the other one comes from.
        """
        written = self.model_fields_set
        slow = self.slow if "slow" in written or former is None else former.slow
        target = self.target if "target" in written or former is None else former.target
        if slow <= target or not written:
            return
        if {"slow", "target"} <= written:
            raise fault(
                f"the slow tempo {slow:g} is faster than the target {target:g}",
                "Swap them",
                *place,
                "slow",
            )
        whence = "where none is written"
        if "slow" in written:
            if former is not None and "target" in former.model_fields_set:
                whence = "of the lesson"
            what = f"the slow tempo {slow:g} is faster than {target:g}, the target {whence}"
            both = f"{{slow: {slow:g}, target: {min(400.0, slow * 1.5):.0f}}}"
        else:
            if former is not None and "slow" in former.model_fields_set:
                whence = "of the lesson"
            what = f"the target {target:g} is slower than {slow:g}, the slow tempo {whence}"
            both = f"{{slow: {max(20.0, target / 1.5):.0f}, target: {target:g}}}"
        raise fault(what, f"Write both, such as: tempo: {both}", *place, *sorted(written))


class GuitarEntry(Entry):
    """The instrument; every key may be left out."""

    tuning: Annotated[
        tuple[Any, ...],
        read_text("a tuning", parse_tuning),
        as_text("E2 A2 D3 G3 B3 E4", "a name, or open strings from the lowest"),
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


class SoundEntry(Entry):
    """How the guitar sounds, and how loud the band is beside it; every key may be left out."""

    tone: Literal["clean", "crunch", "driven", "high gain"] = Field(
        "clean", description="the amplifier"
    )
    pickup: Place | None = Field(None, description="where the strings are heard")
    pick: Place | None = Field(None, description="where they are picked")
    band: float = Field(
        -2.0, ge=-24.0, le=12.0, description="loudness of the band against the guitar, in LU"
    )


class PinEntry(Entry):
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
        "swing",
        "sound",
        "labels",
        "extras",
        "implies",
        "picking",
    }
)
KEYS_BY_KIND: dict[str, frozenset[str]] = {
    "triads": frozenset(
        {
            "triads",
            "joined",
            "over",
            "frets",
            "strings",
            "contour",
            "rhythm",
            "strokes",
            "fingers",
            "bars",
        }
    ),
    "parts": frozenset(
        {
            "parts",
            "triads",
            "joined",
            "over",
            "changes",
            "frets",
            "strings",
            "contour",
            "rhythm",
            "strokes",
            "fingers",
        }
    ),
    "tab": frozenset(
        {"tab", "triads", "over", "rhythm", "strokes", "fingers", "changes", "pickup"}
    ),
    "lick": frozenset({"lick", "level", "changes", "carry", "filled", "pins", "frets", "strings"}),
}
#: More triads in one example are not told apart by shape and colour.
MOST_TRIADS = 4
KIND_IN_WORDS = {
    "triads": "an example composed from triads",
    "parts": "an example of parts",
    "tab": "an example given as tab",
    "lick": "a lick taken up again",
}


class ExampleEntry(Entry):
    """One example: from ``triads``, of ``parts``, your own ``tab``, or a ``lick`` taken up."""

    name: str = Field(min_length=1, max_length=80, description="printed above the music")
    text: str = Field("", max_length=20_000, description="Markdown printed before the music")
    notes: str = Field("", max_length=20_000, description="Markdown printed after it: how to play")

    triads: TriadsKey | None = Field(None, description="one to four triads")
    joined: Joined = Field(
        "run by run",
        description="how the triads are joined: one after the other, or merged into one arpeggio",
    )
    parts: list[PartEntry] | None = Field(
        None, min_length=1, max_length=16, description="the parts of a lick, in order"
    )
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
        "idea",
        description="the same notes moved, the same grip moved along its strings, the same degrees"
        " in key, or new triads",
    )
    filled: Filled = Field(
        "round",
        description="what fills a chord that is longer than the lick: the lick goes round until the"
        " chord is over; or only as often as it fits whole, and then its last note is held, or"
        " there is rest",
    )

    pins: dict[int, PinEntry] | None = Field(
        None, description="what is settled, by the number of the bar"
    )

    key: KeyKey | None = Field(None, description="instead of the lesson's key")
    time: TimeKey | None = Field(None, description="instead of the lesson's time signature")
    tempo: TempoEntry | None = Field(None, description="instead of the lesson's tempi")
    backing: Backing | None = Field(None, description="what plays under the lick")
    swing: SwingKey | None = Field(None, description="instead of the lesson's swing")
    sound: SoundEntry | None = Field(None, description="instead of the lesson's sound, key by key")
    labels: Labels | None = Field(None, description="what the marks of the neck diagram say")
    extras: tuple[Extra, ...] | None = Field(None, description="instead of the lesson's")

    @property
    def kind(self) -> Literal["triads", "parts", "tab", "lick"]:
        """How the example is given."""
        if self.lick is not None:
            return "lick"
        if self.parts is not None:
            return "parts"
        return "tab" if self.tab is not None else "triads"

    @property
    def carries(self) -> bool:
        """Whether it carries an earlier lick over changes."""
        return self.lick is not None and self.level is None

    @model_validator(mode="after")
    def _keys_fit_the_kind(self) -> Self:
        if all(music is None for music in (self.tab, self.lick, self.triads, self.parts)):
            raise fault(
                f"the example '{self.name}' has no music",
                "Give it triads, or tab, or the name of an earlier lick with changes",
            )
        allowed = KEYS_BY_KIND[self.kind] | ANY_EXAMPLE
        for key in sorted(self.model_fields_set - allowed):
            raise fault(
                f"'{key}' has no place in {KIND_IN_WORDS[self.kind]}", f"Take '{key}' out", key
            )
        if self.kind == "lick" and (self.changes is None) == (self.level is None):
            raise fault(
                f"the example '{self.name}' takes up a lick"
                + (" both ways" if self.level else " but does not say how"),
                "Give it changes to carry it over (Dm9 | G13), or a level to make it easier",
                "lick",
            )
        if self.parts is not None:
            self._parts_fit(self.parts)
        has_bass = self.over or self.changes or (self.parts and self.parts[0].over)
        if self.kind != "lick" and not has_bass:
            raise fault(f"the example '{self.name}' has no bass", "Add over, such as: over: D")
        return self

    def _parts_fit(self, parts: list[PartEntry]) -> None:
        """Refuse parts that cannot stand beside each other in this example."""
        names = part_names(parts)
        twice = next((i for i, name in enumerate(names) if name in names[:i]), None)
        if twice is not None:
            raise fault(f"two parts are named '{names[twice]}'", "Rename one", "parts", twice)
        triads: list[Triad] = []
        for index, part in enumerate(parts):
            place = ("parts", index)
            model_of(parts, index)
            if part.link is None and part.triads is None and self.triads is None:
                raise fault(
                    f"'{names[index]}' has no triads", "Give it triads, or an earlier part", *place
                )
            for key in ("over", "implies"):
                if self.changes is not None and part.says(key):
                    raise fault(
                        f"'{key}' has no place in a part that sounds over changes",
                        f"Take '{key}' out",
                        *place,
                        key,
                    )
            if self.strokes is not None and (
                part.strokes is not None or part.link in (PartLink.MIRROR, PartLink.REPEAT)
            ):
                raise fault(
                    f"the strokes of '{names[index]}' are told twice",
                    "Give strokes to the parts alone",
                    "strokes",
                )
            triads += part.triads or (self.triads if part.link is None else None) or ()
        if len(set(triads)) > MOST_TRIADS:
            raise fault(
                f"the parts have {len(set(triads))} different triads",
                f"Give {MOST_TRIADS} at most: more are not told apart",
                "parts",
            )


class LessonEntry(Entry):
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
    swing: SwingKey | None = Field(
        None, description="how written eighths are played; as the backing swings where left out"
    )
    sound: SoundEntry = Field(default_factory=SoundEntry, description="guitar and band")
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
    def _slow_is_slower(self) -> Self:
        self.tempo.check_written(None, "tempo")
        for index, example in enumerate(self.examples):
            if example.tempo is not None:
                example.tempo.check_written(self.tempo, "examples", index, "tempo")
        return self

    @model_validator(mode="after")
    def _names_are_unique(self) -> Self:
        seen: set[str] = set()
        for index, example in enumerate(self.examples):
            if example.lick is not None and example.lick not in seen:
                raise fault(
                    f"example {index + 1} carries '{example.lick}', but no earlier one is named so",
                    "Name an example that stands above it",
                    "examples",
                    index,
                    "lick",
                )
            if example.name in seen:
                raise fault(
                    f"two examples are named '{example.name}'",
                    "Rename one of them",
                    "examples",
                    index,
                    "name",
                )
            seen.add(example.name)
        return self
