"""Chord symbols: reading, printing, spelling, transposing, and what is wrong with bad ones."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.theory.chord import Chord, chord_from_degrees, parse_chord, transpose_chord
from lickwright.theory.degree import degree_steps
from lickwright.theory.interval import Interval, interval_between
from lickwright.theory.pitch import LETTERS, NoteName, parse_note_name, rotate_mask
from lickwright.theory.symbols.kinds import VOCABULARY, ChordKind
from lickwright.theory.symbols.writing import CHORD_DEGREES, kind_from_degrees
from lickwright.theory.triad import Triad, TriadQuality

roots = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-2, 2))
plain_roots = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-1, 1))
kinds = st.one_of(
    st.sampled_from(VOCABULARY),
    st.sets(st.sampled_from(sorted(CHORD_DEGREES)), min_size=2, max_size=7)
    .map(kind_from_degrees)
    .filter(lambda kind: kind is not None),
)
plain = st.builds(Chord, roots, kinds)
chords = st.one_of(
    plain,
    st.builds(Chord, roots, kinds, roots),
    st.builds(Chord, roots, kinds, st.one_of(st.none(), roots), plain),
)


@given(chords)
def test_print_and_parse_are_inverse(chord: Chord) -> None:
    assert parse_chord(str(chord)) == chord


@given(chords)
def test_symbols_hold_nothing_that_other_texts_need(chord: Chord) -> None:
    # Changes use the bar and spaces, YAML flow lists the comma.
    assert not re.search(r"[\s|,:]", str(chord))


@given(
    st.builds(Chord, plain_roots, kinds, st.one_of(st.none(), plain_roots)),
    plain_roots,
    plain_roots,
)
def test_transposing_commutes_with_naming(chord: Chord, start: NoteName, end: NoteName) -> None:
    interval = interval_between(start, end)
    moved = transpose_chord(chord, interval)
    assert moved.mask == rotate_mask(chord.mask, interval.semitones)
    assert moved.kind is chord.kind
    assert str(moved.kind.suffix) == str(chord.kind.suffix)
    assert transpose_chord(moved, -interval) == chord
    steps = interval.steps
    for before, after in zip(chord.notes, moved.notes, strict=True):
        letters = LETTERS.index(after.letter) - LETTERS.index(before.letter)
        assert (letters - steps) % 7 == 0


@given(roots, st.sampled_from(TriadQuality))
def test_triads_are_spelled_in_thirds(root: NoteName, quality: TriadQuality) -> None:
    notes = parse_chord(f"{root}{quality.value}").notes
    assert notes == Triad(root, quality).notes
    if not quality.value.startswith("sus"):
        places = [LETTERS.index(note.letter) for note in notes]
        assert [(place - places[0]) % 7 for place in places] == [0, 2, 4]


@given(plain)
def test_each_tone_stands_on_the_letter_of_its_degree(chord: Chord) -> None:
    for name, note in zip(chord.kind.degrees, chord.tones, strict=True):
        above = LETTERS.index(note.letter) - LETTERS.index(chord.root.letter)
        assert above % 7 == degree_steps(name)


@given(chords)
def test_notes_sound_once_each_and_make_the_mask(chord: Chord) -> None:
    pcs = [note.pc for note in chord.notes]
    assert len(pcs) == len(set(pcs))
    assert sum(1 << pc for pc in pcs) == chord.mask
    assert chord.bass is None or chord.mask >> chord.bass_note.pc & 1


@given(roots, st.sampled_from(VOCABULARY))
def test_every_spelling_of_a_kind_is_that_chord(root: NoteName, kind: ChordKind) -> None:
    for spelling in (kind.suffix, *kind.spellings):
        assert parse_chord(f"{root}{spelling}") == Chord(root, kind)


@pytest.mark.parametrize(
    ("text", "symbol", "notes"),
    [
        # Spelled in thirds from the root, double accidentals where the letter demands them;
        # common practice, no source.
        ("C", "C", "C E G"),
        ("F#dim", "F#dim", "F# A C"),
        ("D#", "D#", "D# F## A#"),
        ("Gb°7", "Gbdim7", "Gb Bbb Dbb Fbb"),
        ("Abm7b5", "Abm7b5", "Ab Cb Ebb Gb"),
        ("CΔ", "Cmaj7", "C E G B"),
        ("C∆9", "Cmaj9", "C E G B D"),
        ("D-7", "Dm7", "D F A C"),
        ("Bø", "Bm7b5", "B D F A"),
        ("B♭ø7", "Bbm7b5", "Bb Db Fb Ab"),
        ("G7alt", "G7alt", "G B F Ab A# C# Eb"),
        ("C6/9", "C6/9", "C E G A D"),
        ("C69/E", "C6/9/E", "C E G A D"),
        ("C 7 ( b9 , #9 )", "C7b9#9", "C E G Bb Db D#"),
        ("C7#9b13", "C7#9b13", "C E G Bb D# Ab"),
        ("C7b13#9", "C7#9b13", "C E G Bb D# Ab"),
        ("Cmaj9#11", "Cmaj9#11", "C E G B D F#"),
        ("Cm11b5", "Cm11b5", "C Eb Gb Bb D F"),
        ("C7b9sus4", "C7sus4b9", "C F G Bb Db"),
        ("Csus13", "C13sus4", "C F G Bb D A"),
        ("C13(no3)(no5)", "C13(no3)(no5)", "C Bb D A"),
        ("C7omit5", "C7(no5)", "C E Bb"),
        ("C(no3rd)", "C5", "C G"),
        ("Cm(b6)", "Cm(addb6)", "C Eb G Ab"),
        ("Cm(maj7)", "Cm(maj7)", "C Eb G B"),
        ("Cm/maj7", "Cm(maj7)", "C Eb G B"),
        ("C+7", "C7#5", "C E G# Bb"),
        ("C7+9", "C7#9", "C E G Bb D#"),
        ("C-9", "Cm9", "C Eb G Bb D"),
        ("C7-9", "C7b9", "C E G Bb Db"),
        ("Am7(b13)", "Am7b13", "A C E G F"),
        ("Cm7(11)", "Cm7(add11)", "C Eb G Bb F"),
        ("C7/b9", "C7b9", "C E G Bb Db"),
        ("C(b5)", "C(b5)", "C E Gb"),
        ("Cb5", "Cb5", "Cb Gb"),
        ("dm7", "Dm7", "D F A C"),
        ("A minor", "Am", "A C E"),
        ("Eb major 7", "Ebmaj7", "Eb G Bb D"),
    ],
)
def test_what_players_write(text: str, symbol: str, notes: str) -> None:
    chord = parse_chord(text)
    assert str(chord) == symbol
    assert " ".join(map(str, chord.notes)) == notes


@pytest.mark.parametrize(
    ("text", "symbol", "root", "bass", "notes"),
    [
        ("D/C", "D/C", "D", "C", "C D F# A"),
        ("C/E", "C/E", "C", "E", "C E G"),
        ("c/bb", "C/Bb", "C", "Bb", "Bb C E G"),
        ("Fm/A♭", "Fm/Ab", "F", "Ab", "F Ab C"),
        ("C/C", "C", "C", "C", "C E G"),
        ("D/C7", "D/C7", "C", "C", "C E G Bb D F# A"),
        ("D|C7", "D/C7", "C", "C", "C E G Bb D F# A"),
        ("D|C", "D/Cmaj", "C", "C", "C E G D F# A"),
        ("D/Cmaj", "D/Cmaj", "C", "C", "C E G D F# A"),
        ("Gb/C7", "Gb/C7", "C", "C", "C E G Bb Gb Db"),
        ("F/Am", "F/Am", "A", "A", "A C E F"),
        ("D/C7/E", "D/C7/E", "C", "E", "C E G Bb D F# A"),
        ("Am/C6/9", "Am/C6/9", "C", "C", "C E G A D"),
        ("Eb/Bb5", "Eb/Bb5", "Bb", "Bb", "Bb F Eb G"),
    ],
)
def test_slash_chords_and_polychords(
    text: str, symbol: str, root: str, bass: str, notes: str
) -> None:
    chord = parse_chord(text)
    assert str(chord) == symbol
    assert (str(chord.root), str(chord.bass_note)) == (root, bass)
    assert " ".join(map(str, chord.notes)) == notes


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("", "no root", "A to G"),
        ("H7", "no root", "'B7'"),
        ("Xm", "no root", "A to G"),
        ("m7", "no root", "A to G"),
        ("/C", "no root", "A to G"),
        ("Cmja7", "'ja7' cannot be read", "'Cmaj7'"),
        ("C7b8", "'b8' cannot be read", "'C7b9'"),
        ("Cmi7b15", "'b15' cannot be read", "'Cmi7b5'"),
        ("C add 19", "'add19' cannot be read", "'Cadd9'"),
        ("Cdom77", "cannot be read", "'C7'"),
        ("Cfoo", "'foo' cannot be read", "m7 or 7#9b13"),
        ("C2", "sus2 and as add9", "sus2 or add9"),
        ("C4", "sus4 and as add11", "sus4 or add11"),
        ("C+11", "aug11", "aug11"),
        ("Cadd7", "which seventh", "7 or maj7"),
        ("C79", "stands alone", "(add9)"),
        ("C7maj7", "does not go into", "replace"),
        ("Cadd5", "does not go into", "replace"),
        ("C7no9", "no 9 to leave out", "Remove 'no9'"),
        ("C5sus4", "no third to suspend", "sus4"),
        ("C7(b9", "not closed", "Close"),
        ("C7)", "never opened", "Remove"),
        ("C/", "follows the slash", "bass note"),
        ("C/H", "follows the slash", "'B'"),
        ("D/C/E/F", "more than two chords", "UPPER/LOWER"),
    ],
)
def test_bad_symbols_say_what_and_how(text: str, what: str, mend: str) -> None:
    with pytest.raises(TheoryError) as caught:
        parse_chord(text)
    assert what in caught.value.what
    assert mend in caught.value.mend


@given(st.text(alphabet="ABCDEFG#bmaj7959136susdiadno(/)+-° ", min_size=1, max_size=12))
def test_any_text_is_a_chord_or_one_clear_error(text: str) -> None:
    error = None
    try:
        chord = parse_chord(text)
    except TheoryError as caught:
        error = caught
    if error is None:
        assert parse_chord(str(chord)) == chord
        return
    assert error.what
    assert error.mend
    offered = re.match(r"Did you mean '(.+)'\?", error.mend)
    if offered:
        parse_chord(offered[1])


@given(roots, st.sets(st.sampled_from(sorted(CHORD_DEGREES - {"1"})), min_size=1, max_size=6))
def test_a_chord_from_degrees_holds_just_those(root: NoteName, names: set[str]) -> None:
    chord = chord_from_degrees(root, {"1", *names})
    kind = kind_from_degrees({"1", *names})
    assert chord == (None if kind is None else Chord(root, kind))


def test_polychords_do_not_nest() -> None:
    slash = parse_chord("C/E")
    with pytest.raises(TheoryError):
        Chord(slash.root, slash.kind, upper=slash)


def test_a_bass_that_is_the_root_is_no_slash() -> None:
    c = parse_note_name("C")
    assert Chord(c, VOCABULARY[0], c) == Chord(c, VOCABULARY[0])


def test_transposing_a_polychord_moves_every_part() -> None:
    third = Interval(3, 3)
    assert str(transpose_chord(parse_chord("D/C7/E"), third)) == "F/Eb7/G"
