"""The same sound at another sample rate, while it is still coming in.

A polyphase filter with a Kaiser-windowed sinc (Smith, *Digital Audio Resampling*, CCRMA), the one
of ``scipy.signal.resample_poly``, run with what it remembers from block to block: the blocks may
be of any length, what comes out is the same.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

_REACH = 10  # periods of the lower rate that the sinc reaches to each side
_KAISER = 5.0
#: Odd rates go by the nearest simple ratio: off by a millionth, which nobody hears.
_FINEST_RATIO = 4000


class Resampler:
    """A stream of samples ``(N,)`` taken to another rate.

    Beyond both ends the first and the last value are taken to go on, so that a constant makes no
    click there.  From N samples come ``ceil(N * rate_out / rate_in)``.

    Parameters
    ----------
    rate_in, rate_out : samples a second.

    Examples
    --------
    >>> resampler = Resampler(44_100, 22_050)
    >>> len(resampler.feed(np.zeros(1000, np.float32))) + len(resampler.finish())
    500
    """

    def __init__(self, rate_in: int, rate_out: int) -> None:
        ratio = Fraction(rate_out, rate_in).limit_denominator(_FINEST_RATIO)
        self._up, self._down = ratio.numerator, ratio.denominator
        self._half = _REACH * max(self._up, self._down)
        #: Inputs that the filter reaches to each side.
        self._reach = self._half // self._up + 1
        self._taken = 0  # samples fed
        self._given = 0  # samples that came out
        self._first = 0  # which input the first of those kept is; a multiple of ``down``
        self._kept: Samples = np.zeros(0, np.float32)

    def feed(self, samples: Samples) -> Samples:
        """Take the next samples; returns those that are finished."""
        if self._up == self._down or not len(samples):
            self._taken += len(samples)
            return samples
        if not self._taken:
            # The silence before the beginning, held at its first value.
            before = -(-self._reach // self._down) * self._down
            self._first = -before
            self._kept = np.full(before, samples[0], np.float32)
        self._taken += len(samples)
        self._kept = np.concatenate([self._kept, samples])
        return self._until(((self._taken - 1) * self._up - self._half) // self._down + 1)

    def finish(self) -> Samples:
        """The samples that were waiting for more."""
        if self._up == self._down or not self._taken:
            return np.zeros(0, np.float32)
        after = np.full(self._reach + 1, self._kept[-1], np.float32)
        self._kept = np.concatenate([self._kept, after])
        return self._until(-(-self._taken * self._up // self._down))

    def _until(self, end: int) -> Samples:
        """The outputs up to one, for which all inputs are there."""
        from scipy.signal import upfirdn

        if end <= self._given:
            return np.zeros(0, np.float32)
        taps, ahead = _taps(self._up, self._down)
        start = ahead - self._first * self._up // self._down
        out = upfirdn(taps, self._kept, self._up, self._down)[start + self._given : start + end]
        self._given = end
        needed = (end * self._down - self._half) // self._up
        drop = max((needed - self._first) // self._down * self._down, 0)
        self._first += drop
        self._kept = self._kept[drop:]
        return np.asarray(out, np.float32)


@lru_cache(maxsize=8)
def _taps(up: int, down: int) -> tuple[Samples, int]:
    """The filter, and how many outputs of it come before the one at the first input."""
    from scipy.signal import firwin

    wider = max(up, down)
    half = _REACH * wider
    taps = firwin(2 * half + 1, 1.0 / wider, window=("kaiser", _KAISER)) * up
    padding = -half % down
    return np.concatenate([np.zeros(padding), taps]).astype(np.float32), (half + padding) // down
