"""What does a sound file say, a block at a time?

Any common container: WAV, FLAC, MP3, Ogg, and what telephones and cameras write (m4a, mp4, mov,
webm, mkv), told by their content.  One sound track is decoded, its channels mixed, in memory that
does not grow with its length.  FFmpeg's libraries do it, through PyAV, which keeps their messages
to itself; only readers of media files are let near the bytes, never those of play lists, which
open other files and addresses.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, BinaryIO, cast

import numpy as np
import numpy.typing as npt

from lickwright.take.errors import TakeError

if TYPE_CHECKING:
    from av import AudioFrame, AudioStream, Packet
    from av.container import InputContainer

Samples = npt.NDArray[np.float32]

#: Bounds of what is read.
MOST_CHANNELS = 16
RATES_HZ = (8_000, 384_000)

#: FFmpeg's names of the readers that may look at a file.
_CONTAINERS = (
    *("wav", "w64", "aiff", "caf", "au", "flac", "mp3", "ogg", "aac", "amr", "wv"),
    *("mov", "matroska", "avi", "flv", "asf", "mpegts"),
)
_BLOCK = 65_536
#: Louder than this (120 dB over full scale) are numbers, not sound.
_LOUDEST = 1e6
#: A track that ends so much before its own container says was cut off.
_CUT_S, _CUT_SHARE = 0.5, 0.01
#: Containers that know how long their track is; the others guess.
_KNOWS_LENGTH = frozenset({"wav", "w64", "aiff", "caf", "flac", "mov"})
_ANY_FILE = "Give a WAV, FLAC, MP3, Ogg, M4A, MP4, MOV, WebM or MKV file"


class SoundTrack:
    """The sound track of an open file.

    Parameters
    ----------
    rate_hz : samples a second; ``None`` as long as it is not known.
    declared_s : how long the container says that it is; ``None`` where it only guesses.
    """

    def __init__(self, container: InputContainer, stream: AudioStream) -> None:
        self._container, self._stream = container, stream
        self.rate_hz = int(stream.rate or 0)
        self.declared_s: float | None = None
        kinds = set(container.format.name.split(","))
        if stream.duration and stream.time_base and kinds & _KNOWS_LENGTH:
            self.declared_s = float(stream.duration * stream.time_base)

    def blocks(self, longest_s: float) -> Iterator[Samples]:
        """The mean of all channels, ``(N,)`` at a time, full scale at 1.

        Raises
        ------
        TakeError
            Where the track is damaged, cut off, or longer than ``longest_s``.
        """
        count, waiting, most = 0, 0, int(longest_s * self.rate_hz)
        pieces: list[Samples] = []
        for piece in self._pieces():
            count += len(piece)
            waiting += len(piece)
            if count > most:
                raise TakeError(
                    f"the take is longer than {_duration(longest_s)}",
                    mend="Cut it down to the example",
                )
            pieces.append(piece)
            if waiting >= _BLOCK:
                yield np.concatenate(pieces)
                pieces, waiting = [], 0
        if pieces:
            yield np.concatenate(pieces)
        self._check_end(count / self.rate_hz, longest_s)

    def _pieces(self) -> Iterator[Samples]:
        import av

        count = 0
        try:
            for packet in self._container.demux(self._stream):
                for frame in _decoded(packet, begun=count > 0):
                    self._check_frame(frame)
                    count += frame.samples
                    yield _mono(frame)
        except (av.FFmpegError, RuntimeError, ValueError, TypeError, OSError) as error:
            raise TakeError(
                f"the sound is damaged or protected from {count / self.rate_hz:.1f} s on",
                mend="Copy or export the file again",
            ) from error

    def _check_frame(self, frame: AudioFrame) -> None:
        if frame.sample_rate != self.rate_hz:
            raise TakeError(
                f"the sound goes from {self.rate_hz} to {frame.sample_rate} samples a second",
                mend="Export it at one rate",
            )
        _check_channels(len(frame.layout.channels))

    def _check_end(self, length_s: float, longest_s: float) -> None:
        """Refuse a file that lost its end.  Lengths beyond all takes are a writer's way of leaving
        the length open."""
        if self.declared_s is None or self.declared_s > longest_s:
            return
        if length_s < self.declared_s - max(_CUT_S, _CUT_SHARE * self.declared_s):
            raise TakeError(
                f"the file is cut off: {length_s:.1f} s of {self.declared_s:.1f} s are there",
                mend="Copy or export the file again",
            )


@contextmanager
def open_sound(file: BinaryIO) -> Iterator[SoundTrack]:
    """The sound track of a file that is open for reading.

    Raises
    ------
    TakeError
        In one sentence: no media file, no sound track, a coding that cannot be read, a rate or a
        number of channels that no take has.
    """
    import av

    options = {"format_whitelist": ",".join(_CONTAINERS), "protocol_whitelist": ""}
    options["max_size"] = "262144"  # of a packet of plain samples: fewer and larger ones
    try:
        container = av.open(file, mode="r", options=options, metadata_errors="replace")
    except (av.FFmpegError, RuntimeError, ValueError, TypeError, OSError) as error:
        raise TakeError(
            "the file is not audio that can be read, or is damaged", mend=_ANY_FILE
        ) from error
    with container:
        yield _track(container)


def _track(container: InputContainer) -> SoundTrack:
    stream = container.streams.best("audio")
    if stream is None:
        raise TakeError("the file holds no sound track", mend="Export it with its sound")
    if stream.codec_context is None:
        raise TakeError(
            "the sound is protected, or coded in a way that cannot be read",
            mend="Export it as WAV or FLAC",
        )
    track = SoundTrack(container, cast("AudioStream", stream))
    if not RATES_HZ[0] <= track.rate_hz <= RATES_HZ[1]:
        raise TakeError(
            f"the file claims {track.rate_hz} samples a second",
            mend=f"Give audio of {RATES_HZ[0]} to {RATES_HZ[1]} samples a second",
        )
    _check_channels(cast("AudioStream", stream).codec_context.channels)
    return track


def _check_channels(channels: int) -> None:
    if not 1 <= channels <= MOST_CHANNELS:
        raise TakeError(
            f"the file has {channels} channels", mend=f"Give 1 to {MOST_CHANNELS} channels"
        )


def _decoded(packet: Packet[Any], *, begun: bool) -> list[AudioFrame]:
    """The frames of a packet; before the first one, what leans on what was cut away is left out."""
    import av

    try:
        return cast("list[AudioFrame]", packet.decode())
    except av.InvalidDataError:
        if begun:
            raise
        return []


def _mono(frame: AudioFrame) -> Samples:
    """The mean of a frame's channels, full scale at 1."""
    samples = frame.to_ndarray()
    if not frame.format.is_planar:
        samples = samples.reshape(-1, len(frame.layout.channels)).T
    if samples.dtype.kind in "iu":
        scale = np.float32(2.0 ** (8 * samples.dtype.itemsize - 1))
        middle = np.float32(1.0 if samples.dtype.kind == "u" else 0.0)
        samples = samples.astype(np.float32) / scale - middle
    with np.errstate(over="ignore", invalid="ignore"):
        mono = np.asarray(samples.mean(axis=0, dtype=np.float32), np.float32)
        if not (np.abs(mono) < _LOUDEST).all():  # not a number is not below it either
            raise TakeError(
                "the file holds values that are not sound", mend="Export the take again"
            )
    return mono


def _duration(seconds: float) -> str:
    hours = seconds / 3600.0
    return f"{hours:g} hours" if hours >= 1.0 else f"{seconds / 60.0:g} minutes"
