"""Where in a recording may a note have started?

More places are kept than there are notes: a click, a rubbed string and a chord of the band all
start something.  Each event knows how much it looks like a note and how well it fits every pitch;
which of them are notes of the line is for the alignment to say.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from lickwright.take.listening.onset import sharpen
from lickwright.take.listening.recording import Recording
from lickwright.take.listening.spectrum import (
    BLOCK,
    HIGHEST_MIDI,
    LAG,
    LOWEST_MIDI,
    PITCHES,
    STEP_S,
    Floats,
    Rises,
    Spectrum,
    levels,
    local_peaks,
    rises,
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
    fit: Floats
    sounding: Floats
    features: npt.NDArray[np.float64]
    belief: npt.NDArray[np.float64]
    again: npt.NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.time_s)

    def some(self, which: npt.NDArray[np.int64]) -> Events:
        """Some of the events, by their places in time."""
        return Events(*(getattr(self, field.name)[which] for field in fields(self)))

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

    def share_of(
        self, keys: npt.NDArray[np.int64], events: npt.NDArray[np.int64]
    ) -> npt.NDArray[np.float64]:
        """How well each key fits the event beside it, against that event's best."""
        rows = self.fit[events]
        fit = rows[np.arange(len(events)), np.clip(keys - PITCHES[0], 0, len(PITCHES) - 1)]
        return np.asarray(fit / np.maximum(rows.max(axis=1, initial=0.0), 1e-12), np.float64)

    def share(self, keys: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
        """How well some keys fit each event, against its best: ``(keys, events)``, 0 to 1."""
        rows = self.fit[:, np.clip(keys - PITCHES[0], 0, len(PITCHES) - 1)]
        return np.asarray((rows / np.maximum(self.fit.max(axis=1, keepdims=True), 1e-12)).T)


def find_events(
    recording: Recording,
    sound: Spectrum,
    keys: tuple[int, int] = (LOWEST_MIDI, HIGHEST_MIDI),
    block: int = BLOCK,
) -> Events:
    """All places in a recording where a note may have started.

    Parameters
    ----------
    keys : lowest and highest MIDI key of the instrument; no other pitch is heard.
    block : steps worked at a time; it decides about memory alone.
    """
    places = _chosen(_places(sound, keys, block))
    strength = places.fit.max(axis=1, initial=0.0).astype(np.float64)
    cosine = strength / np.maximum(places.norm, 1e-9)
    usual_strength, usual_attack = _usual(strength, cosine, places.attack)
    features = np.stack(
        [
            np.log(np.maximum(strength, 1e-9) / usual_strength),
            cosine,
            np.log(np.maximum(places.attack, 1e-3) / usual_attack),
            strength / np.maximum(places.top, 1e-9),
        ],
        axis=1,
    )
    bounded = np.clip(features, *_BOUNDS)
    first_guess = np.asarray(places.at * STEP_S, np.float64)
    return Events(
        time_s=np.maximum.accumulate(sharpen(recording, first_guess)),
        fit=places.fit / np.float32(usual_strength),
        sounding=_sounding(sound, places.at, keys),
        features=features,
        belief=bounded @ _WEIGHTS + _BIAS,
        again=bounded @ _AGAIN_WEIGHTS + _AGAIN_BIAS,
    )


@dataclass(frozen=True, slots=True)
class _Places:
    """Steps at which something may have started, and what was read there.

    Parameters
    ----------
    at : ``(places,)``: the steps.
    sudden : ``(places,)``: whether there is an attack; else the rise of a pitch has its top there.
    fit : ``(places, pitches)``: how much each pitch of the instrument rises after it.
    norm : ``(places,)``: how much rises altogether.
    top : ``(places,)``: the highest rise of the best pitch around it.
    strongest : ``(places,)``: how much the best pitch of all rises at the step itself.
    attack : ``(places,)``: the highest attack around it.
    """

    at: npt.NDArray[np.int64]
    sudden: npt.NDArray[np.bool_]
    fit: Floats
    norm: Floats
    top: Floats
    strongest: Floats
    attack: Floats


def _places(sound: Spectrum, keys: tuple[int, int], block: int) -> _Places:
    """Steps with a sudden attack, and all tops of a pitch's rise that have none near."""
    sudden = local_peaks(sound.attack, _LEAST_ATTACK, APART)
    attack = _highest(sound.attack, _ATTACK_REACH)
    found = [_places_in(part, sudden, keys, attack) for part in rises(sound, _HUMP, block)]
    names = [field.name for field in fields(_Places)]
    return _Places(*(np.concatenate([getattr(part, name) for part in found]) for name in names))


def _places_in(
    part: Rises, sudden: npt.NDArray[np.int64], keys: tuple[int, int], attack: Floats
) -> _Places:
    strongest = part.rise.max(axis=1)
    clear = strongest > _LEAST_COSINE * np.maximum(part.norm, 1e-9)
    soft = part.low + local_peaks(np.where(clear, strongest, 0.0), 0.0, _HUMP)
    soft = soft[(soft >= part.first) & (soft < part.last)]
    soft = soft[_distance(soft, sudden) > APART]
    here = sudden[np.searchsorted(sudden, part.first) : np.searchsorted(sudden, part.last)]
    at = np.sort(np.concatenate([here, soft]))
    rows = at - part.low
    last = len(part.rise) - 1
    read = np.clip(rows[:, None] + np.arange(*_READ), 0, last)
    fit = _within(part.rise[read].mean(axis=1), keys)
    around = np.clip(rows[:, None] + np.arange(-_HUMP, _HUMP + 1), 0, last)
    return _Places(
        at=at,
        sudden=np.isin(at, here),
        fit=fit,
        norm=part.norm[read].mean(axis=1),
        top=part.rise[around, np.argmax(fit, axis=1)[:, None]].max(axis=1),
        strongest=strongest[rows],
        attack=attack[at],
    )


def _chosen(places: _Places) -> _Places:
    """The places without the tops that are too low for this recording."""
    attacks = places.strongest[places.sudden]
    usual = float(np.percentile(attacks, 70)) if len(attacks) else 0.0
    kept = places.sudden | (places.strongest > _LEAST_SHARE * usual)
    return _Places(*(getattr(places, field.name)[kept] for field in fields(_Places)))


def _distance(
    steps: npt.NDArray[np.int64], others: npt.NDArray[np.int64]
) -> npt.NDArray[np.float64]:
    """How far the nearest of some rising others lies from each step."""
    around = np.concatenate([[-np.inf], others, [np.inf]])
    after = np.searchsorted(others, steps) + 1
    return np.asarray(np.minimum(steps - around[after - 1], around[after] - steps))


def _within(curves: Floats, keys: tuple[int, int]) -> Floats:
    """Curves by pitch, none of them beyond the instrument."""
    return np.where((keys[0] <= PITCHES) & (keys[1] >= PITCHES), curves, np.float32(0.0))


def _sounding(sound: Spectrum, at: npt.NDArray[np.int64], keys: tuple[int, int]) -> Floats:
    """How much every pitch sounds on both sides of some moments, against the loudest there."""
    sides = []
    for side in (-2 * LAG, LAG):
        level = _within(levels(sound, np.clip(at + side, 0, sound.steps - 1)), keys)
        level /= np.maximum(level.max(axis=1, keepdims=True), np.float32(1e-9))
        sides.append(level)
    return np.asarray(np.minimum(*sides), np.float32)


def _highest(curve: Floats, reach: int) -> Floats:
    """The highest value within ``reach`` steps of each."""
    from scipy.ndimage import maximum_filter1d

    return np.asarray(maximum_filter1d(curve, 2 * reach + 1), np.float32)


def _usual(
    strength: npt.NDArray[np.float64],
    cosine: npt.NDArray[np.float64],
    attack: Floats,
) -> tuple[float, float]:
    """Strength and attack of the recording's usual note: medians over its clearest events."""
    if not len(strength):
        return 1.0, 1.0
    clear = cosine * np.sqrt(strength * attack)
    chosen = clear >= 0.5 * np.percentile(clear, 95)
    return float(np.median(strength[chosen])) or 1.0, float(np.median(attack[chosen])) or 1.0
