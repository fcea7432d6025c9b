"""Where are the samples of a recording kept, when it may last hours?

In memory while they are few, in a file without a name beyond that; whoever listens asks for a
stretch at a time, so what a listener needs does not grow with the recording.
"""

from __future__ import annotations

import tempfile
import weakref
from collections.abc import Iterable
from dataclasses import dataclass
from threading import Lock
from typing import IO

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]
Ints = npt.NDArray[np.int64]

#: So many samples stay in memory: six minutes, 32 MB.
HELD = 1 << 23
_BYTES = 4
#: Frames that lie no wider than so many times their own length are cut from one stretch.
_DENSE = 2


class Store:
    """Samples that were put down one after the other.

    Parameters
    ----------
    blocks : the samples, ``(N,)`` each.
    held : how many stay in memory; with one more, all go to a file.

    Raises
    ------
    OSError
        Where there is no room for the file.
    """

    def __init__(self, blocks: Iterable[Samples], held: int = HELD) -> None:
        self._file: IO[bytes] | None = None
        self._lock = Lock()
        self._count = 0
        memory: list[Samples] = []
        for block in blocks:
            self._count += len(block)
            if self._file is None and self._count > held:
                self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed when the store goes
                weakref.finalize(self, self._file.close)
                for earlier in memory:
                    self._file.write(earlier.tobytes())
                memory = []
            if self._file is None:
                memory.append(np.asarray(block, np.float32))
            else:
                self._file.write(np.asarray(block, np.float32).tobytes())
        if self._file is not None:
            self._file.flush()
        self._memory = np.concatenate(memory) if memory else np.zeros(0, np.float32)

    def __len__(self) -> int:
        return self._count

    def read(self, first: int, last: int) -> Samples:
        """The samples from ``first`` up to ``last``, both within the store."""
        if self._file is None:
            return self._memory[first:last]
        with self._lock:
            self._file.seek(first * _BYTES)
            data = self._file.read((last - first) * _BYTES)
        return np.frombuffer(data, np.float32)


@dataclass(frozen=True, slots=True)
class TakeSamples:
    """One channel of sound: what a store holds, less ``offset``, over ``peak``."""

    store: Store
    offset: float = 0.0
    peak: float = 1.0

    def __len__(self) -> int:
        return len(self.store)

    def stretch(self, first: int, last: int) -> Samples:
        """The samples from ``first`` up to ``last``; silence beyond both ends."""
        out = np.zeros(last - first, np.float32)
        low, high = max(first, 0), min(last, len(self))
        if low < high:
            inside = self.store.read(low, high)
            out[low - first : high - first] = (inside - np.float32(self.offset)) / np.float32(
                self.peak
            )
        return out

    def frames(self, firsts: Ints, size: int) -> Samples:
        """Windows ``(frames, size)`` that begin at some samples, rising."""
        if not len(firsts):
            return np.zeros((0, size), np.float32)
        low, high = int(firsts[0]), int(firsts[-1]) + size
        if high - low <= _DENSE * size * len(firsts):
            windows = np.lib.stride_tricks.sliding_window_view(self.stretch(low, high), size)
            return np.asarray(windows[firsts - low], np.float32)
        return np.stack([self.stretch(first, first + size) for first in firsts.tolist()])
