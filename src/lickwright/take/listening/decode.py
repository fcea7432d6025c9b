"""What does a sound file say, a block at a time?

Any common container: WAV, FLAC, MP3, Ogg, and what telephones and cameras write (m4a, mp4, mov,
webm, mkv), told by their content.  One sound track is decoded, its channels mixed, in memory that
does not grow with its length.  FFmpeg's libraries do it, through PyAV, which keeps their messages
to itself; only readers of media files are let near the bytes, never those of play lists, which
open other files and addresses.
"""

from __future__ import annotations

import io
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
#: So many packets at the beginning may lean on others that are not there (MP3's bit reservoir).
_FIRST_PACKETS = 4
#: Louder than this (120 dB over full scale) are numbers, not sound.
_LOUDEST = 1e6
#: A track that ends so much before its own container says was cut off.
_CUT_S, _CUT_SHARE = 0.5, 0.01
#: Containers that know how long their track is.  Matroska knows how long the longest of its tracks
#: is, MP3 where it begins with a count of its frames, WAV how many bytes it has; Ogg only guesses.
_KNOWS_LENGTH = frozenset({"w64", "aiff", "caf", "flac", "mov"})
_FRAME_COUNTS, _HEAD = (b"Xing", b"Info"), 65_536
#: RIFF sizes from here on are a writer's way of leaving the size open, as are those of a header.
_OPEN_SIZE, _HEADER_SIZE, _PADDING = 0x7FFF_0000, 44, 1024
_ANY_FILE = "Give a WAV, FLAC, MP3, Ogg, M4A, MP4, MOV, WebM or MKV file"


class SoundTrack:
    """The sound track of an open file.

    Parameters
    ----------
    rate_hz : samples a second.
    declared_s : how long the container says that it is; ``None`` where it does not know.
    """

    def __init__(self, container: InputContainer, stream: AudioStream, head: bytes) -> None:
        self._container, self._stream = container, stream
        self.rate_hz = int(stream.rate or 0)
        self.declared_s: float | None = None
        kinds = set(container.format.name.split(","))
        counted = "mp3" in kinds and any(word in head for word in _FRAME_COUNTS)
        if stream.duration and stream.time_base and (counted or kinds & _KNOWS_LENGTH):
            self.declared_s = float(stream.duration * stream.time_base)
        #: Whether the length declared is that of the longest track, not of this one.
        self._longest = "matroska" in kinds and container.duration is not None
        if self._longest:
            self.declared_s = float(container.duration or 0) / 1e6
        self._reached_s = 0.0

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
        self._check_end(max(count / self.rate_hz, self._reached_s), longest_s)

    def _pieces(self) -> Iterator[Samples]:
        import av

        count = packets = 0
        try:
            for packet in self._container.demux(*([] if self._longest else [self._stream])):
                if self._longest and packet.pts is not None:
                    self._reached_s = max(self._reached_s, float(packet.pts * packet.time_base))
                if packet.stream is not self._stream:
                    continue
                packets += 1
                strict = count > 0 or packets > _FIRST_PACKETS
                for frame in _decoded(packet, strict=strict):
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
        _check_size(file)
        yield _track(container, _head(file))


def _head(file: BinaryIO) -> bytes:
    """The first bytes of a file, whose place is left as it was."""
    place = file.tell()
    file.seek(0)
    head = file.read(_HEAD)
    file.seek(place)
    return head


def _check_size(file: BinaryIO) -> None:
    """Refuse a WAV file that holds less than its first line says."""
    head, place = _head(file), file.tell()
    size = file.seek(0, io.SEEK_END)
    file.seek(place)
    said = int.from_bytes(head[4:8], "little") + 8
    if head[:4] == b"RIFF" and _HEADER_SIZE < said < _OPEN_SIZE and size < said - _PADDING:
        raise TakeError(
            f"the file is cut off: {size:,} bytes of {said:,} are there",
            mend="Copy or export the file again",
        )


def _track(container: InputContainer, head: bytes) -> SoundTrack:
    stream = container.streams.best("audio")
    if stream is None:
        raise TakeError("the file holds no sound track", mend="Export it with its sound")
    if stream.codec_context is None:
        raise TakeError(
            "the sound is protected, or coded in a way that cannot be read",
            mend="Export it as WAV or FLAC",
        )
    track = SoundTrack(container, cast("AudioStream", stream), head)
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


def _decoded(packet: Packet[Any], *, strict: bool) -> list[AudioFrame]:
    """The frames of a packet; where not strict, none for one that leans on what was cut away."""
    import av

    try:
        return cast("list[AudioFrame]", packet.decode())
    except av.InvalidDataError:
        if strict:
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
