"""The demo's examples played by two synthesisers and written down again."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from lickwright.errors import RhythmError
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import Lesson, load_lesson, read_lesson
from lickwright.lick.hands.difficulty import playability
from lickwright.lick.picking.check import check_strokes
from lickwright.score.score import Score
from lickwright.sound.midi import midi_bytes
from lickwright.sound.mix.rendering import Playing, lead_stem
from lickwright.take.errors import TakeError
from lickwright.take.listening.recording import RATE_HZ, recording_of
from lickwright.take.writing.transcribing import Proposal, transcribe

DEMO = Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml"
LESSON = load_lesson(DEMO)
WORKSHOP = Workshop(LESSON)


def demo_score(index: int) -> Score:
    return WORKSHOP.worked(index).score


def sounded(players: ModuleType, score: Score, tempo: float, voice: str) -> np.ndarray:
    if voice == "strings":
        return lead_stem(score, tempo, Playing(count_in_bars=0))
    samples: np.ndarray = players.sound_midi(
        midi_bytes(score, tempo, count_in_bars=0, backing=False, click=False)
    )
    # Who records a take starts the recorder before the first note.
    before = np.zeros((players.RATE // 10, *samples.shape[1:]), samples.dtype)
    return np.concatenate([before, samples])


def timed(score_or_proposal: Score | Proposal) -> list[tuple[int, object, object]]:
    return [(n.pitch.midi, n.onset, n.duration) for n in score_or_proposal.lick.notes]


@pytest.mark.parametrize("voice", ["strings", "bank"])
@pytest.mark.parametrize("index", range(len(LESSON.examples)))
def test_demo_examples_come_back_with_pitches_rhythm_and_playable_hands(
    players: ModuleType, index: int, voice: str
) -> None:
    score = demo_score(index)
    tempo = score.target_bpm
    recording = recording_of(sounded(players, score, tempo, voice), players.RATE)
    proposal = transcribe(recording, score.guitar, near_bpm=(tempo, score.slow_bpm))
    assert timed(proposal) == timed(score)
    assert proposal.tempo_bpm == pytest.approx(tempo, rel=0.01)
    lick = proposal.lick
    hands = playability(lick, score.guitar, tempo)
    assert hands is not None
    positions = [note.position for note in lick.notes]
    onsets = [note.onset for note in lick.notes]
    assert check_strokes(positions, [n.stroke for n in lick.notes], onsets=onsets) == []
    assert all(note.finger is not None for note in lick.notes)
    assert [score.guitar.midi_at(place) for place in positions] == [n[0] for n in timed(score)]


@pytest.mark.parametrize("index", [1, 2, 3])
def test_a_slow_take_comes_back_when_its_tempo_is_given(players: ModuleType, index: int) -> None:
    score = demo_score(index)
    recording = recording_of(sounded(players, score, score.slow_bpm, "bank"), players.RATE)
    proposal = transcribe(recording, score.guitar, tempo_bpm=score.slow_bpm)
    assert timed(proposal) == timed(score)


def lesson_with(example: str) -> Lesson:
    indented = "\n".join(f"  {line}" for line in example.splitlines())
    text = f"lesson: Proposals\nkey: D dorian\nexamples:\n{indented}\n"
    return read_lesson(text, Path("proposal.yaml"))


@pytest.mark.parametrize("index", [0, 2, 3])
def test_the_text_loads_and_is_the_same_music(players: ModuleType, index: int) -> None:
    score = demo_score(index)
    recording = recording_of(sounded(players, score, score.target_bpm, "strings"), players.RATE)
    proposal = transcribe(recording, score.guitar, tempo_bpm=score.target_bpm)
    name = 'Said "so": # - & * yes'
    lesson = lesson_with(proposal.example_text(name, "D"))
    read = Workshop(lesson).worked(0).score
    assert read.name == name
    assert timed(read) == timed(proposal)
    hands = [(n.position, n.finger, n.stroke) for n in read.lick.notes]
    assert hands == [(n.position, n.finger, n.stroke) for n in proposal.lick.notes]


def test_a_count_in_is_not_written_down(players: ModuleType) -> None:
    from lickwright.sound.mix.rendering import render

    score = demo_score(0)
    samples = render(score, score.target_bpm, Playing(with_backing=False))
    proposal = transcribe(recording_of(samples, 44100), score.guitar, tempo_bpm=score.target_bpm)
    assert timed(proposal) == timed(score)


def test_a_window_of_the_neck_is_kept(players: ModuleType) -> None:
    score = demo_score(0)
    recording = recording_of(sounded(players, score, 80, "strings"), players.RATE)
    proposal = transcribe(recording, score.guitar, tempo_bpm=80, frets="7-11")
    assert all(7 <= note.position.fret <= 11 for note in proposal.lick.notes)


def test_where_no_notes_are_there_is_no_proposal() -> None:
    clicks = np.zeros(2 * RATE_HZ)
    clicks[::RATE_HZ] = 1.0
    with pytest.raises((TakeError, RhythmError), match="no notes"):
        transcribe(recording_of(clicks, RATE_HZ))
