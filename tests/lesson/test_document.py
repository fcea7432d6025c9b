"""Editing a lesson: what each edit does to the text, and every way back."""

from __future__ import annotations

import copy
import difflib
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import LessonError, LickwrightError
from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.edit.edited_text import JOIN_WITHIN_S
from lickwright.lesson.edit.plain_edits import key_order, set_value
from lickwright.lesson.edit.rewrite import rewritten
from lickwright.lesson.file.entries import ExampleEntry, LessonEntry
from lickwright.lesson.file.reading import MAX_BYTES, parse_text
from lickwright.lesson.file.settings import GuitarEntry

from .conftest import SMALL

Write = Callable[[str], Path]


LESSON = """\
# A lesson of the Heron Lane workshop, an invented place.

lesson: Low Water
number: 3
guitar:
  tuning: standard
  frets: 22
tempo: {slow: 60, target: 96}  # never faster
key: B dorian
labels: degrees

text: |
  Two plain triads.

  One chord.

examples:
  - name: The pair
    triads: [D, F#m]
    over: B
    frets: [9-12, 14-17]
    contour: up down
    rhythm: 16ths
    notes: |
      - Rest the side of the hand.

  # the hard one
  - name: In fives
    triads: [A, C#m]
    over: 'F#'
    key: F# dorian
    rhythm: quintuplets
    tempo: {target: 80}

  - name: Over the changes
    text: |
      Four chords, one idea.
    lick: The pair
    changes: Bm9 | E13 | Amaj9 | F#7b9
    pins: {1: {triads: [D, F#m]}}
    notes: |
      Bars 2 and 3 alone.

closing: |
  Write the next pair yourself.
"""


@pytest.fixture
def open_lesson(write: Write) -> LessonDocument:
    """A lesson of three examples, open in a folder of its own."""
    return LessonDocument.open(write(LESSON))


def changes(old: str, new: str) -> list[str]:
    """The lines taken out (-) and put in (+)."""
    lines = difflib.unified_diff(old.split("\n"), new.split("\n"), lineterm="", n=0)
    return [line for line in lines if not re.match(r"(---|\+\+\+|@@)", line)]


def on_disk(document: LessonDocument) -> str:
    return document.path.read_bytes().decode()


# What edits write


#: An edit of the lesson and the lines it changes.
EDITS: list[tuple[Callable[[LessonDocument], None], list[str]]] = [
    (
        lambda d: d.put(("tempo", "slow"), 66),
        [
            "-tempo: {slow: 60, target: 96}  # never faster",
            "+tempo: {slow: 66, target: 96}  # never faster",
        ],
    ),
    (lambda d: d.put(("tempo", "slow"), 60.0), []),
    (lambda d: d.put(("guitar", "capo"), 2), ["+  capo: 2"]),
    (lambda d: d.put(("paper",), "letter"), ["+paper: letter"]),
    (
        lambda d: d.put(("examples", 0, "rhythm"), "8th triplets"),
        ["-    rhythm: 16ths", "+    rhythm: 8th triplets"],
    ),
    (lambda d: d.put(("examples", 0, "fingers"), "1 2 3 4"), ["+    fingers: 1 2 3 4"]),
    (
        lambda d: d.put(("examples", 0, "triads"), ["D", "F#m", "A"]),
        ["-    triads: [D, F#m]", "+    triads: [D, F#m, A]"],
    ),
    (
        lambda d: d.put(("examples", 0, "frets"), "9-16"),
        ["-    frets: [9-12, 14-17]", "+    frets: 9-16"],
    ),
    (
        lambda d: d.put(("examples", 1, "over"), "C#"),
        ["-    over: 'F#'", "+    over: 'C#'"],
    ),
    (
        lambda d: d.put(("examples", 1, "tempo", "slow"), 50),
        ["-    tempo: {target: 80}", "+    tempo: {slow: 50, target: 80}"],
    ),
    (lambda d: d.drop(("examples", 1, "tempo", "target")), ["-    tempo: {target: 80}"]),
    (lambda d: d.put(("examples", 0, "tempo", "slow"), 50), ["+    tempo: {slow: 50}"]),
    (
        lambda d: d.put(("examples", 2, "pins", 3), {"frets": "9-12"}),
        [
            "-    pins: {1: {triads: [D, F#m]}}",
            "+    pins: {1: {triads: [D, F#m]}, 3: {frets: 9-12}}",
        ],
    ),
    (lambda d: d.put(("examples", 2, "pins", 1), None), ["-    pins: {1: {triads: [D, F#m]}}"]),
    (
        lambda d: d.put(("examples", 2, "notes"), "- Slow.\n- Slower.\n"),
        ["-      Bars 2 and 3 alone.", "+      - Slow.", "+      - Slower."],
    ),
    (
        lambda d: d.rename_example(0, "The pair: first"),
        [
            "-  - name: The pair",
            '+  - name: "The pair: first"',
            "-    lick: The pair",
            '+    lick: "The pair: first"',
        ],
    ),
    (
        lambda d: d.add_example({"name": "New", "over": "D", "triads": ["F"], "tab": None}, 1),
        ["+  - name: New", "+    over: D", "+    triads: [F]", "+"],
    ),
    (
        lambda d: d.add_example({"name": "Last", "over": "D", "tab": "e|-1-|\nB|-1-|\n"}),
        ["+", "+  - name: Last", "+    over: D", "+    tab: |", "+      e|-1-|", "+      B|-1-|"],
    ),
    (
        lambda d: d.remove_example(1),
        [f"-{line}" for line in LESSON[LESSON.index("  # the hard") :].split("\n")[:8]],
    ),
]


@pytest.mark.parametrize(("edit", "lines"), EDITS)
def test_an_edit_changes_its_lines_and_no_others(
    open_lesson: LessonDocument, edit: Callable[[LessonDocument], None], lines: list[str]
) -> None:
    edit(open_lesson)
    assert sorted(changes(LESSON, open_lesson.text)) == sorted(lines)
    assert open_lesson.fault is None
    assert on_disk(open_lesson) == open_lesson.text
    open_lesson.undo()
    assert on_disk(open_lesson) == open_lesson.text == LESSON


def test_each_key_of_the_demo_can_be_changed_without_touching_another_line(
    demo_path: Path,
) -> None:
    text = demo_path.read_text(encoding="utf-8")
    parsed = parse_text(text, demo_path)
    tried = 0
    for keys, line in parsed.lines.keys.items():
        new = copy.deepcopy(parsed.data)
        set_value(new, keys, 7)
        result = rewritten(text, parsed.root, parsed.data, new, key_order)
        changed = changes(text, result)
        assert [line for line in changed if line[0] == "+"] != []
        first = text.split("\n")[line - 1]
        if isinstance(at(parsed.data, keys), str) and "\n" not in at(parsed.data, keys):
            assert changed[0] == f"-{first}"
            assert len(changed) == 2
        tried += 1
    assert tried > 100


def at(data: Any, keys: tuple[str | int, ...]) -> Any:
    for key in keys:
        data = data[key]
    return data


def test_what_is_put_is_in_the_lesson(open_lesson: LessonDocument) -> None:
    open_lesson.put(("examples", 0, "rhythm"), "8ths")
    assert open_lesson.lesson is not None
    assert str(open_lesson.lesson.examples[0].rhythm) == "8ths"
    assert open_lesson.data is not None
    open_lesson.data["examples"].clear()
    assert len(open_lesson.data["examples"]) == 3, "the data is a copy"


def test_moving_and_copying_take_the_whole_text_of_an_example(
    open_lesson: LessonDocument,
) -> None:
    open_lesson.move_example(0, 1)
    assert open_lesson.lesson is not None
    names = [example.name for example in open_lesson.lesson.examples]
    assert names == ["In fives", "The pair", "Over the changes"]
    assert sorted(open_lesson.text.split("\n")) == sorted(LESSON.split("\n"))
    open_lesson.undo()
    open_lesson.duplicate_example(1)
    fives = LESSON[LESSON.index("  # the hard") : LESSON.index("  - name: Over the changes")]
    added = "\n".join(line[1:] for line in changes(LESSON, open_lesson.text))
    assert sorted(added.split("\n")) == sorted(
        fives.replace("In fives", "In fives (2)").split("\n")[:-1]
    )
    open_lesson.remove_example(2)
    assert open_lesson.text == LESSON


def test_an_example_moved_above_what_it_carries_is_a_fault_and_comes_back(
    open_lesson: LessonDocument,
) -> None:
    open_lesson.move_example(2, 0)
    assert open_lesson.fault is not None
    assert "no earlier one" in open_lesson.fault.what
    assert on_disk(open_lesson) == LESSON
    open_lesson.undo()
    assert open_lesson.fault is None


def test_a_new_lesson_reads_and_takes_its_first_example_later(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    document = LessonDocument.create(path, title="Tide: one", key="D dorian")
    assert document.text == 'lesson: "Tide: one"\nkey: D dorian\n\nexamples: []\n'
    assert document.lesson is None
    document.add_example({"name": "A", "over": "D", "triads": ["F", "Am"]})
    assert document.text.endswith("examples:\n  - name: A\n    over: D\n    triads: [F, Am]\n")
    assert document.fault is None
    assert document.saved
    with pytest.raises(LessonError, match=r"of this name already\. Choose another name"):
        LessonDocument.create(path, title="Other", key="C major")
    assert on_disk(document) == document.text
    whole = LessonDocument.create(
        tmp_path / "whole.yaml",
        title="Two",
        key="D dorian",
        examples=[{"name": n, "over": "D", "triads": ["F", "Am"]} for n in "AB"],
    )
    assert whole.lesson is not None
    assert not whole.can_undo


@pytest.mark.parametrize(
    ("title", "key", "examples", "says"),
    [
        ("", "D dorian", [], "'lesson' is empty"),
        ("x" * 121, "D dorian", [], "at most 120"),
        ("x", "H major", [], "H major"),
        ("x", "D dorian", [{"name": "A"}], "no music"),
    ],
)
def test_a_lesson_that_would_not_read_is_not_made(
    tmp_path: Path, title: str, key: str, examples: list[dict[str, Any]], says: str
) -> None:
    with pytest.raises(LickwrightError, match=re.escape(says)):
        LessonDocument.create(tmp_path / "new.yaml", title=title, key=key, examples=examples)
    assert list(tmp_path.iterdir()) == []


def test_the_order_of_keys_knows_every_key() -> None:
    for keys, model in [((), LessonEntry), (("examples", 0), ExampleEntry)]:
        assert sorted(key_order(keys)) == sorted(model.model_fields)
    assert list(key_order(("guitar",))) == list(GuitarEntry.model_fields)


# Comments, line breaks, byte order marks


COMMENTED = (
    SMALL.replace("key: B dorian\n", "# over the key\nkey: B dorian  # home\n\n# over the tempo\n")
    .replace("  - name: Own", "\n  # over own notes\n  - name: Own")
    .replace("    over: B\n    tab", "    over: B  # the bass\n    tab")
    + "# the end\n"
)


@pytest.mark.parametrize(
    "edit",
    [
        lambda d: d.put(("key",), "D dorian"),
        lambda d: d.put(("key",), None),
        lambda d: d.put(("tempo",), {"slow": 50, "target": 80}),
        lambda d: d.put(("text",), "Some\ntext\n"),
        lambda d: d.put(("closing",), "Some\ntext\n"),
        lambda d: d.put(("examples", 1, "over"), "E"),
        lambda d: d.put(("examples", 1, "notes"), "One\n\nTwo"),
        lambda d: d.put(("examples", 0, "name"), None),
        lambda d: d.rename_example(1, "Mine"),
        lambda d: d.move_example(1, 0),
        lambda d: d.move_example(0, 1),
        lambda d: d.duplicate_example(0),
        lambda d: d.remove_example(0),
        lambda d: d.add_example({"name": "C", "over": "D", "triads": ["F"]}, 1),
        lambda d: d.add_example({"name": "C", "over": "D", "triads": ["F"]}),
    ],
)
def test_comments_survive_every_edit(write: Write, edit: Callable[[LessonDocument], None]) -> None:
    document = LessonDocument.open(write(COMMENTED))
    edit(document)
    assert document.text != COMMENTED
    taken_with_its_key = ["# home"] if document.data and "key" not in document.data else []
    lost = set(re.findall("# .*", COMMENTED)) - set(re.findall("# .*", document.text))
    assert sorted(lost) == taken_with_its_key
    document.undo()
    assert on_disk(document) == COMMENTED


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_line_breaks_and_byte_order_mark_stay(tmp_path: Path, bom: bytes) -> None:
    path = tmp_path / "lesson.yaml"
    first = bom + COMMENTED.replace("\n", "\r\n").encode()
    path.write_bytes(first)
    document = LessonDocument.open(path)
    document.put(("examples", 1, "notes"), "One\r\ntwo\n")
    assert document.lesson is not None
    assert document.lesson.examples[1].notes == "One\ntwo\n"
    data = path.read_bytes()
    assert data.startswith(bom + b"lesson")
    assert data.count(b"\n") == data.count(b"\r\n") == first.count(b"\n") + 3
    document.undo()
    assert path.read_bytes() == first


def test_a_last_line_without_a_break_is_ended_when_lines_follow(write: Write) -> None:
    text = SMALL.replace("    rhythm: q\n", "    notes: |\n      Slowly") + ""
    document = LessonDocument.open(write(text))
    document.add_example({"name": "C", "over": "D", "triads": ["F"]})
    assert document.fault is None
    assert document.text.startswith(text + "\n")
    document.undo()
    assert on_disk(document) == text


# What is refused


def test_an_edit_that_would_change_another_place_is_refused(write: Write) -> None:
    text = SMALL.replace("triads: [D, F#m]", "triads: &pair [D, F#m]").replace(
        "    rhythm: q\n", "    triads: *pair\n"
    )
    document = LessonDocument.open(write(text))
    with pytest.raises(LessonError, match=r"without changing other places.*by hand"):
        document.put(("examples", 0, "triads"), "D")
    with pytest.raises(LessonError, match="without changing other places"):
        document.put(("examples", 0, "triads", 0), "E")
    assert document.text == on_disk(document) == text
    document.put(("examples", 1, "triads", 0), "E")
    assert document.data is not None
    assert [e["triads"] for e in document.data["examples"]] == [["D", "F#m"], ["E", "F#m"]]


def cyclic() -> list[Any]:
    ring: list[Any] = []
    ring.append(ring)
    return ring


@pytest.mark.parametrize(
    ("keys", "value", "says"),
    [
        ((), 1, "no place"),
        (("key", "tonic"), "D", "no place"),
        (("examples", 9, "name"), "x", "no place"),
        (("examples", -1), {}, "no place"),
        (("examples", "0", "name"), "x", "no place"),
        (("text",), float("nan"), "cannot stand"),
        (("text",), float("inf"), "cannot stand"),
        (("text",), 10**4000, "cannot stand"),
        (("text",), object(), "cannot stand"),
        (("text",), {("a",): 1}, "cannot stand"),
        (("text",), "half \ud800", "cannot stand"),
        (("text",), cyclic(), "nested too deep"),
        (("text",), "x" * MAX_BYTES, "larger than a lesson"),
    ],
)
def test_what_cannot_be_written_is_refused_in_one_sentence(
    small: str, write: Write, keys: tuple[Any, ...], value: Any, says: str
) -> None:
    document = LessonDocument.open(write(small))
    with pytest.raises(LessonError, match=says) as caught:
        document.put(keys, value)
    assert "\n" not in str(caught.value)
    assert document.text == on_disk(document) == small
    assert not document.can_undo


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (lambda d: d.remove_example(2), "no place 3.*1 to 2"),
        (lambda d: d.remove_example(-1), "no place 0"),
        (lambda d: d.move_example(0, 2), "no place 3"),
        (lambda d: d.add_example({}, 4), "no place 5"),
        (lambda d: d.duplicate_example(7), "no place 8"),
        (lambda d: d.duplicate_example(0, "Own notes"), "named 'Own notes' already"),
        (lambda d: d.rename_example(0, "Own notes"), "named 'Own notes' already"),
        (lambda d: d.rename_example(0, " "), "name is empty"),
    ],
)
def test_examples_that_are_not_there_are_told(
    small: str, write: Write, edit: Callable[[LessonDocument], None], says: str
) -> None:
    document = LessonDocument.open(write(small))
    with pytest.raises(LessonError, match=says):
        edit(document)
    assert document.text == small


def test_text_that_is_not_yaml_is_mended_as_text_only(small: str, write: Write) -> None:
    document = LessonDocument.open(write(small))
    document.replace_text("lesson: [")
    assert document.fault is not None
    assert document.data is None
    with pytest.raises(LessonError, match="this is not YAML"):
        document.put(("key",), "C major")
    assert document.lesson is not None
    assert document.lesson.entry.lesson == "A Small One", "the last that read well"
    document.replace_text(small)
    assert document.fault is None


def test_inside_only_lessons_a_fault_is_refused(small: str, write: Write) -> None:
    document = LessonDocument.open(write(small))
    with document.only_lessons():
        with pytest.raises(LessonError, match="H minor"):
            document.put(("key",), "H minor")
        with pytest.raises(LickwrightError, match="capo"):
            document.put(("guitar",), {"frets": 5, "capo": 7})
        with pytest.raises(LessonError, match="not YAML"):
            document.replace_text("[")
        document.put(("key",), "C major")
    assert document.can_undo
    document.undo()
    assert document.text == small
    assert not document.can_undo
    document.put(("key",), "H minor")
    assert document.fault is not None


# The way back


class Clock:
    """Seconds that pass when told."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


def test_quick_edits_of_one_key_are_one_step_when_asked(small: str, write: Write) -> None:
    clock = Clock()
    document = LessonDocument.open(write(small), clock=clock)
    for name in ["N", "Ne", "New"]:
        document.put(("lesson",), name, join=True)
        clock.now_s += JOIN_WITHIN_S / 2
        assert f"lesson: {name}\n" in on_disk(document).replace('"', ""), "each is saved"
    document.put(("number",), 1, join=True)
    document.put(("number",), 2, join=True)
    clock.now_s += JOIN_WITHIN_S * 1.01
    document.put(("number",), 3, join=True)
    document.put(("number",), 4)
    seen = []
    while document.can_undo:
        document.undo()
        seen.append((document.data or {}).get("number"))
    assert seen == [3, 2, None, None]
    assert document.text == small


def test_an_edit_after_undo_does_not_join_what_was_before_it(small: str, write: Write) -> None:
    document = LessonDocument.open(write(small), clock=lambda: 0.0)
    document.put(("number",), 1, join=True)
    document.put(("lesson",), "New", join=True)
    document.undo()
    document.put(("number",), 2, join=True)
    document.undo()
    assert document.data is not None
    assert document.data["number"] == 1


Edit = Callable[[LessonDocument], None]

spots = st.sampled_from(
    [
        ("lesson",),
        ("key",),
        ("text",),
        ("tempo", "slow"),
        ("guitar", "capo"),
        ("examples", 0, "rhythm"),
        ("examples", 1, "notes"),
        ("examples", 0, "triads"),
        ("examples", 1, "tempo", "target"),
        ("examples", 2),
    ]
)
things = st.sampled_from(
    [None, "D dorian", "16ths", "line\nline\n", "a: b", 70, 2, ["A", "C#m"], {"name": "Z"}]
)
places = st.integers(0, 3)
edits: st.SearchStrategy[Edit] = st.one_of(
    st.builds(lambda k, v, j: lambda d: d.put(k, v, join=j), spots, things, st.booleans()),
    st.builds(lambda k: lambda d: d.drop(k), spots),
    st.builds(lambda i: lambda d: d.remove_example(i), places),
    st.builds(lambda i, to: lambda d: d.move_example(i, to), places, places),
    st.builds(lambda i: lambda d: d.duplicate_example(i), places),
    st.builds(lambda i, n: lambda d: d.rename_example(i, n), places, st.sampled_from("XY")),
    st.builds(lambda t: lambda d: d.replace_text(t), st.sampled_from([SMALL, COMMENTED, "[", ""])),
    st.just(lambda d: d.undo()),
    st.just(lambda d: d.redo()),
    st.just(lambda d: d.add_example({"name": "New", "over": "D", "triads": ["F", "Am"]}, 1)),
)


@contextmanager
def opened(text: str) -> Iterator[LessonDocument]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lesson.yaml"
        path.write_text(text, encoding="utf-8")
        yield LessonDocument.open(path, clock=Clock())


@given(st.lists(edits, max_size=12))
@settings(max_examples=40)
def test_undo_takes_every_edit_back_and_redo_makes_it_again(done: list[Edit]) -> None:
    with opened(COMMENTED) as document:
        for edit in done:
            before = document.text
            try:
                edit(document)
            except LessonError:
                assert document.text == before, "a refused edit changes nothing"
            drafts = list(document.path.parent.glob(".lesson.yaml.*.draft"))
            assert drafts == ([] if document.own_draft is None else [document.own_draft])
            kept = document.own_draft or document.path
            assert kept.read_text(encoding="utf-8") == document.text, "every edit is on the disk"
            assert document.saved == (not drafts)
            assert document.saved or document.fault is not None
        last = document.text
        back = [last]
        while document.can_undo:
            document.undo()
            back.append(document.text)
        assert document.text == on_disk(document) == COMMENTED
        assert [path.name for path in document.path.parent.iterdir()] == ["lesson.yaml"]
        forth = [document.text]
        while document.can_redo:
            document.redo()
            forth.append(document.text)
        assert forth[: len(back)] == back[::-1]
        for _ in forth[len(back) :]:
            document.undo()
        assert document.text == last


def test_history_is_bounded_and_forgets_the_oldest() -> None:
    from lickwright.lesson.edit.history import History

    history = History("0", most_steps=10)
    for i in range(1, 100):
        history.push(str(i))
    seen = [history.text]
    while history.back():
        seen.append(history.text)
    assert seen == [str(i) for i in range(99, 89, -1)]
    heavy = History("a" * 10, most_characters=25)
    heavy.push("b" * 10)
    heavy.push("c" * 10)
    assert heavy.back()
    assert heavy.text == "b" * 10
    assert not heavy.can_undo
