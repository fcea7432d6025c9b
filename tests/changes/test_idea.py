"""What of a lick is its idea: rungs, voices, passing tones."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from lickwright.changes.carry.carrying import carry
from lickwright.changes.idea.idea import IdeaStep, Passing, idea_of
from lickwright.changes.progression.chart import parse_changes
from lickwright.errors import TheoryError
from lickwright.lick.hands.finishing import finish
from lickwright.lick.notes import Lick, LickNote
from lickwright.lick.picking.check import check_strokes
from lickwright.neck.instrument import Guitar, Position
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import pitch_from_midi
from lickwright.theory.spelling import spell
from lickwright.theory.triad import parse_triad

D, F_SHARP_MINOR = parse_triad("D"), parse_triad("F#m")
B_DORIAN = parse_key("B dorian")


def line(*places: tuple[int, int], voices: tuple[int | None, ...] | None = None) -> Lick:
    """Sixteenths at (string, fret), spelled in B dorian."""
    guitar, notes = Guitar(), []
    for index, place in enumerate(places):
        position = Position(*place)
        midi = guitar.midi_at(position)
        pitch = pitch_from_midi(midi, spell(midi, B_DORIAN))
        voice = None if voices is None else voices[index]
        notes.append(LickNote(position, pitch, Fraction(index, 4), Fraction(1, 4), voice=voice))
    return finish(Lick(tuple(notes), Fraction(4)))


def test_rungs_count_chord_tones_from_the_lowest_note_of_each_triad():
    lick = line((4, 12), (3, 11), (1, 10), (1, 9), (2, 10), voices=(0, 0, 0, 1, 1))
    idea = idea_of(lick, (D, F_SHARP_MINOR))
    # D4 F#4 (A4 is passed over) D5, then C#5 and A4 of F# minor.
    assert idea.steps == (
        IdeaStep(0, 0),
        IdeaStep(0, 1),
        IdeaStep(0, 3),
        IdeaStep(1, 1),
        IdeaStep(1, 0),
    )
    assert idea.rungs == (4, 2)
    assert idea.rises == (4, 8, -1, -4)
    assert idea.string_changes == (-1, -2, 0, 1)


def test_notes_without_a_voice_stay_with_the_triad_before_them():
    lick = line((4, 12), (3, 11), (2, 10), (1, 9))
    idea = idea_of(lick, (D, F_SHARP_MINOR))
    assert [step.voice for step in idea.steps] == [0, 0, 0, 1]


#: E#4 leads to F#4, B4 to A4; the rest is D and F# minor.
WITH_PASSING = ((4, 12), (3, 10), (3, 11), (2, 12), (2, 10), (1, 9))


def test_a_passing_tone_leans_on_the_chord_tone_it_leads_to():
    idea = idea_of(line(*WITH_PASSING), (D, F_SHARP_MINOR))
    assert idea.passing == ((Passing(1, -1, 0), Passing(2, 2, 0)), ())
    assert idea.steps[1] == IdeaStep(0, 3)
    assert idea.steps[3] == IdeaStep(0, 4)


def test_a_passing_tone_at_the_end_leans_on_the_note_before():
    idea = idea_of(line((4, 12), (3, 11), (3, 12)), (D,))
    assert idea.passing == ((Passing(1, 1, 0),),)


def test_passing_tones_are_carried_with_the_tone_they_lean_on():
    lick = line(*WITH_PASSING)
    changes = parse_changes("Bm9 | E13 | Amaj9 | F#7", "A major")
    carried = carry(lick, changes, triads=(D, F_SHARP_MINOR))
    for number, placed in enumerate(changes.chords):
        notes = [n for n in carried.lick.notes if placed.onset <= n.onset < placed.end]
        assert len(notes) == len(WITH_PASSING)
        # A semitone below stays one; a whole step above becomes the next note of the scale.
        assert notes[2].pitch.midi - notes[1].pitch.midi == 1
        assert notes[3].pitch.midi - notes[4].pitch.midi in (1, 2)
        assert placed.key is not None
        triads = carried.choices[number].triads
        chord_tones = {name for triad in triads for name in triad.notes}
        assert {n.pitch.name for i, n in enumerate(notes) if i not in (1, 3)} <= chord_tones
        assert all(abs(note.pitch.name.alter) <= 1 for note in notes)
    assert not check_strokes(
        [n.position for n in carried.lick.notes],
        [n.stroke for n in carried.lick.notes],
        onsets=[n.onset for n in carried.lick.notes],
    )
    for before, after in pairwise(carried.lick.notes):
        assert before.end <= after.onset


def test_a_lick_without_its_triads_has_no_idea():
    with pytest.raises(TheoryError, match="only where its triads are known"):
        idea_of(line((4, 12)), ())
    with pytest.raises(TheoryError, match="is a tone of"):
        idea_of(line((4, 12)), (parse_triad("Eb"),))
