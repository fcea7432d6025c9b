"""How does a steel string vibrate?

The string is given by its physics: tension, mass, stiffness and losses.  Its motion is a sum of
damped modes, which is the closed form of what a digital waveguide computes sample by sample
(equivalence: Smith, "Physical Modeling Using Digital Waveguides", Computer Music Journal 16:4,
1992; Karjalainen, Valimaki and Tolonen, "Plucked-String Models", Computer Music Journal 22:3,
1998).  The closed form needs no fractional-delay or loss filter, so every partial has exactly the
frequency and the decay that the physics says.

Sources
-------
* Stiff string: Fletcher and Rossing, *The Physics of Musical Instruments*, 2.18: partial ``k``
  sounds at ``k f sqrt(1 + B k^2)`` with ``B = pi^3 E d^4 / (64 T L^2)``.
* Losses: Valette and Cuesta, *Mecanique de la corde vibrante*, 1993; in the form that Pate, Le
  Carrou and Fabre give for solid-body electric guitars (J. Acoust. Soc. Am. 135:5, 2014):
  ``1/Q`` is the sum of air, viscoelastic and constant internal loss.  The material constants below
  are from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]

STEEL_DENSITY = 7850.0  # kg/m3
STEEL_YOUNG = 2.0e11  # Pa
WOUND_DENSITY = 6900.0  # kg/m3 over the outer diameter: the windings leave gaps; from memory
AIR_DENSITY = 1.2  # kg/m3
AIR_VISCOSITY = 1.8e-5  # kg/(m s)
VISCOELASTIC_ANGLE = 4.5e-3  # steel; from memory of the 2014 paper
INTERNAL_LOSS = 2.0e-4  # constant part of 1/Q, plain steel; from memory of the same paper
WOUND_LOSS = 4.0e-4  # the same for wound strings, whose windings rub; common practice, no source

#: A set is chosen so that all strings pull about alike: 75 N (17 lb) each, as makers' tables of
#: light sets show; from memory.
SET_TENSION_N = 75.0
#: The thickest string that is still sold plain, and the steel core of a wound one; from memory.
PLAIN_LIMIT_M = 0.48e-3
CORE_M = 0.40e-3

#: The share of a real string's stiffness that is kept.  With all of it, low and thick strings read
#: up to 25 cents sharp in their first tenth of a second by autocorrelation (which is how ears and
#: most tuners track pitch) while their first partial is exact; with this share both agree within
#: about 3 cents at once and 2 cents after.  A lesson is played along to: it must be in tune.
STIFFNESS_SHARE = 0.05

#: Partials above this are left out: neither pickup nor loudspeaker of a guitar passes them.
HIGHEST_PARTIAL_HZ = 11000.0


@dataclass(frozen=True, slots=True)
class StringModel:
    """One string: open length (m), tension (N), mass (kg/m), core and outer diameter (m)."""

    length_m: float
    tension_n: float
    mass_kg_m: float
    core_m: float
    outer_m: float

    @property
    def wound(self) -> bool:
        return self.outer_m > self.core_m

    def stiffness(self, length_m: float) -> float:
        """The inharmonicity coefficient ``B`` of a sounding length, all of it."""
        core = STEEL_YOUNG * self.core_m**4
        return float(np.pi**3 * core / (64.0 * self.tension_n * length_m**2))


@dataclass(frozen=True, slots=True)
class Modes:
    """The modes of one sounding length, in two planes: 0 into the body, 1 across the strings.

    Parameters
    ----------
    length_m : sounding length.
    number : (K,) mode numbers from 1.
    poles : (2, K) complex, 1/s: ``-decay + 1j * angular frequency``.
    """

    length_m: float
    number: Floats
    poles: Complexes


@dataclass(frozen=True, slots=True)
class State:
    """A string at a moment; the displacement of a mode is the real part of its amplitude (2, K)."""

    modes: Modes
    amplitude: Complexes


#: The two planes of a string are a hair apart in pitch and decay, so that a tone breathes: the
#: plane across is 0.17 cents sharp; into the body the frets take more.  Two decays: Weinreich,
#: J. Acoust. Soc. Am. 62, 1977 (on the piano); the amounts are common practice, no source.
_ACROSS_DETUNE = 1.0001
_INTO_LOSS, _ACROSS_LOSS = 1.3, 0.9


def string_for(open_hz: float, scale_mm: float) -> StringModel:
    """The string a player would fit for an open pitch: plain as long as one is thin enough."""
    length = scale_mm / 1000.0
    mass = SET_TENSION_N / (2.0 * length * open_hz) ** 2
    plain = float(np.sqrt(4.0 * mass / (np.pi * STEEL_DENSITY)))
    if plain <= PLAIN_LIMIT_M:
        return StringModel(length, SET_TENSION_N, mass, plain, plain)
    outer = float(np.sqrt(4.0 * mass / (np.pi * WOUND_DENSITY)))
    return StringModel(length, SET_TENSION_N, mass, min(CORE_M, outer * 0.9), outer)


def modes_at(string: StringModel, frequency_hz: float) -> Modes:
    """The modes of the string stopped so that its first partial sounds at ``frequency_hz``.

    The first partial, not the ideal stiffness-free one, is put on pitch: that is what a tuner shows
    and what an intonated saddle gives.
    """
    open_hz = np.sqrt(string.tension_n / string.mass_kg_m) / (2.0 * string.length_m)
    length = float(string.length_m * open_hz / frequency_hz)
    stiff = STIFFNESS_SHARE * string.stiffness(length)
    number = np.arange(1.0, _mode_count(frequency_hz, stiff) + 1.0)
    hz = frequency_hz * number * np.sqrt((1.0 + stiff * number**2) / (1.0 + stiff))
    decay = np.pi * hz * loss(string, hz)
    into = -_INTO_LOSS * decay + 2j * np.pi * hz
    across = -_ACROSS_LOSS * decay + 2j * np.pi * hz * _ACROSS_DETUNE
    return Modes(length, number, np.stack([into, across]))


def _mode_count(frequency_hz: float, stiff: float) -> int:
    harmonic = HIGHEST_PARTIAL_HZ / frequency_hz
    # (k sqrt(1 + B k^2))^2 = h^2 solved for k^2
    square = (-1.0 + np.sqrt(1.0 + 4.0 * stiff * harmonic**2)) / (2.0 * stiff)
    return max(1, int(np.sqrt(square)))


def loss(string: StringModel, hz: Floats) -> Floats:
    """``1/Q`` of the string at some frequencies: air, viscoelastic and internal friction."""
    drag = 2 * np.pi * AIR_VISCOSITY + 2 * np.pi * string.outer_m * np.sqrt(
        np.pi * AIR_VISCOSITY * AIR_DENSITY * hz
    )
    air = drag / (2 * np.pi * string.mass_kg_m * hz)
    bending = STEEL_YOUNG * np.pi * string.core_m**4 / 64.0
    elastic = (
        4 * np.pi**2 * string.mass_kg_m * bending * VISCOELASTIC_ANGLE * hz**2
    ) / string.tension_n**2
    internal = WOUND_LOSS if string.wound else INTERNAL_LOSS
    result: Floats = air + elastic + internal
    return result


def at_rest(modes: Modes) -> State:
    """A string that does not move."""
    return State(modes, np.zeros_like(modes.poles))


def advance(state: State, seconds: float) -> State:
    """The same string, freely vibrating, a moment later."""
    return State(state.modes, state.amplitude * np.exp(state.modes.poles * seconds))


def damp(state: State, extra: Floats | float) -> State:
    """The string with an extra decay rate (1/s, for each mode), its motion unbroken."""
    modes = state.modes
    damped = Modes(modes.length_m, modes.number, modes.poles - extra)
    velocity = (modes.poles * state.amplitude).real
    return _from_motion(damped, state.amplitude.real, velocity)


def stop_at(state: State, modes: Modes) -> State:
    """The same string under another sounding length.

    A finger that comes down or lifts changes the length at once; shape and speed between bridge
    and finger stay, beyond the finger both are zero.
    """
    old = state.modes
    common = min(old.length_m, modes.length_m)
    a = np.pi * old.number[None, :] / old.length_m
    b = np.pi * modes.number[:, None] / modes.length_m
    # 2/L times the integral of sin(a x) sin(b x) over the common length; sinc keeps a = b finite
    onto = np.sinc((a - b) * common / np.pi) - np.sinc((a + b) * common / np.pi)
    onto *= common / modes.length_m
    shape = state.amplitude.real @ onto.T
    velocity = (old.poles * state.amplitude).real @ onto.T
    return _from_motion(modes, shape, velocity)


def _from_motion(modes: Modes, shape: Floats, velocity: Floats) -> State:
    """The state whose displacement and velocity are given, mode by mode (2, K)."""
    decay, turn = -modes.poles.real, modes.poles.imag
    return State(modes, shape - 1j * (velocity + decay * shape) / turn)


def hear(
    state: State, sensed: Floats, first_s: float, count: int, rate_hz: float
) -> npt.NDArray[np.float32]:
    """The velocity of the string as a pickup senses it, sampled.

    Parameters
    ----------
    sensed : (2, K) how strongly each mode is sensed.
    first_s : time of the first sample after the moment of the state.
    count, rate_hz : number of samples and samples a second.

    Notes
    -----
    A damped mode over a long stretch is the outer product of a coarse and a fine stretch, so all
    modes together are one matrix product.
    """
    weight = (state.modes.poles * state.amplitude * sensed).ravel()
    poles = state.modes.poles.ravel()
    size = np.abs(weight) * np.exp(poles.real * first_s)
    heard = size > 2e-5 * size.max(initial=0.0)
    weight, poles = weight[heard], poles[heard]
    fine = 1 << max(5, int(count).bit_length() // 2)
    coarse = -(-count // fine)
    left = weight * np.exp(np.outer(first_s + np.arange(coarse) * (fine / rate_hz), poles))
    right = np.exp(np.outer(poles, np.arange(fine) / rate_hz))
    product = np.hstack([left.real, -left.imag]).astype(np.float32) @ np.vstack(
        [right.real, right.imag]
    ).astype(np.float32)
    result: npt.NDArray[np.float32] = product.ravel()[:count]
    return result
