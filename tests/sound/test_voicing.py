from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lickwright.sound.band.voicing import HIGHEST, LOWEST, lead_voices, motion, voicings

chord = st.sets(st.integers(0, 11), min_size=1, max_size=5)


# Voice-leading distances with the taxicab norm: worked by hand from the definition in Tymoczko,
# "The Geometry of Musical Chords" (2006): the sum of the semitones each voice moves.
@pytest.mark.parametrize(
    ("first", "second", "semitones"),
    [
        ((60, 64, 67), (60, 65, 69), 3),  # C E G -> C F A
        ((60, 64, 67), (59, 64, 67), 1),  # C E G -> B E G
        ((60, 64, 67), (60, 64, 67), 0),
        ((60, 64, 67), (60, 64, 67, 71), 4),  # G splits into G and B
        ((53, 64, 69, 72), (53, 64, 69, 71), 1),  # the third of G13 under Dm9's seventh
    ],
)
def test_motion_is_the_sum_of_the_steps(first, second, semitones):
    assert motion(first, second) == motion(second, first) == semitones


@given(chord)
@settings(deadline=None)
def test_a_voicing_has_every_note_once_within_its_register(classes):
    for voicing in voicings(sorted(classes)):
        assert {key % 12 for key in voicing} == classes
        assert len(voicing) == len(classes)
        assert LOWEST <= voicing[0] <= voicing[-1] <= HIGHEST
        assert list(voicing) == sorted(voicing)


@given(chord)
@settings(deadline=None)
def test_every_chord_of_up_to_five_notes_has_a_voicing(classes):
    assert voicings(sorted(classes))


@given(st.lists(chord, min_size=2, max_size=3))
@settings(deadline=None, max_examples=15)
def test_the_way_chosen_moves_no_more_than_any_other_with_the_same_ends(chords):
    chosen = lead_voices([sorted(classes) for classes in chords])
    if len(chosen) == 2:
        return
    assume(len(voicings(sorted(chords[1]))) < 400)
    from lickwright.sound.band.voicing import spacing_cost

    def cost(way):
        return sum(spacing_cost(v) for v in way) + sum(motion(a, b) for a, b in pairwise(way))

    best = min(cost((chosen[0], middle, chosen[2])) for middle in voicings(sorted(chords[1])))
    assert cost(chosen) == pytest.approx(best)


def test_a_two_five_one_moves_by_step():
    # common practice, no source: over ii V I the sevenths fall to thirds by a half step, all else
    # stays or moves by step.
    way = lead_voices([[5, 9, 0, 4], [11, 5, 9, 4], [4, 7, 11, 2]])
    for before, after in pairwise(way):
        assert max(abs(a - b) for a, b in zip(before, after, strict=True)) <= 2


def test_no_chords_need_no_voices():
    assert lead_voices([]) == ()


def test_motion_matches_brute_force_over_every_pairing():
    first, second = (60, 64, 67), (59, 62, 65, 69)
    pairings = product(range(3), repeat=4)
    brute = min(
        sum(abs(first[i] - second[j]) for j, i in enumerate(pairing))
        for pairing in pairings
        if set(pairing) == {0, 1, 2}
    )
    assert motion(first, second) == brute
