"""What lies inside a folder: by name, by link, and only regular files."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.files.paths import (
    OutsideError,
    TooLargeError,
    inside,
    is_inside,
    is_plain_file,
    read_plain,
)


@pytest.mark.parametrize(
    "name",
    [
        *["", ".", "..", "../keep", "a/../b", "a/..", "/etc/hosts", "a//b", "a/", "C:/x", "C:x"],
        *["a\\b", "..\\keep", "a\0b", "\0", "x" * 256, "a/" * 3000 + "a", "\ud800"],
    ],
)
def test_what_leads_out_or_names_nothing_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(OutsideError):
        inside(tmp_path, name)
    assert not is_inside(tmp_path, name)


def test_a_name_is_inside_whether_or_not_there_is_a_file(tmp_path: Path) -> None:
    assert inside(tmp_path, "01-a/lead.mid") == tmp_path / "01-a" / "lead.mid"


def test_a_link_is_followed_only_when_asked_and_only_within(tmp_path: Path) -> None:
    folder, elsewhere = tmp_path / "in", tmp_path / "out"
    for each in (folder, elsewhere):
        each.mkdir()
        (each / "file").write_text("x")
    (folder / "near").symlink_to(folder / "file")
    (folder / "far").symlink_to(elsewhere / "file")
    (folder / "away").symlink_to(elsewhere)
    (folder / "back").symlink_to(folder / "away" / ".." / "in" / "file")
    assert inside(folder, "near", links=True) == (folder / "file").resolve()
    for name in ("far", "away/file", "away/none"):
        assert not is_inside(folder, name)
        assert not is_inside(folder, name, links=True)
    assert not is_inside(folder, "near")


def test_the_folder_may_be_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    assert inside(tmp_path / "link", "a") == tmp_path / "link" / "a"


@given(st.text(max_size=40))
def test_any_name_is_inside_or_refused(tmp_path_factory: pytest.TempPathFactory, name: str) -> None:
    folder = tmp_path_factory.getbasetemp()
    try:
        path = inside(folder, name)
    except OutsideError:
        return
    assert Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def test_a_pipe_is_not_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "x.yaml")
    with pytest.raises(OSError, match="not a plain file"):
        read_plain(tmp_path / "x.yaml")
    assert not is_plain_file(tmp_path / "x.yaml")
    assert not is_plain_file(tmp_path / "none")
    assert not is_plain_file("a\0b")


def test_no_more_is_read_than_asked(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"12345")
    assert read_plain(tmp_path / "a", 5) == read_plain(tmp_path / "a") == b"12345"
    with pytest.raises(TooLargeError, match="more than 4 bytes"):
        read_plain(tmp_path / "a", 4)
