"""What a lesson file may say of the instrument, the tempo, the sound and the film."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from lickwright.lesson.file.keys import Entry, TempoKey, as_text, fault, read_text
from lickwright.neck import Guitar, parse_scale_lengths, parse_tuning

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


class FilmEntry(Entry):
    """How a film of the lesson is laid out and written."""

    fps: float = Field(30.0, ge=23.976, le=60, description="frames a second of what is written")
    shape: Literal["16:9", "9:16"] = Field("16:9", description="of the finished film")
    coding: Literal["animation", "prores", "png"] = Field(
        "animation", description="of overlays: QuickTime Animation, ProRes 4444 or PNG"
    )
    show: Literal["best", "recording"] = Field(
        "best", description="the best playings in the lesson's order, or the whole recording"
    )
    before: float = Field(1.0, ge=0, le=30, description="seconds shown before a playing")
    after: float = Field(1.5, ge=0, le=30, description="seconds shown after a playing")
