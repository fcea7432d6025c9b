"""What notes say to a claimed chord.  Common practice, no source, unless a line says otherwise."""

from __future__ import annotations

import pytest

from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.claim import judge
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.symbols.kinds import VOCABULARY

CLAIMS = [
    ("Bm9", "D F# A C#", "B", "yes", ""),
    ("E13sus4", "D F# A C#", "E", "yes", ""),
    ("E13", "G# D C# F#", "E", "yes", ""),
    ("F#7b9", "A# C# E G", "F#", "yes", ""),
    ("C7#9", "C E G Bb D#", "C", "yes", ""),
    ("Am", "E A C", "E", "yes", ""),
    ("Bm7", "D F# A C#", "B", "nearly", "C# sounds beyond it"),
    ("Bm11", "D F# A C#", "B", "nearly", "nothing sounds its 11"),
    ("E13", "D F# A C#", "E", "nearly", "nothing sounds its 3"),
    ("B7", "D F# A C#", "B", "no", "has a 3, but D sounds"),
    ("Bmaj9", "D F# A C#", "B", "no", "has a 3, but D sounds"),
    ("Cm7", "C E G Bb", "C", "no", "has a b3, but E sounds"),
    ("Cmaj7", "C E G Bb", "C", "no", "has a 7, but Bb sounds"),
    ("Cm7b5", "C Eb G Bb", "C", "no", "has a b5, but G sounds"),
    ("G", "D F# A C#", "G", "no", "nothing that sounds tells G"),
    ("C7", "C G", "C", "no", "nothing that sounds tells C7"),
]


@pytest.mark.parametrize(("claim", "notes", "over", "holds", "says"), CLAIMS)
def test_notes_bear_a_claim_out_or_not(
    claim: str, notes: str, over: str, holds: str, says: str
) -> None:
    verdict = judge(parse_chord(claim), notes, parse_note_name(over))
    assert verdict.holds == holds, verdict.what
    assert says in verdict.what


@pytest.mark.parametrize("kind", VOCABULARY, ids=lambda kind: kind.suffix or "major")
def test_a_chord_that_sounds_whole_always_bears_its_own_name_out(kind: object) -> None:
    for root in ("C", "F#", "Bb"):
        chord = parse_chord(f"{root}{kind.suffix}")  # type: ignore[attr-defined]
        assert judge(chord, list(chord.notes), chord.root).holds != "no"
