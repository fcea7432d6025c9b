"""The small texts of the trade, made by their grammar: every one of them means something.

What is drawn follows the tables of the program where it has them (suffixes, scales, tunings,
flows), so that a new row is tried without a word here.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeVar

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from lickwright.lick.phrase.contour import DIRECTIONS, GROUPS
from lickwright.lick.rhythm.reading import FLOWS, USUAL_NORMAL
from lickwright.neck.tunings import TUNINGS
from lickwright.theory.scales import SCALES
from lickwright.theory.symbols.kinds import VOCABULARY

LETTERS = "CDEFGAB"
SIGNS = ("", "", "", "", "b", "#", "♭", "♯")
T = TypeVar("T")

#: Those that need no more than seven signs in any signature that is common.
EASY_NOTES = ("C", "D", "E", "F", "G", "A", "B", "Bb", "Eb", "F#", "Ab", "C#")
_SCALES = tuple(name for scale in SCALES for name in (scale.name, *scale.aliases))
_SPELLINGS = tuple(word for kind in VOCABULARY for word in (kind.suffix, *kind.spellings))
_PLAIN_SUFFIXES = tuple(kind.suffix for kind in VOCABULARY)
_ADDED = ("(add9)", "add11", "(no5)", "no3", "b9", "#11", "(b13)", "sus4", "omit5", "(#9)")
_TIMES = ("4/4", "4/4", "4/4", "3/4", "2/4", "6/8", "7/8", "12/8", "5/4", "5/8", "9/8", "2/2")


@lru_cache(maxsize=4096)
def _sampled(options: Sequence[Any]) -> SearchStrategy[Any]:
    return st.sampled_from(options)


@lru_cache(maxsize=4096)
def _whole(low: int, high: int) -> SearchStrategy[int]:
    return st.integers(low, high)


def pick(draw: DrawFn, options: Sequence[T]) -> T:
    """One of some options; what stands there more often is drawn more often."""
    picked: T = draw(_sampled(options if isinstance(options, str) else tuple(options)))
    return picked


def whole(draw: DrawFn, low: int, high: int) -> int:
    """A whole number, both ends among them."""
    return draw(_whole(low, high))


def often(draw: DrawFn, out_of_ten: int) -> bool:
    """Whether something happens that should so many times in ten."""
    return whole(draw, 0, 9) < out_of_ten


@lru_cache(maxsize=256)
@st.composite
def notes(draw: DrawFn) -> str:
    """``F#``, ``B♭``."""
    return pick(draw, LETTERS) + pick(draw, SIGNS)


@lru_cache(maxsize=256)
@st.composite
def pitches(draw: DrawFn) -> str:
    """``F#4``."""
    return draw(notes()) + str(whole(draw, 0, 7))


@lru_cache(maxsize=256)
@st.composite
def intervals(draw: DrawFn) -> str:
    """``m3``, ``-P5``, ``AA4``."""
    number = whole(draw, 1, 22)
    perfect = (number - 1) % 7 in (0, 3, 4)
    usual = ("P", "A", "d") if perfect else ("M", "m", "A", "d", "AA")
    quality = pick(draw, usual if number > 1 else ("P", "A"))
    return f"{pick(draw, ('', '', '-'))}{quality}{number}"


@lru_cache(maxsize=256)
@st.composite
def triads(draw: DrawFn) -> str:
    """``F#m``, ``Bbsus2``."""
    return draw(notes()) + pick(draw, ("", "", "m", "m", "dim", "aug", "sus2", "sus4"))


@lru_cache(maxsize=256)
@st.composite
def keys(draw: DrawFn) -> str:
    """``B dorian``, ``F# phrygian dominant``, ``Am``."""
    if often(draw, 1):
        return pick(draw, ("Am", "F#m", "Bb", "Emin", "C major", "Gmaj"))
    return f"{pick(draw, EASY_NOTES)} {pick(draw, _SCALES)}"


@lru_cache(maxsize=256)
@st.composite
def chords(draw: DrawFn) -> str:
    """``Bb13(#11)/D``, and now and then two chords, one above the other."""
    text = draw(notes()) + pick(draw, _SPELLINGS)
    if often(draw, 1):
        text += pick(draw, _ADDED)
    if often(draw, 2):
        text += f"/{draw(notes())}"
    elif often(draw, 1):
        text = f"{draw(triads())}/{text or 'C'}"
    return text


@lru_cache(maxsize=256)
@st.composite
def plain_chords(draw: DrawFn) -> str:
    """A chord as the house writes it, without a bass."""
    return pick(draw, EASY_NOTES) + pick(draw, _PLAIN_SUFFIXES)


@lru_cache(maxsize=256)
@st.composite
def times(draw: DrawFn) -> str:
    """``7/8``; the common ones more often than the others."""
    if often(draw, 7):
        return pick(draw, _TIMES)
    return f"{whole(draw, 1, 19)}/{pick(draw, (1, 2, 4, 8, 16))}"


@lru_cache(maxsize=256)
@st.composite
def tunings(draw: DrawFn) -> str:
    """A name in any capitals, pitches, or note names alone."""
    name = pick(draw, ("standard", *TUNINGS))
    way = pick(draw, ("name", "name", "shouted", "strings", "moved", "bare"))
    strings = TUNINGS[name].split()
    if way == "name":
        return name
    if way == "shouted":
        return name.upper().replace("-", " ")
    if way == "bare":
        return " ".join(string[:-1] for string in strings)
    if way == "moved":
        at = whole(draw, 0, len(strings) - 1)
        strings[at] = pick(draw, LETTERS) + strings[at][-1]
    return pick(draw, (" ", ", ")).join(strings)


@lru_cache(maxsize=256)
@st.composite
def scale_lengths(draw: DrawFn) -> str:
    """``648 mm``, ``25.5-27 in``."""
    unit, low, high = pick(draw, (("mm", 300, 1000), ("in", 12, 39), ("cm", 31, 99)))
    lengths = sorted(whole(draw, low, high) for _ in range(2 if often(draw, 3) else 1))
    half = pick(draw, ("", ".5", ".25")) if lengths[-1] < high else ""
    return "-".join(map(str, lengths)) + f"{half} {unit}"


@lru_cache(maxsize=256)
@st.composite
def ranges(draw: DrawFn, low: int = 1, high: int = 22, least: int = 0) -> str:
    """``9-14``: from ``low`` to ``high``, the ends ``least`` apart or more."""
    first = whole(draw, low, max(low, high - least))
    last = whole(draw, min(first + least, high), high)
    return pick(draw, ("{}-{}", "{}-{}", "{} - {}", "{} to {}")).format(first, last)


def fractions() -> SearchStrategy[str]:
    """Beats of a pickup."""
    return st.sampled_from(("1", "2", "1/2", "3/2", "1.5", "3", "1/3", "0.25"))


# --- rhythms --------------------------------------------------------------------------------------

_LETTERS = "hqqeeesssst"
_DOTS = ("", "", "", "", ".", "..")


@lru_cache(maxsize=256)
@st.composite
def rhythms(draw: DrawFn) -> str:
    """The name of a flow, or values, rests, ties, tuplets and groups in order."""
    if often(draw, 3):
        return pick(draw, tuple(FLOWS))
    # A note first and last, so that no tie meets a rest round the end of the cycle.
    words = [pick(draw, _LETTERS)]
    made = (_values, _values, _tuplets, _repeats)
    words += [pick(draw, made)(draw) for _ in range(whole(draw, 0, 7))]
    words.append(pick(draw, _LETTERS) + pick(draw, _DOTS))
    return " ".join(words)


def _values(draw: DrawFn) -> str:
    value = pick(draw, _LETTERS) + pick(draw, _DOTS)
    if often(draw, 2):
        return f"r{value}"
    return f"{value}+{pick(draw, _LETTERS)}" if often(draw, 2) else value


def _repeats(draw: DrawFn) -> str:
    times_ = whole(draw, 1, 8)
    if often(draw, 5):
        return f"{pick(draw, _LETTERS)} x{times_}"
    return f"({' '.join(_values(draw) for _ in range(whole(draw, 1, 4)))}) x{times_}"


def _tuplets(draw: DrawFn) -> str:
    """A tuplet that is full: some of its values joined, divided, or rests."""
    actual = pick(draw, (3, 3, 3, 5, 6, 7, 9, 11))
    unit, joined, halved = pick(draw, (("q", "h", "e"), ("e", "q", "s"), ("s", "e", "t")))
    head = str(actual)
    if often(draw, 2):
        normal = pick(draw, [n for n in range(1, 17) if n != actual])
        head = f"{actual}:{normal}"
    assert actual in USUAL_NORMAL
    if often(draw, 3):
        return f"{head}({unit} x{actual})"
    words, left = [], actual
    while left:
        way = pick(draw, ("one", "one", "rest", "joined", "halved"))
        if way == "joined" and left > 1:
            words.append(joined)
            left -= 2
        else:
            left -= 1
            words += [halved] * 2 if way == "halved" else [f"r{unit}" if way == "rest" else unit]
    return f"{head}({' '.join(words)})"


_LENGTHS = {"h": "2", "q": "1", "e": "1/2", "s": "1/4", "q.": "3/2"}


@lru_cache(maxsize=256)
@st.composite
def filled(draw: DrawFn, length: Fraction) -> tuple[str, int]:
    """Values that last exactly ``length`` quarter notes, and how many notes they are."""
    usual = {word: Fraction(value) for word, value in _LENGTHS.items()}
    groups = {"3(e x3)": (Fraction(1), 3), "3(q e)": (Fraction(1), 2), "5(s x5)": (Fraction(1), 5)}
    words, left, count = [], length, 0
    while left:
        fitting = [word for word, value in usual.items() if value <= left]
        fitting += [word for word, (value, _) in groups.items() if value <= left]
        if not fitting:
            words.append("t" if left % Fraction(1, 8) == 0 else "s")
            left = max(Fraction(0), left - Fraction(1, 8))
            count += 1
            continue
        word = pick(draw, fitting)
        value, attacks = groups.get(word, (Fraction(usual.get(word, 0)), 1))
        rest = word in usual and count > 0 and often(draw, 1)
        words.append(f"r{word}" if rest else word)
        count += 0 if rest else attacks
        left -= value
    return " ".join(words), count


# --- contours, strokes, fingers -------------------------------------------------------------------


@lru_cache(maxsize=256)
@st.composite
def contours(draw: DrawFn) -> str:
    """Up to five ways, plain or described."""
    plain = often(draw, 4)
    ways = [_ways(draw, plain) for _ in range(whole(draw, 1, 5))]
    return (" " if plain else pick(draw, (", ", " ", " , "))).join(ways)


def _ways(draw: DrawFn, plain: bool) -> str:
    words = [pick(draw, DIRECTIONS)]
    if plain:
        return words[0]
    described = pick(draw, ("", "", "broken", "in"))
    if described == "in":
        words.append(f"in {pick(draw, ('threes', *GROUPS))}")
    elif described:
        words.append(described)
    if often(draw, 2):
        words.append(pick(draw, ("from nearest", "from 1", "from 2", "from 3")))
    if often(draw, 2):
        words.append("turn")
    return " ".join(words)


@lru_cache(maxsize=256)
@st.composite
def strokes(draw: DrawFn) -> str:
    """Letters, groups and repeats, perhaps mirrored."""
    words = [_stroke_group(draw, 2) for _ in range(whole(draw, 1, 6))]
    mirrored = [pick(draw, ("mirrored", "MIRRORED"))] if often(draw, 2) else []
    return pick(draw, (" ", "  ")).join([*words, *mirrored])


def _stroke_group(draw: DrawFn, depth: int) -> str:
    if depth and often(draw, 2):
        inside = [_stroke_group(draw, depth - 1) for _ in range(whole(draw, 1, 3))]
        text = f"({' '.join(inside)})"
    else:
        text = "".join(pick(draw, "DDUUdu-") for _ in range(whole(draw, 1, 6)))
    return f"{text} x{whole(draw, 1, 6)}" if often(draw, 2) else text


def fingers() -> SearchStrategy[str]:
    """A few fingers, most of them left open, as hands differ."""
    return st.lists(st.sampled_from("....1234"), min_size=1, max_size=6).map(" ".join)


# --- changes --------------------------------------------------------------------------------------

_SMALL = ("ii", "iii", "vi", "i", "iv")
_LARGE = ("I", "II", "IV", "V", "bVII", "bII", "nVI", "bVI", "#IV", "bIII", "nIII", "nVII")
_MINOR_SUFFIXES = ("", "m7", "m9", "7", "9", "m11", "m7b5", "ø7")
_LARGE_SUFFIXES = ("", "7", "maj7", "9", "13", "7b9", "7alt", "6/9", "sus4", "maj9", "add9")


def _numeral(draw: DrawFn) -> str:
    small = often(draw, 4)
    place = pick(draw, _SMALL if small else _LARGE)
    text = place + pick(draw, _MINOR_SUFFIXES if small else _LARGE_SUFFIXES)
    return f"V7/{pick(draw, ('ii', 'V', 'IV', 'vi'))}" if often(draw, 1) else text


@lru_cache(maxsize=256)
@st.composite
def changes(draw: DrawFn, most_bars: int = 8) -> str:
    """Bars of chords and numerals, with holds, silences, repeats, changes of time and key.

    Parameters
    ----------
    most_bars : before the repeats.
    """
    text, repeating, line = "", False, True
    bars = whole(draw, 1, most_bars)
    for number in range(bars):
        if not repeating and often(draw, 1):
            text += " |: "
            repeating = True
        elif not line:
            text += pick(draw, (" | ", " | ", " | ", "|", " || ", "\n"))
        line = False
        if often(draw, 1):
            text += f"({draw(times())}) "
        if often(draw, 1):
            text += f"({draw(keys())}) "
        text += _bar(draw, first=number == 0)
        if repeating and (number == bars - 1 or often(draw, 4)):
            text += " :|" + pick(draw, ("", "", " x3", " x2", " x5"))
            repeating, line = False, True
            if number < bars - 1:
                text += " "
    return text


def _bar(draw: DrawFn, *, first: bool) -> str:
    if not first and often(draw, 1):
        return "%"
    words = [_numeral(draw) if often(draw, 3) else draw(chords())]
    others = pick(draw, (0, 0, 0, 1, 1, 2, 3))
    words += [
        pick(draw, (".", ".", ".", ".", "N.C.")) if often(draw, 5) else draw(chords())
        for _ in range(others)
    ]
    if not first and often(draw, 1):
        words[0] = "."
    return " ".join(words)
