"""What does a written Score say on its tablature? Its numbers in time, and what joins them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from lickwright.formats.musicxml import note_id
from lickwright.lick import Marks, Technique
from lickwright.score.notation import NotatedBar, WrittenScore, runs_at

_PULLS = {Technique.HAMMER_ON: "H", Technique.PULL_OFF: "P"}


@dataclass(frozen=True, slots=True)
class TabHead:
    """One number of the tablature.

    Parameters
    ----------
    id : of its note element.
    measure : index of its measure, from 0.
    tied_from, tied_to : it goes on from the number before, into the next.
    slur_from, slur_to : a slur ends, begins here.
    pull : ``H`` or ``P`` where the next number is hammered on or pulled off.
    slides : it slides into the next number.
    marks : what the note bears; of a dead one, a cross stands for its number.
    """

    id: str
    measure: int
    string: int
    fret: int
    tied_from: bool
    tied_to: bool
    slur_from: bool
    slur_to: bool
    pull: str
    slides: bool
    marks: Marks


#: Ids of the two numbers that a slur or a tie joins.
Bond = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Tablature:
    """The numbers of a whole piece.

    Parameters
    ----------
    measures : the numbers of each measure, in time.
    bonds : every slur and tie, in time.
    bonds_of : by id of a number, the indices of the bonds that begin or end there.
    """

    measures: tuple[tuple[TabHead, ...], ...]
    bonds: tuple[Bond, ...]
    bonds_of: Mapping[str, tuple[int, ...]]


def tablature_of(written: WrittenScore) -> Tablature:
    """The tablature of a written Score."""
    measures = tuple(
        tuple(_heads(written, bar, measure)) for measure, bar in enumerate(written.bars)
    )
    bonds = tuple(_bonds([head for heads in measures for head in heads]))
    bonds_of: dict[str, tuple[int, ...]] = {}
    for index, ends in enumerate(bonds):
        for end in ends:
            bonds_of[end] = (*bonds_of.get(end, ()), index)
    return Tablature(measures, bonds, bonds_of)


def _heads(written: WrittenScore, bar: NotatedBar, measure: int) -> Iterator[TabHead]:
    notes = written.score.lick.notes
    for piece in bar.pieces:
        if piece.note is None:
            continue
        at = piece.note
        note = notes[at]
        slurs = list(runs_at(written.slurs, at))
        goes_on = not piece.tied_to and any(at < last for _, last in slurs)
        slides = any(at == first for first, _ in runs_at(written.slides, at))
        yield TabHead(
            id=note_id(at, piece.part, tablature=True),
            measure=measure,
            string=note.position.string,
            fret=note.position.fret,
            tied_from=piece.tied_from,
            tied_to=piece.tied_to,
            slur_from=not piece.tied_from and any(at == last for _, last in slurs),
            slur_to=not piece.tied_to and any(at == first for first, _ in slurs),
            pull=_PULLS.get(notes[at + 1].technique, "") if goes_on else "",
            slides=slides and not piece.tied_to,
            marks=note.marks,
        )


def _bonds(heads: list[TabHead]) -> Iterator[Bond]:
    """The ends, by id, of every slur and tie."""
    start: str | None = None
    for index, head in enumerate(heads):
        if head.slur_from and start is not None:
            yield start, head.id
            start = None
        if head.slur_to:
            start = head.id
        if head.tied_to and index + 1 < len(heads):
            yield head.id, heads[index + 1].id
