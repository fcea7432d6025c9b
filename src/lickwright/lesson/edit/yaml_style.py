"""How is a value written in a lesson file?

Plain words where YAML reads them back as the same text, quotes where it would not, ``|`` blocks
for text of several lines, short lists and maps on one line, two spaces for each level.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from lickwright.errors import LessonError
from lickwright.lesson.file import MAX_DEPTH

#: A list or map longer than this, with its key, is written over several lines.
MAX_LINE = 88

#: What a word may begin with and stay unquoted; YAML allows more, nobody needs it here.
_SAFE_START = re.compile(r"[^\W_]|[♭♯°øØΔ(/+^.]")
_UNSAFE = re.compile(r": |:$|\s#|^\s|\s$|[\t\n]|^\.\.\.|^\+?$")
_FLOW_UNSAFE = re.compile(r"[,\[\]{}]|:(?=\S)")
#: Words that YAML 1.1 reads as true, false or a number of minutes: quoted, so that every program
#: reads text.
_OLD_WORD = re.compile(r"y|n|yes|no|on|off|[\d_]+(?::\d+)+(?:\.\d*)?", re.IGNORECASE)
#: What YAML 1.2.2 (section 5.1) does not let stand in a file as itself, and line breaks.
_UNPRINTABLE = re.compile(
    r"[^\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_HALF_CHARACTER = re.compile(r"[\ud800-\udfff]")
#: No number of a lesson comes near it; beyond it a float no longer tells neighbours apart.
_MOST = 10**15
_LETTERS = {"\n": "\\n", "\t": "\\t", "\r": "\\r", '"': '\\"', "\\": "\\\\"}


def plain_data(value: Any, *, depth: int = 0) -> Any:
    """``value`` as the plain data a file can hold.

    Keys whose value is None are left out, line breaks become ``\\n``, whole numbers lose their
    decimal point.

    Raises
    ------
    LessonError
        Where it holds anything but text, numbers, true, false, lists and maps of them.
    """
    if depth > MAX_DEPTH:
        raise LessonError("this is nested too deep for a lesson file", mend="Take brackets out")
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str) and not _HALF_CHARACTER.search(value):
        return value.replace("\r\n", "\n")
    if isinstance(value, int | float) and abs(value) < _MOST:
        return int(value) if value == int(value) else float(value)
    if isinstance(value, list | tuple):
        return [plain_data(item, depth=depth + 1) for item in value]
    if isinstance(value, Mapping) and all(isinstance(key, str | int) for key in value):
        return {
            key: plain_data(item, depth=depth + 1)
            for key, item in value.items()
            if item is not None
        }
    raise LessonError(
        f"{str(value)[:40]!a} cannot stand in a lesson file",
        mend="Give text, numbers, true or false, or lists and maps of them",
    )


def scalar(value: Any, *, flow: bool = False, quote: str | None = None) -> str:
    """One value on one line; ``quote`` (``'`` or ``"``) keeps the quotes that stood there."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return repr(value)
    if _UNPRINTABLE.search(value):
        return _double(value)
    if quote is None and _is_plain(value, flow):
        return value
    if quote == "'" or (quote is None and re.search(r'["\\]', value)):
        return "'" + value.replace("'", "''") + "'"
    return _double(value)


def is_block_text(value: Any) -> bool:
    """Whether text is written as a ``|`` block.

    Several lines that end with one break or none, or a line too long to stand in quotes.
    """
    return (
        isinstance(value, str)
        and ("\n" in value or (len(value) > MAX_LINE and not _is_plain(value, flow=False)))
        and bool(value.strip())
        and not value.endswith("\n\n")
        and not _UNPRINTABLE.search(value.replace("\n", "").replace("\t", ""))
    )


def block_text(value: str, indent: int) -> tuple[str, str]:
    """Text of several lines as a ``|`` block: its header and its body, without a last break.

    ``indent`` is the column of the body.
    """
    header = "|"
    if value[0] in " \t\n":
        header += "2"
    if not value.endswith("\n"):
        header += "-"
    pad = " " * indent
    lines = value.removesuffix("\n").split("\n")
    return header, "\n".join(pad + line if line else "" for line in lines)


def on_one_line(value: Any, *, flow: bool = False) -> str:
    """A value in one line; ``flow`` says that it stands inside brackets."""
    if isinstance(value, list):
        return "[" + ", ".join(on_one_line(item, flow=True) for item in value) + "]"
    if isinstance(value, dict):
        pairs = (f"{scalar(k, flow=True)}: {on_one_line(v, flow=True)}" for k, v in value.items())
        return "{" + ", ".join(pairs) + "}"
    return scalar(value, flow=flow)


def after_colon(value: Any, column: int, used: int = 0) -> tuple[str, str]:
    """What follows the colon of a key: the rest of its line, and the lines below it.

    Parameters
    ----------
    value : plain data.
    column : where the key stands.
    used : how many characters of the line the key takes.

    Returns
    -------
    head, body
        ``head`` goes on the key's line after a space (empty: nothing does); ``body`` below it,
        without a last break (empty: there is none).
    """
    if is_block_text(value):
        return block_text(value, column + 2)
    if not isinstance(value, dict | list) or not value:
        return on_one_line(value), ""
    if not _wants_lines(value):
        line = on_one_line(value)
        if column + used + len(line) <= MAX_LINE:
            return line, ""
    if isinstance(value, dict):
        return "", "\n".join(pair(key, item, column + 2) for key, item in value.items())
    return "", "\n".join(list_entry(item, column + 2) for item in value)


def pair(key: str | int, value: Any, column: int) -> str:
    """A key and its value in lines of their own, without a last break."""
    name = scalar(key)
    head, body = after_colon(value, column, len(name) + 2)
    line = " " * column + name + ":" + (f" {head}" if head else "")
    return f"{line}\n{body}" if body else line


def list_entry(value: Any, column: int) -> str:
    """An entry of a list in lines of its own, the dash at ``column``, without a last break."""
    pad = " " * column + "- "
    if isinstance(value, dict) and value:
        text = "\n".join(pair(key, item, column + 2) for key, item in value.items())
        return pad + text.lstrip(" ")
    if is_block_text(value):
        header, body = block_text(value, column + 2)
        return f"{pad}{header}\n{body}"
    return pad + on_one_line(value)


def _wants_lines(value: Any) -> bool:
    """Whether a list or map cannot stand on one line: block text, or maps in a list."""
    if isinstance(value, dict):
        return any(_wants_lines(item) for item in value.values())
    if isinstance(value, list):
        return any(isinstance(item, dict) or _wants_lines(item) for item in value)
    return is_block_text(value)


def _is_plain(value: str, flow: bool) -> bool:
    return (
        bool(_SAFE_START.match(value))
        and not _UNSAFE.search(value)
        and not (flow and _FLOW_UNSAFE.search(value))
        and not _OLD_WORD.fullmatch(value)
        and _reads_as_text(value)
    )


@lru_cache(maxsize=4096)
def _reads_as_text(word: str) -> bool:
    """Whether the parser takes an unquoted word for text, not for a number or a date."""
    from ruamel.yaml import YAML
    from ruamel.yaml.nodes import ScalarNode

    tag = YAML(typ="rt", pure=True).resolver.resolve(ScalarNode, word, (True, False))
    return str(tag) == "tag:yaml.org,2002:str"


def _double(value: str) -> str:
    return '"' + "".join(_escaped(char) for char in value) + '"'


def _escaped(char: str) -> str:
    if char in _LETTERS:
        return _LETTERS[char]
    if not _UNPRINTABLE.match(char):
        return char
    code = ord(char)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else char
