"""Chord symbols as printers set them."""

from __future__ import annotations

import pytest

from lickwright.drawing.symbols import printed_symbol


@pytest.mark.parametrize(
    ("ascii_text", "printed"),
    [
        ("Bbm7b5", "B♭m7♭5"),
        ("F#", "F♯"),
        ("C7(#9,b13)", "C7(♯9,♭13)"),
        ("Ebmaj7#11/Bb", "E♭maj7♯11/B♭"),
        ("F# dim and Abaug", "F♯ dim and A♭aug"),
        ("b3 5 bb7 #11", "♭3 5 ♭♭7 ♯11"),
        ("Dm9", "Dm9"),
        ("no common name (1 b9 3)", "no common name (1 ♭9 3)"),
        ("Above Ebbing, a Bb sounds.", "Above Ebbing, a B♭ sounds."),
    ],
)
def test_symbols_get_their_accidentals(ascii_text: str, printed: str) -> None:
    # Common practice, no source.
    assert printed_symbol(ascii_text) == printed
    assert printed_symbol(printed) == printed
