"""Inputs that no one would write: texts cut, spliced, repeated, and salted with odd signs.

Few of them come past the first gate; they are there to try that one.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

#: Signs that parsers trip over: no width, wrong direction, surrogate edges, digits of other
#: scripts, letters that grow when capitals are made of them.
ODD = (
    "\x00", "\x07", "\x1b", "\x7f", "\x85", "\xa0", "\u2028", "\u200b", "\u202e", "\ufeff",
    "\ufffd", "\U0001d12b", "\U0001f3b8", "٣", "²", "½", "ß", "ŉ", "ǰ", "İ", "ı", "ſ", "Å", "é",
    "♯", "♭", "𝟛", "१", "\ud800", "\t", "\r\n", "\n\n\n", "'", '"', "`", "\\", "{", "}", "[", "]",
    "<", ">", "&", "%s", "{0}", "$(x)",
)  # fmt: skip
NUMBERS = (
    "0", "-1", "1", "7", "12", "24", "99", "100", "999", "1e9", "1e999", "-0", "0.0", "1/0", "0/0",
    "2147483648", "9" * 30, "9" * 400, "0x10", "1_000", "NaN", "inf", "٣", "+5", "3.14159265358979",
)  # fmt: skip


def mutated(seeds: Sequence[str], words: Sequence[str], rng: random.Random) -> str:
    """A text that was cut, spliced, repeated or salted, once or a few times."""
    text = rng.choice(seeds)
    if rng.random() < 0.15:
        text = _assembled(words, rng)
    for _ in range(rng.choice((1, 1, 1, 1, 2, 2, 3, 7))):
        text = rng.choice(_WAYS)(text, seeds, words, rng)
        if len(text) > 60_000:
            text = text[:60_000]
    return text


def _assembled(words: Sequence[str], rng: random.Random) -> str:
    """Words of the trade in no order."""
    gap = rng.choice((" ", "", "\n", " | ", ", "))
    return gap.join(rng.choices(words, k=rng.choice((1, 2, 3, 5, 8, 20))))


Way = Callable[[str, Sequence[str], Sequence[str], random.Random], str]


def _place(text: str, rng: random.Random) -> int:
    return rng.randint(0, len(text))


def _stretch(text: str, rng: random.Random) -> tuple[int, int]:
    start = _place(text, rng)
    return start, min(len(text), start + rng.choice((1, 1, 2, 3, 8, 30, 200)))


def _delete(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    start, end = _stretch(text, rng)
    return text[:start] + text[end:]


def _truncate(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    return text[: _place(text, rng)]


def _odd(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    at = _place(text, rng)
    return text[:at] + rng.choice(ODD) * rng.choice((1, 1, 2, 40)) + text[at:]


def _number(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    places = [at for at, sign in enumerate(text) if sign.isdigit()]
    at = rng.choice(places) if places else _place(text, rng)
    return text[:at] + rng.choice(NUMBERS) + text[at + bool(places) :]


def _word(text: str, _: Sequence[str], words: Sequence[str], rng: random.Random) -> str:
    start, end = _stretch(text, rng)
    return text[:start] + rng.choice(words) + text[end if rng.random() < 0.5 else start :]


def _flip(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    if not text:
        return rng.choice(ODD)
    at = rng.randrange(len(text))
    other = chr((ord(text[at]) ^ (1 << rng.randrange(7))) or 32)
    return text[:at] + other + text[at + 1 :]


def _repeat(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    start, end = _stretch(text, rng)
    times = rng.choice((2, 2, 3, 10, 100, 2000))
    return text[:start] + text[start:end] * times + text[end:]


def _splice(text: str, seeds: Sequence[str], _: Sequence[str], rng: random.Random) -> str:
    other = rng.choice(seeds)
    start, end = _stretch(other, rng)
    at = _place(text, rng)
    return text[:at] + other[start:end] + text[at:]


def _overwrite(text: str, _: Sequence[str], words: Sequence[str], rng: random.Random) -> str:
    """A word of the trade in the room of as many signs: columns stay where they are."""
    word = rng.choice(words)
    at = rng.randint(0, max(0, len(text) - len(word)))
    return text[:at] + word + text[at + len(word) :]


def _move_words(text: str, _: Sequence[str], words: Sequence[str], rng: random.Random) -> str:
    """A word dropped, doubled, exchanged or put in between."""
    parts = text.split(" ")
    at = rng.randrange(len(parts))
    way = rng.randrange(4)
    if way == 0:
        del parts[at]
    elif way == 1:
        parts.insert(at, parts[at])
    elif way == 2:
        other = rng.randrange(len(parts))
        parts[at], parts[other] = parts[other], parts[at]
    else:
        parts.insert(at, rng.choice(words))
    return " ".join(parts)


def _swap_lines(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    lines = text.split("\n")
    one, two = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[two] = lines[two], lines[one]
    return "\n".join(lines)


def _nest(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    opened, closed = rng.choice(
        (("(", ")"), ("[", "]"), ("{a: ", "}"), ("<a>", "</a>"), ("- ", ""))
    )
    depth = rng.choice((1, 2, 30, 3000))
    at = _place(text, rng)
    return text[:at] + opened * depth + rng.choice(("", "x", "e")) + closed * depth + text[at:]


def _case(text: str, _: Sequence[str], __: Sequence[str], rng: random.Random) -> str:
    start, end = _stretch(text, rng)
    return text[:start] + text[start:end].swapcase() + text[end:]


_WAYS: tuple[Way, ...] = (
    _delete, _truncate, _odd, _number, _number, _word, _word, _flip, _flip, _repeat, _splice,
    _swap_lines, _nest, _case, _overwrite, _overwrite, _move_words, _move_words,
)  # fmt: skip
