"""The chord vocabulary beside three outside words; every difference is one that the docs list.

Sources
-------
* mir_eval.chord: the label grammar and shorthands of Harte et al., ISMIR 2005.
* music21.harmony: ``ChordSymbol`` and its ``CHORD_TYPES``.
* pychord: ``DEFAULT_QUALITIES``.
* docs/harmony-disagreements.md: the differences that are meant, with reasons.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from functools import cache

import mir_eval.chord
import pytest
from music21 import harmony as m21_harmony
from pychord import Chord as PyChord
from pychord.constants.qualities import DEFAULT_QUALITIES
from pychord.utils import note_to_val

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.pitch import mask_of, parse_note_name, pitch_classes, rotate_mask
from lickwright.theory.symbols.kinds import VOCABULARY
from lickwright.theory.symbols.writing import kind_from_degrees

pytestmark = pytest.mark.xdist_group("outside words")  # what was read once is remembered

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
#: music21 takes a hundredth of a second for a symbol.  Two roots, one of sharps and one of flats,
#: read them all; the others take turns, so that together they read them all again twice.  With
#: this variable every root reads all (``make bench``).
WHOLE = os.environ.get("LICKWRIGHT_WHOLE") == "1"
READ_ALL, TURNS = ("F#", "Ab"), 5
SPELLINGS = tuple(
    dict.fromkeys(word for kind in VOCABULARY for word in (kind.suffix, *kind.spellings))
)
#: Harte et al., ISMIR 2005, as mir_eval's grammar has them; ``1`` is a single note, no chord.
HARTE_SHORTHANDS = (
    *("maj", "min", "dim", "aug", "5", "sus2", "sus4", "maj6", "min6"),
    *("7", "maj7", "min7", "dim7", "hdim7", "minmaj7", "aug7"),
    *("9", "maj9", "min9", "11", "maj11", "min11", "13", "maj13", "min13"),
)
#: Functional sixths and single notes: names of music21 that are no chord symbols.
M21_NO_SYMBOLS = {"Neapolitan", "Italian", "French", "German", "pedal", "Tristan"}

Reader = Callable[[str, str], "int | None"]
Listed = dict[tuple[str, str], tuple[str, str]]


def shown(mask: int | None) -> str:
    return "not read" if mask is None else " ".join(map(str, pitch_classes(mask)))


def ours(root: str, suffix: str) -> int | None:
    try:
        return parse_chord(root + suffix).mask
    except TheoryError:
        return None


def mir_eval_mask(root: str, shorthand: str) -> int | None:
    try:
        number, bitmap, _ = mir_eval.chord.encode(
            f"{root}:{shorthand}", reduce_extended_chords=True
        )
    except mir_eval.chord.InvalidChordException:
        return None
    return rotate_mask(mask_of(pc for pc, bit in enumerate(bitmap) if bit), int(number))


@cache
def music21_notes(root: str, suffix: str) -> tuple[tuple[int, str], ...] | None:
    """(pitch class, name) of each note, ``None`` where music21 reads no chord."""
    try:
        symbol = m21_harmony.ChordSymbol(root.replace("b", "-") + suffix)
    except ValueError:
        return None
    return tuple((pitch.pitchClass, pitch.name.replace("-", "b")) for pitch in symbol.pitches)


def music21_mask(root: str, suffix: str) -> int | None:
    notes = music21_notes(root, suffix)
    return None if notes is None else mask_of(pc for pc, _ in notes)


def pychord_mask(root: str, suffix: str) -> int | None:
    try:
        return mask_of(note_to_val(name) for name in PyChord(root + suffix).components())
    except ValueError:
        return None


@cache
def music21_reads() -> tuple[str, ...]:
    """Every spelling of ours that music21 reads at all, and every abbreviation of its own."""
    own = (
        abbreviation
        for name, (_, abbreviations) in m21_harmony.CHORD_TYPES.items()
        if name not in M21_NO_SYMBOLS
        for abbreviation in abbreviations
    )
    candidates = dict.fromkeys((*SPELLINGS, *own))
    return tuple(
        suffix
        for suffix in candidates
        if not suffix.startswith("-") and music21_mask("C", suffix) is not None
    )


@cache
def pychord_reads() -> tuple[str, ...]:
    candidates = dict.fromkeys((*(name for name, _ in DEFAULT_QUALITIES), *SPELLINGS))
    return tuple(suffix for suffix in candidates if pychord_mask("C", suffix) is not None)


def differences(library: str, reader: Reader, root: str, suffixes: Iterable[str]) -> Listed:
    """What the two read differently over one root, as semitones above it."""
    pc = parse_note_name(root).pc
    found = {}
    for suffix in suffixes:
        theirs, own = reader(root, suffix), ours(root, suffix)
        if theirs != own:
            above = [None if mask is None else rotate_mask(mask, -pc) for mask in (theirs, own)]
            found[library, suffix] = (shown(above[0]), shown(above[1]))
    return found


@pytest.fixture
def listed(documented: Callable[[str], Listed]) -> Listed:
    return documented("## Vocabulary")


def of(library: str, listed: Listed) -> Listed:
    return {key: row for key, row in listed.items() if key[0] == library}


def m21_turn(root: str) -> tuple[str, ...]:
    """The suffixes that music21 reads on this root today."""
    if WHOLE or root in READ_ALL:
        return music21_reads()
    others = [each for each in ROOTS if each not in READ_ALL]
    return music21_reads()[others.index(root) % TURNS :: TURNS]


@pytest.mark.parametrize("root", ROOTS)
def test_mir_eval_shorthands(root: str, listed: Listed) -> None:
    assert differences("mir_eval", mir_eval_mask, root, HARTE_SHORTHANDS) == of("mir_eval", listed)


@pytest.mark.parametrize("root", ROOTS)
def test_music21_chord_symbols(root: str, listed: Listed) -> None:
    assert len(music21_reads()) > 180
    turn = m21_turn(root)
    wanted = {key: row for key, row in of("music21", listed).items() if key[1] in turn}
    assert differences("music21", music21_mask, root, turn) == wanted


def test_every_suffix_of_music21_has_its_turn() -> None:
    others = [root for root in ROOTS if root not in READ_ALL]
    turns = [suffix for root in others for suffix in m21_turn(root)]
    assert all(turns.count(suffix) >= 2 for suffix in music21_reads())


@pytest.mark.parametrize("root", ROOTS)
def test_pychord_chords(root: str, listed: Listed) -> None:
    assert len(pychord_reads()) > 100
    assert differences("pychord", pychord_mask, root, pychord_reads()) == of("pychord", listed)


def test_harte_interval_lists_of_the_whole_vocabulary() -> None:
    # Harte's grammar says any chord as a list of degrees: C:(b3,5,b7,9).
    for kind in VOCABULARY:
        degrees = ",".join(name for name in kind.degrees if name != "1")
        assert mir_eval_mask("C", f"({degrees})") == kind.mask, kind.suffix


@pytest.mark.parametrize(
    ("label", "suffix"),
    [
        ("7(*5)", "7(no5)"),
        ("7(*3)", "7(no3)"),
        ("7(*5,b5)", "7b5"),
        ("7(*5,#5)", "7#5"),
        ("7(#9,b13)", "7#9b13"),
        ("7(b9,13)", "13b9"),
        ("9(#11)", "9#11"),
        ("maj7(#11)", "maj7#11"),
        ("maj9(#11)", "maj9#11"),
        ("maj7(*5,#5)", "maj7#5"),
        ("maj6(9)", "6/9"),
        ("min6(9)", "m6/9"),
        ("hdim7(9)", "m9b5"),
        ("hdim7(9,11)", "m11b5"),
        ("hdim7(b9)", "m7b5b9"),
        ("dim7(7)", "dim7(addmaj7)"),
        ("minmaj7(9)", "m(maj9)"),
        ("sus4(b7)", "7sus4"),
        ("sus4(b7,9)", "9sus4"),
        ("sus4(b7,b9)", "7sus4b9"),
        ("sus4(b7,9,13)", "13sus4"),
        ("maj(9)", "add9"),
        ("min(9)", "m(add9)"),
        ("maj(*3)", "5"),
        ("7(*5,b9,#9,#11,b13)", "7alt"),
    ],
)
def test_harte_shorthand_with_changes(label: str, suffix: str) -> None:
    # Harte et al., ISMIR 2005: a shorthand with added degrees, omitted ones starred.
    assert mir_eval_mask("D", label) == ours("D", suffix)


def test_music21_spells_the_notes_alike(documented: Callable[[str], Listed]) -> None:
    found = {}
    for root in ROOTS:
        for suffix in m21_turn(root):
            notes = music21_notes(root, suffix)
            if notes is None or ours(root, suffix) != mask_of(pc for pc, _ in notes):
                continue
            theirs = {name for _, name in notes}
            names = {str(note) for note in parse_chord(root + suffix).notes}
            if theirs != names:
                key = ("music21", f"{root}{suffix}")
                found[key] = (" ".join(sorted(theirs)), " ".join(sorted(names)))
    read = {f"{root}{suffix}" for root in ROOTS for suffix in m21_turn(root)}
    listed = documented("### Spelling")
    assert found == {key: row for key, row in listed.items() if key[1] in read}


@pytest.mark.parametrize("degrees", sorted({degrees for _, degrees in DEFAULT_QUALITIES}))
def test_pychord_degree_lists_have_a_symbol(degrees: tuple[str, ...]) -> None:
    # pychord's lists of degrees, counted by mir_eval, are the notes of the symbol we print.
    kind = kind_from_degrees(degrees)
    assert kind is not None
    semitones = map(mir_eval.chord.scale_degree_to_semitone, degrees)
    assert kind.mask == mask_of(semitones)
