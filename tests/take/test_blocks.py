"""What is worked a block at a time gives the same whatever the blocks are."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import resample_poly

from lickwright.take.judging.align import find_tempo
from lickwright.take.listening import onset
from lickwright.take.listening import recording as module
from lickwright.take.listening.decay import ends
from lickwright.take.listening.events import Events, find_events
from lickwright.take.listening.recording import RATE_HZ, Recording, recording_of
from lickwright.take.listening.resampling import Resampler
from lickwright.take.listening.spectrum import listen
from lickwright.take.listening.track import Store, TakeSamples

RATES = st.sampled_from([8000, 22050, 32000, 44100, 44101, 48000, 96000, 384000])


def cut(samples: np.ndarray, lengths: list[int]) -> list[np.ndarray]:
    """The samples in blocks of some lengths, again and again."""
    blocks, at = [], 0
    while at < len(samples):
        length = lengths[len(blocks) % len(lengths)]
        blocks.append(samples[at : at + length])
        at += length
    return blocks


def line(seconds: float = 6.0) -> np.ndarray:
    """Plucked tones by adding sines, two of them soft, and noise."""
    time = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    draw = np.random.default_rng(4)
    samples = 1e-3 * draw.standard_normal(len(time))
    for number, at in enumerate(np.arange(0.3, seconds - 0.3, 0.17)):
        hz = 440.0 * 2.0 ** ((40 + (number * 7) % 40 - 69) / 12)
        since = np.maximum(time - at, 0.0)
        envelope = np.where(time >= at, np.exp(-4.0 * since), 0.0) * (1 - np.exp(-800.0 * since))
        level = 0.1 if number % 9 == 4 else 1.0
        samples += (
            level * envelope * sum(np.sin(2 * np.pi * k * hz * since) / k for k in range(1, 7))
        )
    return samples


@settings(max_examples=40, deadline=None)
@given(RATES, st.lists(st.integers(1, 5000), min_size=1, max_size=6), st.integers(1, 30000))
def test_a_resampled_stream_is_the_resampled_whole(
    rate: int, lengths: list[int], count: int
) -> None:
    """Against ``scipy.signal.resample_poly`` on the whole, its ends held."""
    samples = np.random.default_rng(count).standard_normal(count).astype(np.float32)
    stream = Resampler(rate, RATE_HZ)
    ours = np.concatenate([*(stream.feed(b) for b in cut(samples, lengths)), stream.finish()])
    ratio = Fraction(RATE_HZ, rate).limit_denominator(4000)
    whole = resample_poly(
        samples.astype(np.float64), ratio.numerator, ratio.denominator, padtype="edge"
    )
    assert len(ours) == len(whole)
    assert np.abs(ours - whole).max() < 1e-5


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.integers(0, 700), min_size=1, max_size=8).filter(any),
    st.integers(0, 3000),
    st.integers(-50, 2500),
    st.integers(0, 1500),
)
def test_a_store_gives_back_what_was_put_down(
    lengths: list[int], held: int, first: int, count: int
) -> None:
    samples = np.arange(2000, dtype=np.float32)
    track = TakeSamples(Store(cut(samples, [n for n in lengths if n]), held), 1.0, 2.0)
    padded = np.pad((samples - 1.0) / 2.0, (50, 4000))
    assert len(track) == 2000
    assert np.array_equal(
        track.stretch(first, first + count), padded[first + 50 : first + 50 + count]
    )


@pytest.mark.parametrize("limit", [0.5, 1.0])
@settings(max_examples=25, deadline=None)
@given(lengths=st.lists(st.integers(1, 4000), min_size=1, max_size=5))
def test_levels_do_not_depend_on_blocks(limit: float, lengths: list[int]) -> None:
    wave = np.sin(np.arange(30_000) * 0.06).astype(np.float32)
    samples = np.clip(wave, -limit, limit) + np.float32(0.01)
    whole, parts = module._Levels(44_100), module._Levels(44_100)
    whole.note(samples)
    for block in cut(samples, lengths):
        parts.note(block)
    assert (parts.clipped, parts.highest, parts.lowest, parts.count) == (
        whole.clipped,
        whole.highest,
        whole.lowest,
        whole.count,
    )
    assert whole.clipped is (limit < 1.0)
    assert parts.total == pytest.approx(whole.total)


def heard(recording: Recording, block: int) -> Events:
    return find_events(recording, listen(recording, block), block=block)


def same(one: Events, other: Events) -> None:
    assert len(one) == len(other)
    assert np.array_equal(one.time_s, other.time_s)
    for name in ("fit", "sounding", "features", "belief", "again"):
        assert np.allclose(getattr(one, name), getattr(other, name), atol=1e-4), name


LINE = recording_of(line(), RATE_HZ)
WHOLE = heard(LINE, 1 << 20)


@settings(max_examples=12, deadline=None)
@given(st.integers(16, 2100))
def test_events_do_not_depend_on_blocks(block: int) -> None:
    assert len(WHOLE) > 30
    same(heard(LINE, block), WHOLE)


@pytest.mark.parametrize("block", [1, 300, 5000, 40_000])
def test_the_moment_of_a_start_does_not_depend_on_blocks(block: int) -> None:
    guesses = np.sort(np.append(WHOLE.time_s, [0.0, LINE.length_s]))
    whole = onset.sharpen(LINE, guesses, 1 << 22)
    assert np.array_equal(onset.sharpen(LINE, guesses, block), whole)


def test_a_take_in_a_file_is_heard_as_one_in_memory() -> None:
    filed = Recording(TakeSamples(Store([LINE.samples], held=0)), "take")
    same(heard(filed, 700), WHOLE)
    keys = np.array([52, 57, 60])
    onsets = np.array([0.3, 1.0, 2.0])
    assert np.array_equal(ends(filed, 0.0, onsets, keys), ends(LINE, 0.0, onsets, keys))


def test_one_tempo_at_a_time_finds_the_path_of_all_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    keys = np.array([40 + (number * 7) % 40 for number in range(20)])
    quarters = np.arange(20) / 4.0
    together = find_tempo(WHOLE, keys, quarters, None)
    assert np.sum(together.events >= 0) >= 18
    monkeypatch.setattr("lickwright.take.judging.align._MOST_VALUES", 1)
    monkeypatch.setattr("lickwright.take.judging.align._AT_ONCE", 7)
    alone = find_tempo(WHOLE, keys, quarters, None)
    assert np.array_equal(alone.events, together.events)
    assert (alone.score, alone.tempo_bpm) == (together.score, together.tempo_bpm)
