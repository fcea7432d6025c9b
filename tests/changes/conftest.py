"""Licks that the tests carry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from lickwright.lick.hands.finishing import finish
from lickwright.lick.notes import Lick
from lickwright.lick.phrase.composing import compose
from lickwright.neck.shapes.chain import chain_shapes
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.triad import Triad, parse_triad


@dataclass(frozen=True)
class Source:
    """A lick with what is known of it."""

    lick: Lick
    triads: tuple[Triad, ...]
    chord: Chord


def make_source(
    names: str = "D F#m",
    chord: str = "Bm9",
    *,
    frets: str = "4-12",
    strings: str | None = None,
    contour: str = "up down",
    rhythm: str = "16ths",
    bars: int | None = 1,
    policy: str = "sweep",
) -> Source:
    """A one-bar lick of some triads, with strokes and fingers."""
    triads = tuple(parse_triad(name) for name in names.split())
    shapes = chain_shapes(triads, frets=frets, strings=strings)
    line = compose(shapes, contour, rhythm, bars=bars, voices=range(len(triads)))
    return Source(finish(line, policy=policy), triads, parse_chord(chord))


@pytest.fixture(scope="session")
def pair() -> Source:
    """D and F#m over B: sixteenths, up the one and down the other."""
    return make_source()


@pytest.fixture(scope="session")
def source() -> Callable[..., Source]:
    return make_source
