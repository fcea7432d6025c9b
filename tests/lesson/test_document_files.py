"""What is on the disk while a lesson is edited: whole, saved, and never over another's work."""

from __future__ import annotations

import errno
import json
import os
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.errors import LessonError, OutputError
from lickwright.files import safe_write
from lickwright.files.safe_write import write_beside, write_new, write_whole
from lickwright.lesson.edit.document import ConflictError, LessonDocument

Write = Callable[[str], Path]

#: As many edits in each of two programs; more for a long look: LICKWRIGHT_EDITS=200.
EDITS = os.environ.get("LICKWRIGHT_EDITS", "60")
BAD_KEY = ("key: B dorian", "key: H dorian")


def kept(document: LessonDocument) -> Path:
    """Where the text waits that was edited here."""
    assert document.own_draft is not None
    return document.own_draft


def leave(path: Path, text: str) -> None:
    """Edit a lesson and end, with text that is no lesson."""
    document = LessonDocument.open(path)
    document.replace_text(text)
    document.close()


def left_behind(document: LessonDocument) -> list[str]:
    """What was left behind beside a file, the newest first."""
    return [draft.path.read_text() for draft in document.drafts if not draft.is_held]


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


# Killed at any moment


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
def test_killed_at_any_moment_nothing_that_was_told_is_lost(small: str, write: Write) -> None:
    script = Path(__file__).with_name("kill_while_editing.py")
    done = subprocess.run(
        [sys.executable, str(script), str(write(small)), "100", "7"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    rounds = json.loads(done.stdout)
    assert len(rounds) == 100
    for found in rounds:
        told, file, draft = found["told"], found["file"], found["draft"]
        newest = file if draft is None else draft
        assert newest in (told, told + 1), found
        assert file is not None, "whole"
        assert file % 3 or file == 0, "the file holds no broken text"
        last_good = told - 1 if told % 3 == 0 else told
        assert max(last_good, 0) <= file <= told + 1, found
        assert found["offered"] == (draft is not None and draft != file), found
    assert any(found["draft"] is not None for found in rounds)
    assert any(found["told"] > 0 for found in rounds)


@pytest.mark.skipif(os.name != "posix", reason="needs locks that end with their program")
def test_two_programs_at_one_lesson_lose_nothing_and_say_why(small: str, write: Write) -> None:
    script = Path(__file__).with_name("two_at_once.py")
    done = subprocess.run(
        [sys.executable, str(script), str(write(small)), EDITS, "3"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["faults"] == []
    assert found["edits"] == [int(EDITS)] * 2
    assert min(found["kills"]) > 0
    assert min(found["saved"], found["kept"], found["beside"]) > 0, "they met"
    assert found["lost"] == []
    assert found["neither"] == 0
    assert found["unexplained"] == 0
    assert found["unnamed"] == []


# Two documents at one file


def test_an_edit_leaves_the_draft_of_another_alone(small: str, write: Write) -> None:
    path = write(small)
    first, second = LessonDocument.open(path), LessonDocument.open(path)
    first.put(("number",), 1)
    second.put(("number",), 2)
    mine = second.text
    assert not second.saved
    assert second.is_kept
    assert second.look(), "the file was changed outside"
    for number in (3, 4):
        first.put(("number",), number)
    first.replace_text("[")
    first.undo()
    assert first.saved
    assert kept(second).read_text() == mine
    first.look()
    (theirs,) = first.drafts
    assert theirs.path == kept(second)
    assert theirs.is_held
    with pytest.raises(LessonError, match="still has the lesson open"):
        first.discard_draft(theirs)
    assert kept(second).read_text() == mine
    second.close()
    first.look()
    assert left_behind(first) == [mine]


def test_a_draft_that_is_taken_keeps_the_version_it_replaces(small: str, write: Write) -> None:
    path = write(small)
    first, second = LessonDocument.open(path), LessonDocument.open(path)
    first.put(("number",), 1)
    second.put(("number",), 2)
    newer, mine = first.text, second.text
    second.close()
    third = LessonDocument.open(path)
    assert not third.goes_on_from_here(third.drafts[0])
    third.take_draft()
    assert path.read_text() == mine
    assert path.with_name("lesson.before.yaml").read_text() == newer
    assert third.drafts == ()
    assert names(path.parent) == ["lesson.before.yaml", "lesson.yaml"]


def test_what_is_taken_from_one_who_still_edits_stays_with_them(small: str, write: Write) -> None:
    path = write(small)
    first, second = LessonDocument.open(path), LessonDocument.open(path)
    second.replace_text("[ second")
    first.look()
    first.take_draft(first.drafts[0])
    assert first.text == kept(second).read_text() == "[ second"
    second.replace_text(small)
    assert second.saved
    assert kept(first).read_text() == "[ second"


def test_taking_theirs_back_keeps_theirs_beside(small: str, write: Write) -> None:
    path = write(small)
    first, second = LessonDocument.open(path), LessonDocument.open(path)
    first.put(("number",), 1)
    second.put(("number",), 2)
    second.take_theirs()
    second.undo()
    assert second.saved
    assert path.with_name("lesson.before.yaml").read_text() == first.text


def test_a_draft_of_the_former_form_is_found_and_offered(small: str, write: Write) -> None:
    path = write(small)
    path.with_name(".lesson.yaml.draft").write_text("[ old")
    document = LessonDocument.open(path)
    assert left_behind(document) == ["[ old"]
    document.take_draft()
    assert document.text == "[ old"
    assert names(path.parent) == [kept(document).name, "lesson.yaml"]


def test_a_draft_that_went_meanwhile_is_told(small: str, write: Write) -> None:
    path = write(small)
    leave(path, "[")
    first, second = LessonDocument.open(path), LessonDocument.open(path)
    first.take_draft()
    (gone,) = second.drafts
    for act in (second.take_draft, second.discard_draft):
        with pytest.raises(LessonError, match="do not wait there any more"):
            act(gone)
    assert second.drafts[0].is_held, "it is first's own now"


def test_a_text_in_memory_is_not_called_saved(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    with document.in_memory():
        document.put(("number",), 1)
    assert not document.saved
    assert path.read_text() == small
    later = document.storing()
    with document.in_memory():
        document.put(("number",), 2)
    later()
    assert not document.saved, "a newer one is in memory"
    document.storing()()
    assert document.saved
    assert path.read_text() == document.text


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")
def test_a_pipe_is_no_lesson_and_no_draft(small: str, write: Write) -> None:
    path = write(small)
    pipe = path.with_name("pipe.yaml")
    os.mkfifo(pipe)
    os.mkfifo(path.with_name(".lesson.yaml.draft"))
    assert LessonDocument.open(path).drafts == ()
    with pytest.raises(LessonError, match="not a plain file"):
        LessonDocument.open(pipe)
    document = LessonDocument.open(path)
    path.unlink()
    os.mkfifo(path)
    assert document.look()
    document.put(("number",), 1)
    assert not document.saved
    with pytest.raises(LessonError, match="cannot be read"):
        document.keep_mine()


# The draft


def test_broken_text_waits_in_a_draft_and_the_file_keeps_the_last_good_lesson(
    small: str, write: Write
) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    broken = small.replace(*BAD_KEY)
    document.put(("key",), "H dorian")
    assert document.fault is not None
    assert not document.saved
    assert path.read_text() == small
    assert kept(document).read_text() == broken
    with pytest.raises(LessonError, match="H dorian"):
        document.save()
    document.close()
    again = LessonDocument.open(path)
    assert again.text == small
    assert left_behind(again) == [broken]
    again.take_draft()
    assert again.text == broken
    assert again.drafts == ()
    again.put(("key",), "C major")
    assert path.read_text() == small.replace("B dorian", "C major")
    assert names(path.parent) == ["lesson.yaml"]
    again.undo()
    again.undo()
    assert path.read_text() == small


def test_a_draft_may_be_thrown_away(small: str, write: Write) -> None:
    path = write(small)
    leave(path, "[")
    document = LessonDocument.open(path)
    document.discard_draft()
    assert document.drafts == ()
    assert names(path.parent) == ["lesson.yaml"]
    document.discard_draft()
    document.take_draft()
    assert document.text == small


def test_a_draft_that_nobody_decided_about_outlives_new_edits(small: str, write: Write) -> None:
    path = write(small)
    leave(path, "[ first")
    document = LessonDocument.open(path)
    document.put(("number",), 3)
    assert left_behind(document) == ["[ first"]
    document.replace_text("[ second")
    assert left_behind(document) == ["[ first"]
    assert kept(document).read_text() == "[ second"
    document.take_draft()
    assert document.text == "[ first"
    assert document.is_kept
    assert left_behind(document) == ["[ second"], "what was edited here waits too"


def test_a_file_that_never_read_is_edited_itself(write: Write) -> None:
    path = write("lesson: [")
    document = LessonDocument.open(path)
    assert document.lesson is None
    document.replace_text("lesson: still [")
    assert document.saved
    assert names(path.parent) == ["lesson.yaml"]
    assert path.read_text() == "lesson: still ["


def test_a_draft_has_the_mode_of_its_lesson(small: str, write: Write) -> None:
    path = write(small)
    path.chmod(0o640)
    document = LessonDocument.open(path)
    document.replace_text("[")
    assert stat.S_IMODE(kept(document).stat().st_mode) == 0o640
    document.replace_text(small + "closing: x\n")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


# Another program


def outside(path: Path, text: str) -> None:
    """Write as another program does that knows nothing of this one."""
    path.write_text(text, encoding="utf-8")


def test_an_outside_change_is_noticed_and_never_overwritten(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    document.put(("number",), 1)
    assert not document.outside_change()
    theirs = small.replace("A Small One", "A Short One")
    outside(path, theirs)
    assert document.outside_change()
    document.put(("number",), 2)
    mine = document.text
    assert not document.saved
    assert path.read_text() == theirs
    assert kept(document).read_text() == mine
    with pytest.raises(ConflictError, match="another program"):
        document.save()
    document.undo()
    assert path.read_text() == theirs
    document.redo()
    assert document.text == mine


def test_theirs_can_be_taken_and_undone(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    theirs = small.replace("A Small One", "A Short One").replace("\n", "\r\n")
    path.write_bytes(theirs.encode())
    document.put(("number",), 2)
    mine = document.text
    document.take_theirs()
    assert document.text == theirs.replace("\r\n", "\n")
    assert document.lesson is not None
    assert document.lesson.entry.lesson == "A Short One"
    assert path.read_bytes() == theirs.encode()
    assert names(path.parent) == ["lesson.yaml"]
    document.put(("number",), 3)
    assert path.read_bytes().count(b"\r\n") == path.read_bytes().count(b"\n")
    document.undo()
    document.undo()
    assert document.text == mine
    assert document.saved


def test_mine_can_be_kept_with_theirs_beside_it(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    for number in (1, 2):
        outside(path, f"theirs {number}")
        document.put(("number",), number)
        beside = document.keep_mine()
        assert beside is not None
        assert beside.read_text() == f"theirs {number}"
        assert path.read_text() == document.text
        assert document.saved
    assert document.keep_mine() is None, "nothing of theirs is there any more"
    assert names(path.parent) == ["lesson.theirs-2.yaml", "lesson.theirs.yaml", "lesson.yaml"]
    outside(path, "theirs 3")
    document.replace_text("[")
    with pytest.raises(LessonError, match="YAML"):
        document.keep_mine()
    assert path.read_text() == "theirs 3"


def test_a_file_that_vanished_is_a_change_and_can_be_written_again(
    small: str, write: Write
) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    path.unlink()
    assert document.outside_change()
    document.put(("number",), 1)
    assert not document.saved
    with pytest.raises(LessonError, match="no such file"):
        document.take_theirs()
    assert document.keep_mine() is None
    assert path.read_text() == document.text
    assert names(path.parent) == ["lesson.yaml"]


def test_a_change_that_is_taken_back_outside_is_none(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    outside(path, "other")
    outside(path, small)
    assert not document.outside_change()
    document.put(("number",), 1)
    assert document.saved


# What the system refuses


def no_room(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_is_told_and_the_edit_is_kept_to_be_saved(
    small: str, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    with monkeypatch.context() as full:
        full.setattr(safe_write.os, "fsync", no_room)
        with pytest.raises(OutputError, match=r"cannot be saved \(no space left") as caught:
            document.put(("number",), 1)
    assert "Make room" in str(caught.value)
    assert names(path.parent) == ["lesson.yaml"]
    assert path.read_text() == small
    assert document.data is not None
    assert document.data["number"] == 1
    assert not document.saved
    document.save()
    assert path.read_text() == document.text
    document.undo()
    assert path.read_text() == small


def test_a_file_that_may_not_grow_stays_whole(small: str, write: Write) -> None:
    # A limit of the system on the size of files stops the write in its middle, for real.
    path = write(small)
    script = """if True:
        import resource, signal, sys
        from lickwright.errors import OutputError
        from lickwright.lesson.edit.document import LessonDocument
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        document = LessonDocument.open(sys.argv[1])
        resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))
        try:
            document.put(("number",), 1)
        except OutputError as error:
            print(error)
    """
    done = subprocess.run(
        [sys.executable, "-B", "-c", script, str(path)], capture_output=True, text=True, check=True
    )
    assert "cannot be saved (file too large)" in done.stdout
    assert path.read_text() == small
    assert names(path.parent) == ["lesson.yaml"]


def test_a_folder_that_is_gone_is_told(small: str, tmp_path: Path) -> None:
    folder = tmp_path / "deep"
    folder.mkdir()
    path = folder / "lesson.yaml"
    path.write_text(small)
    document = LessonDocument.open(path)
    path.unlink()
    folder.rmdir()
    with pytest.raises(OutputError, match=r"cannot be saved \(no such file or directory\)"):
        document.put(("number",), 1)
    with pytest.raises(OutputError, match="cannot be saved"):
        LessonDocument.create(path, title="x", key="C major")


@pytest.mark.skipif(os.name != "posix", reason="needs users and modes")
@pytest.mark.parametrize("locked", ["folder", "file"])
def test_what_may_not_be_written_is_told(small: str, locked: str) -> None:
    # Root may write anything, so another user tries.
    script = """if True:
        import os, sys
        from lickwright.errors import OutputError
        from lickwright.lesson.edit.document import LessonDocument
        document = LessonDocument.open(sys.argv[1])
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        try:
            document.put(("number",), 1)
        except OutputError as error:
            print(error)
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lesson.yaml"
        path.write_text(small)
        path.chmod(0o444 if locked == "file" else 0o666)
        Path(folder).chmod(0o777 if locked == "file" else 0o555)
        done = subprocess.run(
            [sys.executable, "-B", "-c", script, str(path)],
            capture_output=True,
            text=True,
            check=False,
        )
        Path(folder).chmod(0o755)
        assert done.returncode == 0, done.stderr
        assert f"{path}: the file cannot be saved (" in done.stdout
        assert "allow writing" in done.stdout
        assert names(path.parent) == ["lesson.yaml"]
        assert path.read_text() == small


def test_a_name_is_never_taken_twice(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    write_new(path, b"one")
    with pytest.raises(LessonError, match="of this name already"):
        write_new(path, b"two")
    assert path.read_bytes() == b"one"
    (tmp_path / "a.theirs.yaml").symlink_to("nowhere")
    assert write_beside(path, "theirs", b"x").name == "a.theirs-2.yaml"


def test_a_new_file_that_cannot_be_written_leaves_no_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(safe_write.os, "fsync", no_room)
    with pytest.raises(OutputError):
        write_new(tmp_path / "a.yaml", b"one")
    assert names(tmp_path) == []


# Modes, links, leftovers


def test_mode_and_links_stay(small: str, tmp_path: Path) -> None:
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    real.write_text(small)
    real.chmod(0o664)
    link.symlink_to("real.yaml")
    document = LessonDocument.open(link)
    document.put(("number",), 1)
    assert link.is_symlink()
    assert real.read_text() == document.text
    assert stat.S_IMODE(real.stat().st_mode) == 0o664
    document.replace_text("[")
    assert kept(document).parent == real.parent
    assert kept(document).name.startswith(".real.yaml.")


def test_a_new_file_has_the_mode_that_the_umask_leaves(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        write_whole(tmp_path / "a", b"x")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640


def test_what_a_killed_program_left_is_taken_away(small: str, write: Write) -> None:
    path = write(small)
    old, new, other = (
        path.with_name(f".{name}.saving") for name in ("lesson.yaml.a", "lesson.yaml.b", "x.yaml.c")
    )
    draft = path.with_name("..lesson.yaml.draft.d.saving")
    for left in (old, new, other, draft):
        left.write_text("half")
    hour_ago = time.time() - 3600
    for left in (old, other, draft):
        os.utime(left, (hour_ago, hour_ago))
    LessonDocument.open(path)
    assert not old.exists()
    assert not draft.exists()
    assert new.exists(), "perhaps being saved this moment"
    assert other.exists(), "of another lesson"


def test_a_draft_that_is_a_link_is_not_followed(small: str, write: Write) -> None:
    path = write(small)
    secret = path.with_name("secret")
    secret.write_text("secret")
    path.with_name(".lesson.yaml.draft").symlink_to(secret)
    path.with_name(".lesson.yaml.1-0123abcd-0123abcd.draft").symlink_to(secret)
    assert LessonDocument.open(path).drafts == ()


def test_the_file_can_be_renamed_while_it_is_edited(small: str, write: Write) -> None:
    path = write(small)
    document = LessonDocument.open(path)
    document.put(("number",), 1)
    document.replace_text("[")
    document.rename_file("other.yaml")
    assert document.path == path.with_name("other.yaml")
    assert names(path.parent) == [kept(document).name, "other.yaml"]
    assert kept(document).name.startswith(".other.yaml.")
    assert LessonDocument.open(document.path).drafts[0].is_held
    document.undo()
    document.undo()
    assert document.path.read_text() == small
    assert document.lesson is not None
    assert document.lesson.path == document.path
    assert names(path.parent) == ["other.yaml"]
