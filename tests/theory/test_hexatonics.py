"""Triads and pairs by scale.  Triads on each degree: common practice, no source."""

from __future__ import annotations

from itertools import combinations

import pytest

from lickwright.errors import TheoryError
from lickwright.theory.finding.hexatonics import pairs_in, triads_in
from lickwright.theory.finding.pairs import triad_sets
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName
from lickwright.theory.scales import SCALES

SEVEN_NOTE_FAMILIES = ("major", "melodic minor", "harmonic minor", "harmonic major")
KEYS = [Key(NoteName("D"), scale.name) for scale in SCALES]


@pytest.mark.parametrize(
    ("scale", "triads"),
    [
        ("C major", {"C", "Dm", "Em", "F", "G", "Am", "Bdim"}),
        ("C melodic minor", {"Cm", "Dm", "Ebaug", "F", "G", "Adim", "Bdim"}),
        ("C harmonic minor", {"Cm", "Ddim", "Ebaug", "Fm", "G", "Ab", "Bdim"}),
        ("C harmonic major", {"C", "Ddim", "Em", "Fm", "G", "Caug", "Bdim"}),
    ],
)
def test_the_triads_stacked_on_each_degree_are_among_them(scale: str, triads: set[str]) -> None:
    assert triads <= {str(triad) for triad in triads_in(scale)}


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.mode)
def test_every_triad_inside_the_scale_is_listed_once(key: Key) -> None:
    listed = [triad.mask for triad in triads_in(key)]
    assert sorted(listed) == sorted(mask for mask in triad_sets() if not mask & ~key.mask)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.mode)
def test_pairs_and_complements_partition_the_scale(key: Key) -> None:
    every = pairs_in(key, sharing=2)
    assert len(every) == len(list(combinations(triads_in(key), 2)))
    for pair in every:
        assert set(pair.notes) | set(pair.complement) == set(key.notes)
        assert not set(pair.notes) & set(pair.complement)
        assert {n.pc for n in pair.shared} == {
            pc for pc in range(12) if pair.first.mask & pair.second.mask & 1 << pc
        }
        assert pair.is_hexatonic == (len(pair.notes) == 6)
        assert pair.reading.bass.pc == key.tonic.pc
    assert pairs_in(key) == [pair for pair in every if pair.is_hexatonic]


def test_a_hexatonic_pair_leaves_out_one_note_of_seven() -> None:
    for key in KEYS:
        if key.scale.family in SEVEN_NOTE_FAMILIES:
            assert all(len(pair.complement) == 1 for pair in pairs_in(key))


def test_two_majors_a_step_apart_leave_out_the_fifth_of_dorian() -> None:
    # Common practice, no source: over D dorian, F and G leave out the E.
    (pair,) = [p for p in pairs_in("D dorian") if (str(p.first), str(p.second)) == ("F", "G")]
    assert [str(note) for note in pair.complement] == ["E"]


def test_whole_tone_holds_two_augmented_triads_that_make_it_up() -> None:
    (pair,) = pairs_in("C whole tone")
    assert (str(pair.first.quality), str(pair.second.quality)) == ("aug", "aug")
    assert pair.complement == ()


def test_an_unknown_scale_names_the_nearest() -> None:
    with pytest.raises(TheoryError, match="dorian"):
        triads_in("D dorain")
