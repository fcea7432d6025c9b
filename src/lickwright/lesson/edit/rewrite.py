"""How does the text of a lesson change so as to say something else, and nothing but that?

An edit is stated as plain data: what the text says now and what it shall say.  Where the two
differ, characters or whole lines are put in, replaced or taken out; every other character stays,
so comments, order, quotes and spacing stay too.  What an edit cannot say in this way (an alias
whose anchor it takes away) comes out saying something else: the caller reads the result back and
refuses it.

A comment at the end of a line stays when the value on that line is replaced and goes when the key
does.  Comment lines directly above an entry of a list go where the entry goes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lickwright.lesson.edit.plain_edits import Keys
from lickwright.lesson.edit.yaml_places import (
    YamlItem,
    YamlValue,
    block_comment,
    column,
    comments_above,
    comments_below,
    items,
    line_end,
    line_start,
    root_value,
)
from lickwright.lesson.edit.yaml_style import (
    MAX_LINE,
    after_colon,
    list_entry,
    on_one_line,
    pair,
    scalar,
)

#: The order in which the keys of the map at a place are written.
Order = Callable[[Keys], Sequence[str]]


@dataclass(frozen=True, slots=True)
class _Splice:
    start: int
    end: int
    text: str


def rewritten(text: str, root: Any, old: Any, new: Any, order: Order) -> str:
    """``text`` changed to say ``new``.

    Parameters
    ----------
    text : what stands now; it ends with a line break.
    root : the parser's tree of it.
    old, new : what it says now and what it shall say, as plain data.
    order : where keys that are not there yet go.
    """
    splices = list(_changes(text, root_value(text, root), old, new, (), order))
    return _spliced(text, splices)


def reordered(text: str, root: Any, keys: Keys, sequence: Sequence[int]) -> str:
    """``text`` with the entries of a list of lines in another order.

    ``sequence`` names each entry by its index; twice for a copy.  Comment lines directly above
    an entry go with it; other comments and blank lines stay between their neighbours.
    """
    value = _at(text, root_value(text, root), keys)
    chunks = _chunks(text, items(text, value))
    gaps = [text[a[1] : b[0]] for a, b in pairwise(chunks)]
    spare = gaps[-1] if gaps else ""
    pieces: list[str] = []
    for place, index in enumerate(sequence):
        if place:
            pieces.append(gaps[place - 1] if place <= len(gaps) else spare)
        pieces.append(text[slice(*chunks[index])])
    start, end = chunks[0][0], chunks[-1][1]
    return text[:start] + "".join(pieces) + text[end:]


def in_lines(text: str, root: Any, keys: Keys) -> bool:
    """Whether the entries of the list at ``keys`` stand in lines of their own."""
    value = _at(text, root_value(text, root), keys)
    return value.is_list and not value.in_brackets


def _spliced(text: str, splices: list[_Splice]) -> str:
    pieces: list[str] = []
    at = 0
    for splice in sorted(splices, key=lambda s: (s.start, s.end)):
        pieces += [text[at : splice.start], splice.text]
        at = max(at, splice.end)
    return "".join([*pieces, text[at:]])


def _at(text: str, value: YamlValue, keys: Keys) -> YamlValue:
    for key in keys:
        found = items(text, value)
        value = next(i.value for n, i in enumerate(found) if key == (n if i.key is None else i.key))
    return value


def _changes(
    text: str, value: YamlValue, old: Any, new: Any, keys: Keys, order: Order
) -> Iterator[_Splice]:
    """What changes inside a list or map that stays one."""
    found = items(text, value)
    if isinstance(new, dict):
        here = {item.key: item for item in found}
        changed = [key for key in new if key not in old or not _same(old[key], new[key])]
        for key in [key for key in changed if key in here]:
            yield from _replaced(text, value, here[key], old[key], new[key], (*keys, key), order)
        gone = [i for i, item in enumerate(found) if item.key in old and item.key not in new]
        added = [key for key in changed if key not in here]
        if value.in_brackets:
            words = [f"{scalar(k, flow=True)}: {on_one_line(new[k], flow=True)}" for k in added]
            at = len(_before(added[0], found, order(keys))) if added else 0
            yield from _in_brackets(text, value, found, gone, at, words)
        else:
            yield from _pairs_out(text, found, gone)
            fresh = {key: new[key] for key in added}
            yield from _pairs_in(text, found, fresh, order(keys), apart=not keys)
        return
    head, tail = _common(old, new)
    middle = min(len(old), len(new)) - head - tail
    for i in range(head, head + middle):
        if not _same(old[i], new[i]):
            yield from _replaced(text, value, found[i], old[i], new[i], (*keys, i), order)
    gone = list(range(head + middle, len(old) - tail))
    fresh = new[head + middle : len(new) - tail]
    if value.in_brackets:
        words = [on_one_line(item, flow=True) for item in fresh]
        yield from _in_brackets(text, value, found, gone, head + middle, words)
    else:
        yield from _entries_out(text, found, gone)
        yield from _entries_in(text, value, found, head + middle, fresh)


def _replaced(
    text: str, within: YamlValue, item: YamlItem, old: Any, new: Any, keys: Keys, order: Order
) -> Iterator[_Splice]:
    """A value changed in its place: inside it where it stays a list or map, else as a whole."""
    value = item.value
    if (
        (value.is_map and isinstance(new, dict) and any(key in new for key in old))
        or (value.is_list and isinstance(new, list) and new and old)
    ) and not (not within.in_brackets and _outgrows_its_line(text, value, new)):
        yield from _changes(text, value, old, new, keys, order)
    elif within.in_brackets:
        yield _Splice(value.start, value.end, _space(value) + _word(value, new, flow=True))
    else:
        yield _in_lines_of_its_own(text, item, new)


def _in_lines_of_its_own(text: str, item: YamlItem, new: Any) -> _Splice:
    """The value of a key or a dash, replaced as a whole; the comments on its lines stay."""
    value = item.value
    indent = column(text, item.start)
    end = text.index("\n", value.end)
    block = block_comment(text, value)
    is_below = "\n" in text[item.colon : value.start]
    above = text[item.colon : text.index("\n", item.colon)] if is_below else block or ""
    comment = above.rstrip() + text[value.end : end]
    if item.key is None and isinstance(new, dict) and new:
        first, _, body = list_entry(new, indent).lstrip(" ").removeprefix("- ").partition("\n")
    else:
        first, body = after_colon(new, indent, item.colon - item.start)
    if isinstance(new, str) and comments_below(text, end + 1, indent + 1) > end + 1:
        body = ""  # a block of text would swallow the comments below
    if not body and not isinstance(new, dict | list):
        first = _word(value, new)
    start = value.start if first and not is_below else item.colon
    lead = " " if first and start == item.colon else ""
    return _Splice(start, end, lead + first + comment + (f"\n{body}" if body else ""))


def _space(value: YamlValue) -> str:
    """The space that an empty value lacks after its colon."""
    return " " if value.start == value.end else ""


def _word(value: YamlValue, new: Any, *, flow: bool = False) -> str:
    """A value on one line, in the quotes that stood there."""
    if isinstance(new, str):
        return scalar(new, flow=flow, quote=value.quote)
    return on_one_line(new, flow=flow)


def _outgrows_its_line(text: str, value: YamlValue, new: Any) -> bool:
    """Whether a list or map in brackets on one line would become too long for one."""
    if not value.in_brackets or "\n" in text[value.start : value.end]:
        return False
    after = value.start - line_start(text, value.start) + len(on_one_line(new))
    return after > max(MAX_LINE, value.end - line_start(text, value.start))


def _in_brackets(
    text: str, value: YamlValue, found: list[YamlItem], gone: list[int], at: int, words: list[str]
) -> Iterator[_Splice]:
    """Take the entries ``gone`` out of brackets and put ``words`` in before entry ``at``."""
    if not gone and not words:
        return
    if len(gone) == len(found):
        inside = ", ".join(words)
        yield _Splice(value.start + 1, value.end - 1, inside)
        return
    kept = [i for i in range(len(found)) if i not in gone]
    before = [i for i in kept if i < at]
    fresh = "".join(f", {word}" for word in words)
    for left, right in pairwise(kept):
        if right - left > 1:
            yield _Splice(found[left + 1].start, found[right].start, "")
    if kept[0] > 0:
        yield _Splice(found[0].start, found[kept[0]].start, "")
    last = found[kept[-1]].value.end
    if kept[-1] < len(found) - 1:
        tail = found[-1].value.end
        yield _Splice(last, tail, fresh if before and before[-1] == kept[-1] else "")
        if before and before[-1] == kept[-1]:
            return
    if not words:
        return
    if before:
        end = found[before[-1]].value.end
        yield _Splice(end, end, fresh)
    else:
        start = found[kept[0]].start
        yield _Splice(start, start, "".join(f"{word}, " for word in words))


def _pairs_out(text: str, found: list[YamlItem], gone: list[int]) -> Iterator[_Splice]:
    """Take pairs out of a map in lines of its own; at least one stays."""
    for i in gone:
        item = found[i]
        start, end = line_start(text, item.start), line_end(text, item.value.end)
        if text[start : item.start].strip():  # it stands on the line of a dash
            start = item.start
            following = _start_of_next(text, found, i, gone)
            if following is None:
                start = len(text[:start].rstrip(" "))
            end = following or end - 1
        yield _Splice(start, end, "")


def _start_of_next(text: str, found: list[YamlItem], i: int, gone: list[int]) -> int | None:
    """Where the next pair that stays begins, or None where comments stand before it."""
    for before, item in zip(found[i:], found[i + 1 :], strict=False):
        if text[line_end(text, before.value.end) : item.start].strip():
            return None
        if found.index(item) not in gone:
            return item.start
    return None


def _pairs_in(
    text: str, found: list[YamlItem], fresh: dict[Any, Any], order: Sequence[str], *, apart: bool
) -> Iterator[_Splice]:
    """Put pairs into a map in lines of its own, each after the keys that come before it.

    ``apart`` sets a blank line above a pair of several lines.
    """
    indent = column(text, found[0].start)
    for key in sorted(fresh, key=lambda k: _rank(k, order)):
        lines = pair(key, fresh[key], indent)
        before = _before(key, found, order)
        if before:
            at = comments_below(text, line_end(text, found[before[-1]].value.end), indent)
            lead = "\n" if apart and "\n" in lines else ""
            yield _Splice(at, at, f"{lead}{lines}\n")
        else:
            at = found[0].start
            yield _Splice(at, at, f"{lines.lstrip(' ')}\n{' ' * indent}")


def _rank(key: Any, order: Sequence[str]) -> int:
    """Where a key goes among its neighbours: numbers by size, words in ``order``, others last."""
    if isinstance(key, int):
        return key
    return order.index(key) if key in order else len(order)


def _before(key: Any, found: list[YamlItem], order: Sequence[str]) -> list[int]:
    """Which of the pairs that are there come before a new key."""
    rank = _rank(key, order)
    strange = [i for i, f in enumerate(found) if type(f.key) is str and f.key not in order]
    return sorted({*strange, *(i for i, f in enumerate(found) if _rank(f.key, order) <= rank)})


def _entries_out(text: str, found: list[YamlItem], gone: list[int]) -> Iterator[_Splice]:
    """Take entries out of a list in lines of its own, with the blank lines above them."""
    chunks = _chunks(text, found)
    kept = [i for i in range(len(found)) if i not in gone]
    for i in gone:
        start, end = chunks[i]
        if start == found[i].start and column(text, start):  # a list on the line of a dash
            end = found[kept[0]].start
        elif i:
            gap = text[chunks[i - 1][1] : start]
            if not gap.strip():
                start = chunks[i - 1][1]
        elif i + 1 < len(found) and not text[end : chunks[i + 1][0]].strip():
            end = chunks[i + 1][0]
        yield _Splice(start, end, "")


def _entries_in(
    text: str, value: YamlValue, found: list[YamlItem], at: int, fresh: Sequence[Any]
) -> Iterator[_Splice]:
    """Put entries into a list in lines of its own, before entry ``at``, spaced as it is."""
    if not fresh:
        return
    chunks = _chunks(text, found)
    indent = column(text, value.start)
    lines = [list_entry(item, indent) + "\n" for item in fresh]
    gap = ""
    if len(chunks) > 1:
        between = text[chunks[0][1] : chunks[1][0]]
        gap = "" if between.strip() else between
    elif any(isinstance(item, dict) and len(item) > 1 for item in fresh):
        gap = "\n"
    if at < len(found):
        place = chunks[at][0]
        joined = "".join(line + gap for line in lines)
        if text[line_start(text, place) : place].strip():  # a list on the line of a dash
            joined = joined.lstrip(" ") + " " * indent
        yield _Splice(place, place, joined)
        return
    place = chunks[-1][1]
    yield _Splice(place, place, "".join(gap + line for line in lines))


def _chunks(text: str, found: list[YamlItem]) -> list[tuple[int, int]]:
    """The lines of each entry of a list, with the comments that belong to it.

    Those are the comment lines directly above its dash, not indented further, and the comment
    lines below it that are.
    """
    chunks: list[tuple[int, int]] = []
    floor = 0
    for item in found:
        start = line_start(text, item.start)
        dash = item.start - start
        if text[start : item.start].strip():  # a list on the line of a dash
            start = item.start
            dash = column(text, start)
        else:
            start = comments_above(text, start, floor, dash)
        floor = comments_below(text, line_end(text, item.value.end), dash)
        chunks.append((start, floor))
    return chunks


def _same(left: Any, right: Any) -> bool:
    """Equality that tells 1 from true and 1.0."""
    if isinstance(left, dict) and isinstance(right, dict):
        return left.keys() == right.keys() and all(_same(left[k], right[k]) for k in left)
    if isinstance(left, list) and isinstance(right, list):
        return len(left) == len(right) and all(map(_same, left, right))
    return type(left) is type(right) and bool(left == right)


def _common(old: list[Any], new: list[Any]) -> tuple[int, int]:
    """How many entries two lists share at the head and, of the rest, at the tail."""
    shortest = min(len(old), len(new))
    head = next((i for i in range(shortest) if not _same(old[i], new[i])), shortest)
    rest = shortest - head
    tail = next((i for i in range(rest) if not _same(old[-1 - i], new[-1 - i])), rest)
    return head, tail
