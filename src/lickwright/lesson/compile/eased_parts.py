"""How is a lick of parts made easier?

As any lick (:mod:`lickwright.lick.phrase.easier`), but so that the parts still answer each other: a
part that mirrors another keeps the same notes of its path as that one, so that every stroke is
still turned round.

* *medium*: every value twice as long, tuplets too, and a part lasts twice as long; a plain contour.
* *easy*: of each shape only the three notes where its run ends, for there the line lands; in
  quarter notes, where the part's time or twice that has room for them, else in shorter even values.

The grips stay those of the lick itself: what the hand learns is not to be learnt anew.  All of
this is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from lickwright.errors import LessonError
from lickwright.lesson.compile.parts import PartSetting
from lickwright.lick.phrase import Shapes, ends_of, in_turn, places_of, plain
from lickwright.lick.rhythm import (
    VALUES,
    BarMark,
    Item,
    Meter,
    Rhythm,
    RhythmValue,
    TupletGroup,
    cycle_of,
    parse_rhythm,
)

_NOTES = 3
_LONGEST = max(VALUES.values())
_EVEN = tuple(map(parse_rhythm, ("quarters", "8ths", "16ths")))


@dataclass(frozen=True, slots=True)
class EasedParts:
    """The parts of an easier form; ``changed`` says what was taken away."""

    settings: list[PartSetting]
    shapes: list[Shapes]
    changed: tuple[str, ...]


def eased_parts(
    settings: list[PartSetting], shapes: list[Shapes], level: str | None, meter: Meter
) -> EasedParts:
    """The parts of a lick, as they are played, with less to do.

    Parameters
    ----------
    settings, shapes : of the lick itself, by part.
    level : ``easy`` or ``medium``, ``None`` for the lick itself.
    meter : in which the lick stands.

    Raises
    ------
    LessonError
        Where a part's time has no room for the easier form.
    """
    whole = [_played(*each) for each in zip(settings, shapes, strict=True)]
    if level is None:
        return EasedParts(settings, whole, ())
    longer = [_longer(setting) for setting in settings]
    if level == "medium":
        eased, kept = longer, whole
    else:
        kept = [
            ends_of(_played(setting, own), setting.contour, _NOTES)
            for setting, own in zip(settings, shapes, strict=True)
        ]
        eased = [
            _in_even_values(one, two.lasts, sum(len(places_of(shape)) for shape in own), meter)
            for one, two, own in zip(settings, longer, kept, strict=True)
        ]
    changed = []
    if kept != whole:
        changed.append(f"{_NOTES} notes of each shape")
    before, after = (dict.fromkeys(str(one.rhythm) for one in many) for many in (settings, eased))
    if before != after:
        changed.append(f"{', '.join(after)} instead of {', '.join(before)}")
    if any(one.contour != two.contour for one, two in zip(settings, eased, strict=True)):
        changed.append("a plain contour")
    return EasedParts(eased, kept, tuple(changed))


def _played(setting: PartSetting, shapes: Shapes) -> Shapes:
    return in_turn(shapes, setting.contour)


def _longer(setting: PartSetting) -> PartSetting:
    """Twice as long, in a plain contour."""
    rhythm = _twice(setting.rhythm)
    factor = rhythm.length / setting.rhythm.length
    lasts = None if setting.lasts is None else setting.lasts * factor
    return replace(setting, rhythm=rhythm, lasts=lasts, contour=plain(setting.contour))


def _twice(rhythm: Rhythm) -> Rhythm:
    """Every value doubled; a rhythm with bar marks, or with whole notes, stays."""
    values = [value for item in rhythm.items for value in _values(item)]
    if any(isinstance(item, BarMark) for item in rhythm.items) or any(
        value.base >= _LONGEST for value in values
    ):
        return rhythm
    return cycle_of(tuple(map(_doubled, rhythm.items)))


def _values(item: Item) -> tuple[RhythmValue, ...]:
    if isinstance(item, TupletGroup):
        return item.values
    return (item,) if isinstance(item, RhythmValue) else ()


def _doubled(item: Item) -> Item:
    if isinstance(item, TupletGroup):
        return replace(
            item, values=tuple(replace(value, base=2 * value.base) for value in item.values)
        )
    assert isinstance(item, RhythmValue), "bar marks are told apart before"
    return replace(item, base=2 * item.base)


def _in_even_values(
    setting: PartSetting, twice: Fraction | None, count: int, meter: Meter
) -> PartSetting:
    """In the first even values that the part's time, or else ``twice`` of it, has room for."""
    eased = replace(setting, contour=plain(setting.contour))
    if setting.lasts is None or twice is None:
        return replace(eased, rhythm=_EVEN[0])
    for rhythm in _EVEN:
        for lasts in (setting.lasts, twice):
            if count * rhythm.length / rhythm.attacks <= lasts * meter.bar:
                return replace(eased, rhythm=rhythm, lasts=lasts)
    raise LessonError(
        f"'{setting.name}' has no room for {count} notes in {_quarters(twice * meter.bar)}",
        mend="Let it last longer, or write the easier form as parts of its own",
    )


def _quarters(length: Fraction) -> str:
    return f"{length} quarter note{'' if length == 1 else 's'}"
