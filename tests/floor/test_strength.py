"""How surely a chord is heard: what counts, in points out of 100.

The root support is Parncutt's (checked elsewhere); all other rules are common practice, no source.
Chords are written as semitones over the sounding bass.
"""

from __future__ import annotations

import pytest

from lickwright.theory.hearing.strength import (
    BASS_POINTS,
    GUIDE_POINTS,
    MISSING_POINTS,
    Heard,
    HeardTerm,
    hear,
)
from lickwright.theory.pitch import mask_of


def heard(tones: str, root: int = 0) -> Heard:
    (way,) = [one for one in hear(mask_of(map(int, tones.split()))) if one.root == root]
    return way


def term(tones: str, name: str, root: int = 0) -> HeardTerm:
    (found,) = [one for one in heard(tones, root).terms if one.name == name]
    return found


def points(tones: str, name: str, root: int = 0) -> float:
    return term(tones, name, root).points


# ------------------------------------------------------------------------------- the whole sum


@pytest.mark.parametrize("tones", ["0 4 7", "0 3 7", "0 4 7 10", "0 3 7 10", "0 4 7 11"])
def test_a_plain_chord_on_its_root_is_as_sure_as_can_be(tones: str) -> None:
    way = heard(tones)
    # All that each term can give: 30 for support, 28 for the bass, 20 for guides, 22 for plainness.
    assert [one.points for one in way.terms] == [30, 28, 20, 22]
    assert way.points == 100
    assert [one.words for one in way.terms[:2]] == [
        "the best supported root of all that sounds",
        "the root is in the bass",
    ]
    assert way.terms[3].words == "a plain chord"
    assert (way.foreign, way.clashes, way.bass_degree) == (False, (), "1")


def test_the_points_are_the_sum_of_the_terms_and_stay_between_0_and_100() -> None:
    masks = [mask << 1 | 1 for mask in range(0, 2048, 7)]
    ways = [way for mask in masks for way in hear(mask)]
    for way in ways:
        assert way.points == max(0.0, min(100.0, sum(one.points for one in way.terms)))
    assert min(way.points for way in ways) == 0


def test_the_surest_comes_first_and_of_equals_the_nearer_root() -> None:
    # C E G# over any of its notes is three augmented triads; the one on the bass is surest.
    roots = [way.root for way in hear(mask_of((0, 4, 8)))]
    assert roots[0] == 0
    all_ways = hear(mask_of((0, 3, 6, 9)))
    assert [way.points for way in all_ways] == sorted((w.points for w in all_ways), reverse=True)
    keys = [(-way.points, way.root, way.foreign) for way in all_ways]
    assert keys == sorted(keys)


def test_terms_print_with_their_sign() -> None:
    assert str(HeardTerm("missing", -1.0, "the 5 does not sound")) == (
        "missing -1: the 5 does not sound"
    )
    assert str(HeardTerm("bass", 28.0, "x")) == "bass +28: x"


# ------------------------------------------------------------------------------------- support


def test_support_is_a_share_of_the_best_supported_root() -> None:
    # Over the first inversion of Ab major the root Ab is best supported, F (as Fm7) less.
    best, less = term("0 3 8", "support", 8), term("0 3 8", "support", 5)
    assert (best.points, best.words) == (30, "the best supported root of all that sounds")
    assert 0 < less.points < 30
    share = less.points / 30
    assert less.words == f"the root has {share:.0%} of the support of the best supported one"


# ---------------------------------------------------------------------------------------- bass


def test_the_root_in_the_bass_before_the_third_before_the_fifth_before_all_others() -> None:
    root, third, fifth, seventh = (
        points(tones, "bass", at)
        for tones, at in (("0 4 7 10", 0), ("0 3 6 8", 8), ("0 3 5 9", 5), ("0 2 6 9", 2))
    )
    assert root == 2 * third  # a chord upon its third is half as sure of its bass
    assert third > fifth == seventh > 0
    assert term("0 3 8", "bass", 8).words == "the 3 is in the bass"
    assert heard("0 3 8", 8).bass_degree == "3"


def test_bass_points_go_by_the_kind_of_degree() -> None:
    def of(*degrees: str) -> set[float]:
        return {BASS_POINTS[degree] for degree in degrees}

    (third,), (fifth,) = of("3", "b3"), of("5", "b5", "#5", "b7", "7", "bb7")
    (fourth,) = of("4", "6")
    (second,) = of("2")
    assert 28 == BASS_POINTS["1"] > third > fifth > fourth > second > 0
    # A step further from the root is worth so much less: two points from a second to the next.
    assert third - fifth == 2 == fourth - second
    assert fifth == 2 * fourth
    assert {"9", "11", "13", "b9"}.isdisjoint(BASS_POINTS)


def test_a_bass_outside_the_chord() -> None:
    # Eb major over C# ... F major over G is heard as such: a grip over a foreign bass.
    grip = term("0 5 8 11", "bass", 5)  # F diminished over C
    assert (grip.points, grip.words) == (6, "the bass stands outside the chord")
    full = term("0 2 4 7", "bass", 4)
    assert (full.points, full.words) == (
        0,
        "the bass stands outside a chord that is already full of colour",
    )
    assert heard("0 5 8 11", 5).foreign
    assert heard("0 5 8 11", 5).bass_degree == ""
    assert BASS_POINTS["6"] == 6  # as sure as a sixth in the bass


def test_a_sixth_chord_stands_on_its_root() -> None:
    on_root, turned = term("0 4 7 9", "bass"), term("0 3 5 8", "bass", 8)
    assert on_root.points == 28
    assert (turned.points, turned.words) == (4, "a sixth chord turned over, the 3 in the bass")
    assert turned.points == BASS_POINTS["2"]
    # So Am7 over its C wins against C6 turned over: the notes are the same.
    assert heard("0 3 5 8", 5).points > heard("0 3 5 8", 8).points


# -------------------------------------------------------------------------------------- guides


@pytest.mark.parametrize(
    ("tones", "wanted", "words"),
    [
        ("0 4 7 10", 20, "3 and b7 sound"),
        ("0 3 7 10", 20, "b3 and b7 sound"),
        ("0 4 7 11", 20, "3 and 7 sound"),
        ("0 3 6 9", 20, "b3 and bb7 sound"),
        ("0 4 7 9", 20, "3 and 6 sound"),
        ("0 4 10", 20, "3 and b7 sound"),
        ("0 4 7", 20, "3 and the fifth sound: a full triad"),
        ("0 3 6", 20, "b3 and the fifth sound: a full triad"),
        ("0 4 8", 20, "3 and the fifth sound: a full triad"),
        ("0 2 4 7", 17, "3 and the fifth sound: a full triad"),
        ("0 5 7", 17, "4 and the fifth sound: a full triad"),
        ("0 5 7 10", 17, "4 and b7 sound"),
        ("0 2 7", 11, "2 and the fifth sound: a full triad"),
        ("0 7", 0, "neither third nor seventh sounds"),
    ],
)
def test_third_and_seventh_tell_the_kind(tones: str, wanted: float, words: str) -> None:
    """A third 12 and a seventh or full triad 8; a fourth for the third 9, a second 3; a triad with
    an added tone is 3 less sure than a bare one."""
    found = term(tones, "guides")
    assert (found.points, found.words) == (wanted, words)


def test_a_third_tells_more_than_a_fourth_and_a_fourth_more_than_a_second() -> None:
    assert GUIDE_POINTS["3"] == GUIDE_POINTS["b3"] > GUIDE_POINTS["4"] > GUIDE_POINTS["2"] > 0


# ----------------------------------------------------------------------------------- plainness


@pytest.mark.parametrize(
    ("tones", "wanted", "words"),
    [
        ("0 4 7", 22, "a plain chord"),
        ("0 4 7 9", 20, "not the plainest of chords"),
        ("0 5 7", 20, "not the plainest of chords"),
        ("0 2 4 7", 20, "coloured by 9"),
        ("0 7", 14, "not the plainest of chords"),
    ],
)
def test_each_step_from_a_plain_chord_costs_two(tones: str, wanted: float, words: str) -> None:
    found = term(tones, "plainness")
    assert (found.points, found.words) == (wanted, words)


# ------------------------------------------------------------------------------------- missing


def missing(tones: str, root: int = 0) -> list[tuple[float, str]]:
    return [(one.points, one.words) for one in heard(tones, root).terms if one.name == "missing"]


def test_a_fifth_is_hardly_missed_and_a_root_very_much() -> None:
    assert missing("0 4 10") == [(-1, "the 5 does not sound")]
    assert missing("0 4 7") == []
    # E G Bb over E as C7 without its C.
    ((lost, words),) = missing("0 3 6", 8)
    assert (lost, words) == (MISSING_POINTS["1"], "the root does not sound")
    # So much that half of what a root in the bass tells is gone.
    assert -lost == BASS_POINTS["1"] / 2
    assert MISSING_POINTS["5"] == MISSING_POINTS["9"] == MISSING_POINTS["11"] == -1


def test_a_chord_turned_over_misses_three_times_as_much() -> None:
    on_root, turned = missing("0 4 10"), missing("0 6 8", 8)  # C7, and Ab7 on its third
    assert turned == [(3 * on_root[0][0], "the 5 does not sound")]
    # A root that does not sound is missed as much either way, and so is what a foreign bass hides.
    assert missing("0 3 6", 8)[0][0] == MISSING_POINTS["1"]
    assert missing("0 2 4 7", 4) == [(-1, "the 5 does not sound")]


def test_a_minor_sixth_without_a_fifth_is_rather_a_major_triad_turned_over() -> None:
    (found,) = [
        one for one in heard("0 3 8 10").terms if one.name == "missing" and "b13" in one.words
    ]
    assert found.words == "the 5 below the b13 does not sound"
    assert found.points < -10
    assert heard("0 3 8 10", 8).points > heard("0 3 8 10").points


# ------------------------------------------------------------------------------------- clashes


@pytest.mark.parametrize(
    ("tones", "clashes"),
    [
        ("0 4 5 7 10", ("11 against 3",)),
        ("0 3 5 7 10", ()),
        ("0 1 3 7 10", ("b9 against 1",)),
        ("0 1 4 7 10", ()),  # a dominant carries its b9
        ("0 1 3 6 10", ()),  # and so does a half-diminished
        ("0 1 5 7 10", ()),  # and a suspended
        ("0 3 7 8 10", ("b13 against 5",)),
        ("0 4 7 8 10", ()),
        ("0 5 7 8 10", ()),
        ("0 3 7 8", ("b6 against 5",)),
        ("0 3 6 8 10", ()),  # no perfect fifth to clash with
    ],
)
def test_avoid_notes(tones: str, clashes: tuple[str, ...]) -> None:
    way = heard(tones)
    assert way.clashes == clashes
    told = [one for one in way.terms if one.name == "clashes"]
    assert [one.words for one in told] == list(clashes)
    # Each costs as much as a foreign bass would have given.
    assert [one.points for one in told] == [-6] * len(clashes)


def test_what_no_player_would_name_has_no_name() -> None:
    assert hear(mask_of((0, 1, 2, 3, 4))) == ()
