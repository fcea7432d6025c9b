"""What does a camera's film show at a moment, the right way up, at the size that is wanted?

Time stamps are followed, also uneven ones: a moment shows the last picture that began before it.
The clock is that of the file's sound: its first sample is at 0.  Cameras that were held upright
say so in the file, and stretched pixels too; both are undone.  Pictures come as luma and halved
colour differences in ITU-R BT.709, video range, as the encoder takes them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, cast

import numpy as np
import numpy.typing as npt

from lickwright.errors import OutputError, Spot

if TYPE_CHECKING:
    from av import AudioFrame, VideoFrame, VideoStream
    from av.container import InputContainer

Bytes = npt.NDArray[np.uint8]
Samples = npt.NDArray[np.float32]
#: Luma, and blue and red difference at half the width and height.
Picture = tuple[Bytes, Bytes, Bytes]

#: FFmpeg's names of the readers that may look at a file.
_CONTAINERS = (
    *("mov", "matroska", "avi", "flv", "asf", "mpegts"),
    *("wav", "w64", "aiff", "caf", "au", "flac", "mp3", "ogg", "aac", "amr", "wv"),
)
#: A jump ahead that is longer than this is made by seeking.
_SEEK_S = 8.0
#: swscale's numbers for ITU-R BT.709 and for video range.
_BT709, _VIDEO_RANGE = 1, 1


@dataclass(frozen=True, slots=True)
class FootageFacts:
    """What a file says about its picture.

    Parameters
    ----------
    width, height : in pixels as they are shown, the right way up.
    fps : about how many pictures a second.
    length_s : of the picture.
    timecode : of its first picture, ``hh:mm:ss:ff``; empty where the camera wrote none.
    reel : the name of the reel that the camera wrote; empty where it wrote none.
    """

    width: int
    height: int
    fps: Fraction
    length_s: float
    timecode: str = ""
    reel: str = ""


def has_picture(path: str | os.PathLike[str]) -> bool:
    """Whether a media file has a moving picture; a cover picture is none.

    Raises
    ------
    OutputError
        Where it cannot be opened.
    """
    with _opened(path) as container:
        return _moving(container) is not None


def facts_of(path: str | os.PathLike[str]) -> FootageFacts:
    """What a film says about its picture.

    Raises
    ------
    OutputError
        Where it cannot be opened, or has no moving picture.
    """
    with _opened(path) as container:
        stream = _stream(container, path)
        first = next(container.decode(stream), None)
        if first is None:
            raise _no_picture(path)
        turned = first.rotation % 180 != 0
        wide = first.width * float(stream.sample_aspect_ratio or 1) or float(first.width)
        width, height = round(wide), first.height
        length = container.duration or 0
        tags = {key.casefold(): value for key, value in container.metadata.items()}
        for each in container.streams:
            tags |= {key.casefold(): value for key, value in each.metadata.items()}
        return FootageFacts(
            height if turned else width,
            width if turned else height,
            Fraction(stream.average_rate or stream.guessed_rate or 30).limit_denominator(1001),
            length / 1e6,
            tags.get("timecode", ""),
            tags.get("reel_name", ""),
        )


class Footage:
    """The pictures of a film, asked for at rising moments."""

    def __init__(self, path: str | os.PathLike[str], size: tuple[int, int]) -> None:
        self._path, self._size = path, size
        self._container = _open(path)
        self._stream = _stream(self._container, path)
        self._stream.thread_type = "AUTO"
        self._origin_s = _sound_begin_s(self._container)
        self._frames: Iterator[VideoFrame] = iter(())
        self._reached_s = float("-inf")
        self._next: VideoFrame | None = None
        self._now: VideoFrame | None = None
        self._shown: tuple[VideoFrame, Picture] | None = None

    def __enter__(self) -> Footage:
        return self

    def __exit__(self, *rest: object) -> None:
        self._container.close()

    def at(self, time_s: float) -> Picture:
        """The picture at a moment; before the first and after the last one, that one.

        Raises
        ------
        OutputError
            Where the film is damaged there.
        """
        import av

        try:
            ahead = time_s - self._reached_s
            if ahead < 0 or ahead > _SEEK_S:
                self._seek(time_s)
            while self._next is not None and self._time_s(self._next) <= time_s:
                self._now, self._next = self._next, next(self._frames, None)
        except (av.FFmpegError, OSError, ValueError) as error:
            raise OutputError(
                f"the picture is damaged near {max(time_s, 0.0):.1f} s",
                mend="Copy or export the film again",
                where=Spot(str(self._path)),
            ) from error
        self._reached_s = time_s
        frame = self._now or self._next
        if frame is None:
            raise _no_picture(self._path)
        if self._shown is None or self._shown[0] is not frame:
            self._shown = frame, _brought(frame, self._size)
        return self._shown[1]

    def _seek(self, time_s: float) -> None:
        """Begin to read at the last key picture before a moment."""
        at = max(time_s + self._origin_s, 0.0)
        base = self._stream.time_base or Fraction(1, 1000)
        start = self._stream.start_time or 0
        self._container.seek(max(int(at / base), start), stream=self._stream)
        self._frames = iter(self._container.decode(self._stream))
        self._now, self._next = None, next(self._frames, None)

    def _time_s(self, frame: VideoFrame) -> float:
        return float(frame.time or 0.0) - self._origin_s


def fitted(facts: FootageFacts, room: tuple[int, int]) -> tuple[int, int]:
    """The largest even size in a room that keeps the shape of a film.

    >>> fitted(FootageFacts(1080, 1920, Fraction(30), 1.0), (1920, 1080))
    (606, 1080)
    """
    share = min(room[0] / facts.width, room[1] / facts.height)
    return (
        max(2, int(facts.width * share) // 2 * 2),
        max(2, int(facts.height * share) // 2 * 2),
    )


def sound_between(
    path: str | os.PathLike[str], start_s: float, length_s: float, rate_hz: int
) -> Samples:
    """The sound of a file from a moment on, ``(samples, 2)``; silence beyond its ends.

    Raises
    ------
    OutputError
        Where it cannot be read.
    """
    import av

    out = np.zeros((round(length_s * rate_hz), 2), np.float32)
    with _opened(path) as container:
        stream = container.streams.best("audio")
        if stream is None:
            return out
        origin_s = _sound_begin_s(container)
        resampler = av.AudioResampler("fltp", "stereo", rate_hz)
        container.seek(int(max(start_s + origin_s - 0.2, 0.0) * 1e6))
        reached: int | None = None
        try:
            for frame in cast("Iterator[AudioFrame]", container.decode(stream)):
                if reached is None:
                    reached = round((float(frame.time or 0.0) - origin_s - start_s) * rate_hz)
                for piece in resampler.resample(frame):
                    samples = piece.to_ndarray().T
                    low, high = max(reached, 0), min(reached + len(samples), len(out))
                    if low < high:
                        out[low:high] = samples[low - reached : high - reached]
                    reached += len(samples)
                if reached >= len(out):
                    break
        except (av.FFmpegError, OSError, ValueError) as error:
            raise OutputError(
                f"the sound is damaged near {start_s:.1f} s",
                mend="Copy or export the file again",
                where=Spot(os.fspath(path)),
            ) from error
    return out


def _brought(frame: VideoFrame, size: tuple[int, int]) -> Picture:
    """A frame as planes of a size, the right way up."""
    from av.video.reformatter import Interpolation

    turns = round(frame.rotation / 90) % 4
    width, height = size if turns % 2 == 0 else size[::-1]
    scaled = frame.reformat(
        width,
        height,
        "yuv420p",
        interpolation=Interpolation.BILINEAR | Interpolation.ACCURATE_RND,
        dst_colorspace=_BT709,
        dst_color_range=_VIDEO_RANGE,
    )
    planes = []
    for plane, (wide, high) in zip(
        scaled.planes, ((width, height), *[(width // 2, height // 2)] * 2), strict=True
    ):
        rows = np.frombuffer(cast("Any", plane), np.uint8).reshape(-1, plane.line_size)[
            :high, :wide
        ]
        planes.append(np.rot90(rows, turns))
    return planes[0], planes[1], planes[2]


@contextmanager
def _opened(path: str | os.PathLike[str]) -> Iterator[InputContainer]:
    with _open(path) as container:
        yield container


def _open(path: str | os.PathLike[str]) -> InputContainer:
    import av

    # Readers of play lists open other files: they are not let near.
    options = {"format_whitelist": ",".join(_CONTAINERS), "protocol_whitelist": "file"}
    try:
        return av.open(os.fspath(path), options=options, metadata_errors="replace")
    except (av.FFmpegError, OSError, ValueError) as error:
        raise OutputError(
            "the film cannot be read",
            mend="Give an MP4, MOV, MKV or WebM file that exists",
            where=Spot(os.fspath(path)),
        ) from error


def _moving(container: InputContainer) -> VideoStream | None:
    for stream in container.streams.video:
        if "attached_pic" not in str(stream.disposition):
            return stream
    return None


def _stream(container: InputContainer, path: str | os.PathLike[str]) -> VideoStream:
    stream = _moving(container)
    if stream is None:
        raise _no_picture(path)
    return stream


def _no_picture(path: str | os.PathLike[str]) -> OutputError:
    return OutputError(
        "the recording has no moving picture",
        mend="Give a film, or make overlays to lay over one",
        where=Spot(os.fspath(path)),
    )


def _sound_begin_s(container: InputContainer) -> float:
    """When the sound begins, on the clock of the file's time stamps."""
    stream = container.streams.best("audio")
    if stream is None or stream.start_time is None or stream.time_base is None:
        return 0.0
    return float(stream.start_time * stream.time_base)
