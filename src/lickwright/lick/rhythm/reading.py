"""How is a rhythm written in a line of text, and what does the text mean?

A rhythm is a cycle of values that is played over and over until the notes run out.

Words name an even flow: ``16ths``, ``8ths``, ``quarters``, ``8th triplets``, ``16th triplets``,
``quintuplets``, ``sextuplets``, ``septuplets`` ...

A mixed rhythm is spelled value by value:

==================  ========================================================================
``w h q e s t``     whole, half, quarter, eighth, sixteenth, thirty-second
``q.``  ``q..``     dotted, double-dotted
``rq``              a rest as long as a quarter
``q+s``             one note: a quarter tied to a sixteenth
``3(e e e)``        a triplet: three eighths in the time of two; likewise 5, 6, 7 and 9
``7:8(s ... s)``    a tuplet whose ratio is not the usual one
``e x4``            four eighths; ``(e s s) x2`` repeats a group
``|``               the bar line is here: checked, not obeyed
==================  ========================================================================

Lengths are exact fractions of a quarter note.  Reading what :func:`str` writes gives the same
rhythm.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from lickwright.errors import RhythmError, did_you_mean

#: Written values by letter, in quarter notes.
VALUES = {
    "w": Fraction(4),
    "h": Fraction(2),
    "q": Fraction(1),
    "e": Fraction(1, 2),
    "s": Fraction(1, 4),
    "t": Fraction(1, 8),
}
_LETTER = {length: letter for letter, length in VALUES.items()}

#: How many plain values a tuplet of so many stands for when no ratio is written (common
#: practice, no source: the largest power of two below).
USUAL_NORMAL = {3: 2, 5: 4, 6: 4, 7: 4, 9: 8, 10: 8, 11: 8, 12: 8, 13: 8, 14: 8, 15: 8}

#: The even flows by name; the first name of each is the one that is printed.
FLOWS = {
    "wholes": "w",
    "halves": "h",
    "quarters": "q",
    "8ths": "e",
    "16ths": "s",
    "32nds": "t",
    "dotted quarters": "q.",
    "dotted 8ths": "e.",
    "quarter triplets": "3(q x3)",
    "8th triplets": "3(e x3)",
    "16th triplets": "3(s x3)",
    "quintuplets": "5(s x5)",
    "sextuplets": "6(s x6)",
    "septuplets": "7(s x7)",
    "eighths": "e",
    "sixteenths": "s",
    "thirty-seconds": "t",
    "triplets": "3(e x3)",
    "eighth triplets": "3(e x3)",
    "sixteenth triplets": "3(s x3)",
}

#: The longest cycle that is read, so that nested repeats cannot eat the machine.
LONGEST_CYCLE = 1024
#: The deepest brackets in brackets.
DEEPEST_GROUP = 16


@dataclass(frozen=True, slots=True)
class RhythmValue:
    """A written note value or rest; ``tied`` means it is held into the value that follows."""

    base: Fraction
    dots: int = 0
    rest: bool = False
    tied: bool = False

    @property
    def length(self) -> Fraction:
        """Quarter notes, before any tuplet squeezes it."""
        return self.base * (2 - Fraction(1, 2**self.dots))

    def __str__(self) -> str:
        return ("r" if self.rest else "") + _LETTER[self.base] + "." * self.dots


@dataclass(frozen=True, slots=True)
class TupletGroup:
    """``actual`` equal values in the time of ``normal``, some of them joined or divided."""

    actual: int
    normal: int
    values: tuple[RhythmValue, ...]

    @property
    def ratio(self) -> Fraction:
        """What each written length is multiplied by."""
        return Fraction(self.normal, self.actual)

    @property
    def length(self) -> Fraction:
        """Quarter notes that the whole group takes."""
        return sum((value.length for value in self.values), Fraction(0)) * self.ratio

    def __str__(self) -> str:
        usual = USUAL_NORMAL.get(self.actual) == self.normal
        head = f"{self.actual}" if usual else f"{self.actual}:{self.normal}"
        inside = (*self.values[:-1], replace(self.values[-1], tied=False))
        return f"{head}({_print_items(inside)})"


@dataclass(frozen=True, slots=True)
class BarMark:
    """A bar line the writer expects here."""

    def __str__(self) -> str:
        return "|"


Item = RhythmValue | TupletGroup | BarMark


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A cycle of values, written as shortly as it can be: ``e e`` is the same rhythm as ``e``."""

    items: tuple[Item, ...]

    @property
    def length(self) -> Fraction:
        """Quarter notes that one cycle takes."""
        return sum(
            (item.length for item in self.items if not isinstance(item, BarMark)), Fraction(0)
        )

    @property
    def attacks(self) -> int:
        """Notes that start in one cycle (rests and tied-over values start none)."""
        values = _flat(self.items)
        return sum(
            not value.rest and not values[index - 1].tied for index, value in enumerate(values)
        )

    def __str__(self) -> str:
        return _flow_names().get(self.items) or _print_items(self.items)


def parse_rhythm(text: str) -> Rhythm:
    """Read a rhythm: a word for an even flow, or values one by one (see the module).

    Parameters
    ----------
    text : such as ``16ths``, ``8th triplets`` or ``q e e s x4``.

    Returns
    -------
    Rhythm
        One cycle, written as shortly as it can be.

    Raises
    ------
    RhythmError
        Naming the place and, where there is one, the word that was probably meant.

    Examples
    --------
    >>> parse_rhythm("q e e q e e").attacks
    3
    >>> parse_rhythm("e e e e") == parse_rhythm("8ths")
    True
    """
    plain = " ".join(text.lower().split())
    if not plain:
        raise RhythmError("the rhythm is empty", mend="Write a rhythm such as 16ths, or q e e s x4")
    items = _RhythmReader(FLOWS.get(plain.replace("-", " "), FLOWS.get(plain, plain)), text).read()
    rhythm = cycle_of(items)
    values = _flat(rhythm.items)
    if not any(not value.rest for value in values):
        raise RhythmError(f"the rhythm '{text.strip()}' has no notes", mend="Add a note value")
    for index, value in enumerate(values):
        after = values[(index + 1) % len(values)]
        if value.tied and (value.rest or after.rest):
            raise RhythmError(
                f"a tie in '{text.strip()}' joins a rest", mend="Tie a note to a note"
            )
    if rhythm.attacks == 0:
        raise RhythmError(
            f"the rhythm '{text.strip()}' ties every value to the next, so no note ever starts",
            mend="Leave one value without a tie",
        )
    return rhythm


def cycle_of(items: tuple[Item, ...]) -> Rhythm:
    """The rhythm of some items, written as its shortest cycle.

    Parameters
    ----------
    items : values, tuplets and bar marks, in order.

    Returns
    -------
    Rhythm
        Which plays the same, over and over.

    Examples
    --------
    >>> eighth = parse_rhythm("8ths").items
    >>> cycle_of(eighth * 4) == parse_rhythm("8ths")
    True
    """
    return Rhythm(_shortest_cycle(items))


def _flat(items: tuple[Item, ...]) -> list[RhythmValue]:
    flat: list[RhythmValue] = []
    for item in items:
        if isinstance(item, RhythmValue):
            flat.append(item)
        elif isinstance(item, TupletGroup):
            flat.extend(item.values)
    return flat


def _shortest_cycle(items: tuple[Item, ...]) -> tuple[Item, ...]:
    count = len(items)
    for period in range(1, count):
        if count % period == 0 and items == items[:period] * (count // period):
            return items[:period]
    return items


def _tied(item: Item) -> bool:
    if isinstance(item, TupletGroup):
        return item.values[-1].tied
    return isinstance(item, RhythmValue) and item.tied


def _print_items(items: tuple[Item, ...]) -> str:
    """Items in text; runs of four or more equal, untied items are written as a repeat."""
    words: list[str] = []
    index = 0
    while index < len(items):
        item = items[index]
        run = 1
        while not _tied(item) and index + run < len(items) and items[index + run] == item:
            run += 1
        if run >= 4:
            words.append(f"{item} x{run}")
            index += run
            continue
        words.append(f"{item}+" if _tied(item) else str(item))
        index += 1
    return " ".join(words).replace("+ ", "+")


def _flow_names() -> dict[tuple[Item, ...], str]:
    names: dict[tuple[Item, ...], str] = {}
    for name, cycle in FLOWS.items():
        names.setdefault(cycle_of(_RhythmReader(cycle, cycle).read()).items, name)
    return names


_TOKEN = re.compile(
    r"(?P<tuplet>(?P<actual>[0-9]{1,2})(?::(?P<normal>[0-9]{1,2}))?\()"
    r"|(?P<value>(?P<rest>r?)(?P<letter>[whqest])(?P<dots>\.{0,2})(?![a-wyz0-9]))"
    r"|(?P<repeat>x\s?(?P<times>[0-9]{1,4}))"
    r"|(?P<open>\()|(?P<close>\))|(?P<tie>\+)|(?P<bar>\|)"
)


class _RhythmReader:
    """A recursive-descent reader over one rhythm text."""

    def __init__(self, text: str, shown: str) -> None:
        self._text = text
        self._shown = shown.strip()
        self._at = 0
        self._depth = 0

    def read(self) -> tuple[Item, ...]:
        items = self._sequence(inside="")
        return tuple(items)

    def _fail(self, what: str, mend: str) -> RhythmError:
        return RhythmError(f"the rhythm '{self._shown}' {what}", mend=mend)

    def _next(self) -> re.Match[str] | None:
        while self._at < len(self._text) and self._text[self._at].isspace():
            self._at += 1
        if self._at == len(self._text):
            return None
        token = _TOKEN.match(self._text, self._at)
        if token is None:
            word = self._text[self._at :].split()[0]
            near = did_you_mean(self._text, FLOWS) or did_you_mean(word, FLOWS)
            raise self._fail(
                f"has '{word}', which is no note value",
                near or "Use w h q e s t with dots, rests (rq), ties (q+s), tuplets 3(e e e)",
            )
        self._at = token.end()
        return token

    def _sequence(self, inside: str) -> list[Item]:
        """Items up to the end, or up to the bracket that closes ``inside``."""
        items: list[Item] = []
        last: list[Item] = []  # what a repeat would repeat: the item or group just read
        self._depth += 1
        if self._depth > DEEPEST_GROUP:
            raise self._fail("has brackets too deep in brackets", "Write the groups side by side")
        while (token := self._next()) is not None:
            if token["close"]:
                if not inside:
                    raise self._fail("closes a bracket that was never opened", "Take it out")
                self._depth -= 1
                return items
            if token["repeat"]:
                times = int(token["times"])
                if not last:
                    raise self._fail("repeats nothing", "Write the repeat after a value: e x4")
                if not 1 <= times <= 64:
                    raise self._fail(f"repeats {times} times", "Repeat 1 to 64 times")
                if _tied(items[-1]):
                    raise self._fail("repeats a tie", "Write the tied values out")
                items.extend(last * (times - 1))
                last = []
            elif token["tie"]:
                self._tie(items)
                last = []
            else:
                last = self._item(token, inside)
                items.extend(last)
            if len(items) > LONGEST_CYCLE:
                raise self._fail(f"is longer than {LONGEST_CYCLE} values", "Shorten the cycle")
        if inside:
            raise self._fail("leaves a bracket open", "Close it with )")
        return items

    def _item(self, token: re.Match[str], inside: str) -> list[Item]:
        if token["value"]:
            return [
                RhythmValue(VALUES[token["letter"]], len(token["dots"]), rest=bool(token["rest"]))
            ]
        if token["bar"]:
            if inside == "tuplet":
                raise self._fail("has a bar line inside a tuplet", "Put it before or after")
            return [BarMark()]
        if token["open"]:
            return self._sequence("tuplet" if inside == "tuplet" else "group")
        if inside == "tuplet":
            raise self._fail("has a tuplet inside a tuplet", "Write one level of tuplets")
        return [self._tuplet(int(token["actual"]), int(token["normal"] or 0) or None)]

    def _tuplet(self, actual: int, normal: int | None) -> TupletGroup:
        if normal is None:
            normal = USUAL_NORMAL.get(actual)
        if normal is None:
            raise self._fail(
                f"has a tuplet of {actual} that does not say in the time of how many",
                f"Write the ratio, such as {actual}:3( )",
            )
        if not 2 <= actual <= 15 or not 1 <= normal <= 16 or actual == normal:
            raise self._fail(f"has the tuplet ratio {actual}:{normal}", "Use a ratio such as 5:4")
        values = tuple(item for item in self._sequence("tuplet") if isinstance(item, RhythmValue))
        if not values:
            raise self._fail(f"has an empty tuplet of {actual}", f"Put {actual} values in it")
        group = TupletGroup(actual, normal, values)
        unit = sum((value.length for value in values), Fraction(0)) / actual
        if unit not in (*VALUES.values(), Fraction(1, 16)):
            raise self._fail(
                f"has {group}, which does not hold {actual} equal values",
                f"Fill it with {actual} of one value, some joined or divided",
            )
        return group

    def _tie(self, items: list[Item]) -> None:
        if not items or isinstance(items[-1], BarMark) or _tied(items[-1]):
            raise self._fail("has a tie that starts from no note", "Write the tie after a note")
        item = items[-1]
        if isinstance(item, TupletGroup):
            last = replace(item.values[-1], tied=True)
            items[-1] = replace(item, values=(*item.values[:-1], last))
        else:
            items[-1] = replace(item, tied=True)
