"""Which moment of one recording is which of another, when both heard the same room?

Two microphones differ in all but when something starts, so their attacks are laid over one another
and slid until they fit best.  Two clocks differ too: the slide is measured again at the beginning
and at the end, and what it grew by is the clocks' drift.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.take.errors import TakeError
from lickwright.take.listening import STEP_S, Recording, attack_curve

Floats = npt.NDArray[np.float64]

#: The curves must fit this many times better at the best slide than they do elsewhere.
_LEAST_FIT = 8.0
_FIRST_STEPS = 8  # steps a bin, for the first search: 23 ms
_PART_S, _NEAR_S = 300.0, 0.5
#: Two clocks differ by less than this share: some ten times what crystals do.
_MOST_DRIFT = 5e-4


@dataclass(frozen=True, slots=True)
class Alongside:
    """Where a recording lies beside another one.

    Parameters
    ----------
    start_s : when it begins, on the other's clock.
    pace : seconds of the other that pass in one of its own, about 1.
    """

    start_s: float = 0.0
    pace: float = 1.0

    def theirs(self, own_s: float) -> float:
        """A moment of this recording on the other's clock."""
        return self.start_s + self.pace * own_s

    def own(self, their_s: float) -> float:
        """A moment of the other recording on this one's clock."""
        return (their_s - self.start_s) / self.pace


def alongside(main: Recording, other: Recording) -> Alongside:
    """Where a recording lies beside the main one, by what both heard.

    Parameters
    ----------
    main, other : of the same room at the same time, at least half a minute in common.

    Raises
    ------
    TakeError
        Where nothing shows that they heard the same.
    """
    mine, theirs = attack_curve(main), attack_curve(other)
    coarse, fit = _slide(_binned(mine), _binned(theirs))
    if fit < _LEAST_FIT:
        raise TakeError(
            f"{other.name} and {main.name} do not hold the same sound",
            mend="Give recordings of the same playing, or one after the other in runs of their own",
        )
    start = coarse * _FIRST_STEPS
    # What both heard, on the main one's clock, in steps.
    low, high = max(start, 0), min(start + len(theirs), len(mine))
    part = min(int(_PART_S / STEP_S), (high - low) // 2)
    begin = low + part / 2 - start, _near(mine, theirs, start, low, part)
    end = high - part / 2 - start, _near(mine, theirs, start, high - part, part)
    drift = (end[1] - begin[1]) / max(end[0] - begin[0], 1.0)
    if abs(drift) > _MOST_DRIFT:  # one of the parts is silent, or was told wrongly
        drift = 0.0
    first = begin[1] - drift * begin[0]
    return Alongside(float(first * STEP_S), 1.0 + float(drift))


def _binned(curve: Floats) -> Floats:
    count = len(curve) // _FIRST_STEPS
    return np.asarray(curve[: count * _FIRST_STEPS].reshape(count, _FIRST_STEPS).max(axis=1))


def _slide(mine: Floats, theirs: Floats) -> tuple[int, float]:
    """By how many places ``theirs`` begins after ``mine``, and how far that fits beyond chance."""
    from scipy.signal import correlate

    products = correlate(mine - mine.mean(), theirs - theirs.mean(), "full", "fft")
    best = int(np.argmax(products))
    spread = 1.4826 * float(np.median(np.abs(products))) + 1e-12
    return best - (len(theirs) - 1), float(products[best]) / spread


def _near(mine: Floats, theirs: Floats, start: int, low: int, count: int) -> float:
    """The slide, to a part of a step, that fits best in a part of the main recording."""
    reach = int(_NEAR_S / STEP_S)
    own = mine[low : low + count]
    at = low - start
    padded = np.pad(theirs, (max(reach - at, 0), max(at + count + reach - len(theirs), 0)))
    first = at - reach + max(reach - at, 0)
    other = padded[first : first + count + 2 * reach]
    from scipy.signal import correlate

    products = correlate(other - other.mean(), own - own.mean(), "valid", "fft")
    best = int(np.argmax(products))
    shift = float(best)
    if 0 < best < len(products) - 1:
        left, middle, right = products[best - 1 : best + 2]
        bend = left - 2 * middle + right
        shift += 0.5 * float(left - right) / float(bend) if bend < 0 else 0.0
    return start - (shift - reach)
