"""Backwards: which triads imply a chord.  Rules: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.finding.pairs import (
    FIRST_READINGS,
    TriadGroup,
    pairs_for,
    step_between,
    triad_sets,
)
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import rotate_mask
from lickwright.theory.spelling import spell_root
from lickwright.theory.symbols.kinds import VOCABULARY
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

CHORDS = st.builds(Chord, st.integers(0, 11).map(spell_root), st.sampled_from(VOCABULARY))
TRIADS = st.builds(Triad, st.integers(0, 11).map(spell_root), st.sampled_from(list(TriadQuality)))


def names(groups: list[TriadGroup]) -> list[set[str]]:
    return [{str(triad) for triad in group.triads} for group in groups]


# Check values: common practice, no source.


@pytest.mark.parametrize(
    ("chord", "triads"),
    [
        ("D7", {"F#dim", "D"}),
        ("F#m7b5", {"F#dim", "Am"}),
        ("Em9", {"G", "Em", "Bm"}),
        ("Am9", {"Am", "C", "Em"}),
        ("Am9", {"C", "Em"}),
    ],
)
def test_check_values_are_found(chord: str, triads: set[str]) -> None:
    assert triads in names(pairs_for(chord))


# Laws.


@settings(max_examples=60, deadline=None)
@given(CHORDS, st.integers(0, 1))
def test_every_group_reads_forward_as_the_chord(chord: Chord, added_tones: int) -> None:
    for group in pairs_for(chord, added_tones=added_tones)[:40]:
        forward = implied_chords(group.triads, chord.bass_note)[:FIRST_READINGS]
        reading = forward[group.place - 1]
        assert reading.root.pc == chord.root.pc
        assert reading.symbol == group.reading.symbol
        beyond = reading.mask & ~chord.mask
        assert beyond.bit_count() == len(group.added) <= added_tones
        optional = {chord.tones[chord.kind.degrees.index(name)].pc for name in chord.kind.optional}
        absent = {note.pc for note in chord.tones if not reading.mask >> note.pc & 1}
        assert absent <= optional | {chord.root.pc}
        assert (group.completeness == 1.0) == (not absent)


@settings(deadline=None)
@given(TRIADS, TRIADS)
def test_what_a_pair_is_first_heard_as_finds_the_pair(first: Triad, second: Triad) -> None:
    if first.mask == second.mask:
        return
    reading = implied_chords((first, second), first.root)[0]
    if reading.chord is None or reading.beside:
        return
    found = pairs_for(reading.chord, over=first.root)
    pairs = [{t.mask for t in group.triads} for group in found if len(group.triads) == 2]
    assert {first.mask, second.mask} in pairs


@settings(max_examples=60, deadline=None)
@given(CHORDS)
def test_the_best_come_first(chord: Chord) -> None:
    groups = pairs_for(chord)
    ranks = [(-group.completeness, group.place, -group.reading.strength) for group in groups]
    assert ranks == sorted(ranks)


@settings(deadline=None)
@given(st.sampled_from(triad_sets()), st.sampled_from(triad_sets()), st.integers(0, 11))
def test_a_step_is_a_distance(first: int, second: int, up: int) -> None:
    assert step_between(first, second) == step_between(second, first)
    assert (step_between(first, second) == 0) == (first == second)
    assert step_between(rotate_mask(first, up), rotate_mask(second, up)) == step_between(
        first, second
    )


def test_seventy_two_triads_are_fifty_two_sets() -> None:
    # 12 each of major, minor, diminished and suspended (sus2 and sus4 share theirs), 4 augmented.
    assert len(triad_sets()) == 4 * 12 + 4


@pytest.mark.parametrize(
    ("first", "second", "semitones"),
    [("C", "Am", 2), ("C", "Em", 1), ("C", "Caug", 1), ("C", "Db", 3), ("C", "Cm", 1)],
)
def test_steps_counted_by_hand(first: str, second: str, semitones: int) -> None:
    assert step_between(parse_triad(first).mask, parse_triad(second).mask) == semitones


# What the caller asks for.


def test_each_triad_says_what_it_gives() -> None:
    (group,) = [g for g in pairs_for("Bbmaj9") if {"F", "Dm"} == {str(t) for t in g.triads}]
    gives = dict(zip(map(str, group.triads), group.colours, strict=True))
    assert gives == {"F": ("5", "7", "9"), "Dm": ("3", "5", "7")}
    assert {str(note) for note in group.shared} == {"F", "A"}
    assert group.without_root


def test_rootless_groups_leave_the_root_to_the_bass() -> None:
    groups = pairs_for("Ebmaj9", rootless=True)
    assert {"Gm", "Bb"} in names(groups)
    assert all(group.without_root for group in groups)
    assert len(groups) < len(pairs_for("Ebmaj9"))


def test_with_a_triad_every_group_holds_it_under_the_callers_name() -> None:
    groups = pairs_for("Fm11", with_triad="Absus2")
    assert groups
    assert all("Absus2" in map(str, group.triads) for group in groups)
    assert pairs_for("Fm11", with_triad="F#m") == []


def test_a_key_keeps_its_triads_and_spells_them() -> None:
    key = parse_key("Gb major")
    groups = pairs_for("Abm9", key=key)
    assert groups
    assert all(not triad.mask & ~key.mask for group in groups for triad in group.triads)
    assert any("Cb" in map(str, group.triads) for group in groups)
    assert pairs_for("E7#9", key="Gb major") == []


def test_avoid_notes_are_counted_when_asked() -> None:
    every = pairs_for("F11")
    assert any(group.reading.clashes for group in every)
    clean = pairs_for("F11", max_avoid=0)
    assert all(not group.reading.clashes for group in clean)
    assert pairs_for("F11", max_avoid=5) == every


def test_added_tones_colour_a_plain_chord() -> None:
    assert pairs_for("Eb") == []
    coloured = pairs_for("Eb7", rootless=True, added_tones=1)
    assert {"Gdim", "Gb"} in names(coloured)
    assert {group.added for group in coloured if len(group.added) == 1} >= {("#9",), ("9",)}


def test_another_bass_is_honoured() -> None:
    groups = pairs_for("Bb9", over="D")
    assert groups
    assert all(group.reading.symbol == "Bb9/D" for group in groups)


def test_a_slash_chord_and_a_polychord_can_be_wanted() -> None:
    assert all(group.reading.symbol == "Eb/F" for group in pairs_for("Eb/F"))
    stacked = pairs_for("F/Eb7")
    assert {"F", "Gdim"} in names(stacked)
    assert all(group.reading.mask == parse_chord("F/Eb7").mask for group in stacked)


def test_an_altered_dominant_wants_a_ninth_and_a_fifth_of_its_four() -> None:
    for group in pairs_for("Bb7alt"):
        degrees = set(group.reading.degrees)
        assert degrees & {"b9", "#9"}
        assert degrees & {"#11", "b13", "b5", "#5"}


def test_upper_triads_are_spelled_to_be_read() -> None:
    spelled = {str(t) for group in pairs_for("C7#9", added_tones=1) for t in group.triads}
    assert "Eb" in spelled
    assert "D#" not in spelled


@pytest.mark.parametrize(
    ("chord", "asked", "what"),
    [
        ("Bbmj9", {}, "Bbmaj9"),
        ("Bb", {"with_triad": "Q"}, "'Q' is not a triad"),
        ("Bb", {"over": "H"}, "'H' is not a note name"),
        ("Bb", {"added_tones": -1}, "below nought"),
        ("Bb", {"max_avoid": -1}, "below nought"),
    ],
)
def test_bad_input_is_one_sentence(chord: str, asked: dict[str, object], what: str) -> None:
    with pytest.raises(TheoryError, match=what):
        pairs_for(chord, **asked)  # type: ignore[arg-type]
