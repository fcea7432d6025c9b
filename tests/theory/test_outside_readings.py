"""Our readings beside outside words.

Sources
-------
* M. Levine, *The Jazz Piano Book*, Sher Music 1989, the chapter on upper structures: nine triads
  over a dominant's third and seventh.  Values from memory.
* D. Terefenko, *Jazz Theory: From Basic to Advanced Study*, Routledge 2014, on upper-structure
  triads over major and minor sevenths.  Values from memory.
* pychord, a general chord library: the kinds of chord that it names from their root.
* docs/harmony-disagreements.md: the differences that are meant, with reasons.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from lickwright.theory.chord import parse_chord
from lickwright.theory.finding.pairs import pairs_for
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.pitch import mask_of, pitch_classes
from lickwright.theory.triad import parse_triad

Listed = dict[tuple[str, str], tuple[str, str]]

#: (third and seventh over C, upper triad, the degrees it gives, the chord it makes)
DOMINANT = [
    ("E Bb", "Cm", "1 #9 5", "C7#9"),
    ("E Bb", "Dbm", "b9 3 #5", "C7#5b9"),
    ("E Bb", "D", "9 #11 13", "C13#11"),
    ("E Bb", "Eb", "#9 5 b7", "C7#9"),
    ("E Bb", "Ebm", "#9 #11 b7", "C7#9#11"),
    ("E Bb", "F#m", "#11 13 b9", "C13b9#11"),
    ("E Bb", "Gb", "#11 b7 b9", "C7b9#11"),
    ("E Bb", "Ab", "#5 1 #9", "C7#5#9"),
    ("E Bb", "A", "13 b9 3", "C13b9"),
]
MAJOR = [
    ("E B", "D", "9 #11 13", "Cmaj13#11"),
    ("E B", "E", "3 #5 7", "Cmaj7#5"),
    ("E B", "Em", "3 5 7", "Cmaj7"),
    ("E B", "G", "5 7 9", "Cmaj9"),
    ("E B", "Am", "13 1 3", "Cmaj13"),
    ("E B", "Bm", "7 9 #11", "Cmaj9#11"),
]
MINOR = [
    ("Eb Bb", "Dm", "9 11 13", "Cm13"),
    ("Eb Bb", "Eb", "b3 5 b7", "Cm7"),
    ("Eb Bb", "F", "11 13 1", "Cm13"),
    ("Eb Bb", "Gm", "5 b7 9", "Cm9"),
    ("Eb Bb", "Bb", "b7 9 11", "Cm11"),
]


@pytest.mark.parametrize(("guides", "triad", "degrees", "symbol"), [*DOMINANT, *MAJOR, *MINOR])
def test_upper_structures_read_as_the_handbooks_say(
    guides: str, triad: str, degrees: str, symbol: str
) -> None:
    first = implied_chords([*guides.split(), parse_triad(triad)], "C")[0]
    assert first.chord == parse_chord(symbol)
    at = {note.pc: degree for note, degree in zip(first.notes, first.degrees, strict=True)}
    assert {at[pc] for pc in pitch_classes(parse_triad(triad).mask)} == set(degrees.split())


@pytest.mark.parametrize(
    ("triad", "symbol"),
    [(row[1], row[3]) for row in (*DOMINANT, *MAJOR, *MINOR) if row[3] != "Cmaj7"],
)
def test_upper_structures_are_found_backwards(triad: str, symbol: str) -> None:
    upper = parse_triad(triad)
    assert any(
        upper.mask in [each.mask for each in group.triads]
        for group in pairs_for(symbol, added_tones=0)
    )


def test_pychord_and_we_hear_the_same_root(documented: Callable[[str], Listed]) -> None:
    """The notes of every kind of chord in pychord's table, over its root, read from that root."""
    pychord = pytest.importorskip("pychord")
    qualities = pytest.importorskip("pychord.constants.qualities")
    listed = {at[1]: names for at, names in documented("## Readings").items() if at[0] == "pychord"}
    different: dict[str, tuple[str, str]] = {}
    masks = set()
    for quality, *_ in qualities.DEFAULT_QUALITIES:
        tones = sorted({int(pc) % 12 for pc in pychord.Chord(f"C{quality}").components(False)})
        if len(tones) < 3 or mask_of(tones) in masks:
            continue
        masks.add(mask_of(tones))
        first = implied_chords(tones, 0)[0]
        if first.root.pc != 0:
            different[" ".join(map(str, tones))] = (f"C{quality}", first.symbol)
    assert len(masks) > 50
    assert different == listed
