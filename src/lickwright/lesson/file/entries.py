"""What a lesson file may say: every key, its type, its meaning, its default.

The models hold values of the trade (a :class:`Key`, a tuple of triads), read once at the edge.
``lickwright schema`` prints the JSON Schema that follows from them.
"""

from __future__ import annotations

from typing import Literal, Self

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
    MeantKey,
    NoteKey,
    RangeKey,
    RhythmKey,
    StrokesKey,
    SwingKey,
    TimeKey,
    TriadsKey,
    fault,
)
from lickwright.lesson.file.parts import Filled, Joined, PartEntry, model_of, part_names
from lickwright.lesson.file.player import PlayerEntry
from lickwright.lesson.file.settings import (
    Backing,
    FilmEntry,
    GuitarEntry,
    SoundEntry,
    TempoEntry,
)
from lickwright.lesson.file.wishes import PHRASES, WISHES, PhraseKeys, WishKeys
from lickwright.lick import PartLink, Stroke
from lickwright.theory import Triad

AudioKind = Literal["wav", "flac", "ogg", "mp3"]
Extra = Literal["ladder", "loop", "stems", "video", "overlay"]
Level = Literal["easy", "medium"]
CarryWay = Literal["exact", "grip", "diatonic", "idea"]
Labels = Literal["degrees", "notes", "fingers"]


class PinEntry(WishKeys):
    """What is settled for the chords that begin in one bar of a carried lick."""

    triads: TriadsKey | None = Field(None, description="the triads, for a lick carried by idea")
    frets: RangeKey | None = Field(None, description="where on the neck")
    strings: RangeKey | None = Field(None, description="which strings")

    def pin(self) -> CarryPin:
        """The same for the room that carries."""
        return CarryPin(self.triads, self.frets, self.strings, wish=self.wish())


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
        "meant",
        "picking",
    }
)
KEYS_BY_KIND: dict[str, frozenset[str]] = {
    "triads": frozenset(
        {
            "triads",
            "joined",
            "over",
            "under",
            "frets",
            "strings",
            "contour",
            "rhythm",
            "strokes",
            "start",
            "fingers",
            "bars",
        }
        | PHRASES
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
            "start",
            "fingers",
        }
    ),
    "tab": frozenset(
        {
            "tab",
            "triads",
            "over",
            "under",
            "rhythm",
            "strokes",
            "start",
            "fingers",
            "changes",
            "pickup",
        }
    ),
    "lick": frozenset({"lick", "level", "changes", "carry", "filled", "pins", "frets", "strings"})
    | {"landing"}
    | WISHES,
}
#: More triads in one example are not told apart by shape and colour.
MOST_TRIADS = 4
KIND_IN_WORDS = {
    "triads": "an example composed from triads",
    "parts": "an example of parts",
    "tab": "an example given as tab",
    "lick": "a lick taken up again",
}


class ExampleEntry(PhraseKeys):
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
    under: ChordKey | None = Field(None, description="the chord that the band sounds")
    implies: ChordKey | None = Field(None, description="your claim, which is checked")
    meant: tuple[MeantKey, ...] | None = Field(
        None, description="findings that you mean so, by their key: [changes] or [implies bar 2]"
    )
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
    start: Literal["down", "up"] | None = Field(
        None, description="the first stroke, where the others are worked out"
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
    def first_stroke(self) -> Stroke | None:
        """The stroke on which it is to begin, where that is said."""
        return None if self.start is None else Stroke[self.start.upper()]

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
        if self.level is not None:
            for key in sorted(self.model_fields_set & (WISHES | {"landing"})):
                raise fault(f"'{key}' has no place in a lick made easier", f"Take '{key}' out", key)
        if self.parts is not None:
            self._parts_fit(self.parts)
        below = [key for key in ("changes", "under", "over") if getattr(self, key) is not None]
        if "under" in below and len(below) > 1:
            other = next(key for key in below if key != "under")
            raise fault(
                f"'under' and '{other}' both say what sounds below",
                f"Take '{other}' out; a bass is written after the chord: under: C7/G",
                "under",
            )
        has_bass = below or (self.parts and self.parts[0].over)
        if self.kind != "lick" and not has_bass:
            raise fault(f"the example '{self.name}' has no bass", "Add over, such as: over: D")
        if self.strokes is not None and self.start is not None:
            raise fault(
                f"the first stroke of '{self.name}' is told twice",
                "Take start out: the strokes say it",
                "start",
            )
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
    player: PlayerEntry = Field(default_factory=PlayerEntry, description="whose hands play it")
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
    film: FilmEntry = Field(default_factory=FilmEntry, description="how a film is written")
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
    def _one_player(self) -> Self:
        if "hand" in self.model_fields_set and self.player.hand not in (None, self.hand):
            raise fault(
                f"the hand is {self.hand}, and the player's is {self.player.hand}",
                "Say it once: take hand out of one of them",
                "player",
                "hand",
            )
        written = "left_handed" in self.guitar.model_fields_set
        if written and self.player.left_handed not in (None, self.guitar.left_handed):
            raise fault(
                "the guitar and the player are not both left-handed",
                "Say it once: take left_handed out of one of them",
                "player",
                "left_handed",
            )
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
