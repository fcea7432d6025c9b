"""The lessons of a folder: listed, renamed, copied, and nothing outside the folder touched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lickwright.errors import LessonError, OutputError
from lickwright.lesson.edit import folder as folder_module
from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.edit.folder import duplicate_lesson, lesson_path, list_lessons, rename_lesson
from lickwright.lesson.file.reading import MAX_BYTES


@pytest.fixture
def folder(tmp_path: Path, small: str) -> Path:
    """A folder with one lesson, beside a file that nobody may reach."""
    (tmp_path / "secret.yaml").write_text("lesson: Secret\n")
    folder = tmp_path / "lessons"
    folder.mkdir()
    (folder / "one.yaml").write_text(small)
    return folder


BAD_NAMES = [
    "",
    ".",
    "..",
    "../secret.yaml",
    "..\\secret.yaml",
    "/etc/passwd.yaml",
    "sub/one.yaml",
    "C:one.yaml",
    ".hidden.yaml",
    "-rf.yaml",
    " one.yaml",
    "one.yaml\n",
    "one\x00.yaml",
    "one\x1b.yaml",
    "half\ud800.yaml",
    "x" * 200 + ".yaml",
    "♯" * 60 + ".yaml",
    "one.txt",
    "one",
    "one.yaml.draft",
    "..yaml",
]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_no_name_leads_out_of_the_folder(folder: Path, name: str) -> None:
    before = sorted(path.name for path in folder.parent.rglob("*"))
    with pytest.raises(LessonError) as caught:
        lesson_path(folder, name)
    assert "\n" not in str(caught.value)
    for act in (
        lambda: rename_lesson(folder, name, "two.yaml"),
        lambda: rename_lesson(folder, "one.yaml", name),
        lambda: duplicate_lesson(folder, name),
        lambda: duplicate_lesson(folder, "one.yaml", name),
    ):
        with pytest.raises(LessonError):
            act()
    assert sorted(path.name for path in folder.parent.rglob("*")) == before


def test_no_link_leads_out_of_the_folder(folder: Path, small: str) -> None:
    (folder / "out.yaml").symlink_to("../secret.yaml")
    (folder / "nowhere.yaml").symlink_to("../nothing.yaml")
    (folder / "in.yaml").symlink_to("one.yaml")
    (folder / "round.yaml").symlink_to("round.yaml")
    with pytest.raises(LessonError):
        LessonDocument.open(folder / "round.yaml")
    for name in ("out.yaml", "nowhere.yaml"):
        with pytest.raises(LessonError, match="link that leads out"):
            lesson_path(folder, name)
        with pytest.raises(LessonError):
            rename_lesson(folder, "one.yaml", name)
        with pytest.raises(LessonError):
            duplicate_lesson(folder, name)
    assert [lesson.name for lesson in list_lessons(folder)] == ["in.yaml", "one.yaml"]
    assert lesson_path(folder, "in.yaml").read_text() == small


def test_a_folder_that_is_itself_a_link_is_a_folder(folder: Path) -> None:
    link = folder.with_name("link")
    link.symlink_to(folder)
    assert [lesson.title for lesson in list_lessons(link)] == ["A Small One"]
    assert duplicate_lesson(link, "one.yaml").name == "one-2.yaml"


def test_the_list_names_lessons_and_nothing_else(folder: Path, small: str) -> None:
    (folder / "two.yml").write_text('# first\nlesson: "Two: #2"  # title\nkey: [')
    (folder / "three.yaml").write_text("no title\n")
    (folder / "four.yaml").write_bytes(b"\xef\xbb\xbflesson: Four\r\nkey: x\r\n")
    (folder / "five.yaml").write_bytes(b"lesson: \xff\n")
    (folder / "six.yaml").write_text("lesson: [x\n")
    (folder / "huge.yaml").write_bytes(b"lesson: x\n" + b"#" * MAX_BYTES)
    (folder / "notes.txt").write_text("lesson: no")
    (folder / "folder.yaml").mkdir()
    LessonDocument.open(folder / "one.yaml").replace_text("[")
    found = list_lessons(folder)
    assert {lesson.name: lesson.title for lesson in found} == {
        "five.yaml": None,
        "four.yaml": "Four",
        "one.yaml": "A Small One",
        "six.yaml": None,
        "three.yaml": None,
        "two.yml": "Two: #2",
    }
    assert [lesson.name for lesson in found] == sorted(lesson.name for lesson in found)
    assert [lesson.name for lesson in found if lesson.has_draft] == ["one.yaml"]
    assert found[0].changed_s == (folder / "five.yaml").stat().st_mtime


def test_a_folder_that_is_none_or_too_full_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(LessonError, match="cannot be read"):
        list_lessons(folder / "nothing")
    monkeypatch.setattr(folder_module, "MAX_LESSONS", 1)
    assert len(list_lessons(folder)) == 1
    duplicate_lesson(folder, "one.yaml")
    with pytest.raises(LessonError, match="more than 1 lessons"):
        list_lessons(folder)


def test_renaming_takes_the_draft_along_and_overwrites_nothing(folder: Path, small: str) -> None:
    document = LessonDocument.open(folder / "one.yaml")
    document.replace_text("[")
    with pytest.raises(LessonError, match="has this lesson open"):
        rename_lesson(folder, "one.yaml", "two.yaml")
    document.close()
    duplicate_lesson(folder, "one.yaml", "two.yaml")
    with pytest.raises(LessonError, match="of this name already"):
        rename_lesson(folder, "one.yaml", "two.yaml")
    assert (folder / "two.yaml").read_text() == small
    path = rename_lesson(folder, "one.yaml", "A new name ♯.yaml")
    assert path.read_text() == small
    document = LessonDocument.open(path)
    assert [draft.path.read_text() for draft in document.drafts] == ["["]
    assert not (folder / "one.yaml").exists()
    assert not list(folder.glob(".one.yaml.*"))
    with pytest.raises(LessonError, match="no such lesson"):
        rename_lesson(folder, "one.yaml", "three.yaml")
    assert not (folder / "three.yaml").exists()


def test_copies_take_the_next_free_name(folder: Path, small: str) -> None:
    names = [duplicate_lesson(folder, "one.yaml").name for _ in range(3)]
    assert names == ["one-2.yaml", "one-3.yaml", "one-4.yaml"]
    assert (folder / "one-4.yaml").read_text() == small
    with pytest.raises(LessonError, match="of this name already"):
        duplicate_lesson(folder, "one.yaml", "one-2.yaml")


def test_a_draft_of_a_lesson_that_is_gone_is_not_taken_for_another_ones(folder: Path) -> None:
    for make in (
        lambda: rename_lesson(folder, "one.yaml", "two.yaml"),
        lambda: duplicate_lesson(folder, "two.yaml", "three.yaml"),
        lambda: LessonDocument.create(folder / "four.yaml", title="Four", key="C major").path,
    ):
        names = sorted(path.name for path in folder.iterdir())
        for name in ("two", "three", "four"):
            if f"{name}.yaml" not in names:
                (folder / f".{name}.yaml.draft").write_text(f"old {name}")
        path = make()
        assert LessonDocument.open(path).drafts == ()
        assert (folder / f"{path.stem}.draft.yaml").read_text() == f"old {path.stem}"


def test_a_rename_that_fails_leaves_everything_as_it_was(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(folder_module.os, "replace", refuse)
    with pytest.raises(OutputError, match=r"cannot be renamed \(permission denied\)"):
        rename_lesson(folder, "one.yaml", "two.yaml")
    assert [path.name for path in folder.iterdir()] == ["one.yaml"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")
def test_what_is_no_plain_file_is_no_lesson(folder: Path) -> None:
    os.mkfifo(folder / "pipe.yaml")
    (folder / "device.yaml").symlink_to("/dev/zero")
    assert [lesson.name for lesson in list_lessons(folder)] == ["one.yaml"]
    for act in (duplicate_lesson, lambda f, n: rename_lesson(f, n, "two.yaml")):
        with pytest.raises(LessonError, match="no such lesson"):
            act(folder, "pipe.yaml")
