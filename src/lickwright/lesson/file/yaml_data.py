"""What plain data does the tree of a text stand for, and on which line is each part of it?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from yaml import MappingNode, Node, ScalarNode, SequenceNode

from lickwright.errors import LessonError, Spot
from lickwright.lesson.file.yaml_tree import MAX_DEPTH, MERGE, scalar_value

#: An alias can make much of little, so values are counted as they are read, not as written.
MAX_VALUES = 20_000

#: The place of a value in the file: keys and list indices from the top.
Path_ = tuple[str | int, ...]

#: A key, the node of it (None in a list, and where another map was taken in), the value's node.
_Pair = tuple[str | int, Node | None, Node]


@dataclass(frozen=True, slots=True)
class Lines:
    """Where each key and each value of a file begins, counted from 1."""

    keys: Mapping[Path_, int]
    values: Mapping[Path_, int]

    def of(self, path: Path_) -> int | None:
        """The line of the longest part of ``path`` that the file has."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.keys:
                return self.keys[path[:end]]
        return 1 if self.keys else None

    def inside(self, path: Path_, line: int) -> int | None:
        """The file's line of line ``line`` (from 1) inside a block of text."""
        first = self.values.get(path)
        return self.of(path) if first is None else first + line - 1


def plain_data_of(root: MappingNode, file: str) -> tuple[dict[str, Any], Lines]:
    """The data of a tree, and the line of every key and value.

    Parameters
    ----------
    root : the tree, as :func:`~lickwright.lesson.file.yaml_tree.compose` gives it.
    file : the name of the file, for what is refused.

    Raises
    ------
    LessonError
        Where a key stands twice or is no plain word, where a value is neither text nor a number,
        and where the data is deeper or larger than a lesson can be.
    """
    reader = _Reader(file)
    return reader.of(root, (), 1), Lines(reader.keys, reader.values)


class _Reader:
    """Reads values and notes the line of each."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.keys: dict[Path_, int] = {}
        self.values: dict[Path_, int] = {}
        self.count = 0
        self._pairs: dict[int, list[_Pair]] = {}

    def of(self, node: Node, path: Path_, line: int) -> Any:
        """The data of a node whose key stands in ``line``."""
        self.count += 1
        if len(path) > MAX_DEPTH or self.count > MAX_VALUES:
            raise too_large(self.file, line)
        if isinstance(node, ScalarNode):
            return self.scalar(node, line)
        if isinstance(node, SequenceNode):
            return [self.entry(path, i, item) for i, item in enumerate(node.value)]
        return {key: self.value(path, line, key, at, item) for key, at, item in self.pairs(node)}

    def entry(self, path: Path_, index: int, node: Node) -> Any:
        here = (*path, index)
        line = self.keys[here] = node.start_mark.line + 1
        return self.of(node, here, line)

    def value(
        self, path: Path_, map_line: int, key: str | int, key_node: Node | None, node: Node
    ) -> Any:
        here = (*path, key)
        line = self.keys[here] = map_line if key_node is None else key_node.start_mark.line + 1
        data = self.of(node, here, line)
        if key_node is not None:
            # A block of text begins on the line below its key, other values where they stand.
            block = isinstance(data, str) and "\n" in data
            self.values[here] = node.start_mark.line + (2 if block else 1)
        return data

    def scalar(self, node: ScalarNode, line: int) -> Any:
        try:
            return scalar_value(node)
        except KeyError:
            raise LessonError(
                f"'{node.value}' is neither text nor a number",
                mend="Put it in quotes",
                where=Spot(self.file, line),
            ) from None
        except ValueError as error:
            raise LessonError(
                f"this is not YAML: {error}",
                mend="Put it in quotes, or write a number",
                where=Spot(self.file, line),
            ) from error

    def pairs(self, node: Node) -> list[_Pair]:
        """The pairs of a map, in order; those of other maps that it takes in (``<<``) last."""
        if id(node) not in self._pairs:
            self._pairs[id(node)] = []  # what it takes in of itself
            self._pairs[id(node)] = self.fresh_pairs(node)
        return self._pairs[id(node)]

    def fresh_pairs(self, node: Node) -> list[_Pair]:
        found: dict[str | int, _Pair] = {}
        taken_in: list[Node] | None = None
        for key_node, value_node in node.value:
            if key_node.tag == MERGE:
                if taken_in is not None:
                    raise self.not_yaml("duplicate key '<<'", key_node)
                taken_in = list(self.maps_of(value_node))
                continue
            key = self.key(key_node)
            if key in found:
                first = found[key][1]
                line = first.start_mark.line + 1 if first else 0
                raise self.not_yaml(f"duplicate key '{key}', first on line {line}", key_node)
            found[key] = key, key_node, value_node
        for other in taken_in or ():
            for key, _, value_node in self.pairs(other):
                found.setdefault(key, (key, None, value_node))
        return list(found.values())

    def key(self, node: Node) -> str | int:
        if not isinstance(node, ScalarNode):
            raise LessonError(
                "this is not YAML: a list or a mapping stands where a key belongs",
                mend="Write a plain word before each colon",
                where=Spot(self.file, node.start_mark.line + 1),
            )
        try:
            key = scalar_value(node)
        except KeyError:
            return str(node.value)
        except ValueError as error:
            raise self.not_yaml(str(error), node) from error
        return key if isinstance(key, int) else str(key)

    def maps_of(self, node: Node) -> Iterator[Node]:
        for each in node.value if isinstance(node, SequenceNode) else [node]:
            if not isinstance(each, MappingNode):
                raise self.not_yaml("'<<' takes in a map, or a list of maps", each)
            yield each

    def not_yaml(self, what: str, node: Node) -> LessonError:
        return not_yaml(what, self.file, node.start_mark.line + 1)


def not_yaml(what: str, file: str, line: int | None) -> LessonError:
    """The error of a text that is not YAML."""
    return LessonError(
        f"this is not YAML: {what}",
        mend="Check the colon, the quotes and the indentation here and on the line above",
        where=Spot(file, line),
    )


def too_large(file: str, line: int | None = None) -> LessonError:
    """The error of a text that holds more than a lesson can."""
    return LessonError(
        "the file is nested too deep or too large", mend="Split it", where=Spot(file, line)
    )
