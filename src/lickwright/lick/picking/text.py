"""How are pick strokes written in a line of text?

``D`` and ``U`` are a downstroke and an upstroke, ``-`` a note that is not picked.  Spaces group
the strokes for the eye.  ``x3`` repeats the group before it, round brackets hold a longer group,
and a closing ``mirrored`` adds the whole pattern once more with down and up exchanged:
``DDD U mirrored`` is ``DDD U UUU D``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke
from lickwright.lick.picking.motions import opposite

#: Strokes as a teacher gives them: a pattern in text, or one a note.
OwnStrokes = str | Sequence[Stroke | str | None]

_LETTERS: dict[str, Stroke | None] = {"D": Stroke.DOWN, "U": Stroke.UP, "-": None}
_TOKEN = re.compile(r"[DU-]+|\(|\)|X\s?([0-9]{1,3})|MIRRORED")
_LONGEST = 4096
_DEEPEST = 16
_MEND = "Write D, U and - for a note that is not picked, such as DDD U  UUU D"


def parse_strokes(text: str, count: int | None = None) -> list[Stroke | None]:
    """Read a stroke pattern; with ``count``, repeat it to that many notes.

    Returns
    -------
    One entry a note; ``None`` is a note that is not picked.

    Raises
    ------
    HandError
        For other signs, an empty pattern, or a pattern longer than ``count`` notes.
    """
    tokens = _tokens(text)
    mirrored = bool(tokens) and tokens[-1] == "MIRRORED"
    pattern, used = _group(tokens[:-1] if mirrored else tokens, 0, text)
    if used < len(tokens) - mirrored:
        raise HandError(f"the strokes '{text.strip()}' close a bracket never opened", mend=_MEND)
    if mirrored:
        pattern += mirror_strokes(pattern)
    if not pattern:
        raise HandError("the strokes are empty", mend=_MEND)
    if count is None:
        return pattern
    if len(pattern) > count:
        raise HandError(
            f"the strokes '{text.strip()}' are for {len(pattern)} notes, but there are {count}",
            mend="Shorten the pattern, or add notes",
        )
    return [pattern[index % len(pattern)] for index in range(count)]


def read_strokes(strokes: OwnStrokes, count: int) -> list[Stroke | None]:
    """Strokes for ``count`` notes from a pattern in text, or from one stroke or letter a note.

    Raises
    ------
    HandError
        When their number is not the number of notes, or one is no stroke.
    """
    if isinstance(strokes, str):
        return parse_strokes(strokes, count)
    if len(strokes) != count:
        raise HandError(
            f"there are {len(strokes)} strokes for {count} notes",
            mend="Give one stroke a note, and - for a note that is not picked",
        )
    read: list[Stroke | None] = []
    for number, stroke in enumerate(strokes, 1):
        if stroke is None or isinstance(stroke, Stroke):
            read.append(stroke)
        elif stroke in _LETTERS:
            read.append(_LETTERS[stroke])
        else:
            raise HandError(f"note {number} has the stroke '{stroke}'", mend=_MEND)
    return read


def print_strokes(strokes: Sequence[Stroke | None]) -> str:
    """Strokes in text, a space wherever the stroke changes: ``DDD U``."""
    letters = ["-" if stroke is None else stroke.value for stroke in strokes]
    words: list[str] = []
    for index, letter in enumerate(letters):
        if index and letter == letters[index - 1]:
            words[-1] += letter
        else:
            words.append(letter)
    return " ".join(words)


def mirror_strokes(strokes: Sequence[Stroke | None]) -> list[Stroke | None]:
    """Down for up and up for down: the strokes of the lick mirrored across the strings."""
    return [None if stroke is None else opposite(stroke) for stroke in strokes]


def _tokens(text: str) -> list[str]:
    tokens: list[str] = []
    at = 0
    line = text.upper()
    while at < len(line):
        if line[at].isspace():
            at += 1
            continue
        match = _TOKEN.match(line, at)
        if match is None:
            raise HandError(
                f"the strokes '{text.strip()}' have '{text[at]}' at place {at + 1}", mend=_MEND
            )
        tokens.append(match[0])
        at = match.end()
    if "MIRRORED" in tokens[:-1]:
        raise HandError(
            f"the strokes '{text.strip()}' say 'mirrored' before their end",
            mend="Write 'mirrored' last",
        )
    return tokens


def _group(
    tokens: list[str], at: int, text: str, depth: int = 0
) -> tuple[list[Stroke | None], int]:
    """Strokes from ``tokens[at]`` to the end or the closing bracket, and where that is."""
    if depth > _DEEPEST:
        raise HandError("the strokes have brackets too deep in brackets", mend="Write them out")
    strokes: list[Stroke | None] = []
    last: list[Stroke | None] = []
    while at < len(tokens) and tokens[at] != ")":
        token = tokens[at]
        if token.startswith("X"):
            times = int(token[1:])
            if not last or times < 1:
                raise HandError(f"the strokes '{text.strip()}' repeat nothing", mend=_MEND)
            strokes += last * (times - 1)
            last = []
        elif token == "(":
            last, at = _group(tokens, at + 1, text, depth + 1)
            if at == len(tokens):
                raise HandError(f"the strokes '{text.strip()}' leave a bracket open", mend=_MEND)
            strokes += last
        else:
            last = [_LETTERS[sign] for sign in token]
            strokes += last
        if len(strokes) > _LONGEST:
            raise HandError(f"the strokes are longer than {_LONGEST} notes", mend="Shorten them")
        at += 1
    return strokes, at
