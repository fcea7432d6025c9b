"""Which notes of a line lead and which count.  Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import TheoryError
from lickwright.theory import mask_of, parse_chord, parse_note_name, pitch_classes
from lickwright.theory.hearing import even_line, harmony_of, judge_line, ornaments, weights_of

LINES = [
    # line, bass, harmony, what leads
    ("D4 E F C# D F", "D", "D F", {1: "passing", 3: "approach"}),
    ("A3 B C#4 E A3 C#4", "A", "A C# E", {1: "passing"}),
    ("C4 D# E G", "C", "C E G", {1: "approach"}),
    ("D4 F A C5 B4 G# A F", "D", "D F A C", {4: "enclosure", 5: "enclosure"}),
    ("C4 E G B C5 G4 E C", "C", "C E G B", {}),
]


@pytest.mark.parametrize(("text", "bass", "harmony", "leads"), LINES)
def test_what_counts_and_what_leads(
    text: str, bass: str, harmony: str, leads: dict[int, str]
) -> None:
    line = even_line(text)
    mask = harmony_of(line, parse_note_name(bass).pc)
    assert set(pitch_classes(mask)) == {parse_note_name(name).pc for name in harmony.split()}
    assert {each.index: each.kind for each in ornaments(line, mask)} == leads


def test_ornaments_that_take_most_of_the_time_are_none() -> None:
    # Every other note is a half step below the next: this is not E flat minor with approaches only.
    line = even_line("D4 Eb D Eb D Eb D Eb")
    assert ornaments(line, mask_of([3])) == ()


@pytest.mark.parametrize(
    ("claim", "text", "over", "holds"),
    [
        ("Dm", "D4 E F C# D F", "D", "yes"),
        ("D", "D4 E F C# D F", "D", "no"),
        ("Am", "A3 C#4 E A C#5 E", "A", "no"),
        ("Cm7", "C4 E G Bb", "C", "no"),
        ("Bm9", "D4 F# A C#5", "B", "yes"),
        ("Cm7b5", "C4 Eb Gb Bb F", "C", "nearly"),
        ("Cm7b5", "C4 Eb Gb Bb Ab", "C", "nearly"),
        ("Cmaj7#5", "C4 E G# B A", "C", "nearly"),
    ],
)
def test_a_claim_about_a_line(claim: str, text: str, over: str, holds: str) -> None:
    verdict = judge_line(parse_chord(claim), even_line(text), parse_note_name(over))
    assert verdict.holds == holds, verdict.what


def test_long_low_and_strong_notes_weigh_more() -> None:
    long = [*even_line("D4", Fraction(2)), *even_line("E4")]
    weights = weights_of(long)
    assert weights[2] == 1.0
    assert 0 < weights[4] < 0.5
    low, high = weights_of(even_line("C3 C5 E4 G4"))[0], weights_of(even_line("C3 C5 E4 G4"))[4]
    assert low > high


def test_a_line_of_nothing_is_one_sentence() -> None:
    with pytest.raises(TheoryError, match="no notes"):
        even_line(" ")
    with pytest.raises(TheoryError, match="not a"):
        even_line("D Q")
