"""Which lesson an output folder holds: only what is whole, and believed only where it is sound."""

from __future__ import annotations

from pathlib import Path

import pytest

from lickwright.publish.manifest import BuildStep, digest, manifest_bytes
from lickwright.publish.versions import (
    current_files,
    entry_page,
    named_version,
    standing,
    version_of,
    version_path,
    version_steps,
    versions,
)

H = "0" * 64
NAME = "0123456789abcdef"
PAGE = (
    '<meta charset="utf-8">\n<a href="lesson.pdf" download>PDF</a>'
    '<a href="#top">up</a><a href="https://example.org">out</a>'
    '<audio controls src="examples/01.ogg"></audio><a href="#x" download>x</a>'
)


def steps_of(files: dict[str, bytes]) -> dict[str, BuildStep]:
    return {"all": BuildStep(H, {name: digest(data) for name, data in files.items()}, {})}


def make(out: Path, files: dict[str, bytes]) -> str:
    """A whole version, as a build leaves it; its name."""
    steps = steps_of(files)
    version = version_of(steps)
    for name, data in {**files, ".steps.json": manifest_bytes(steps)}.items():
        path = out / "made" / version / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return version


def enter(out: Path, version: str) -> None:
    (out / "index.html").write_bytes(entry_page(PAGE.encode(), version))


def record(out: Path, files: dict[str, bytes]) -> None:
    (out / ".lickwright.json").write_bytes(manifest_bytes(steps_of(files)))


FILES = {"lesson.pdf": b"pdf", "examples/01.mid": b"midi", "index.html": PAGE.encode()}
OLDER = {"lesson.pdf": b"older"}


# --------------------------------------------------------------------------------------- names


def test_a_version_is_named_by_all_that_it_holds() -> None:
    one = version_of(steps_of(FILES))
    assert one == version_of(steps_of(dict(reversed(FILES.items()))))
    assert one != version_of(steps_of({**FILES, "lesson.pdf": b"PDF"}))
    assert one == digest(manifest_bytes(steps_of(FILES)))[:16]
    assert version_path(NAME) == f"made/{NAME}"


def test_the_entry_names_its_version_and_links_into_it() -> None:
    page = entry_page(PAGE.encode(), NAME).decode()
    assert f'<meta charset="utf-8">\n<meta name="lickwright-version" content="{NAME}">\n' in page
    assert f'<a href="made/{NAME}/lesson.pdf" download>' in page
    assert f'<audio controls src="made/{NAME}/examples/01.ogg">' in page
    # Links that lead to no file beside it stay.
    assert '<a href="#top">' in page
    assert '<a href="https://example.org">' in page
    assert '<a href="#x" download>' in page


def test_the_entry_says_which_version_it_stands_for(tmp_path: Path) -> None:
    assert named_version(tmp_path) is None
    enter(tmp_path, NAME)
    assert named_version(tmp_path) == NAME
    (tmp_path / "index.html").write_bytes(PAGE.encode())
    assert named_version(tmp_path) is None
    (tmp_path / "index.html").write_bytes(b'<meta name="lickwright-version" content="../../x">')
    assert named_version(tmp_path) is None


# ---------------------------------------------------------------------------------------- made


def test_versions_are_folders_named_as_versions_are(tmp_path: Path) -> None:
    assert versions(tmp_path) == []
    made = tmp_path / "made"
    for name in ("b" * 16, "a" * 16, "a" * 15, "A" * 16, "a" * 17, "notes"):
        (made / name).mkdir(parents=True)
    (made / ("c" * 16)).write_bytes(b"")
    (made / ("d" * 16)).symlink_to(made / ("a" * 16))
    assert versions(tmp_path) == ["a" * 16, "b" * 16]


def test_a_version_is_believed_where_its_manifest_hashes_to_its_name(tmp_path: Path) -> None:
    version = make(tmp_path, FILES)
    assert version_steps(tmp_path, version) == steps_of(FILES)
    assert version_steps(tmp_path, NAME) is None
    steps = tmp_path / "made" / version / ".steps.json"
    steps.write_bytes(manifest_bytes(steps_of(OLDER)))  # sound, but another's
    assert version_steps(tmp_path, version) is None
    steps.write_bytes(b"damaged")
    assert version_steps(tmp_path, version) is None
    named = tmp_path / "made" / digest(b"damaged")[:16]
    named.mkdir()
    (named / ".steps.json").write_bytes(b"damaged")
    assert version_steps(tmp_path, named.name) is None


# ------------------------------------------------------------------------------------ standing


def test_nothing_stands_in_an_empty_folder(tmp_path: Path) -> None:
    stands = standing(tmp_path)
    assert (stands.version, stands.steps, stands.ours, stands.hashes) == (None, {}, frozenset(), {})


def test_what_the_entry_names_stands_and_its_steps_may_be_kept(tmp_path: Path) -> None:
    version = make(tmp_path, FILES)
    enter(tmp_path, version)
    record(tmp_path, FILES)
    stands = standing(tmp_path)
    assert stands.version == version
    assert stands.steps == steps_of(FILES)
    assert stands.ours == frozenset(FILES)
    assert stands.hashes == {name: {digest(data)} for name, data in FILES.items()}


def test_without_plain_names_yet_the_version_stands_all_the_same(tmp_path: Path) -> None:
    version = make(tmp_path, FILES)
    enter(tmp_path, version)
    stands = standing(tmp_path)
    assert (stands.version, stands.steps) == (version, steps_of(FILES))


def test_a_damaged_record_of_the_plain_names_lets_nothing_be_kept(tmp_path: Path) -> None:
    version = make(tmp_path, FILES)
    enter(tmp_path, version)
    (tmp_path / ".lickwright.json").write_bytes(b"damaged")
    stands = standing(tmp_path)
    assert (stands.version, stands.steps) == (version, {})
    record(tmp_path, OLDER)  # sound, but of no version that is here
    assert standing(tmp_path).steps == {}
    (tmp_path / ".lickwright.json").unlink()
    (tmp_path / ".lickwright.json").symlink_to(tmp_path / "gone")
    assert standing(tmp_path).steps == {}


def test_a_record_of_the_version_before_is_sound(tmp_path: Path) -> None:
    make(tmp_path, OLDER)
    version = make(tmp_path, FILES)
    enter(tmp_path, version)
    record(tmp_path, OLDER)
    stands = standing(tmp_path)
    assert stands.steps == steps_of(FILES)
    assert stands.ours == frozenset(FILES) | frozenset(OLDER)
    assert stands.hashes["lesson.pdf"] == {digest(b"pdf"), digest(b"older")}


def test_an_entry_that_names_no_version_here_stands_for_nothing(tmp_path: Path) -> None:
    make(tmp_path, FILES)
    enter(tmp_path, NAME)
    stands = standing(tmp_path)
    assert (stands.version, stands.steps, stands.ours) == (None, {}, frozenset())
    assert set(stands.hashes) == set(FILES)  # what is recorded is known all the same


# -------------------------------------------------------------------------------------- people


def test_people_see_the_files_of_the_entrys_version_by_their_plain_names(tmp_path: Path) -> None:
    version = make(tmp_path, {**FILES, ".hidden": b"", "examples/.h/a": b""})
    enter(tmp_path, version)
    home = tmp_path / "made" / version
    assert current_files(tmp_path) == [(name, home / name) for name in sorted(FILES)]
    assert current_files(str(tmp_path)) == current_files(tmp_path)
    (home / "lesson.pdf").unlink()
    (home / "lesson.pdf").symlink_to(tmp_path / "index.html")
    (home / "examples/01.mid").unlink()
    assert [name for name, _ in current_files(tmp_path)] == ["index.html"]


def test_a_folder_without_an_entry_gives_the_plain_files_that_it_records(tmp_path: Path) -> None:
    assert current_files(tmp_path) == []
    (tmp_path / "lesson.pdf").write_bytes(b"pdf")
    record(tmp_path, FILES)
    assert current_files(tmp_path) == [("lesson.pdf", tmp_path / "lesson.pdf")]


def test_an_entry_whose_version_is_gone_gives_nothing(tmp_path: Path) -> None:
    (tmp_path / "lesson.pdf").write_bytes(b"pdf")
    record(tmp_path, FILES)
    enter(tmp_path, NAME)
    assert current_files(tmp_path) == []


@pytest.mark.parametrize("name", ["index.html", ".lickwright.json"])
def test_a_link_in_the_place_of_a_file_is_never_followed(tmp_path: Path, name: str) -> None:
    out, aside = tmp_path / "out", tmp_path / "aside"
    out.mkdir()
    aside.mkdir()
    version = make(out, FILES)
    enter(aside, version)
    record(aside, FILES)
    (out / name).symlink_to(aside / name)
    assert standing(out).version is None
    assert current_files(out) == []
