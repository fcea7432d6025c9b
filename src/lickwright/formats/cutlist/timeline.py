"""A rough cut as OpenTimelineIO (the Academy Software Foundation's standard) and as CMX 3600 EDL.

Both are written by OpenTimelineIO itself.  Source times are the camera's own time code where it
wrote one, else they count from the beginning of the file.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from lickwright.errors import OutputError

#: A reel's name in CMX 3600 has eight letters and figures at most.
_REEL = 8


@dataclass(frozen=True, slots=True)
class CutClip:
    """A stretch of a recording that goes into the rough cut; seconds from the file's beginning."""

    name: str
    start_s: float
    length_s: float


@dataclass(frozen=True, slots=True)
class CutMarker:
    """Something that happens in a recording; ``chosen`` where it is in the rough cut."""

    name: str
    start_s: float
    length_s: float
    chosen: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class CutList:
    """A recording, what happens in it, and the rough cut.

    Parameters
    ----------
    name : of the cut.
    path : of the recording.
    length_s : of the recording.
    fps : of its picture, or the rate that cuts are counted in.
    timecode : of its first picture, ``hh:mm:ss:ff``; empty where there is none.
    reel : its reel; the file's name where empty.
    clips : in the order in which they are shown.
    markers : in time.
    """

    name: str
    path: Path
    length_s: float
    fps: Fraction
    timecode: str
    reel: str
    clips: tuple[CutClip, ...]
    markers: tuple[CutMarker, ...]


def otio_text(cut: CutList) -> str:
    """The cut as an OpenTimelineIO file.

    Returns
    -------
    str
        A timeline with two picture tracks: the rough cut, and the whole recording with a marker
        for everything that happens in it.

    Raises
    ------
    OutputError
        Where the time code of the recording cannot be read at its rate.
    """
    import opentimelineio as otio

    return str(otio.adapters.write_to_string(_timeline(cut, both=True), "otio_json"))


def edl_text(cut: CutList) -> str:
    """The rough cut as a CMX 3600 edit decision list.

    Returns
    -------
    str
        One event a clip, with the recording's reel and time code.

    Raises
    ------
    OutputError
        Where there is no clip, a rate that the format does not have, or a time code that cannot be
        read.
    """
    import opentimelineio as otio

    if not cut.clips:
        raise OutputError(
            "a cutting list of nothing", mend="Say yes to a playing in the table, or propose one"
        )
    try:
        text = otio.adapters.write_to_string(
            _timeline(cut, both=False), "cmx_3600", rate=_rate(cut.fps)
        )
    except (otio.exceptions.OTIOError, ValueError) as error:
        raise OutputError(
            f"the cutting list cannot be written at {float(cut.fps):g} frames a second",
            mend="Give one of 23.976, 24, 25, 29.97, 30, 50, 59.94 and 60",
        ) from error
    return str(text)


def _timeline(cut: CutList, *, both: bool) -> Any:
    import opentimelineio as otio

    rate = _rate(cut.fps)
    zero = _origin(cut, rate)

    def reach(start_s: float, length_s: float) -> Any:
        """A range of whole frames of the recording."""
        first = round(start_s * rate)
        last = max(round((start_s + length_s) * rate), first + 1)
        return otio.opentime.TimeRange(
            zero + otio.opentime.RationalTime(first, rate),
            otio.opentime.RationalTime(last - first, rate),
        )

    def media() -> Any:
        return otio.schema.ExternalReference(
            target_url=cut.path.name, available_range=reach(0.0, cut.length_s)
        )

    reel = _reel(cut)
    timeline = otio.schema.Timeline(cut.name)
    rough = otio.schema.Track("Rough cut", kind=otio.schema.TrackKind.Video)
    for clip in cut.clips:
        rough.append(
            otio.schema.Clip(
                clip.name,
                media(),
                reach(clip.start_s, clip.length_s),
                metadata={"cmx_3600": {"reel": reel}},
            )
        )
    timeline.tracks.append(rough)
    if both:
        whole = otio.schema.Clip(cut.path.stem, media(), reach(0.0, cut.length_s))
        for marker in cut.markers:
            colour = otio.schema.MarkerColor
            whole.markers.append(
                otio.schema.Marker(
                    marker.name,
                    reach(marker.start_s, marker.length_s),
                    colour.GREEN if marker.chosen else colour.YELLOW,
                    comment=marker.note,
                )
            )
        track = otio.schema.Track("Recording", kind=otio.schema.TrackKind.Video)
        track.append(whole)
        timeline.tracks.append(track)
    return timeline


def _origin(cut: CutList, rate: float) -> Any:
    import opentimelineio as otio

    if not cut.timecode:
        return otio.opentime.RationalTime(0, rate)
    try:
        return otio.opentime.from_timecode(cut.timecode, rate)
    except ValueError as error:
        raise OutputError(
            f"the recording's time code {cut.timecode} is none at {rate:g} frames a second",
            mend="Export the recording with a time code of its own rate, or with none",
        ) from error


def _rate(fps: Fraction) -> float:
    return float(fps) if fps.denominator > 1 else float(fps.numerator)


def _reel(cut: CutList) -> str:
    letters = "".join(
        sign for sign in (cut.reel or cut.path.stem) if sign.isascii() and sign.isalnum()
    )
    return letters[:_REEL].upper() or "AX"
