"""A lick of the shelf as an example of a lesson file, to be taken into a new lesson.

It is written as tab, rhythm, strokes and fingers, the teacher's own form, so that working it out
again gives the same notes in the same places.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction

from lickwright.errors import LickwrightError
from lickwright.lick.picking import print_strokes
from lickwright.lick.rhythm import Meter, rhythm_of
from lickwright.lick.tab import print_tab
from lickwright.score import Bar, ChordSpan, Score
from lickwright.shelf.errors import ShelfError


def example_text(score: Score, over: str | None = None) -> str:
    """The lick as YAML, ready to stand in a lesson's list of examples.

    Parameters
    ----------
    over : the sounding bass of a lick that has no chords.

    Raises
    ------
    ShelfError
        When a lesson file has no words for it: bars of unlike time, or no bass.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.scalarstring import LiteralScalarString

    meter = meter_of(score)
    lick, first = score.lick, score.bars[-1]
    entry: dict[str, object] = {"name": score.name[:80]}
    entry |= _harmony(score, over)
    entry |= {"key": str(first.key), "time": f"{first.beats}/{first.unit}"}
    if meter.pickup:
        entry["pickup"] = str(meter.pickup * Fraction(first.unit, 4))
    entry["tempo"] = {"slow": score.slow_bpm, "target": score.target_bpm}
    tab = print_tab(lick, score.guitar, meter=meter)
    entry["tab"] = LiteralScalarString(tab.rstrip("\n") + "\n")
    try:
        entry["rhythm"] = str(rhythm_of(lick))
    except LickwrightError as error:
        raise _no_words(error.what) from error
    entry["strokes"] = print_strokes([note.stroke for note in lick.notes])
    entry["fingers"] = " ".join("." if n.finger is None else str(n.finger) for n in lick.notes)
    yaml = YAML()
    yaml.width = 100_000
    yaml.indent(mapping=2, sequence=4, offset=2)
    text = io.StringIO()
    yaml.dump([entry], text)
    return text.getvalue()


def _no_words(what: str) -> ShelfError:
    return ShelfError(
        f"this lick cannot be written as an example: {what}", mend="Change it by hand"
    )


def meter_of(score: Score) -> Meter:
    """Where the bar lines and beats of a Score fall.

    Raises
    ------
    ShelfError
        When its bars are of unlike time.
    """
    last = score.bars[-1]
    meter = score.meter
    if any(bar.length != last.whole for bar in score.bars[1 if meter.pickup else 0 :]):
        raise _no_words("its bars are of unlike time")
    return meter


def _harmony(score: Score, over: str | None) -> dict[str, object]:
    """The chords as changes, or the one bass."""
    if not score.chords and over is None:
        raise _no_words("it has no chords, and no bass was named")
    if not score.chords:
        return {"over": over}
    if len(score.chords) == 1:
        only = score.chords[0]
        claim = {"implies": only.symbol} if only.symbol else {}
        return {"over": str(only.bass), **claim}
    whole = score.bars[1:] if score.bars[0].number == 0 else score.bars
    return {
        "changes": " | ".join(_shares(bar, score.chords_in(bar.onset, bar.end)) for bar in whole)
    }


def _shares(bar: Bar, starts: Sequence[ChordSpan]) -> str:
    """The chords of one bar, a word a share: ``Dm9 . . G13``."""
    if any(not chord.symbol for chord in starts):
        raise _no_words("one of its chords has no common name")
    if not starts:
        return "."
    count = 1
    while any((chord.onset - bar.onset) * count % bar.length for chord in starts):
        count += 1
        if count > 16:
            raise _no_words("its chords change between the beats")
    at = {int((chord.onset - bar.onset) * count / bar.length): chord.symbol for chord in starts}
    return " ".join(at.get(share, ".") for share in range(count))
