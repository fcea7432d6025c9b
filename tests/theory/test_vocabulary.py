"""The chord table and the house style: the rows, the rule, and their laws."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.formats.musicxml.chord_kinds import KIND_VALUES
from lickwright.theory.degree import degree_semitones, stacked
from lickwright.theory.pitch import mask_of
from lickwright.theory.symbols.kinds import VOCABULARY, ChordKind
from lickwright.theory.symbols.reading import AMBIGUOUS, SPELLINGS, parse_suffix
from lickwright.theory.symbols.writing import (
    CHORD_DEGREES,
    compose_suffix,
    kind_from_degrees,
    normal_degrees,
    plain_kind,
)
from lickwright.theory.triad import TRIAD_TONES

OTHERS = sorted(CHORD_DEGREES - {"1"})
any_degrees = st.sets(st.sampled_from(OTHERS), min_size=1, max_size=8).map(lambda s: {"1", *s})
#: Sources that a row may cite; each is described in the module that holds the table.
SOURCES = {
    "Harte et al., ISMIR 2005",
    "MusicXML 4.0 kind-value",
    "common practice, no source",
}


@pytest.mark.parametrize("kind", VOCABULARY, ids=lambda kind: kind.suffix or "major")
def test_each_row_is_whole(kind: ChordKind) -> None:
    assert set(kind.source.split("; ")) <= SOURCES
    assert kind.family
    assert kind.degrees == stacked(kind.degrees)
    assert set(kind.optional) < set(kind.degrees)
    assert kind.mask == mask_of(map(degree_semitones, kind.degrees))
    assert kind.mask & 1
    assert normal_degrees(kind.degrees) == frozenset(kind.degrees)
    for spelling in (kind.suffix, *kind.spellings):
        assert parse_suffix(spelling) is kind, spelling


def test_rows_and_rule_agree() -> None:
    # The only suffix that the rule cannot build is the one that stands for a whole scale.
    differ = {
        kind.suffix for kind in VOCABULARY if compose_suffix(frozenset(kind.degrees)) != kind.suffix
    }
    assert differ == {"7alt"}


def test_no_spelling_means_two_things() -> None:
    written = [word for kind in VOCABULARY for word in (kind.suffix, *kind.spellings)]
    assert len(written) == len(set(written))
    assert not set(written) & set(AMBIGUOUS)
    degrees = [kind.degrees for kind in VOCABULARY]
    assert len(degrees) == len(set(degrees))


def test_triads_are_those_of_the_triad_table() -> None:
    for quality, tones in TRIAD_TONES.items():
        kind = parse_suffix(quality.value)
        assert kind.suffix == quality.value
        assert kind.degrees == tuple(name for _, _, name in tones)


@pytest.mark.parametrize("value", sorted(KIND_VALUES))
def test_musicxml_kinds_have_rows(value: str) -> None:
    # MusicXML 4.0: every kind of chord in the enumeration is a symbol of ours, and the row that
    # cites the enumeration is that kind (but for the 11 under a 13 and a major third).
    kind = kind_from_degrees(KIND_VALUES[value])
    assert kind is not None
    if value in ("dominant-13th", "major-13th"):
        assert kind.suffix == {"d": "13(add11)", "m": "maj13(add11)"}[value[0]]
    else:
        assert "MusicXML" in kind.source


def test_every_set_of_degrees_prints_what_parses_back() -> None:
    # All sets of a root and up to five other degrees: 20 thousand, a few thousand symbols.
    seen: dict[str, ChordKind] = {}
    for count in range(1, 6):
        for names in combinations(OTHERS, count):
            kind = kind_from_degrees(("1", *names))
            if kind is not None:
                assert seen.setdefault(kind.suffix, kind) == kind
    assert len(seen) > 2000
    for suffix, kind in seen.items():
        assert parse_suffix(suffix) == kind


@given(any_degrees)
def test_a_symbol_says_exactly_the_tones_given(names: set[str]) -> None:
    kind = kind_from_degrees(names)
    mask = mask_of(map(degree_semitones, names))
    if kind is None:
        assert normal_degrees(names) is None
    else:
        assert kind.mask == mask
        assert parse_suffix(kind.suffix) == kind
        assert kind_from_degrees(kind.degrees) == kind


@given(any_degrees)
def test_normal_degrees_are_a_resting_point(names: set[str]) -> None:
    normal = normal_degrees(names)
    if normal is not None:
        assert normal_degrees(normal) == normal


@given(any_degrees)
def test_a_plain_symbol_leaves_out_only_what_players_leave_out(names: set[str]) -> None:
    found = plain_kind(names)
    normal = normal_degrees(names)
    if found is None or normal is None:
        assert found is None
        assert normal is None
        return
    kind, missing = found
    assert set(kind.degrees) == normal | set(missing)
    assert not normal & set(missing)
    assert set(missing) <= {"5", "9", "11"}
    assert set(missing) <= set(kind.optional)
    exact = kind_from_degrees(names)
    assert exact is not None
    assert (exact == kind) == (not missing)


@pytest.mark.parametrize(
    ("degrees", "exact", "plain", "missing"),
    [
        # How players write chords with tones left out; common practice, no source.
        ("1 3 b7", "7(no5)", "7", "5"),
        ("1 3 b7 13", "7(add13)(no5)", "13", "5 9"),
        ("1 3 b7 9 13", "13(no5)", "13", "5"),
        ("1 b3 b7 11", "m7(add11)(no5)", "m11", "5 9"),
        ("1 b3 5 b7 9 13", "m9(add13)", "m13", "11"),
        ("1 3 7 9", "maj9(no5)", "maj9", "5"),
        ("1 3 b7 #9 b13", "7#9b13(no5)", "7#9b13", "5"),
        ("1 4 b7 9", "9sus4(no5)", "9sus4", "5"),
        ("1 3 6 9", "6/9(no5)", "6/9", "5"),
        ("1 3 5 b7", "7", "7", ""),
        ("1 5 b7", "7(no3)", "7(no3)", ""),
        ("1 3", "(no5)", "(no5)", ""),
    ],
)
def test_exact_and_plain(degrees: str, exact: str, plain: str, missing: str) -> None:
    kind = kind_from_degrees(degrees.split())
    assert kind is not None
    assert kind.suffix == exact
    found = plain_kind(degrees.split())
    assert found is not None
    assert (found[0].suffix, " ".join(found[1])) == (plain, missing)


@pytest.mark.parametrize(
    ("degrees", "suffix"),
    [
        # The caller's names are mended only where symbols have no such thing.
        ("1 b3 3 5 b7", "7#9"),
        ("1 2 3 5", "add9"),
        ("1 3 4 5 b7", "7(add11)"),
        ("1 3 5 6 b7 9", "13"),
        ("1 3 5 13", "6"),
        ("1 b3 b5 6", "dim7"),
        ("1 3 b5 5 b7", "7#11"),
        ("1 3 5 #5 7", "maj7b13"),
        ("1 b3 b5 bb7 7", "dim7(addmaj7)"),
        ("1 2 4 5", "sus4(add9)"),
        ("1 b3 5 b13", "m(addb6)"),
        ("3 5 b7", "7(no1)"),
    ],
)
def test_names_that_symbols_do_not_have(degrees: str, suffix: str) -> None:
    kind = kind_from_degrees(degrees.split())
    assert kind is not None
    assert kind.suffix == suffix


@pytest.mark.parametrize("degrees", ["1", "1 9", "1 b7 7", "1 3 5 b7 7", "1 11 13"])
def test_no_symbol_is_said_honestly(degrees: str) -> None:
    assert kind_from_degrees(degrees.split()) is None
    assert plain_kind(degrees.split()) is None


def test_unknown_degrees_are_refused() -> None:
    with pytest.raises(TheoryError, match="#13"):
        kind_from_degrees(["1", "3", "#13"])


def test_spellings_hold_the_common_ones() -> None:
    # The spellings that lead sheets use most; common practice, no source.
    for suffix, written in {
        "maj7": "maj7 M7 Δ Δ7 ma7 Maj7 MA7 7M j7",
        "m7": "m7 min7 -7 mi7 MI7",
        "m7b5": "m7b5 ø ø7 -7b5 min7b5 hdim7 m7(b5)",
        "dim7": "dim7 °7 o7",
        "dim": "dim ° o",
        "aug": "aug +",
        "7#5": "7#5 +7 aug7 7+",
        "7alt": "7alt alt",
        "6/9": "6/9 69 6add9",
        "13sus4": "13sus4 sus13 13sus",
        "m(maj7)": "mM7 m(maj7) mmaj7 -Δ7 min(maj7)",
    }.items():
        for word in written.split():
            assert SPELLINGS[word] == parse_suffix(suffix).degrees, word
