"""Random YAML texts as people write them: comments anywhere, both styles, any quotes."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import strategies as st

#: Words of the trade, and words that YAML would take for something else than text.
WORDS = (
    "D dorian", "16ths", "e e q. | q", "Bm9 | E13", "F#m7(b5)", "9-14", "♯🎸", "it's", 'say "hi"',
    "x: y", "# no", "a #b", "yes", "12", "1.5", "-", "- a", "[x]", "{y", "true", "null", "~", "",
    " lead", "trail ", "a\\b", "%", "@x", "`", "!t", "&a", "*b", "|", ">", "? x", ":", ": a", "a:",
    "2024-01-01", "0x1f", "1e3", ".5", "a,b", "...", "---", "\ttab", "12:30", "+", "=", "<<",
)  # fmt: skip
LINES = (*WORDS, "", "  further in", "# not a comment")

words = st.sampled_from(WORDS)
blocks = st.builds(
    lambda lines, end: "\n".join(lines) + end,
    st.lists(st.sampled_from(LINES), min_size=2, max_size=4),
    st.sampled_from(["", "\n", "\n", "\n\n"]),
)
numbers = st.sampled_from([0, 1, -3, 42, True, False, 1.25])
#: What the texts are written from, and, with any character in the world, what is put into them.
plain = st.one_of(words, words, blocks, numbers)
scalars = st.one_of(plain, st.text(st.characters(codec="utf-8"), max_size=8))
keys = st.sampled_from("abcdefgh")


def nested(leaves: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.recursive(
        leaves,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
        max_leaves=6,
    )


values = nested(scalars)
lessons = st.dictionaries(keys, nested(plain), min_size=1, max_size=5)


@st.composite
def yaml_texts(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """A text and the data it was written from; each comment in it is numbered."""
    data = draw(lessons)
    writer = _Writer(draw)
    writer.children(data, 0)
    return "\n".join(writer.lines) + "\n", data


class _Writer:
    """Writes data as YAML in every style that the data allows."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.lines: list[str] = []
        self.comments = 0
        self.step = draw(st.sampled_from([2, 2, 4]))

    def comment(self) -> str:
        self.comments += 1
        return f"# note {self.comments}"

    def children(self, value: dict[str, Any] | list[Any], indent: int, first: str = "") -> None:
        """The pairs or entries in lines of their own; the first of them after ``first``."""
        pairs = value.items() if isinstance(value, dict) else ((None, item) for item in value)
        for key, item in pairs:
            lead = " " * indent
            if first:
                lead, first = first, ""
            else:
                self.spacing(indent)
            if key is None and isinstance(item, dict | list) and item and self.draw(st.booleans()):
                self.children(item, indent + 2, f"{lead}- ")
            else:
                self.item(f"{lead}-" if key is None else f"{lead}{key}:", item, indent, key is None)

    def spacing(self, indent: int) -> None:
        match self.draw(st.integers(0, 9)):
            case 0:
                self.lines.append("")
            case 1 | 2:
                column = self.draw(st.sampled_from([indent, 0, indent + 2]))
                if column > indent and self.lines and not self.may_comment_below():
                    column = indent
                self.lines.append(" " * column + self.comment())

    def may_comment_below(self) -> bool:
        """Whether a comment further in than its neighbours cannot be taken for block text."""
        return not any("|" in line or ">" in line for line in self.lines)

    def item(self, head: str, value: Any, indent: int, in_list: bool) -> None:
        note = f"  {self.comment()}" if self.draw(st.integers(0, 3)) == 0 else ""
        if isinstance(value, dict | list) and value and self.draw(st.booleans()):
            self.lines.append(head + note)
            flush = isinstance(value, list) and not in_list and self.draw(st.booleans())
            step = 2 if in_list else self.step
            self.children(value, indent if flush else indent + step)
        elif self.can_be_block(value) and self.draw(st.booleans()):
            end = "" if value.endswith("\n") else "-"
            hint = "2" if value[0] in " \t\n" else ""
            self.lines.append(f"{head} |{hint}{end}{note}")
            pad = " " * (indent + 2)
            body = value.removesuffix("\n").split("\n")
            self.lines += [pad + line if line else "" for line in body]
        else:
            self.lines.append(f"{head} {self.flow(value)}{note}")

    def can_be_block(self, value: Any) -> bool:
        return (
            isinstance(value, str)
            and bool(value.strip())
            and not value.endswith("\n\n")
            and value.replace("\n", "").replace("\t", "").isprintable()
        )

    def flow(self, value: Any) -> str:
        space = self.draw(st.sampled_from(["", " "]))
        if isinstance(value, list):
            inside = f",{space}".join(map(self.flow, value))
            end = self.draw(st.sampled_from(["", ","])) if value else ""
            return f"[{space}{inside}{end}{space}]"
        if isinstance(value, dict):
            inside = ", ".join(f"{key}: {self.flow(item)}" for key, item in value.items())
            return f"{{{space}{inside}{space}}}"
        if isinstance(value, str) and value.isprintable() and self.draw(st.booleans()):
            return "'" + value.replace("'", "''") + "'"
        return json.dumps(value, ensure_ascii=False)  # JSON is YAML
