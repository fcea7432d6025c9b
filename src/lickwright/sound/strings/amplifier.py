"""From the pickup to the loudspeaker: tones, drive, cabinet, room.

The responses are typical shapes, not measurements of any product; common practice, no source,
unless a line names one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from lickwright.errors import OutputError, did_you_mean
from lickwright.sound.one_thread import in_one_thread
from lickwright.sound.resample import resample
from lickwright.sound.strings.filters import (
    Samples,
    Section,
    bell,
    convolve,
    high_pass,
    impulse_response,
    low_pass,
    room_response,
)
from lickwright.sound.strings.pluck import Pickup, Touch


@dataclass(frozen=True, slots=True)
class Tone:
    """A sound of the lead guitar.

    Parameters
    ----------
    pickup : where the string is heard.
    before, after : filters before and after the valve (amplifier input; cabinet).
    drive : how far each valve in turn is pushed; none for a clean amplifier.
    room : level of the room against the direct sound.
    level : gain that makes the tones about equally loud.
    """

    name: str
    pickup: Pickup
    before: tuple[Section, ...]
    after: tuple[Section, ...]
    drive: tuple[float, ...]
    room: float
    level: float


# A passive pickup with its cable is a resonant low-pass a few kHz up (Paiva, Pakarinen and
# Valimaki, J. Audio Eng. Soc. 60:10, 2012; from memory).
_PICKUP = low_pass(4200.0, 1.6)
# A twelve-inch guitar loudspeaker in a box: nothing under 80 Hz, a presence peak, a steep end.
_CABINET = (
    high_pass(85.0, 0.9),
    bell(130.0, 2.5, 1.0),
    bell(420.0, -2.0, 0.9),
    bell(2600.0, 4.0, 1.1),
    low_pass(5200.0, 0.9),
    low_pass(6500.0, 0.6),
)
_MIDS = (_PICKUP, high_pass(170.0, 0.6), bell(800.0, 5.0, 0.7))
_TIGHT = (_PICKUP, high_pass(240.0, 0.6), bell(900.0, 5.0, 0.7))
_SINGLE, _DOUBLE = 14.0, 26.0  # mm of string that a coil, or two, senses

TONES: dict[str, Tone] = {
    tone.name: tone
    for tone in (
        Tone("clean", Pickup(70.0, _SINGLE), (_PICKUP,), _CABINET, (), 0.16, 0.172),
        Tone("crunch", Pickup(70.0, _SINGLE), _MIDS, _CABINET, (1.2,), 0.15, 0.14),
        Tone("driven", Pickup(52.0, _DOUBLE), _MIDS, _CABINET, (2.8,), 0.14, 0.097),
        Tone("high gain", Pickup(48.0, _DOUBLE), _TIGHT, _CABINET, (5.0, 1.6), 0.12, 0.08),
    )
}
#: Where a guitar is heard and where it is picked, mm from the bridge; common practice, no source.
PICKUP_MM = {"bridge": 45.0, "middle": 98.0, "neck": 155.0}
PICK_MM = {"bridge": 45.0, "middle": 106.0, "neck": 160.0}

_OVERSAMPLING = 4
_BIAS = 0.18  # an uneven valve: even harmonics too


def tone_named(name: str) -> Tone:
    """The tone of this name.

    Raises
    ------
    OutputError
        With the nearest name.
    """
    if name not in TONES:
        raise OutputError(
            f"there is no tone '{name}'",
            mend=did_you_mean(name, TONES).rstrip("?") or f"Use one of: {', '.join(TONES)}",
        )
    return TONES[name]


@in_one_thread
def amplify(signal: Samples, tone: Tone) -> Samples:
    """The signal of a pickup (N,) as it sounds in a room, ``(N, 2)``."""
    if tone.drive:
        signal = convolve(signal, _filter(tone.name, "before"))
        for drive in tone.drive:
            signal = overdrive(signal, drive)
    return convolve(signal, _speaker(tone.name))


def voiced_tone(tone: Tone, touch: Touch, pickup: str, pick: str) -> tuple[Tone, Touch]:
    """A tone heard at another pickup, and a touch that picks in another place.

    Parameters
    ----------
    pickup, pick : "bridge", "middle" or "neck"; ``""`` leaves each as it is.

    Raises
    ------
    OutputError
        For another word.
    """
    if pickup:
        place = _place(pickup, PICKUP_MM, "pickup")
        tone = replace(tone, pickup=replace(tone.pickup, place_mm=place))
    if pick:
        touch = replace(touch, pick_mm=_place(pick, PICK_MM, "place to pick"))
    return tone, touch


def _place(name: str, places: Mapping[str, float], what: str) -> float:
    if name not in places:
        raise OutputError(
            f"there is no {what} '{name}'",
            mend=did_you_mean(name, places).rstrip("?") or f"Use one of: {', '.join(places)}",
        )
    return places[name]


def overdrive(signal: Samples, drive: float) -> Samples:
    """A valve that gives way softly and unevenly, run at four times the sample rate.

    The curve makes overtones without end; at four times the rate those that would fold back into
    the audible band have died away.
    """
    fine = resample(signal, _OVERSAMPLING, 1)
    fine *= np.float32(drive)
    fine += np.float32(_BIAS)
    np.tanh(fine, out=fine)
    fine -= np.float32(np.tanh(_BIAS))
    return resample(fine, 1, _OVERSAMPLING)


@cache
def _filter(name: str, side: str) -> Samples:
    tone = TONES[name]
    return impulse_response(tone.before if side == "before" else tone.after)


@cache
def _speaker(name: str) -> Samples:
    """Everything linear after the valve, and before it too where there is none: (length, 2)."""
    tone = TONES[name]
    chain = tone.after if tone.drive else tone.before + tone.after
    direct = impulse_response(chain)
    room = room_response(0.5, 3800.0, 1)
    taps = np.zeros((len(room) + len(direct), 2), np.float32)
    taps[: len(direct)] += direct[:, None]
    for channel in range(2):
        padded = np.zeros(len(taps), np.float32)
        padded[: len(direct)] = direct
        taps[:, channel] += tone.room * convolve(padded, room[:, channel])
    return taps * np.float32(tone.level)
