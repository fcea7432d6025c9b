"""Functions and scales, against common practice and against music21's diatonic chords."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.progression.analysis import analyse, scale_of_the_moment
from lickwright.changes.progression.chart import parse_changes
from lickwright.changes.progression.scales import offered_scales
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.symbols.kinds import VOCABULARY


def functions(text: str, key: str) -> list[str]:
    return [role.function for role in analyse(parse_changes(text, key))]


def scales(text: str, key: str) -> list[str]:
    return [str(role.scales[0]) for role in analyse(parse_changes(text, key))]


@pytest.mark.parametrize(
    ("text", "key", "expected"),
    [  # common practice, no source
        ("Dm9 | G13 | Cmaj9", "C major", ["subdominant", "dominant", "tonic"]),
        ("Bm7b5 | E7b9 | Am9", "A minor", ["subdominant", "dominant", "tonic"]),
        ("Cmaj7 | A7 | Dm7 | G7", "C major", ["tonic", "secondary dominant", "subdominant",
                                              "dominant"]),
        ("Dm7 | Db7 | Cmaj7", "C major", ["subdominant", "tritone substitute", "tonic"]),
        ("Fm6 | Bb9 | Cmaj7", "C major", ["borrowed", "backdoor dominant", "tonic"]),
        ("C | C#dim7 | Dm7 | G7", "C major", ["tonic", "leading-tone chord", "subdominant",
                                              "dominant"]),
        ("Em7b5 | A7b9 | Dm7 | G7 | C", "C major", ["related ii", "secondary dominant",
                                                    "subdominant", "dominant", "tonic"]),
        ("Dm9 | G13", "D dorian", ["tonic", "subdominant"]),
        # dominants as triads, suspended, over a slash, and in chains
        ("C | A | Dm | D | G", "C major", ["tonic", "secondary dominant", "subdominant",
                                           "secondary dominant", "dominant"]),
        ("C | F | G", "C major", ["tonic", "subdominant", "dominant"]),
        ("C | A7sus4 | Dm7", "C major", ["tonic", "secondary dominant", "subdominant"]),
        ("C | Em7/A | Dm7 | F/G | C", "C major", ["tonic", "secondary dominant", "subdominant",
                                                  "dominant", "tonic"]),
        ("C | A/C# | Dm", "C major", ["tonic", "secondary dominant", "subdominant"]),
        ("E7 | A7 | D7 | G7 | C", "C major", ["secondary dominant"] * 3 + ["dominant", "tonic"]),
        # a chord that is played again is one chord
        ("A7 | A7 | % | Dm7", "C major", ["secondary dominant"] * 3 + ["subdominant"]),
        ("Abm7 Db7 | Cmaj7", "C major", ["related ii", "tritone substitute", "tonic"]),
        ("Bbm7 Eb7 | Dm7", "C major", ["related ii", "tritone substitute", "subdominant"]),
        # diminished sevenths
        ("Em7 | Ebdim7 | Dm7", "C major", ["tonic", "passing diminished", "subdominant"]),
        ("C | Cdim7 | C", "C major", ["tonic", "common-tone diminished", "tonic"]),
        ("C | Fdim7 | C", "C major", ["tonic", "leading-tone chord", "tonic"]),
        # sevenths at home in a blues
        ("A7 | D7 | A7 | E7", "A major", ["tonic", "subdominant", "tonic", "dominant"]),
        ("Cmaj7 | C7 | F", "C major", ["tonic", "secondary dominant", "subdominant"]),
        # borrowed: Phrygian and Lydian II, IV minor
        ("C | Dbmaj7 | C", "C major", ["tonic", "borrowed", "tonic"]),
        ("C | D | C", "C major", ["tonic", "borrowed", "tonic"]),
        ("C | Fm | C", "C major", ["tonic", "borrowed", "tonic"]),
        # the last chord does not look round to the first, unless the changes repeat
        ("Dm7 | A7", "C major", ["subdominant", "chromatic"]),
        ("|: Dm7 | A7 :|", "C major", ["subdominant", "secondary dominant"] * 2),
        ("C | E | F", "C major", ["tonic", "chromatic mediant", "subdominant"]),
    ],
)  # fmt: skip
def test_functions_are_those_that_players_name(text, key, expected):
    assert functions(text, key) == expected


@pytest.mark.parametrize(
    ("text", "key", "expected"),
    [  # common practice, no source
        ("Dm9 | G13 | Cmaj9 | Fmaj7", "C major",
         ["D dorian", "G mixolydian", "C major", "F lydian"]),
        ("Em7 | Am7 | Bm7b5 | Cmaj7", "C major",
         ["E phrygian", "A minor", "B locrian", "C major"]),
        ("Bm7b5 | E7b9 | Am9", "A minor", ["B locrian", "E phrygian dominant", "A minor"]),
        ("Dm7 | Db7 | Cmaj7", "C major", ["D dorian", "Db lydian dominant", "C major"]),
        ("Fm6 | Bb9 | Cmaj7", "C major", ["F dorian", "Bb lydian dominant", "C major"]),
        ("A7b9 | Dm9 | G7alt | Cmaj9", "C major",
         ["A phrygian dominant", "D dorian", "G altered", "C major"]),
        ("Fmaj7#11 | Em7", "F lydian", ["F lydian", "E phrygian"]),
        ("Cm(maj7) | G7", "C harmonic minor", ["C harmonic minor", "G phrygian dominant"]),
    ],
)  # fmt: skip
def test_scales_are_those_that_players_take(text, key, expected):
    assert scales(text, key) == expected


KEYS = ["C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Db", "F#"]


@pytest.mark.parametrize("tonic", KEYS)
def test_every_diatonic_seventh_offers_the_key_from_its_own_root(tonic):
    """The diatonic sevenths of music21 (Cuthbert & Ariza, ISMIR 2010) in each major key."""
    from music21 import key, roman

    in_key = key.Key(tonic.replace("b", "-"))
    ours = parse_key(f"{tonic} major")
    for figure in ("I7", "ii7", "iii7", "IV7", "V7", "vi7", "viiø7"):
        theirs = roman.RomanNumeral(figure, in_key)
        root = parse_note_name(theirs.root().name.replace("-", "b"))
        names = {p.name.replace("-", "b") for p in theirs.pitches}
        chord = next(
            Chord(root, kind)
            for kind in VOCABULARY
            if {str(note) for note in Chord(root, kind).notes} == names
        )
        best = offered_scales(chord, ours)[0]
        assert best.mask == ours.mask
        assert best.root == root


@given(st.sampled_from(VOCABULARY), st.sampled_from(KEYS), st.sampled_from(KEYS))
def test_an_offered_scale_holds_every_tone_and_says_what_leaves_the_key(kind, root, tonic):
    chord = Chord(parse_note_name(root), kind)
    key = Key(parse_note_name(tonic), "major")
    for scale in offered_scales(chord, key):
        assert not chord.mask & ~scale.mask
        assert scale.notes[0] == chord.root
        outside = {note.pc for note in scale.notes if not key.has(note)}
        assert {n.pc for n in scale.outside} == {pc for pc in outside if not chord.mask >> pc & 1}


@given(st.sampled_from(VOCABULARY), st.integers(0, 11), st.sampled_from(["major", "minor"]))
def test_transposing_chord_and_key_transposes_the_scale(kind, up, mode):
    """Names of the twelve roots by the circle, so that every key can be written."""
    names = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
    if mode == "minor":
        names = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"]
    here = offered_scales(Chord(parse_note_name("C"), kind), Key(parse_note_name("C"), mode))
    root = parse_note_name(names[up])
    there = offered_scales(Chord(root, kind), Key(root, mode))
    assert [s.scale.name for s in here] == [s.scale.name for s in there]


def test_every_chord_of_the_vocabulary_but_one_offers_a_scale():
    """C13#5 has three neighbouring semitones, G# A Bb, that no listed scale has beside C D E."""
    silent = [
        kind.suffix
        for kind in VOCABULARY
        if not offered_scales(Chord(parse_note_name("C"), kind), parse_key("C major"))
    ]
    assert silent == ["13#5"]


def test_a_chord_without_a_key_still_offers_scales():
    (role,) = analyse(parse_changes("Dm9"))
    assert role.numeral == ""
    assert scale_of_the_moment(role) is not None
    assert parse_chord("Dm9").mask & ~role.scales[0].mask == 0


def test_chords_whose_own_key_cannot_be_written_are_analysed():
    """A# major would take ten sharps, Db minor eight flats: their enharmonics stand in."""
    assert functions("E#7 | A#maj7", "B major") == ["secondary dominant", "chromatic"]
    assert functions("Fbmaj7 | Dbmaj7", "Db major")[0] == "borrowed"


@pytest.mark.parametrize(
    ("text", "key", "expected"),
    [  # common practice, no source
        ("C | A7 | Dm7 | G7", "C major", "I V7/ii iim7 V7"),
        ("Em7b5 | A7b9 | Dm7", "C major", "iim7b5/ii V7b9/ii iim7"),
        ("Dm7 | Db7 | Cmaj7", "C major", "iim7 subV7/I Imaj7"),
        ("C | C#dim7 | Dm7", "C major", "I viidim7/ii iim7"),
        ("C | D | G", "C major", "I V/V V"),
    ],
)
def test_numerals_by_function(text, key, expected):
    assert " ".join(role.functional for role in analyse(parse_changes(text, key))) == expected


@pytest.mark.parametrize("tonic", KEYS)
@pytest.mark.parametrize(
    "numerals", ["I | V7/ii | iim7 | V7 | I", "I | subV7/ii | iim7 | subV7 | Imaj7", "I | V/V | V"]
)
def test_functional_numerals_are_read_back_as_the_same_chords(tonic, numerals):
    key = f"{tonic} major"
    changes = parse_changes(numerals, key)
    again = " | ".join(role.functional for role in analyse(changes))
    assert [placed.chord.mask for placed in parse_changes(again, key).chords] == [
        placed.chord.mask for placed in changes.chords
    ]
