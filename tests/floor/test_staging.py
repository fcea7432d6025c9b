"""The order of publishing: at every moment the folder holds the former lesson or the new one."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.errors import OutputError
from lickwright.publish import staging
from lickwright.publish.manifest import BuildStep, digest, manifest_bytes
from lickwright.publish.staging import Staging, refuse_strangers, unsettled
from lickwright.publish.versions import entry_page, named_version, standing, version_of, versions

H = "0" * 64
PAGE = b'<meta charset="utf-8">\n<a href="lesson.pdf" download>'
FIRST = {"lesson.pdf": b"one", "examples/a.mid": b"a", "index.html": PAGE}
SECOND = {"lesson.pdf": b"two", "examples/a.mid": b"a", "index.html": PAGE}
THIRD = {"lesson.pdf": b"three", "index.html": PAGE}
RECORD = ".lickwright.json"


def steps_of(files: dict[str, bytes]) -> dict[str, BuildStep]:
    return {"all": BuildStep(H, {name: digest(data) for name, data in files.items()}, {})}


def publish(out: Path, files: dict[str, bytes], kept: tuple[str, ...] = ()) -> str:
    with Staging(out, standing(out)) as new:
        for name, data in files.items():
            if name not in kept:
                new.add(name, data)
        new.publish(steps_of(files))
    return version_of(steps_of(files))


def content(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def plain(out: Path) -> dict[str, bytes]:
    return {name: data for name, data in content(out).items() if not name.startswith("made/")}


def wanted(files: dict[str, bytes]) -> dict[str, bytes]:
    steps = steps_of(files)
    entry = entry_page(PAGE, version_of(steps))
    return {**files, "index.html": entry, RECORD: manifest_bytes(steps)}


# --------------------------------------------------------------------------------------- whole


def test_a_published_lesson_stands_whole_under_all_its_names(tmp_path: Path) -> None:
    version = publish(tmp_path, FIRST)
    assert plain(tmp_path) == wanted(FIRST)
    home = tmp_path / "made" / version
    assert content(home) == {**FIRST, ".steps.json": manifest_bytes(steps_of(FIRST))}
    assert named_version(tmp_path) == version
    assert unsettled(tmp_path, steps_of(FIRST)) == []
    assert os.path.samefile(tmp_path / "lesson.pdf", home / "lesson.pdf")  # one room on the disk


def test_nothing_is_seen_until_it_is_published_and_nothing_stays_where_it_is_not(
    tmp_path: Path,
) -> None:
    with Staging(tmp_path, standing(tmp_path)) as new:
        new.add("lesson.pdf", b"one")
        assert not (tmp_path / "lesson.pdf").exists()
    assert list(tmp_path.iterdir()) == []


def test_what_a_killed_build_left_is_swept_away(tmp_path: Path) -> None:
    (tmp_path / ".lickwright-new-abc").mkdir()
    (tmp_path / ".lickwright-new-abc/x").write_bytes(b"x")
    with Staging(tmp_path, standing(tmp_path)):
        assert not (tmp_path / ".lickwright-new-abc").exists()


def test_files_that_did_not_change_are_taken_from_the_version_before(tmp_path: Path) -> None:
    before = publish(tmp_path, FIRST)
    after = publish(tmp_path, SECOND, kept=("examples/a.mid", "index.html"))
    assert plain(tmp_path) == wanted(SECOND)
    made = tmp_path / "made"
    assert os.path.samefile(made / before / "examples/a.mid", made / after / "examples/a.mid")


# --------------------------------------------------------------------------------------- order


def calls(monkeypatch: pytest.MonkeyPatch, out: Path) -> list[str]:
    """Which of the folder's names take their new bytes, in order, and when the disk is told."""
    told: list[str] = []

    def heard(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def now(*args: object, **more: object) -> object:
            target = Path(str(args[-1])) if name in ("rename", "replace") else None
            done = real(*args, **more)
            if target is None:
                told.append(name)
            elif target.is_relative_to(out) and ".lickwright-new" not in str(target):
                told.append(str(target.relative_to(out)))
            return done

        return now

    for name in ("rename", "replace", "fsync"):
        monkeypatch.setattr(os, name, heard(name, getattr(os, name)))
    monkeypatch.setattr(staging, "sync_folder", lambda path: told.append("folder"))
    return told


def test_the_version_comes_first_then_the_entry_then_the_plain_names_and_the_record_last(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(tmp_path, FIRST)
    with monkeypatch.context() as now:
        told = calls(now, tmp_path)
        version = publish(tmp_path, SECOND)
    places = [one for one in told if one not in ("fsync", "folder")]
    assert places == [f"made/{version}", "index.html", "lesson.pdf", RECORD]


def test_all_is_on_the_disk_before_the_version_has_its_name_and_the_entry_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = calls(monkeypatch, tmp_path)
    version = publish(tmp_path, FIRST)
    at, entry = told.index(f"made/{version}"), told.index("index.html")
    before = told[:at]
    assert before.count("fsync") >= 4  # three files and the steps
    assert before.count("folder") == 2  # the lesson's folder, and examples in it
    assert told[at + 1 : at + 3] == ["folder", "folder"]  # its name, and that of made
    assert told[entry - 1] == "fsync"
    assert told[entry + 1] == "folder"


@pytest.mark.parametrize("lost", ["made", "index.html", "lesson.pdf", RECORD])
def test_stopped_at_any_renaming_the_entry_leads_into_a_whole_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lost: str
) -> None:
    first = publish(tmp_path, FIRST)
    second = version_of(steps_of(SECOND))

    def stop(name: str) -> Callable[[object, object], None]:
        real = getattr(os, name)

        def now(source: object, target: object) -> None:
            place = Path(str(target))
            parts = place.relative_to(tmp_path).parts if place.is_relative_to(tmp_path) else ()
            if parts[:1] == (lost,) and ".lickwright-new" not in str(target):
                raise KeyboardInterrupt
            real(source, target)

        return now

    with monkeypatch.context() as now:
        for name in ("rename", "replace"):
            now.setattr(os, name, stop(name))
        with pytest.raises(KeyboardInterrupt):
            publish(tmp_path, SECOND)
    entry = named_version(tmp_path)
    assert entry == (first if lost in ("made", "index.html") else second)
    files = FIRST if entry == first else SECOND
    assert content(tmp_path / "made" / str(entry))["lesson.pdf"] == files["lesson.pdf"]
    publish(tmp_path, SECOND)  # and the next build brings it to its end
    assert plain(tmp_path) == wanted(SECOND)


# ---------------------------------------------------------------------------------------- after


def test_the_version_before_stays_until_the_next_but_one(tmp_path: Path) -> None:
    first, second = publish(tmp_path, FIRST), publish(tmp_path, SECOND)
    assert versions(tmp_path) == sorted((first, second))
    third = publish(tmp_path, THIRD)
    assert versions(tmp_path) == sorted((second, third))
    publish(tmp_path, THIRD)
    assert versions(tmp_path) == sorted((second, third))  # the same again is no next


def test_what_the_lesson_has_no_more_goes_with_its_folder(tmp_path: Path) -> None:
    publish(tmp_path, FIRST)
    publish(tmp_path, THIRD)
    assert plain(tmp_path) == wanted(THIRD)
    assert not (tmp_path / "examples").exists()


def test_what_was_edited_or_is_anothers_stays(tmp_path: Path) -> None:
    publish(tmp_path, FIRST)
    (tmp_path / "examples/a.mid").unlink()
    (tmp_path / "examples/a.mid").write_bytes(b"edited by hand")
    (tmp_path / "notes.txt").write_bytes(b"mine")
    publish(tmp_path, THIRD)
    assert (tmp_path / "examples/a.mid").read_bytes() == b"edited by hand"
    assert (tmp_path / "notes.txt").read_bytes() == b"mine"


def test_what_others_put_into_a_version_stays(tmp_path: Path) -> None:
    first = publish(tmp_path, FIRST)
    (tmp_path / "made" / first / "notes.txt").write_bytes(b"mine")
    publish(tmp_path, SECOND)
    publish(tmp_path, THIRD)
    assert content(tmp_path / "made" / first) == {"notes.txt": b"mine"}


def test_a_version_whose_steps_cannot_be_read_is_left_alone(tmp_path: Path) -> None:
    first = publish(tmp_path, FIRST)
    steps = tmp_path / "made" / first / ".steps.json"
    steps.unlink()
    steps.write_bytes(b"damaged")
    publish(tmp_path, SECOND)
    publish(tmp_path, THIRD)
    assert steps.read_bytes() == b"damaged"


# --------------------------------------------------------------------------------------- mending


def test_a_damaged_version_of_the_same_name_is_mended(tmp_path: Path) -> None:
    version = publish(tmp_path, FIRST)
    for name in ("lesson.pdf", "examples/a.mid"):
        path = tmp_path / "made" / version / name
        path.unlink()
    (tmp_path / "made" / version / "lesson.pdf").write_bytes(b"bad")
    publish(tmp_path, FIRST)
    assert content(tmp_path / "made" / version)["lesson.pdf"] == b"one"
    assert content(tmp_path / "made" / version)["examples/a.mid"] == b"a"
    assert plain(tmp_path) == wanted(FIRST)


@pytest.mark.parametrize("name", ["lesson.pdf", "examples/a.mid", "index.html", RECORD])
def test_a_plain_name_that_stands_for_something_else_is_unsettled(
    tmp_path: Path, name: str
) -> None:
    publish(tmp_path, FIRST)
    path = tmp_path / name
    data = path.read_bytes()
    path.unlink()
    assert unsettled(tmp_path, steps_of(FIRST)) == [name]
    path.write_bytes(b"else")
    assert unsettled(tmp_path, steps_of(FIRST)) == [name]
    path.write_bytes(data)  # a copy will do
    assert unsettled(tmp_path, steps_of(FIRST)) == []


def test_where_the_disk_has_no_second_names_files_are_copied(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr(os, "link", refuse)
    publish(tmp_path, FIRST)
    publish(tmp_path, SECOND, kept=("examples/a.mid",))
    assert plain(tmp_path) == wanted(SECOND)


def test_what_is_no_file_at_the_name_of_the_record_is_set_aside(tmp_path: Path) -> None:
    (tmp_path / RECORD).mkdir()
    (tmp_path / f"{RECORD}.aside-1").write_bytes(b"older")
    publish(tmp_path, FIRST)
    assert (tmp_path / RECORD).read_bytes() == manifest_bytes(steps_of(FIRST))
    assert (tmp_path / f"{RECORD}.aside-2").is_dir()
    assert (tmp_path / f"{RECORD}.aside-1").read_bytes() == b"older"
    assert not (tmp_path / f"{RECORD}.aside-3").exists()


# -------------------------------------------------------------------------------------- strangers


def test_a_strangers_file_stops_the_build_and_nothing_changes(tmp_path: Path) -> None:
    publish(tmp_path, THIRD)
    (tmp_path / "examples").mkdir()
    (tmp_path / "examples/a.mid").write_bytes(b"a stranger's")
    before = content(tmp_path)
    with pytest.raises(OutputError, match=r"'examples/a\.mid' is in the way"):
        publish(tmp_path, FIRST)
    assert content(tmp_path) == before


@pytest.mark.parametrize("place", ["made", "examples"])
def test_a_file_where_a_folder_is_needed(tmp_path: Path, place: str) -> None:
    (tmp_path / place).write_bytes(b"")
    with pytest.raises(OutputError, match=f"'{place}' is in the way"):
        refuse_strangers(tmp_path, ["examples/a.mid"], standing(tmp_path))


def test_a_folder_or_link_where_a_file_is_needed(tmp_path: Path) -> None:
    (tmp_path / "lesson.pdf").mkdir()
    with pytest.raises(OutputError, match=r"'lesson\.pdf' is in the way"):
        refuse_strangers(tmp_path, ["lesson.pdf"], standing(tmp_path))
    (tmp_path / "lesson.pdf").rmdir()
    (tmp_path / "lesson.pdf").symlink_to("gone")
    with pytest.raises(OutputError):
        refuse_strangers(tmp_path, ["lesson.pdf"], standing(tmp_path))
    (tmp_path / "out").symlink_to("/")
    with pytest.raises(OutputError):
        refuse_strangers(tmp_path, ["out/x"], standing(tmp_path))


def test_our_own_files_are_no_strangers_also_where_records_are_damaged(tmp_path: Path) -> None:
    version = publish(tmp_path, FIRST)
    (tmp_path / RECORD).write_bytes(b"damaged")
    names = sorted(FIRST)
    refuse_strangers(tmp_path, names, standing(tmp_path))
    steps = tmp_path / "made" / version / ".steps.json"
    steps.unlink()
    steps.write_bytes(b"damaged")
    refuse_strangers(tmp_path, names, standing(tmp_path))  # the version has the same bytes
    (tmp_path / "lesson.pdf").unlink()
    (tmp_path / "lesson.pdf").write_bytes(b"else")
    with pytest.raises(OutputError):
        refuse_strangers(tmp_path, names, standing(tmp_path))


def test_an_edited_file_of_ours_is_ours(tmp_path: Path) -> None:
    publish(tmp_path, FIRST)
    (tmp_path / "lesson.pdf").unlink()
    (tmp_path / "lesson.pdf").write_bytes(b"edited")
    publish(tmp_path, SECOND)
    assert (tmp_path / "lesson.pdf").read_bytes() == b"two"


def test_a_folder_that_cannot_be_written_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(tmp_path, FIRST)
    before = content(tmp_path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="the output folder cannot be written") as caught:
        publish(tmp_path, SECOND)
    assert caught.value.mend
    assert content(tmp_path) == before
