"""What notes imply over a bass: check values, laws, and every pair of triads over every bass."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.degree import degree_note, degree_semitones
from lickwright.theory.hearing.implied import Reading, implied_chords
from lickwright.theory.hearing.strength import hear
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName, parse_note_name, pitch_classes, rotate_mask
from lickwright.theory.spelling import spell_root
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

PITCH_CLASSES = st.integers(0, 11)
SETS = st.frozensets(PITCH_CLASSES, min_size=1, max_size=7)
NAMES = st.builds(NoteName, st.sampled_from("CDEFGAB"), st.integers(-1, 1))
TRIADS = [Triad(spell_root(pc), quality) for pc in range(12) for quality in TriadQuality]


def played(text: str) -> list[Triad]:
    return [parse_triad(word) for word in text.split()]


def sound_of(reading: Reading) -> tuple[object, ...]:
    """All of a reading but its spelling."""
    return (
        reading.root.pc,
        reading.bass.pc,
        reading.chord.kind if reading.chord else None,
        tuple(map(degree_semitones, reading.degrees)),
        reading.missing,
        reading.clashes,
        reading.strength,
        reading.why,
    )


# Check values: common practice, no source.


@pytest.mark.parametrize(
    ("triads", "over", "symbol"),
    [
        ("F#dim D", "D", "D7"),
        ("F#dim", "D", "D7"),
        ("F#dim Am", "F#", "F#m7b5"),
        ("G Em Bm", "E", "Em9"),
        ("G Em Bm", "G", "Gmaj13"),
        ("C Am", "F#", "F#m7b5b9"),
        ("Am C Em", "A", "Am9"),
    ],
)
def test_check_values_of_triads(triads: str, over: str, symbol: str) -> None:
    first = implied_chords(played(triads), over)[0]
    assert first.chord == parse_chord(symbol)


@pytest.mark.parametrize(("over", "symbol"), [("F", "Fmaj9"), ("A", "Am7b13"), ("D", "Dm11")])
def test_the_same_notes_are_another_chord_over_another_bass(over: str, symbol: str) -> None:
    first = implied_chords("A C E F G", over)[0]
    assert first.chord == parse_chord(symbol)


@pytest.mark.parametrize(
    ("triad", "tensions"),
    [
        ("D", {"9", "#11", "13"}),
        ("Eb", {"#9"}),
        ("Ab", {"b13", "#9"}),
        ("F#m", {"#11", "13", "b9"}),
    ],
)
def test_upper_triads_over_a_dominant(triad: str, tensions: set[str]) -> None:
    first = implied_chords([*played("C"), "Bb", *played(triad)], "C")[0]
    assert (str(first.root), first.guide_tones) == ("C", ("3", "b7"))
    assert set(first.tensions) == tensions


# Laws.


@settings(deadline=None)
@given(SETS, PITCH_CLASSES, PITCH_CLASSES)
def test_transposition_commutes_with_naming(tones: frozenset[int], bass: int, up: int) -> None:
    here = implied_chords(tones, bass)
    there = implied_chords([(tone + up) % 12 for tone in tones], (bass + up) % 12)
    assert len(here) == len(there)
    for low, high in zip(here, there, strict=True):
        root, low_bass, *rest = sound_of(low)
        assert sound_of(high) == ((root + up) % 12, (low_bass + up) % 12, *rest)


@settings(deadline=None)
@given(st.lists(NAMES, min_size=1, max_size=6), NAMES, st.data())
def test_enharmonic_input_gives_the_same_readings(
    notes: list[NoteName], bass: NoteName, data: st.DataObject
) -> None:
    def respelled(note: NoteName) -> NoteName:
        others = [n for n in ENHARMONICS if n.pc == note.pc]
        return data.draw(st.sampled_from(others))

    here = implied_chords(notes, bass)
    there = implied_chords([respelled(note) for note in notes], respelled(bass))
    assert list(map(sound_of, here)) == list(map(sound_of, there))


ENHARMONICS = [NoteName(letter, alter) for letter in "CDEFGAB" for alter in (-1, 0, 1)]


@settings(deadline=None)
@given(st.lists(NAMES, min_size=1, max_size=6), NAMES)
def test_degrees_rebuild_exactly_the_notes(notes: list[NoteName], bass: NoteName) -> None:
    sounding = {note.pc for note in (bass, *notes)}
    for reading in implied_chords(notes, bass):
        rebuilt = [degree_note(reading.root, degree) for degree in reading.degrees]
        assert list(reading.notes[1:]) == rebuilt[1:]
        # A bass outside the chord keeps its own name: E under Eb6/9 is its b9, not an Fb.
        assert reading.bass.pc == rebuilt[0].pc
        assert len(reading.notes) == len(sounding)
        assert {note.pc for note in reading.notes} == sounding
        assert reading.notes[0] == reading.bass
        assert reading.bass.pc == bass.pc
        ups = [(note.pc - bass.pc) % 12 for note in reading.notes]
        assert ups == sorted(ups)


@settings(deadline=None)
@given(st.lists(NAMES, min_size=1, max_size=6), NAMES)
def test_every_symbol_parses_back(notes: list[NoteName], bass: NoteName) -> None:
    for reading in implied_chords(notes, bass):
        if reading.named:
            assert parse_chord(reading.symbol) == reading.chord
            assert str(reading.chord) == reading.symbol
        for symbol in reading.also:
            assert str(parse_chord(symbol)) == symbol


@settings(deadline=None)
@given(st.lists(NAMES, min_size=1, max_size=6), NAMES)
def test_a_symbol_says_what_sounds_and_what_is_missing(
    notes: list[NoteName], bass: NoteName
) -> None:
    for reading in implied_chords(notes, bass):
        if reading.chord is None:
            continue
        missing = {degree_note(reading.root, name).pc for name in reading.missing}
        beside = {degree_note(reading.root, name).pc for name in reading.beside}
        assert not beside & {n.pc for n in reading.chord.notes}
        said = {n.pc for n in reading.chord.notes} - missing
        assert said | beside == {n.pc for n in reading.notes}
        assert reading.root_sounds == ("1" not in reading.missing)


def test_every_pair_of_triads_over_every_bass_has_a_reading_or_an_honest_none() -> None:
    pairs = named = 0
    relative: dict[int, tuple[int, int]] = {}
    for first, second in combinations(TRIADS, 2):
        union = first.mask | second.mask
        for bass in range(12):
            over_bass = rotate_mask(union | 1 << bass, -bass)
            relative.setdefault(over_bass, (union, bass))
            pairs += 1
            named += bool(hear(over_bass))
    assert pairs == 2556 * 12
    assert named / pairs > 0.9
    for over_bass, (union, bass) in relative.items():
        readings = implied_chords(pitch_classes(union), bass)
        assert readings
        assert all(reading.mask == union | 1 << bass for reading in readings)
        assert [reading.named for reading in readings] == [True] * len(hear(over_bass)) or not (
            hear(over_bass) or readings[0].named or len(readings) > 1
        )


# Spelling.


def test_triads_and_tensions_are_spelled_from_the_root() -> None:
    first = implied_chords("F# A C", "D")[0]
    assert [str(note) for note in first.notes] == ["D", "F#", "A", "C"]
    raised = implied_chords("E G Bb Eb", "C")[0]
    assert "D#" in map(str, raised.notes)
    assert "#9" in raised.degrees


def test_a_bass_keeps_the_callers_name() -> None:
    assert implied_chords("Bb Db F", "Gb")[0].symbol == "Gbmaj7"
    assert implied_chords("A# C# E#", "F#")[0].symbol == "F#maj7"


def test_a_plainer_name_is_offered_never_put_first() -> None:
    first = implied_chords("D# F## A# C#", "D#")[0]
    assert first.symbol == "D#7"
    assert "Eb7" in first.also


def test_a_key_spells_and_marks_but_does_not_rank() -> None:
    plain = implied_chords([1, 5, 8, 11], 1)
    in_key = implied_chords([1, 5, 8, 11], 1, "F# major")
    assert plain[0].symbol == "Db7"
    assert in_key[0].symbol == "C#7"
    assert plain[0].diatonic is None
    assert in_key[0].diatonic is True
    assert implied_chords([1, 5, 8, 11], 1, "C major")[0].diatonic is False
    assert [reading.strength for reading in plain] == [reading.strength for reading in in_key]


@settings(deadline=None)
@given(SETS, PITCH_CLASSES, st.sampled_from(["D dorian", "Bb harmonic minor", "E half-whole"]))
def test_diatonic_means_every_note_is_in_the_key(
    tones: frozenset[int], bass: int, key: str
) -> None:
    inside = parse_key(key)
    expected = all(inside.has(tone) for tone in {*tones, bass})
    assert all(r.diatonic is expected for r in implied_chords(tones, bass, inside))


# Slash chords, polychords, no name.


@pytest.mark.parametrize(
    ("notes", "over", "symbol", "also"),
    [
        ("F A C", "G", "G9sus4", "F/G"),
        ("C E G", "Bb", "C7/Bb", "C/Bb"),
        ("C E G Bb D F# A", "C", "C13#11", "D/C7"),
        ("Eb G Bb D F A C", "Eb", "Ebmaj13#11", "F/Ebmaj7"),
    ],
)
def test_the_way_a_player_might_also_write_it(
    notes: str, over: str, symbol: str, also: str
) -> None:
    first = implied_chords(notes, over)[0]
    assert first.symbol == symbol
    assert also in first.also


def test_no_common_name_is_said_with_degrees_over_the_bass() -> None:
    only = implied_chords([parse_triad("Csus4"), parse_triad("F#sus2")], "B")
    assert len(only) == 1
    assert not only[0].named
    assert only[0].symbol == ""
    assert only[0].chord is None
    assert str(only[0].root) == "B"
    assert {degree_note(only[0].root, d).pc for d in only[0].degrees} == {0, 5, 7, 6, 8, 1, 11}
    assert only[0].why[0].name == "no common name"


def test_two_triads_without_a_name_are_offered_as_a_polychord() -> None:
    only = implied_chords([parse_triad("Csus4"), parse_triad("F#sus2")], "B")[0]
    assert len(only.also) == 1
    chord = parse_chord(only.also[0])
    assert {note.pc for note in chord.notes} == {note.pc for note in only.notes}


def test_bad_input_is_one_sentence() -> None:
    with pytest.raises(TheoryError, match="'Q' is not a note name"):
        implied_chords("F Q", "D")
    with pytest.raises(TheoryError, match="dorain"):
        implied_chords("F A", "D", "D dorain")


def test_readings_are_the_same_for_a_key_and_its_text() -> None:
    key = Key(parse_note_name("D"), "dorian")
    assert implied_chords("F A C", "D", key) == implied_chords("F A C", "D", "D dorian")
