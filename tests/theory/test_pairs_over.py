"""Pairs over a chord, beside those that jazz teaching gives (from memory, see the file)."""

from __future__ import annotations

from pathlib import Path

import pytest

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord, transpose_chord
from lickwright.theory.finding import chord_scales, pairs_over
from lickwright.theory.interval import parse_interval
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import rotate_mask
from lickwright.theory.triad import parse_triad

LINES = [
    [cell.strip() for cell in line.split("|")]
    for line in (Path(__file__).parent / "textbook_pairs.txt").read_text().splitlines()
    if not line.startswith("#")
]
TAUGHT = [
    (chord, scale, pair.strip())
    for chord, *cells in LINES
    for scale, pairs in (cell.split(":") for cell in cells)
    for pair in pairs.split(",")
]


def _masks(pair: str) -> frozenset[int]:
    return frozenset(parse_triad(text).mask for text in pair.split())


def test_what_is_taught_is_found_by_default_and_among_the_first_twelve() -> None:
    assert len(TAUGHT) >= 200
    late, refused = [], []
    for chord, scale, pair in TAUGHT:
        found = [frozenset(triad.mask for triad in each.triads) for each in pairs_over(chord)]
        if _masks(pair) not in found:
            refused.append((chord, scale, pair))
        elif found.index(_masks(pair)) >= 12:
            late.append((chord, scale, pair))
    assert not refused
    assert len(late) <= 0.05 * len(TAUGHT), late


@pytest.mark.parametrize(("chord", "scale", "pair"), TAUGHT[::7])
def test_each_taught_pair_lies_in_the_scale_it_is_taught_with(
    chord: str, scale: str, pair: str
) -> None:
    root = "G" if chord == "F/G" else "C"
    union = 0
    for text in pair.split():
        union |= parse_triad(text).mask
    assert not union & ~parse_key(f"{root} {scale}").mask


@pytest.mark.parametrize("up", ["m2", "A4", "M6"])
@pytest.mark.parametrize("chord", ["Cmaj7", "C7alt", "Cm7b5", "C13sus4"])
def test_another_root_gives_the_same_pairs_there(chord: str, up: str) -> None:
    interval = parse_interval(up)
    there = pairs_over(transpose_chord(parse_chord(chord), interval))
    moved = [
        frozenset(rotate_mask(triad.mask, interval.semitones) for triad in pair.triads)
        for pair in pairs_over(chord)
    ]
    assert {frozenset(t.mask for t in pair.triads) for pair in there} == set(moved)


def test_a_chord_offers_scales_that_hold_it() -> None:
    for text in {chord for chord, _, _ in TAUGHT}:
        chord = parse_chord(text)
        own = rotate_mask(chord.kind.mask, 0) & ~(1 << 7 if "5" in chord.kind.optional else 0)
        optional = sum(1 << at for at in (1, 3, 6, 8)) if chord.kind.suffix == "7alt" else 0
        assert chord_scales(chord)
        for scale in chord_scales(chord):
            assert not own & ~optional & ~scale.mask, (text, scale.name)


def test_what_is_asked_narrows_what_is_found() -> None:
    every = pairs_over("C7")
    assert all(
        parse_triad("D").mask in {t.mask for t in p.triads}
        for p in pairs_over("C7", with_triad="D")
    )
    in_f = pairs_over("C7", "F major")
    assert in_f
    assert all(not (p.triads[0].mask | p.triads[1].mask) & ~parse_key("F major").mask for p in in_f)
    assert all(not p.over.rubs for p in pairs_over("C7", max_avoid=0))
    assert all(not p.triads[0].mask & 1 for p in pairs_over("C7", rootless=True))
    assert len(in_f) < len(every)
    with pytest.raises(TheoryError):
        pairs_over("C7", max_avoid=-1)


@pytest.mark.parametrize(
    ("chord", "pair"),
    [  # spelled in the chord's direction; common practice, no source
        ("C7alt", "Dbm Ebm"),
        ("Bmaj7#11", "B C#"),
        ("Bmaj7#11", "E#dim F#"),
        ("Ab7alt", "D E"),
    ],
)
def test_a_pair_is_spelled_one_way(chord: str, pair: str) -> None:
    assert pair in [" ".join(map(str, each.triads)) for each in pairs_over(chord)]
