"""Pitches of tones made by adding sines: no synthesiser of ours has part in them."""

from __future__ import annotations

import numpy as np
import pytest

from lickwright.take.listening.events import find_events
from lickwright.take.listening.recording import RATE_HZ, Recording, recording_of
from lickwright.take.listening.spectrum import listen


def plucked(midi: float, at_s: float, length_s: float, total_s: float = 1.6) -> np.ndarray:
    """Eight partials that start at once and die away."""
    time = np.arange(int(total_s * RATE_HZ)) / RATE_HZ - at_s
    hz = 440.0 * 2.0 ** ((midi - 69) / 12)
    sounds = (time >= 0) & (time < length_s)
    envelope = np.where(sounds, np.exp(-3.0 * np.maximum(time, 0.0)), 0.0)
    return envelope * sum(np.sin(2 * np.pi * k * hz * time) / k for k in range(1, 9))


def heard(samples: np.ndarray) -> Recording:
    noise = np.random.default_rng(3).standard_normal(len(samples)) * 1e-3
    return recording_of(samples + noise, RATE_HZ)


@pytest.mark.parametrize("midi", range(40, 89, 4))
def test_a_tone_is_found_at_its_pitch_and_time(midi: int) -> None:
    recording = heard(plucked(midi, 0.5, 1.0))
    events = find_events(recording, listen(recording))
    best = int(np.argmax(events.belief))
    assert events.best[best] == midi
    assert abs(events.time_s[best] - 0.5) < 0.004


@pytest.mark.parametrize("cents", [-35, -20, 0, 20, 35])
def test_the_tuning_is_heard(cents: int) -> None:
    samples = sum(
        plucked(m + cents / 100, 0.2 + 0.3 * i, 0.3, 2.5)
        for i, m in enumerate((52, 59, 64, 67, 71))
    )
    assert abs(listen(heard(samples)).tuning_cents - cents) < 8


def test_a_string_that_rings_on_hides_no_new_note() -> None:
    recording = heard(plucked(52, 0.3, 1.3) + plucked(59, 0.45, 1.1) + plucked(64, 0.6, 1.0))
    events = find_events(recording, listen(recording))
    strongest = np.sort(np.argsort(-events.belief)[:3])
    assert events.best[strongest].tolist() == [52, 59, 64]
    assert np.abs(events.time_s[strongest] - [0.3, 0.45, 0.6]).max() < 0.006


def test_a_take_may_begin_with_a_note() -> None:
    recording = heard(plucked(57, 0.0, 1.0))
    events = find_events(recording, listen(recording))
    best = int(np.argmax(events.belief))
    assert events.best[best] == 57
    assert events.time_s[best] < 0.006
