"""Publishing: one switch, nothing of a stranger's touched, nothing lost, whatever interrupts it."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from lickwright.errors import OutputError
from lickwright.publish import staging as output
from lickwright.publish.versions import current_files, named_version, versions

from .publishing import lesson, publish, read, tree

FORMER, NEW = lesson("former", "examples/gone.mid"), lesson("new", "examples/02.mid")


@pytest.fixture
def out(tmp_path: Path) -> Path:
    publish(tmp_path / "out", FORMER)
    return tmp_path / "out"


def test_killed_at_every_call_a_reader_finds_one_lesson_whole(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, Path(__file__).with_name("publishing.py"), str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
    )
    found = json.loads(done.stdout)
    again = Counter(round_["read"] for round_ in found if not round_["first"])
    assert set(again) == {"former", "new"}
    assert set(Counter(round_["read"] for round_ in found if round_["first"])) == {"none", "new"}
    assert min(again.values()) > 10
    assert [round_ for round_ in found if not (round_["mended"] and round_["mine"])] == []


def test_the_former_version_stays_until_the_next_but_one(out: Path) -> None:
    # A reader opened the entry just before the switch, and follows its links after it.
    page, seen = (out / "index.html").read_bytes(), versions(out)
    publish(out, NEW)
    links = re.findall(r'href="([^"]+)"', page.decode())
    assert [(out / link).read_bytes() for link in links] == [
        FORMER[link.split("/", 2)[2]] for link in links
    ]
    assert len(versions(out)) == 2
    publish(out, lesson("third"))
    assert len(versions(out)) == 2
    assert seen[0] not in versions(out)
    assert read(out) == lesson("third")


def test_plain_names_follow_and_what_is_gone_goes(out: Path) -> None:
    publish(out, NEW)
    for name, data in NEW.items():
        if name != "index.html":
            assert (out / name).read_bytes() == data
    assert not (out / "examples" / "gone.mid").exists()


def test_a_file_takes_its_room_once(out: Path) -> None:
    publish(out, NEW)
    kept = [out / "examples/kept.wav"]
    kept += [out / "made" / v / "examples/kept.wav" for v in versions(out)]
    assert len(kept) == 3
    assert {os.stat(path).st_ino for path in kept} == {os.stat(kept[0]).st_ino}


def test_without_hard_links_files_are_copied(
    tmp_path: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(out, NEW)

    def none(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    publish(tmp_path / "plain", FORMER)
    publish(tmp_path / "plain", NEW)
    assert tree(tmp_path / "plain") == tree(out)


def test_all_is_on_the_disk_before_the_switch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: set[int] = set()
    fsync, replace = os.fsync, os.replace
    missed: list[list[str]] = []

    def sync(descriptor: int) -> None:
        synced.add(os.fstat(descriptor).st_ino)
        fsync(descriptor)

    def switch(source: Path, target: Path) -> None:
        if Path(target).name == "index.html":
            places = [tmp_path, tmp_path / "made", *(tmp_path / "made").rglob("*"), Path(source)]
            missed.append([str(path) for path in places if path.stat().st_ino not in synced])
        replace(source, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(os, "replace", switch)
    publish(tmp_path, FORMER)
    publish(tmp_path, NEW)
    assert missed == [[], []]


@pytest.mark.parametrize(
    "name", ["lesson.pdf", "index.html", "examples", "examples/01.mid", "made"]
)
@pytest.mark.parametrize("kind", ["file", "link", "link to nothing", "folder", "pipe"])
def test_a_stranger_in_the_way_is_refused_and_stays(tmp_path: Path, name: str, kind: str) -> None:
    if kind == "folder" and name in {"examples", "made"}:
        pytest.skip("a folder is what belongs there")
    out, theirs = tmp_path / "out", tmp_path / "theirs"
    theirs.write_text("theirs")
    place = out / name
    place.parent.mkdir(parents=True)
    if kind == "file":
        place.write_text("theirs")
    elif kind == "folder":
        place.mkdir()
        (place / "deep.txt").write_text("theirs")
    elif kind == "pipe":
        os.mkfifo(place)
    else:
        place.symlink_to(theirs if kind == "link" else tmp_path / "nowhere")
    before = os.lstat(place)
    with pytest.raises(OutputError, match=f"'{name}' is in the way") as caught:
        publish(out, FORMER)
    assert str(caught.value).count("\n") == 0
    now = os.lstat(place)
    assert (now.st_ino, now.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert theirs.read_text() == "theirs"
    assert not (tmp_path / "nowhere").exists()
    left = {path.relative_to(out).as_posix() for path in out.rglob("*")}
    assert left <= {name, "examples", f"{name}/deep.txt"}


def test_a_link_put_over_a_file_of_ours_is_a_strangers(out: Path, tmp_path: Path) -> None:
    (tmp_path / "theirs").write_text("theirs")
    (out / "lesson.pdf").unlink()
    (out / "lesson.pdf").symlink_to(tmp_path / "theirs")
    with pytest.raises(OutputError, match=r"'lesson\.pdf' is in the way"):
        publish(out, NEW)
    assert (out / "lesson.pdf").is_symlink()
    assert read(out) == FORMER


def test_a_file_that_was_edited_is_written_over_but_never_taken_away(out: Path) -> None:
    for name in ("lesson.pdf", "examples/gone.mid"):
        (out / name).unlink()
        (out / name).write_text("edited by hand")
    publish(out, NEW)
    assert (out / "lesson.pdf").read_bytes() == NEW["lesson.pdf"]
    assert (out / "examples" / "gone.mid").read_text() == "edited by hand"


def test_files_of_others_stay_in_versions_too(out: Path) -> None:
    old = out / "made" / versions(out)[0]
    (old / "examples" / "mine.txt").write_text("mine")
    (out / "made" / "mine").mkdir()
    (out / "made" / "0123456789abcdef").mkdir()
    (out / "made" / "0123456789abcdef" / ".steps.json").write_text("theirs")
    publish(out, NEW)
    publish(out, lesson("third"))
    assert tree(old) == {"examples/mine.txt": b"mine"}
    assert (out / "made" / "mine").is_dir()
    assert (out / "made" / "0123456789abcdef" / ".steps.json").read_text() == "theirs"


@pytest.mark.parametrize("kind", ["folder", "link", "pipe", "scribble"])
def test_whatever_lies_at_the_name_of_the_manifest(out: Path, tmp_path: Path, kind: str) -> None:
    place = out / ".lickwright.json"
    place.unlink()
    theirs = tmp_path / "theirs"
    theirs.write_text("theirs")
    if kind == "folder":
        place.mkdir()
        (place / "deep.txt").write_text("theirs")
    elif kind == "pipe":
        os.mkfifo(place)
    elif kind == "link":
        place.symlink_to(theirs)
    else:
        place.write_text("scribble")
    publish(out, NEW)
    assert read(out) == NEW
    assert place.is_file()
    assert not place.is_symlink()
    assert theirs.read_text() == "theirs"
    aside = out / ".lickwright.json.aside-1"
    assert os.path.lexists(aside) == (kind != "scribble")
    assert kind != "folder" or (aside / "deep.txt").read_text() == "theirs"


def test_back_to_the_former_lesson_and_a_damaged_version_of_it(out: Path) -> None:
    former = out / "made" / versions(out)[0]
    publish(out, NEW)
    (former / "lesson.pdf").unlink()
    (former / "lesson.pdf").write_text("damaged")
    (former / "examples" / "01.mid").unlink()
    publish(out, FORMER)
    assert read(out) == FORMER
    assert named_version(out) == former.name


def test_current_files_are_of_one_version_with_a_page_of_their_own(out: Path) -> None:
    publish(out, NEW)
    (out / "mine.txt").write_text("mine")
    files = dict(current_files(out))
    assert {name: path.read_bytes() for name, path in files.items()} == NEW
    # A link in the version's place is not followed.
    (files["lesson.pdf"]).unlink()
    (files["lesson.pdf"]).symlink_to(out / "mine.txt")
    assert "lesson.pdf" not in dict(current_files(out))
    assert current_files(out / "nowhere") == []


def test_current_files_of_a_folder_without_versions(out: Path) -> None:
    shutil.rmtree(out / "made")
    page = FORMER["index.html"]
    (out / "index.html").write_bytes(page)
    assert {name: path.read_bytes() for name, path in current_files(out)} == FORMER


def test_a_full_disk_leaves_the_former_lesson(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = tree(out)

    def full(*_: object) -> bool:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(output, "_second_name", full)
    with pytest.raises(OutputError, match="no space left on device"):
        publish(out, NEW)
    assert tree(out) == whole


def test_with_both_manifests_damaged_our_own_files_are_not_taken_for_strangers(out: Path) -> None:
    (out / ".lickwright.json").write_text("scribble")
    for steps in out.rglob(".steps.json"):
        steps.write_text("scribble")
    publish(out, NEW)
    assert read(out) == NEW


def test_real_builds_killed_at_random_moments(tmp_path: Path) -> None:
    """A few; ``bench/kills.py`` kills hundreds."""
    code = (
        "import importlib.util, json, random, sys; from pathlib import Path\n"
        "spec = importlib.util.spec_from_file_location('kills', sys.argv[1])\n"
        "module = importlib.util.module_from_spec(spec); spec.loader.exec_module(module)\n"
        "print(json.dumps(module.kills(Path(sys.argv[2]), 4, random.Random(7))))\n"
    )
    script = Path(__file__).parents[2] / "bench" / "kills.py"
    done = subprocess.run(
        [sys.executable, "-c", code, str(script), str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
    )
    tally = json.loads(done.stdout)
    assert tally["killed"] >= 2
    assert tally["read whole"] > 4
    assert (tally["read mixed"], tally["read lost"], tally["rebuilt wrongly"]) == (0, 0, 0)
