"""How is one idea made easier, step by step?

Three levels of the same lick, as teachers write them (common practice, no source): the *easy* one
takes three notes of each shape, slower values and a plain contour without turns; the *medium* one
the whole shapes, slower and plain; the *hard* one is the idea itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lickwright.lick.phrase.composing import AnyShape, places_of
from lickwright.lick.phrase.contour import Contour, ContourWay
from lickwright.lick.rhythm import VALUES, BarMark, Item, Rhythm, RhythmValue, TupletGroup, cycle_of
from lickwright.neck.shapes import MergedArpeggio, Shape

_EASY_NOTES = 3
_LONGEST = max(VALUES.values())


@dataclass(frozen=True, slots=True)
class Variation:
    """One level of an idea, ready to be composed; ``changed`` says what was taken away."""

    level: str
    shapes: tuple[AnyShape, ...]
    contour: Contour
    rhythm: Rhythm
    changed: tuple[str, ...]


def variations(
    shapes: Sequence[AnyShape], contour: Contour, rhythm: Rhythm
) -> tuple[Variation, Variation, Variation]:
    """The easy, the medium and the hard form of one idea, in this order.

    ``shapes`` are shapes or positions low to high; contour and rhythm as they are composed.
    """
    easier_contour, easier_rhythm = plain(contour), slower(rhythm)
    few = tuple(
        _fewer(shape, contour.ways[at % len(contour.ways)], first=at == 0)
        for at, shape in enumerate(shapes)
    )
    changed = []
    if easier_rhythm != rhythm:
        changed.append(f"{easier_rhythm} instead of {rhythm}")
    if easier_contour != contour:
        changed.append("a plain contour")
    fewer = [f"{_EASY_NOTES} notes of each shape"] if few != tuple(shapes) else []
    return (
        Variation("easy", few, easier_contour, easier_rhythm, (*fewer, *changed)),
        Variation("medium", tuple(shapes), easier_contour, easier_rhythm, tuple(changed)),
        Variation("hard", tuple(shapes), contour, rhythm, ()),
    )


def plain(contour: Contour) -> Contour:
    """The same directions with nothing broken, grouped, displaced or turned.

    Parameters
    ----------
    contour : any.

    Returns
    -------
    Contour
        Its directions alone.

    Examples
    --------
    >>> from lickwright.lick.phrase import parse_contour
    >>> str(plain(parse_contour("up in threes, down broken")))
    'up down'
    """
    return Contour(tuple(ContourWay(way.direction) for way in contour.ways))


def slower(rhythm: Rhythm) -> Rhythm:
    """Fewer notes in the time: values doubled, and tuplets made the next simpler division.

    Sextuplets become triplets; a tuplet of other equal values becomes the plain values whose time
    it takes.  Whole notes, tuplets of unequal values, and rhythms with bar marks (their bars would
    no longer add up) stay.
    """
    if any(isinstance(item, BarMark) for item in rhythm.items):
        return rhythm
    items: list[Item] = []
    for item in rhythm.items:
        if isinstance(item, TupletGroup):
            items += _simpler(item)
        elif isinstance(item, RhythmValue) and item.base < _LONGEST:
            items.append(replace(item, base=2 * item.base))
        else:
            items.append(item)
    return cycle_of(tuple(items))


def _simpler(group: TupletGroup) -> list[Item]:
    first = group.values[0]
    if first.rest or first.tied or set(group.values) != {first}:
        return [group]
    if group.actual % 2 == 0 and first.base < _LONGEST:
        half = replace(first, base=2 * first.base)
        if group.normal % 2 == 0:
            return [
                TupletGroup(group.actual // 2, group.normal // 2, (half,) * (group.actual // 2))
            ]
        return [group]
    if group.actual < group.normal:
        return [group]
    return [first] * group.normal


def ends_of(shapes: Sequence[AnyShape], contour: Contour, count: int) -> tuple[AnyShape, ...]:
    """Of each shape the notes where its way ends.

    Parameters
    ----------
    shapes : as they are played.
    contour : its ways go to the shapes in turn.
    count : how many notes of each are kept.

    Returns
    -------
    tuple
        The shapes with no more notes than that.

    Examples
    --------
    >>> from lickwright.lick.phrase import parse_contour
    >>> from lickwright.neck.shapes import ranked_merged
    >>> _, shape = ranked_merged("C Am", frets="5-8", strings="2-4")[0]
    >>> (easy,) = ends_of([shape], parse_contour("up"), 3)
    >>> print(easy)
    C and Am: 3/5 2/5 2/8
    """
    return tuple(
        _part_of(shape, count, high=contour.ways[at % len(contour.ways)].direction.endswith("up"))
        for at, shape in enumerate(shapes)
    )


def _fewer(shape: AnyShape, way: ContourWay, *, first: bool) -> AnyShape:
    """The notes nearest to the join with the other shape: where the way ends, or where it lands."""
    ends_high = way.direction.endswith("up")
    starts_high = way.direction.startswith("down")
    high = ends_high if first else starts_high
    return _part_of(shape, _EASY_NOTES, high=high)


def _part_of(shape: AnyShape, count: int, *, high: bool) -> AnyShape:
    """The highest or the lowest notes of a shape."""
    positions = places_of(shape)
    kept = positions[-count:] if high else positions[:count]
    if isinstance(shape, Shape | MergedArpeggio):
        return replace(shape, positions=kept)
    return kept
