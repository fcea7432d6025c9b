"""Loudness and true peak against the test signals of EBU Tech 3341 and other meters."""

from __future__ import annotations

import math

import numpy as np
import pyloudnorm
import pytest
import scipy.signal

from lickwright.sound.mix.levels import level, loudness, true_peak
from lickwright.sound.resample import resample

RATE = 44100


def sine(hz, seconds, dbfs, phase_degrees=0.0):
    turn = 2 * np.pi * hz * np.arange(int(seconds * RATE)) / RATE + math.radians(phase_degrees)
    wave = 10 ** (dbfs / 20) * np.sin(turn)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


# EBU Tech 3341, table 1, cases 1 to 3: 1 kHz sines in stereo; within 0.1 LU.
def test_a_sine_reads_its_own_level():
    assert loudness(sine(1000, 20, -23)) == pytest.approx(-23, abs=0.1)
    assert loudness(sine(1000, 20, -33)) == pytest.approx(-33, abs=0.1)


def test_quiet_stretches_are_gated():
    parts = [sine(1000, 10, -36), sine(1000, 60, -23), sine(1000, 10, -36)]
    assert loudness(np.concatenate(parts)) == pytest.approx(-23, abs=0.1)


# EBU Tech 3341, table 1, cases 15 to 18: peaks between samples, -6 dBTP (+0.2, -0.4).
@pytest.mark.parametrize(("share", "phase"), [(4, 0), (4, 45), (6, 60), (8, 67.5)])
def test_peaks_between_samples_are_found(share, phase):
    wave = sine(RATE / share, 0.5, -6, phase)
    window = scipy.signal.windows.tukey(len(wave), 0.2)[:, None].astype(np.float32)
    assert -6.4 <= true_peak(wave * window) <= -5.8


def test_true_peak_agrees_with_another_interpolator():
    wave = np.random.default_rng(5).standard_normal((RATE, 2))
    wave = scipy.signal.sosfilt(scipy.signal.butter(4, 12000, fs=RATE, output="sos"), wave, axis=0)
    other = np.abs(scipy.signal.resample_poly(wave, 8, 1, axis=0)).max()
    assert true_peak(wave.astype(np.float32)) == pytest.approx(20 * math.log10(other), abs=0.3)


def spiky(seconds=4.0):
    random = np.random.default_rng(1)
    wave = 0.02 * random.standard_normal((int(seconds * RATE), 2))
    wave[:: RATE // 7] += 0.9
    return wave.astype(np.float32)


@pytest.mark.parametrize(
    "wave", [sine(440, 3, -40), sine(440, 3, -3), spiky()], ids=["low", "high", "spiky"]
)
def test_a_level_is_reached_and_no_peak_passes(wave):
    out = level(wave, -16.0, -1.0).samples
    assert pyloudnorm.Meter(RATE).integrated_loudness(out) == pytest.approx(-16, abs=0.1)
    assert np.abs(scipy.signal.resample_poly(out, 8, 1, axis=0)).max() < 10 ** (-1 / 20)


def test_gain_alone_leaves_the_wave_as_it_is():
    wave = sine(440, 3, -40)
    out = level(wave).samples
    assert np.allclose(out, wave * (out.max() / wave.max()), atol=1e-5 * out.max())


def test_limiting_makes_no_step():
    wave = sine(100, 3, -30) + spiky(3.0) * 0.3
    gain = level(wave, -10.0).samples[1000:-1000, 0] / wave[1000:-1000, 0]
    gain = gain[np.abs(wave[1000:-1000, 0]) > 1e-3]
    assert np.abs(np.diff(gain)).max() < 0.05 * gain.max()


@pytest.mark.parametrize("samples", [1, 441, 17639])
def test_a_sound_shorter_than_a_gating_block_has_a_loudness(samples):
    wave = sine(1000, 1, -20)[:samples]
    assert loudness(wave) < -20 or not wave.any()
    assert true_peak(level(wave).samples) <= -1.0


def test_silence_stays_silence():
    for samples in (0, 100, RATE):
        wave = np.zeros((samples, 2), np.float32)
        assert loudness(wave) == true_peak(wave) == -math.inf
        assert not level(wave).samples.any()


def gusts():
    """Loud, hardly heard and near silence by turns: a gain lifts some of it over the gate."""
    random = np.random.default_rng(2)
    swells = np.repeat([-20.0, -62.0, -75.0, -80.0, -20.0, -71.0], RATE)
    return (random.standard_normal((len(swells), 2)) * 10 ** (swells / 20)[:, None]).astype("f4")


@pytest.mark.parametrize("wave", [sine(440, 3, -40), gusts() * 0.05, gusts(), spiky()])
def test_what_is_said_of_a_level_is_what_another_meter_reads(wave):
    out = level(wave, -23.0)
    assert out.loudness_lufs == pytest.approx(
        pyloudnorm.Meter(RATE).integrated_loudness(out.samples), abs=1e-3
    )
    assert out.true_peak_dbtp == pytest.approx(true_peak(out.samples), abs=1e-3)


@pytest.mark.parametrize("wave", [sine(11025, 1, -6, 45), gusts(), spiky()])
def test_stretches_left_out_hold_no_peak(wave):
    whole = np.abs([resample(channel, 4, 1) for channel in wave.T]).max()
    assert true_peak(wave) == pytest.approx(20 * math.log10(whole), abs=1e-4)
