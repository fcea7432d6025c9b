"""How surely is a chord heard?  Rules: common practice, no source."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.theory.chord import parse_chord
from lickwright.theory.degree import degree_semitones
from lickwright.theory.hearing.strength import Heard, contradicts, hear
from lickwright.theory.pitch import mask_of, rotate_mask
from lickwright.theory.spelling import spell_root
from lickwright.theory.triad import Triad, TriadQuality

OVER_BASS = st.integers(0, 2047).map(lambda upper: upper << 1 | 1)


def on_root(tones: list[int], root: int) -> Heard:
    return next(way for way in hear(mask_of(tones)) if way.root == root)


@settings(deadline=None)
@given(OVER_BASS)
def test_every_way_is_explained_in_full(mask: int) -> None:
    for way in hear(mask):
        assert [term.name for term in way.terms[:4]] == ["support", "bass", "guides", "plainness"]
        assert all(term.words for term in way.terms)
        assert way.points == max(0.0, min(100.0, sum(term.points for term in way.terms)))


@settings(deadline=None)
@given(OVER_BASS)
def test_the_surest_comes_first_and_each_root_once(mask: int) -> None:
    ways = hear(mask)
    points = [way.points for way in ways]
    assert points == sorted(points, reverse=True)
    assert len({way.root for way in ways}) == len(ways)


@settings(deadline=None)
@given(OVER_BASS)
def test_a_chord_and_its_foreign_bass_are_all_that_sounds(mask: int) -> None:
    for way in hear(mask):
        chord = rotate_mask(
            mask_of(i for i, name in enumerate(way.naming.by_semitones) if name)
            | mask_of(map(degree_semitones, way.beside)),
            way.root,
        )
        assert chord | 1 == mask
        assert way.foreign == (not chord & 1)


@pytest.mark.parametrize(
    ("tones", "clashes"),
    [
        ([0, 4, 5, 7, 10], ("11 against 3",)),
        ([0, 3, 5, 7, 10], ()),
        ([0, 1, 3, 7, 10], ("b9 against 1",)),
        ([0, 1, 4, 7, 10], ()),
        ([0, 1, 3, 6, 10], ()),
        ([0, 1, 5, 7, 10], ()),
        ([0, 3, 7, 8, 10], ("b13 against 5",)),
        ([0, 4, 7, 8, 10], ()),
    ],
    ids=[
        "11 on 7",
        "11 on m7",
        "b9 on m7",
        "b9 on 7",
        "b9 on m7b5",
        "b9 on sus",
        "b13 on m7",
        "b13 on 7",
    ],
)
def test_avoid_notes(tones: list[int], clashes: tuple[str, ...]) -> None:
    assert on_root(tones, 0).clashes == clashes


def test_a_rootless_reading_is_weaker_than_with_its_root() -> None:
    with_root = on_root([0, 3, 6, 8], 8)
    without = on_root([0, 3, 6], 8)
    assert without.points < with_root.points
    assert any(term.words == "the root does not sound" for term in without.terms)


def test_sixth_chords_turned_over_give_way_to_the_seventh_chord_of_the_same_notes() -> None:
    over_the_fifth_of_c6 = [0, 2, 5, 9]
    assert on_root(over_the_fifth_of_c6, 2).points > on_root(over_the_fifth_of_c6, 5).points


def test_a_cluster_has_no_common_name() -> None:
    assert hear(mask_of([0, 1, 2, 3, 4])) == ()


def test_no_symbol_contradicts_itself_and_every_whole_seventh_is_heard() -> None:
    """All 30,672 cases: 72 triads in pairs over 12 basses.  Common practice, no source."""
    triads = [Triad(spell_root(pc), quality).mask for pc in range(12) for quality in TriadQuality]
    sevenths = [parse_chord(f"C{kind}").mask for kind in ("7", "maj7", "m7", "m7b5", "dim7")]
    cases = Counter(
        rotate_mask(first | second | 1 << bass, -bass)
        for first, second in combinations(triads, 2)
        for bass in range(12)
    )
    assert sum(cases.values()) == 30_672
    for mask in cases:
        ways = hear(mask)
        assert not any(contradicts(way.naming) for way in ways)
        for way in ways:
            said = {*way.naming.kind.degrees, *way.naming.degrees}
            assert len(said & {"b7", "7", "bb7"}) < 2
            assert len(said & {"b5", "5", "#5"}) < 2
            assert not {"13", "#5"} <= said
            assert not ({"3", "#9"} <= said and "b7" not in said)
            assert not ("9" in said and said & {"b9", "#9"})
        if any(not seventh & ~mask for seventh in sevenths):
            assert any(way.root == 0 for way in ways), bin(mask)
