"""Resampling, convolution, drive: against scipy.signal, and against what theory says."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import OutputError
from lickwright.sound.resample import resample
from lickwright.sound.strings.amplifier import TONES, amplify, overdrive, tone_named
from lickwright.sound.strings.filters import bell, convolve, high_pass, impulse_response, low_pass

RATE = 44100


def sine(hz, seconds=0.5, rate=RATE):
    return np.sin(2 * np.pi * hz * np.arange(int(seconds * rate)) / rate).astype(np.float32)


@pytest.mark.parametrize(("up", "down", "taps"), [(4, 1, 24), (1, 4, 24), (147, 160, 64)])
@pytest.mark.parametrize("hz", [110.0, 997.0, 4999.0])
def test_a_sine_at_another_rate_is_the_same_sine(up, down, taps, hz):
    hz *= min(1.0, up / down)  # below half of the lower rate
    out = resample(sine(hz), up, down, taps)
    wanted = np.sin(2 * np.pi * hz * np.arange(len(out)) * down / up / RATE)
    assert np.abs(out - wanted)[300:-300].max() < 10 ** (-75 / 20)


@given(st.integers(0, 3000), st.sampled_from([(4, 1), (1, 4), (147, 160)]))
@settings(deadline=None, max_examples=30)
def test_resampling_gives_as_many_samples_as_the_time_takes(length, rates):
    up, down = rates
    assert len(resample(np.ones(length, np.float32), up, down)) == -(-length * up // down)


@given(st.integers(1, 150_000), st.integers(1, 5000))
@settings(deadline=None, max_examples=8)
def test_block_convolution_is_convolution(length, taps):
    random = np.random.default_rng(length)
    signal = random.standard_normal(length).astype(np.float32)
    response = (random.standard_normal((taps, 2)) / np.sqrt(taps)).astype(np.float32)
    wanted = scipy.signal.fftconvolve(signal[:, None], response, axes=0)[:length]
    assert np.allclose(convolve(signal, response), wanted, atol=1e-3)


@pytest.mark.parametrize(
    ("section", "analogue"),
    [
        (low_pass(1000.0, 0.8), ([1.0], [1.0, 1 / 0.8, 1.0])),
        (high_pass(1000.0, 0.8), ([1.0, 0, 0], [1.0, 1 / 0.8, 1.0])),
    ],
)
def test_a_section_is_the_textbook_filter(section, analogue):
    hz = np.geomspace(20, 20000, 50)
    _, wanted = scipy.signal.freqs(*analogue, worN=hz / 1000.0)
    assert section(1j * hz) == pytest.approx(wanted)


@pytest.mark.parametrize("gain_db", [-6.0, 4.0])
def test_a_bell_has_its_gain_at_its_centre_and_none_far_off(gain_db):
    level = 20 * np.log10(np.abs(bell(800.0, gain_db, 1.0)(1j * np.array([1.0, 800.0, 2e5]))))
    assert level == pytest.approx([0, gain_db, 0], abs=0.01)


def test_an_impulse_response_has_the_response_it_was_made_from():
    taps = impulse_response((low_pass(1000.0), high_pass(100.0)))
    hz, response = scipy.signal.freqz(taps, worN=2048, fs=RATE)
    band = (hz > 60) & (hz < 8000)
    wanted = low_pass(1000.0)(1j * hz) * high_pass(100.0)(1j * hz)
    assert np.abs(response - wanted)[band].max() < 0.01


def test_drive_folds_no_overtone_back_into_the_audible_band():
    hz = 4000.0
    out = overdrive(0.8 * sine(hz, 1.0), 3.0)[2000:-2000]
    spectrum = np.abs(np.fft.rfft(out * np.blackman(len(out))))
    found = np.fft.rfftfreq(len(out), 1 / RATE)
    harmonic = np.abs(found - hz * np.round(found / hz)) < 20
    alias = spectrum[~harmonic & (found < 12000)].max()
    assert 20 * np.log10(alias / spectrum.max()) < -60


def test_drive_makes_even_and_odd_overtones():
    out = overdrive(0.8 * sine(500.0, 1.0), 3.0)
    spectrum = np.abs(np.fft.rfft(out * np.hanning(len(out))))
    level = 20 * np.log10(spectrum[[500, 1000, 1500]] / spectrum[500])
    assert level[1] > -40
    assert level[2] > -30


@pytest.mark.parametrize("name", TONES)
def test_a_tone_passes_no_steady_pressure_and_little_above_the_cabinet(name):
    tone = TONES[name]
    click = np.zeros(RATE, np.float32)
    click[100] = 1e-3  # small enough for the valve to be straight
    response = np.abs(np.fft.rfft(amplify(click, tone)[:, 0]))
    level = 20 * np.log10(response / response.max() + 1e-12)
    assert level[:20].max() < -20
    assert level[12000:].max() < -30


def test_an_unknown_tone_is_refused_with_the_nearest():
    with pytest.raises(OutputError, match="Did you mean 'clean'"):
        tone_named("cleen")
