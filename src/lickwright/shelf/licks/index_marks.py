"""By which marks is a lick known in the index?

A mark is a fact written as one word, such as ``technique:sweep`` or ``chord:2:m9`` (m9 on D).
The index holds marks beside ordinary words, so that any mixture of facts and words is one search;
an ordinary word never has a colon.
"""

from __future__ import annotations

from collections.abc import Iterator

from lickwright.errors import TheoryError
from lickwright.neck import parse_tuning, tuning_name
from lickwright.shelf.licks.facts import LickFacts
from lickwright.theory import Triad, parse_chord, parse_triad
from lickwright.theory.symbols import parse_suffix


def marks_of(facts: LickFacts) -> list[str]:
    """Every mark of a lick."""
    return list(dict.fromkeys(_marks(facts)))


def _marks(facts: LickFacts) -> Iterator[str]:
    for fact in facts.chords:
        chord = fact.chord
        yield _mark("kind", chord.kind.suffix)
        yield _mark("chord", chord.root.pc, chord.kind.suffix)
        yield _mark("chord", chord.root.pc, chord.kind.suffix, chord.bass_note.pc)
        if fact.printed:
            yield family_mark(fact.family)
    yield from map(_triad, facts.triads)
    yield from map(technique_mark, facts.techniques)
    yield _mark("tuning", facts.tuning)
    yield key_mark(facts.key)


def chord_mark(text: str) -> str:
    """The mark of a chord on its root (over its bass where one is written), or of a kind alone.

    Raises
    ------
    TheoryError
        When the text is neither.
    """
    try:
        chord = parse_chord(text)
    except TheoryError as error:
        try:
            return _mark("kind", parse_suffix(text).suffix)
        except TheoryError:
            raise error from None
    if chord.bass is None:
        return _mark("chord", chord.root.pc, chord.kind.suffix)
    return _mark("chord", chord.root.pc, chord.kind.suffix, chord.bass.pc)


def triad_mark(text: str) -> str:
    """The mark of a triad, whatever its spelling."""
    return _triad(parse_triad(text))


def tuning_mark(text: str) -> str:
    """The mark of a tuning, by its name or its notes."""
    strings = parse_tuning(text)
    return _mark("tuning", tuning_name(strings) or " ".join(map(str, reversed(strings))))


def family_mark(family: str) -> str:
    """The mark of a family of chords."""
    return _mark("family", family)


def technique_mark(technique: str) -> str:
    """The mark of a technique."""
    return _mark("technique", technique)


def key_mark(key: str) -> str:
    """The mark of a key as it is printed."""
    return _mark("key", key)


def _triad(triad: Triad) -> str:
    return _mark("triad", triad.root.pc, triad.quality.value or "major")


def _mark(*parts: object) -> str:
    return ":".join(str(part) for part in parts).replace(" ", "-").lower()
