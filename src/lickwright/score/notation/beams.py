"""How are short notes joined by beams? One beam a beat, with the inner beams cut finer.

Common practice, no source: the outer beam joins the notes of one beat (rests inside it are
bridged); inner beams break where a part of the beat begins that the reader must see.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Beam(StrEnum):
    """What a beam does at a note; the values are those of MusicXML 4.0 ``beam-value``."""

    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"
    FORWARD_HOOK = "forward hook"
    BACKWARD_HOOK = "backward hook"


@dataclass(frozen=True, slots=True)
class Beamable:
    """What beaming needs to know of one symbol of the page.

    Parameters
    ----------
    flags : flags of the note or rest when it stands alone; 0 for a quarter and longer.
    silent : a rest.
    beat : symbols with the same ``beat`` may share a beam.
    part : symbols with the same ``part`` of a beat may share inner beams.
    place : written quarter notes from the start of the beat or tuplet.
    """

    flags: int
    silent: bool
    beat: tuple[int, int]
    part: tuple[int, int]
    place: Fraction


def beam_marks(symbols: Sequence[Beamable]) -> list[tuple[Beam, ...]]:
    """Per symbol what each of its beams does, the outermost first; empty where it has none."""
    marks: list[tuple[Beam, ...]] = [()] * len(symbols)
    for run in _runs(symbols):
        sounding = [index for index in run if not symbols[index].silent]
        for here, index in enumerate(sounding):
            before = sounding[here - 1] if here else None
            after = sounding[here + 1] if here + 1 < len(sounding) else None
            marks[index] = tuple(
                _mark(symbols, before, index, after, level)
                for level in range(1, symbols[index].flags + 1)
            )
    return marks


def _runs(symbols: Sequence[Beamable]) -> Iterator[list[int]]:
    """Stretches of at least two short notes in one beat, with the rests between them."""
    run: list[int] = []
    for index, symbol in enumerate(symbols):
        if run and (symbol.flags == 0 or symbols[run[0]].beat != symbol.beat):
            yield from _trimmed(run, symbols)
            run = []
        if symbol.flags > 0 and (run or not symbol.silent):
            run.append(index)
    yield from _trimmed(run, symbols)


def _trimmed(run: list[int], symbols: Sequence[Beamable]) -> Iterator[list[int]]:
    while run and symbols[run[-1]].silent:
        run = run[:-1]
    if len(run) > 1:
        yield run


def _mark(
    symbols: Sequence[Beamable], before: int | None, index: int, after: int | None, level: int
) -> Beam:
    from_left = before is not None and _joined(symbols, before, index, level)
    to_right = after is not None and _joined(symbols, index, after, level)
    if from_left:
        return Beam.CONTINUE if to_right else Beam.END
    if to_right:
        return Beam.BEGIN
    if before is None:
        return Beam.FORWARD_HOOK
    if after is None:
        return Beam.BACKWARD_HOOK
    # A hook points into the longer value that the note completes or begins.
    parent = Fraction(2, 1 << level)
    return Beam.FORWARD_HOOK if symbols[index].place % parent == 0 else Beam.BACKWARD_HOOK


def _joined(symbols: Sequence[Beamable], left: int, right: int, level: int) -> bool:
    """Whether a beam of ``level`` runs from one note to the next."""
    between = symbols[left : right + 1]
    if any(symbol.flags < level for symbol in between):
        return False
    return level == 1 or symbols[left].part == symbols[right].part
