"""What stands in words on the screen and in the captions?"""

from __future__ import annotations

#: Shown before and after the music; the cautions of every lesson, in short.
CAUTIONS = (
    "Warm up, begin slowly, rest often. At pain or numbness stop, and ask a clinician.",
    "Keep the level kind to your ears; your local rules on noise come first.",
)


def signs(symbol: str) -> str:
    """A chord symbol, note or degree with sharps and flats as printers set them.

    Symbols only: no quality of a chord is written with a small b, so each one is a flat.
    """
    return symbol.replace("#", "♯").replace("b", "♭")
