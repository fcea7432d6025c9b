"""Where in a recording may a note have started?

More places are kept than there are notes: a click, a rubbed string and a chord of the band all
start something.  Each event knows how much it looks like a note and how well it fits every pitch;
which of them are notes of the line is for the alignment to say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.take.onset import sharpen
from lickwright.take.recording import Recording
from lickwright.take.spectrum import (
    HIGHEST_MIDI,
    LAG,
    LOWEST_MIDI,
    PITCHES,
    STEP_S,
    Floats,
    Sound,
    local_peaks,
)

#: Two starts nearer than this are one: 26 ms, under half of a sextuplet at 120.
APART = 9
#: A pitch is read from the moments just after a start, when both windows lie clear of it.
_READ = (0, 7)
_LEAST_ATTACK = 0.05
_ATTACK_REACH = 4
#: Rises of one pitch are broad humps; a start without a click is looked for at their tops.
_HUMP = 14
_LEAST_COSINE = 0.30
_LEAST_SHARE = 0.15
#: Log odds of a note by log strength and log attack (both against the usual note), cosine with the
#: best pitch, and how near the top of its pitch's rise it stands.
#: Fitted by logistic regression to 18,846 events of known performances, three synthesisers, clean,
#: with noise and with a band (``bench/take.py`` judges on other lines and voices).
_WEIGHTS = np.array([1.0, 9.0, 2.2, 3.7])
_BIAS = -5.2
#: The same for a pitch that goes on sounding: its rise says little, the attack nearly all.  Fitted
#: to 1,137 repeated notes and 7,027 other events.
_AGAIN_WEIGHTS = np.array([1.3, 0.0, 6.7, 0.0])
_AGAIN_BIAS = 11.1
_BOUNDS = ((-3.0, 0.0, -3.0, 0.0), (1.0, 1.0, 1.0, 1.0))


@dataclass(frozen=True, slots=True)
class Events:
    """Possible starts, in time.

    Parameters
    ----------
    time_s : ``(events,)``.
    fit : ``(events, pitches)``: how much each pitch rises, against the recording's usual note.
    sounding : ``(events, pitches)``: how much each pitch sounds both before and after, against the
        loudest; where it is high, a note may have been struck again.
    features : ``(events, 4)``: what the beliefs are made of; see :data:`_WEIGHTS`.
    belief : ``(events,)``: log odds that a note starts here whose pitch did not sound before.
    again : ``(events,)``: log odds that a note starts here whose pitch sounded before.
    """

    time_s: npt.NDArray[np.float64]
    fit: npt.NDArray[np.float64]
    sounding: npt.NDArray[np.float64]
    features: npt.NDArray[np.float64]
    belief: npt.NDArray[np.float64]
    again: npt.NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def strength(self) -> npt.NDArray[np.float64]:
        """How strongly the best pitch rises, against the recording's usual note."""
        return np.asarray(self.fit.max(axis=1, initial=0.0))

    @property
    def clarity(self) -> npt.NDArray[np.float64]:
        """How far what rises is one pitch alone, 0 to 1; noise reaches about 0.3."""
        return self.features[:, 1]

    @property
    def best(self) -> npt.NDArray[np.int64]:
        """The pitch that fits best, as a MIDI key."""
        return np.asarray(PITCHES[np.argmax(self.fit, axis=1)])

    def share(self, keys: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
        """How well some keys fit each event, against its best: ``(keys, events)``, 0 to 1."""
        rows = self.fit[:, np.clip(keys - PITCHES[0], 0, len(PITCHES) - 1)]
        return np.asarray((rows / np.maximum(self.fit.max(axis=1, keepdims=True), 1e-12)).T)


def find_events(
    recording: Recording, sound: Sound, keys: tuple[int, int] = (LOWEST_MIDI, HIGHEST_MIDI)
) -> Events:
    """All places in a recording where a note may have started.

    Parameters
    ----------
    keys : lowest and highest MIDI key of the instrument; no other pitch is heard.
    """
    at = _candidates(sound)
    fit = _within(_read(sound.rise, at), keys)
    strength = fit.max(axis=1, initial=0.0)
    cosine = strength / np.maximum(_read(sound.rise_norm[:, None], at)[:, 0], 1e-9)
    attack = _highest(sound.attack[:, None], at, _ATTACK_REACH)[:, 0]
    usual_strength, usual_attack = _usual(strength, cosine, attack)
    top = _highest(sound.rise, at, _HUMP)[np.arange(len(at)), np.argmax(fit, axis=1)]
    features = np.stack(
        [
            np.log(np.maximum(strength, 1e-9) / usual_strength),
            cosine,
            np.log(np.maximum(attack, 1e-3) / usual_attack),
            strength / np.maximum(top, 1e-9),
        ],
        axis=1,
    )
    bounded = np.clip(features, *_BOUNDS)
    return Events(
        time_s=np.maximum.accumulate(sharpen(recording, np.asarray(at * STEP_S, np.float64))),
        fit=fit / usual_strength,
        sounding=_sounding(sound, at, keys),
        features=features,
        belief=bounded @ _WEIGHTS + _BIAS,
        again=bounded @ _AGAIN_WEIGHTS + _AGAIN_BIAS,
    )


def _candidates(sound: Sound) -> npt.NDArray[np.int64]:
    """Steps with a sudden attack, and tops of a pitch's rise that have none near."""
    sudden = local_peaks(sound.attack, _LEAST_ATTACK, APART)
    strongest = sound.rise.max(axis=1)
    usual = float(np.percentile(strongest[sudden], 70)) if len(sudden) else 0.0
    clear = strongest > _LEAST_COSINE * np.maximum(sound.rise_norm, 1e-9)
    soft = local_peaks(np.where(clear, strongest, 0.0), _LEAST_SHARE * usual, _HUMP)
    if len(sudden) and len(soft):
        soft = soft[np.abs(soft[:, None] - sudden[None, :]).min(axis=1) > APART]
    return np.sort(np.concatenate([sudden, soft]))


def _read(curves: Floats, at: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
    """Means of some curves over the moments in which a start at ``at`` is read."""
    steps = np.clip(at[:, None] + np.arange(*_READ), 0, len(curves) - 1)
    return np.asarray(curves[steps].mean(axis=1), np.float64)


def _within(curves: npt.NDArray[np.float64], keys: tuple[int, int]) -> npt.NDArray[np.float64]:
    """Curves by pitch, none of them beyond the instrument."""
    return np.where((keys[0] <= PITCHES) & (keys[1] >= PITCHES), curves, 0.0)


def _sounding(
    sound: Sound, at: npt.NDArray[np.int64], keys: tuple[int, int]
) -> npt.NDArray[np.float64]:
    """How much every pitch sounds on both sides of some moments, against the loudest there."""
    sides = []
    for side in (-2 * LAG, LAG):
        steps = np.clip(at + side, 0, sound.steps - 1)
        level = _within(sound.level[steps].astype(np.float64), keys)
        sides.append(level / np.maximum(level.max(axis=1, keepdims=True), 1e-9))
    return np.asarray(np.minimum(*sides), np.float64)


def _highest(curves: Floats, at: npt.NDArray[np.int64], reach: int) -> npt.NDArray[np.float64]:
    """The highest value of each curve within ``reach`` steps."""
    from scipy.ndimage import maximum_filter1d

    highest = maximum_filter1d(curves, 2 * reach + 1, axis=0)
    return np.asarray(highest[at], np.float64)


def _usual(
    strength: npt.NDArray[np.float64],
    cosine: npt.NDArray[np.float64],
    attack: npt.NDArray[np.float64],
) -> tuple[float, float]:
    """Strength and attack of the recording's usual note: medians over its clearest events."""
    if not len(strength):
        return 1.0, 1.0
    clear = cosine * np.sqrt(strength * attack)
    chosen = clear >= 0.5 * np.percentile(clear, 95)
    return float(np.median(strength[chosen])) or 1.0, float(np.median(attack[chosen])) or 1.0
