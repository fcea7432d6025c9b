"""How do frames and samples become a file?

A file is written under a hidden name beside its place and renamed when it is whole.  Nothing in
it depends on the day, and the number of an encoder's threads is part of its coding, because it
is part of what H.264 writes.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from lickwright.errors import OutputError, Spot
from lickwright.video.frames.planes import (
    ArgbPlanes,
    Planes,
    RgbaPlanes,
    Yuv420Planes,
    Yuva444Planes,
)

if TYPE_CHECKING:
    from av import AudioStream, VideoFrame, VideoStream
    from av.container import OutputContainer

Samples = npt.NDArray[np.float32]

_AUDIO_AHEAD_S = 0.5
_AAC_BITS = 192_000
_AAC_FRAME = 1024


@dataclass(frozen=True, slots=True)
class Coding:
    """A way of coding pictures.

    Parameters
    ----------
    codec, container : as FFmpeg names them.
    suffix : how a file of this kind is named.
    """

    codec: str
    container: str
    suffix: str
    planes: type[ArgbPlanes] | type[RgbaPlanes] | type[Yuv420Planes] | type[Yuva444Planes]
    threads: int
    options: Mapping[str, str] = field(default_factory=dict)


#: QuickTime Animation: lossless, and small where little moves.
ANIMATION = Coding("qtrle", "mov", ".mov", ArgbPlanes, 1)
#: ProRes 4444 at one fixed quantizer: its search for the best costs five sixths of the time, and
#: the flat areas of our panels gain nothing by it.
PRORES = Coding(
    "prores_ks",
    "mov",
    ".mov",
    Yuva444Planes,
    2,
    {"profile": "4444", "alpha_bits": "16", "flags": "+qscale", "global_quality": str(4 * 118)},
)
#: H.264: the fastest preset with the two tools put back that keep letters clean and files small.
H264 = Coding(
    "libx264",
    "mp4",
    ".mp4",
    Yuv420Planes,
    2,
    {
        "preset": "ultrafast",
        "crf": "16",
        "x264-params": "cabac=1:deblock=1,1:keyint=150:scenecut=0:"
        "log=0:colorprim=bt709:transfer=bt709:colormatrix=bt709:range=tv",
    },
)
#: PNG in QuickTime: lossless, larger and slower than QuickTime Animation, for editors without it.
PNG = Coding("png", "mov", ".mov", RgbaPlanes, 2, {"compression_level": "1", "pred": "sub"})
#: Those with an alpha channel, by the name a teacher chooses them by.
OVERLAY_CODINGS: Mapping[str, Coding] = {"animation": ANIMATION, "prores": PRORES, "png": PNG}


#: So many frames may wait for the encoder; each takes 3 MB in full HD.
_FRAMES_AHEAD = 4


@dataclass(frozen=True, slots=True)
class ChapterMark:
    """A named stretch of a film, for its chapter list; times in seconds."""

    start_s: float
    end_s: float
    title: str


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A hidden file beside ``path`` that takes its place when all went well.

    Raises
    ------
    OutputError
        When the file cannot be written; what stood at ``path`` still stands.
    """
    import av

    temporary = path.with_name(f".{path.name}.part")
    try:
        yield temporary
        os.replace(temporary, path)
    except (OSError, av.FFmpegError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise OutputError(
            f"the video cannot be written ({reason})",
            mend="Name a folder that you may write to, on a disk with room",
            where=Spot(str(path)),
        ) from error
    finally:
        temporary.unlink(missing_ok=True)


class Writer:
    """A video file in the making; use it as a context.

    Frames are encoded in a thread of their own, in order, while the next one is being painted.
    """

    def __init__(
        self,
        path: Path,
        coding: Coding,
        size: tuple[int, int],
        fps: Fraction,
        *,
        audio: Samples | None = None,
        sample_rate: int = 0,
        marks: tuple[ChapterMark, ...] = (),
    ) -> None:
        import av

        self._fps = fps
        self.planes: Planes = coding.planes(*size)
        self._container: OutputContainer = av.open(
            str(path),
            "w",
            format=coding.container,
            options={"movflags": "+faststart", "fflags": "+bitexact"},
        )
        try:
            self._video = self._video_stream(coding, size)
            self._audio = self._audio_stream(sample_rate) if audio is not None else None
            if marks:
                self._container.set_chapters(_chapters(marks))
        except BaseException:
            self._container.close()
            raise
        self._samples = None if audio is None else np.ascontiguousarray(audio.T)
        self._heard = 0
        self._frames = 0
        self._encoder = ThreadPoolExecutor(1, thread_name_prefix="encoder")
        self._due: deque[Future[None]] = deque()

    def __enter__(self) -> Writer:
        return self

    def __exit__(self, kind: type[BaseException] | None, *rest: object) -> None:
        try:
            if kind is None:
                self._await(0)
                self._finish()
        finally:
            self._encoder.shutdown(cancel_futures=True)
            self._container.close()

    def write(self, frame: VideoFrame) -> None:
        """The next frame, and the sound that goes with it; its pixels are its own.

        Raises
        ------
        OSError, av.FFmpegError
            Where one of the frames before it could not be written.
        """
        self._await(_FRAMES_AHEAD - 1)
        self._due.append(self._encoder.submit(self._encode, frame))

    def _await(self, left: int) -> None:
        """Wait until no more than some frames are still to be encoded."""
        while len(self._due) > left:
            self._due.popleft().result()

    def _encode(self, frame: VideoFrame) -> None:
        frame.pts = self._frames
        frame.time_base = 1 / self._fps
        self._frames += 1
        self._hear(float(self._frames / self._fps) + _AUDIO_AHEAD_S)
        self._container.mux(self._video.encode(frame))

    def _finish(self) -> None:
        self._hear(float("inf"))
        self._container.mux(self._video.encode())
        if self._audio is not None:
            self._container.mux(self._audio.encode())

    def _hear(self, until_s: float) -> None:
        """Encode the sound up to a moment."""
        if self._audio is None or self._samples is None:
            return
        from av import AudioFrame

        rate = self._audio.rate
        while self._heard < self._samples.shape[1] and self._heard < until_s * rate:
            piece = self._samples[:, self._heard : self._heard + _AAC_FRAME]
            frame = AudioFrame.from_ndarray(np.ascontiguousarray(piece), "fltp", "stereo")
            frame.sample_rate = rate
            frame.pts = self._heard
            frame.time_base = Fraction(1, rate)
            self._heard += piece.shape[1]
            self._container.mux(self._audio.encode(frame))

    def _video_stream(self, coding: Coding, size: tuple[int, int]) -> VideoStream:
        stream: VideoStream = self._add(coding.codec, self._fps, dict(coding.options))
        stream.width, stream.height = size
        stream.pix_fmt = self.planes.pixel_format
        stream.time_base = 1 / self._fps
        context = stream.codec_context
        context.thread_count = coding.threads
        # 1: ITU-R BT.709, 1: video range (ISO/IEC 23091-2).
        if self.planes.pixel_format not in ("argb", "rgba"):
            context.colorspace = context.color_primaries = context.color_trc = 1
            context.color_range = 1
        return stream

    def _audio_stream(self, sample_rate: int) -> AudioStream:
        stream: AudioStream = self._add("aac", sample_rate, {"flags": "+bitexact"})
        stream.layout = "stereo"
        stream.format = "fltp"
        stream.bit_rate = _AAC_BITS
        return stream

    def _add(self, codec: str, rate: Fraction | int, options: dict[str, str]) -> Any:
        from av.codec.codec import UnknownCodecError

        try:
            return self._container.add_stream(codec, rate=rate, options=options)
        except UnknownCodecError as error:
            raise OutputError(
                f"this installation cannot write {codec}",
                mend="Install the version of av that constraints.txt names",
            ) from error


def _chapters(marks: tuple[ChapterMark, ...]) -> list[Any]:
    return [
        {
            "id": number,
            "start": round(mark.start_s * 1000),
            "end": round(mark.end_s * 1000),
            "time_base": Fraction(1, 1000),
            "metadata": {"title": mark.title},
        }
        for number, mark in enumerate(marks, start=1)
    ]


def join_parts(
    path: Path,
    parts: Sequence[Path],
    fps: Fraction,
    sound: Iterator[Samples],
    sample_rate: int,
    marks: tuple[ChapterMark, ...] = (),
) -> None:
    """Join videos of one coding without coding them again, with sound.

    Parameters
    ----------
    parts : written by :class:`Writer` without sound, all of one coding, size and rate.
    sound : for each part its samples, ``(samples, 2)``.

    Raises
    ------
    OSError, av.FFmpegError
        Where a part cannot be read, or the file cannot be written.
    """
    import av

    options = {"movflags": "+faststart", "fflags": "+bitexact"}
    with (
        av.open(str(path), "w", format="mp4", options=options) as out,
        av.open(str(parts[0])) as first,
    ):
        video = out.add_stream_from_template(first.streams.video[0])
        video.time_base = 1 / fps
        audio: Any = out.add_stream("aac", rate=sample_rate, options={"flags": "+bitexact"})
        audio.layout, audio.format, audio.bit_rate = "stereo", "fltp", _AAC_BITS
        if marks:
            out.set_chapters(_chapters(marks))
        frames = heard = 0
        waiting = np.zeros((0, 2), np.float32)
        for part, samples in zip(parts, sound, strict=True):
            waiting = np.concatenate([waiting, samples])
            heard, waiting = _coded_sound(out, audio, waiting, heard, _AAC_FRAME)
            with av.open(str(part)) as container:
                stream = container.streams.video[0]
                before = frames
                for packet in container.demux(stream):
                    if packet.pts is None or packet.time_base is None:
                        continue
                    ticks = packet.pts * packet.time_base * fps
                    packet.stream, packet.time_base = video, 1 / fps
                    packet.pts = packet.dts = before + round(ticks)
                    packet.duration = 1
                    frames += 1
                    out.mux(packet)
        _coded_sound(out, audio, waiting, heard, 1)
        out.mux(audio.encode())


def _coded_sound(
    out: OutputContainer, audio: AudioStream, samples: Samples, heard: int, least: int
) -> tuple[int, Samples]:
    """Code samples as far as they fill pieces of a length; what was heard, and what is left."""
    from av import AudioFrame

    while len(samples) >= least and len(samples):
        piece, samples = samples[:_AAC_FRAME], samples[_AAC_FRAME:]
        frame = AudioFrame.from_ndarray(np.ascontiguousarray(piece.T), "fltp", "stereo")
        frame.sample_rate, frame.pts = audio.rate, heard
        frame.time_base = Fraction(1, audio.rate)
        heard += len(piece)
        out.mux(audio.encode(frame))
    return heard, samples
