"""An independent ear: librosa's pitch and onset estimates must read the tab back from the audio.

YIN: de Cheveigne and Kawahara, J. Acoust. Soc. Am. 111:4, 2002.  Onsets: spectral flux, Boeck and
Widmer, DAFx 2013, as librosa has it.
"""

from __future__ import annotations

import random
from fractions import Fraction

import librosa
import numpy as np
import pytest

from lickwright.sound.mix.rendering import Playing, lead_stem, start_s
from lickwright.sound.strings.pluck import Touch, struck_notes

from .conftest import SWEEP, make_score

RATE, HOP, YIN_HOP = 44100, 128, 256
WHOLE_NECK = [(string, fret) for string in range(6, 0, -1) for fret in range(25)]


def random_places(count=48, seed=3):
    draw = random.Random(seed)
    return [(draw.randint(1, 6), draw.randint(0, 24)) for _ in range(count)]


def played(score, tempo, tone):
    playing = Playing(tone=tone)
    start = start_s(score, tempo, playing)
    times = [
        (start + float(n.onset) * 60 / tempo, start + float(n.end) * 60 / tempo)
        for n in score.lick.notes
    ]
    return lead_stem(score, tempo, playing).mean(axis=1), times


def misread(score, tempo, tone):
    """The notes whose pitch the estimator does not give, within half a semitone."""
    wave, times = played(score, tempo, tone)
    frame = 2048
    hz = librosa.yin(
        wave, fmin=70, fmax=1500, sr=RATE, frame_length=frame, hop_length=YIN_HOP, center=False
    )
    keys = librosa.hz_to_midi(hz)
    wrong = []
    for note, (start, end) in zip(score.lick.notes, times, strict=True):
        first, last = int(np.ceil(start * RATE / YIN_HOP)), int((end * RATE - frame) / YIN_HOP)
        heard = round(float(np.median(keys[first : max(last, first + 1)])))
        if heard != note.pitch.midi:
            wrong.append((str(note.position), heard, note.pitch.midi))
    return wrong


def late_onsets(score, tempo):
    """The notes that have no detected onset within ten milliseconds of their stroke.

    A stroke is itself up to 3 ms from its time (``test_pluck.py``), and the detector up to 9 ms
    from a stroke that is on it.
    """
    wave, _ = played(score, tempo, "clean")
    strokes = struck_notes(score, tempo, start_s(score, tempo, Playing()), Touch())
    strength = librosa.onset.onset_strength(y=wave, sr=RATE, hop_length=HOP)
    heard = librosa.onset.onset_detect(
        onset_envelope=strength, sr=RATE, hop_length=HOP, units="time"
    )
    return [one.index for one in strokes if np.abs(heard - one.onset_s).min() > 0.010]


@pytest.mark.parametrize("tone", ["clean", "driven"])
@pytest.mark.parametrize("tempo", [66, 88, 112])
def test_every_note_of_a_sweep_is_read_back(tempo, tone):
    assert misread(make_score(SWEEP * 2), tempo, tone) == []


def test_every_note_of_a_fast_sextuplet_sweep_is_read_back():
    assert misread(make_score(SWEEP, Fraction(1, 6)), 112, "clean") == []


def test_every_place_on_the_neck_is_read_back():
    assert misread(make_score(WHOLE_NECK), 100, "clean") == []


@pytest.mark.parametrize("seed", range(3))
def test_every_note_of_a_random_line_is_read_back(seed):
    assert misread(make_score(random_places(seed=seed)), 80, "clean") == []


@pytest.mark.parametrize(
    ("places", "tempo"), [(SWEEP * 2, 66), (SWEEP * 2, 112), (random_places(), 90)]
)
def test_every_onset_is_heard_within_ten_milliseconds(places, tempo):
    assert late_onsets(make_score(places), tempo) == []
