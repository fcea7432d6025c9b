"""Which parts of a line are one figure: again, moved, mirrored, cut short (common practice)."""

from __future__ import annotations

import random

import pytest

from lickwright.lick.fingering.figures import find_repeats
from lickwright.lick.fingering.fingers import assign_fingers, best_fingerings
from lickwright.lick.fingering.reasons import explain_fingers, price_fingers
from lickwright.lick.fingering.task import Pin
from lickwright.lick.phrase.composing import compose
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.shapes.joins import find_joined_shapes

Note = tuple[int, int]
#: A sweep of three, and the same three strings two frets up.
TRIAD, HIGHER = [(4, 9), (3, 7), (2, 8)], [(4, 11), (3, 9), (2, 10)]


def repeats(line: list[Note]) -> list[tuple[int, int, int, str]]:
    found = find_repeats([(Position(*note),) for note in line], Guitar())
    return [(repeat.start, repeat.count, repeat.first, repeat.how) for repeat in found]


def fingers(line: list[Note], **kept: object) -> list[int]:
    return [note.finger for note in assign_fingers(line, **kept)]  # type: ignore[arg-type]


def test_a_loop_is_one_figure_with_its_cut_tail() -> None:
    assert repeats(TRIAD * 3 + TRIAD[:2]) == [(3, 8, 0, "again")]


def test_a_figure_moves_along_its_strings() -> None:
    assert repeats(TRIAD + HIGHER) == [(3, 3, 0, "moved")]


def test_a_figure_moves_to_strings_of_a_like_interval() -> None:
    cell = [(4, 5), (4, 8), (3, 6)]  # a fourth between the strings, there and on 2 and 1
    assert repeats([*cell, (2, 8), (2, 11), (1, 9)]) == [(3, 3, 0, "moved")]
    assert repeats([*cell, (3, 8), (3, 11), (2, 9)]) == []  # a third between 3 and 2


def test_a_contour_turns_back_over_its_places() -> None:
    assert repeats([(3, 9), (2, 8), (1, 7), (2, 8), (3, 9)]) == [(3, 2, 1, "mirrored")]


def test_one_position_holds_two_pairs_and_a_run_has_no_parts() -> None:
    assert repeats([(5, 8), (5, 10), (4, 7), (4, 9)]) == []
    assert repeats([(2, fret) for fret in range(5, 13)]) == []


def test_pairs_on_every_string_keep_one_pattern() -> None:
    line = [(6, 5), (6, 8), (5, 7), (5, 10), (4, 9), (4, 12)]
    assert repeats(line) == [(2, 4, 0, "moved")]
    assert fingers(line) == [1, 4] * 3


def test_no_note_follows_two() -> None:
    draw = random.Random(4)
    for _ in range(30):
        bank = [
            [(draw.randint(1, 6), draw.randint(1, 15)) for _ in range(draw.randint(2, 6))]
            for _ in range(3)
        ]
        line = [note for _ in range(12) for note in draw.choice(bank)]
        found = find_repeats([(Position(*note),) for note in line], Guitar())
        pairs = [pair for repeat in found for pair in repeat.pairs()]
        assert all(later > earlier for later, earlier in pairs)
        assert len({later for later, _ in pairs}) == len(pairs)
        hand = assign_fingers(line, tempo_bpm=100)
        kept = best_fingerings(line, tempo_bpm=100, count=1)[0].repeats
        for later, earlier in (pair for repeat in kept for pair in repeat.pairs()):
            assert hand[later].finger == hand[earlier].finger


def test_every_repetition_of_joined_pairs_has_the_same_fingers() -> None:
    draw = random.Random(16)
    contours = ("up down", "up-down up-down", "down up", "up up", "down down", "up-down down-up")
    free_agrees = 0
    for first, second in (("C", "Am"), ("D", "F#m"), ("G", "Bb"), ("Em", "F"), ("Ab", "Cm")):
        pairs = find_joined_shapes(first, second)
        for _ in range(60):
            pair = pairs[draw.randrange(min(len(pairs), 300))]
            rhythm = draw.choice(("16ths", "8th triplets", "quintuplets"))
            lick = compose([pair.first, pair.second], draw.choice(contours), rhythm, bars=3)
            line = [note.position for note in lick.notes]
            length = next(
                lag for lag in range(1, len(line)) if line[lag:] == line[: len(line) - lag]
            )
            onsets = [note.onset for note in lick.notes]
            found = [n.finger for n in assign_fingers(line, tempo_bpm=100, onsets=onsets)]
            assert found[length:] == found[:-length]
            free = [
                n.finger for n in assign_fingers(line, tempo_bpm=100, onsets=onsets, repeats=())
            ]
            free_agrees += free[length:] == free[:-length]
    assert free_agrees < 300  # without the constraint they do not


def test_a_pin_binds_every_repetition_unless_it_is_for_here_only() -> None:
    line = TRIAD * 3
    assert fingers(line) == [3, 1, 2] * 3
    assert fingers(line, pins={3: 4}) == [4, 2, 3] * 3  # the hand a fret lower
    scale = [(1, 5), (1, 7), (1, 8)] * 3
    assert fingers(scale, pins={4: 2}) == [1, 2, 4] * 3
    here = Pin(2, here_only=True)
    assert fingers(scale, pins={4: here}) == [1, 3, 4, 1, 2, 4, 1, 3, 4]
    assert fingers(line, pins={3: 4, 6: 3})[3::3] == [4, 3]  # a pin of its own


@pytest.mark.parametrize("pins", [{}, {1: 1}, {4: 2}])
def test_keeping_a_figure_never_saves(pins: dict[int, int]) -> None:
    line = [(4, 16), (3, 15), (2, 16), (3, 13), (4, 15), (5, 16)] * 2
    kept = best_fingerings(line, pins=pins, count=1)[0]
    free = best_fingerings(line, pins=pins, count=1, repeats=())[0]
    assert kept.cost >= free.cost
    assert sum(note.cost for note in price_fingers(kept.notes)) == kept.cost


def test_what_keeping_a_figure_costs_is_said() -> None:
    said = explain_fingers(TRIAD + HIGHER)
    assert "notes 4 to 6 as notes 1 to 3 moved" in said
    assert "Keeping that costs" in said


def test_a_figure_known_from_another_line_keeps_its_fingers() -> None:
    home = assign_fingers(TRIAD, pins={0: 4, 2: 3})
    assert [note.finger for note in home] == [4, 2, 3]
    assert fingers(HIGHER) == [3, 1, 2]
    assert fingers([(1, 5), *HIGHER], known=[home])[1:] == [4, 2, 3]
    assert fingers(HIGHER, known=[home], pins={0: 3})[0] == 3


def test_a_pair_of_fingers_keeps_an_octave_as_it_moves() -> None:
    line = [(5, 3), (3, 5), (5, 5), (3, 7), (5, 8), (3, 10)]
    found = fingers(line, onsets=[0, 0, 1, 1, 2, 2])
    assert found in ([1, 3] * 3, [1, 4] * 3)
