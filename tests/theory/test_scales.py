"""The scale table beside its parents, music21's scales and Forte's set classes."""

from __future__ import annotations

import pytest
from music21 import chord as m21_chord
from music21 import scale as m21_scale
from music21.scale import Direction

from lickwright.errors import TheoryError
from lickwright.theory.degree import degree_note, degree_steps
from lickwright.theory.pitch import parse_note_name, pitch_classes, rotate_mask
from lickwright.theory.scales import DIATONIC_FIFTHS, PARENT_SCALES, SCALES, find_scale, modes_of

UPWARD = Direction.ASCENDING
TONICS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


@pytest.mark.parametrize("parent", PARENT_SCALES)
def test_modes_are_the_rotations_of_their_parent(parent: str) -> None:
    modes = modes_of(parent)
    assert len(modes) == 7
    first = modes[0]
    for mode, semitones in zip(modes, pitch_classes(first.mask), strict=True):
        assert mode.mask == rotate_mask(first.mask, -semitones), mode.name
        assert [degree_steps(name) for name in mode.degrees] == list(range(7)), mode.name


@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("major", m21_scale.MajorScale),
        ("dorian", m21_scale.DorianScale),
        ("phrygian", m21_scale.PhrygianScale),
        ("lydian", m21_scale.LydianScale),
        ("mixolydian", m21_scale.MixolydianScale),
        ("minor", m21_scale.MinorScale),
        ("locrian", m21_scale.LocrianScale),
        ("harmonic minor", m21_scale.HarmonicMinorScale),
        ("melodic minor", m21_scale.MelodicMinorScale),
    ],
)
def test_spelled_as_music21_spells_them(name: str, theirs: type[m21_scale.ConcreteScale]) -> None:
    for tonic in TONICS:
        root = parse_note_name(tonic)
        low = tonic.replace("b", "-")
        # The ascending form over one octave, which for melodic minor is the jazz minor.
        pitches = theirs(low).getPitches(f"{low}4", f"{low}5", direction=UPWARD)
        names = [pitch.name.replace("-", "b") for pitch in pitches[:7]]
        assert [str(degree_note(root, step)) for step in find_scale(name).degrees] == names


@pytest.mark.parametrize(
    ("name", "forte"),
    [
        # Set classes: A. Forte, The Structure of Atonal Music, 1973, as music21 tabulates them.
        ("major", "7-35"),
        ("melodic minor", "7-34"),
        ("harmonic minor", "7-32"),
        ("harmonic major", "7-32"),
        ("major pentatonic", "5-35"),
        ("minor pentatonic", "5-35"),
        ("suspended pentatonic", "5-35"),
        ("dominant pentatonic", "5-34"),
        ("whole tone", "6-35"),
        ("half-whole", "8-28"),
        ("whole-half", "8-28"),
        ("augmented", "6-20"),
        ("inverse augmented", "6-20"),
        ("tritone scale", "6-30"),
        ("double harmonic", "7-22"),
        ("neapolitan minor", "7-30"),
        ("neapolitan major", "7-33"),
        ("bebop dominant", "8-23"),
        ("bebop major", "8-26"),
    ],
)
def test_set_classes(name: str, forte: str) -> None:
    found = m21_chord.Chord(list(pitch_classes(find_scale(name).mask))).forteClass
    assert found.rstrip("AB") == forte


def test_harmonic_major_is_harmonic_minor_upside_down() -> None:
    # The two share a set class; inversion tells them apart.
    minor = pitch_classes(find_scale("harmonic minor").mask)
    major = find_scale("harmonic major").mask
    inverted = {-pc % 12 for pc in minor}
    assert any(rotate_mask(sum(1 << pc for pc in inverted), turn) == major for turn in range(12))


@pytest.mark.parametrize(
    ("name", "period"),
    [
        # Messiaen 1944: modes 1 and 2 repeat after 2 and 3 semitones; the others by count.
        ("whole tone", 2),
        ("half-whole", 3),
        ("whole-half", 3),
        ("augmented", 4),
        ("inverse augmented", 4),
        ("tritone scale", 6),
    ],
)
def test_symmetric_scales_repeat(name: str, period: int) -> None:
    mask = find_scale(name).mask
    assert rotate_mask(mask, period) == mask
    assert all(rotate_mask(mask, turn) != mask for turn in range(1, period))


def test_every_name_means_one_scale() -> None:
    names = [name for scale in SCALES for name in (scale.name, *scale.aliases)]
    assert len(names) == len(set(names))
    for scale in SCALES:
        for name in (scale.name, *scale.aliases, scale.name.title(), scale.name.upper()):
            assert find_scale(name) is scale
        assert scale.signature in DIATONIC_FIFTHS
        assert scale.degrees[0] == "1"


def test_two_rows_never_hold_the_same_notes() -> None:
    masks = [scale.mask for scale in SCALES]
    assert len(masks) == len(set(masks))


def test_accidentals_in_words_and_signs() -> None:
    assert find_scale("Locrian ♯2") is find_scale("locrian sharp 2") is find_scale("locrian #2")
    assert find_scale("dorian flat-2") is find_scale("dorian b2")


@pytest.mark.parametrize(
    ("text", "near"), [("dorean", "dorian"), ("phrigian", "phrygian"), ("lidian", "lydian")]
)
def test_the_nearest_name_is_offered(text: str, near: str) -> None:
    with pytest.raises(TheoryError, match=near):
        find_scale(text)


def test_only_parents_have_modes() -> None:
    with pytest.raises(TheoryError):
        modes_of("whole tone")
