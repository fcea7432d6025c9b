"""What is said of our parts is what is installed: their terms, their hashes, the list of them."""

from __future__ import annotations

import importlib.metadata
import json
import platform
import re
import shutil
import subprocess
import sys
import tarfile
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LOCK = ROOT / "requirements.lock"


@pytest.fixture(autouse=True)
def tools(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.syspath_prepend(ROOT / "tools")
    yield
    for name in ("parts", "licences", "sbom"):
        sys.modules.pop(name, None)


def only_where_the_page_was_made() -> None:
    if (sys.platform, platform.machine()) != ("linux", "x86_64"):
        pytest.skip("the page says what is so on Linux x86-64")


def pinned() -> dict[str, str]:
    """The versions that the project was tested with."""
    from parts import plain

    lines = (ROOT / "constraints.txt").read_text().splitlines()
    pairs = (line.split("==") for line in lines if "==" in line)
    return {plain(name): version for name, version in pairs}


def test_the_page_of_terms_is_what_the_packages_say() -> None:
    only_where_the_page_was_made()
    import licences

    said = licences.page()
    assert (ROOT / "docs" / "licences.md").read_text("utf-8") == said, "run: make licences"


def test_what_asks_for_something_in_return_is_named() -> None:
    """From the packages' own metadata and files, without our code that makes the page."""
    page = (ROOT / "docs" / "licences.md").read_text("utf-8")
    section = page.split("## Packages that ask for something in return")[1].split("\n## ")[0]
    for name in ("verovio", "psycopg", "bidict", "certifi", "orjson"):
        about = importlib.metadata.metadata(name)
        terms = str(about.get_all("License-Expression", []) + about.get_all("Classifier", []))
        assert re.search("GPL|MPL|Mozilla", terms), f"{name} has other terms now"
        assert f"| {about['Name']} |" in section
    carrying = page.split("## If you pass it on")[1]
    for name in ("TimGM6mb", "x264", "x265", "verovio", "psycopg", "MPL"):
        assert name in carrying
    files = {Path(str(file)).name for file in importlib.metadata.files("pretty_midi") or []}
    assert "TimGM6mb.sf2" in files


def test_every_library_that_asks_for_something_lies_where_the_page_says() -> None:
    only_where_the_page_was_made()
    import licences

    for package, what, *_ in licences.INSIDE:
        files = [Path(str(file)).name for file in importlib.metadata.files(package) or []]
        assert any(file.startswith(what) for file in files), f"{package} carries no {what} now"


def test_what_the_video_package_says_of_itself() -> None:
    import ctypes

    only_where_the_page_was_made()
    files = importlib.metadata.files("av") or []
    (codec,) = [file.locate() for file in files if Path(str(file)).name.startswith("libavcodec")]
    import av  # noqa: F401  # loads what the library needs

    library = ctypes.CDLL(str(codec))
    library.avcodec_license.restype = library.avcodec_configuration.restype = ctypes.c_char_p
    assert library.avcodec_license() == b"LGPL version 3 or later"
    for name in (b"--enable-libx264", b"--enable-libx265"):
        assert name in library.avcodec_configuration()


def test_a_package_that_says_nothing_of_its_terms_stops_the_page(
    tmp_path: Path,
) -> None:
    import parts

    folder = tmp_path / "silent-1.dist-info"
    folder.mkdir()
    (folder / "METADATA").write_text("Metadata-Version: 2.1\nName: silent\nVersion: 1\n")
    with pytest.raises(SystemExit, match="silent 1 says nothing of its terms"):
        parts._terms(importlib.metadata.Distribution.at(folder))


def test_the_lock_holds_every_part_with_hashes_and_no_address() -> None:
    from parts import EXTRAS, parts, plain

    text = LOCK.read_text()
    assert "://" not in text
    assert "--index" not in text
    assert "--find-links" not in text
    entries = re.split(r"\n(?=\S)", text.strip())
    locked: dict[str, str] = {}
    for entry in entries:
        head, *hashes = entry.split("\\\n")
        found = re.match(r"([\w.-]+)==([^\s;]+)", head)
        assert found is not None, head
        assert hashes
        assert all(re.fullmatch(r"\s*--hash=sha256:[0-9a-f]{64}\s*", each) for each in hashes)
        locked[plain(found[1])] = found[2]
    needed = {name for extra in (None, *EXTRAS) for name in parts(extra)}
    assert needed <= set(locked), "run: make lock"
    tested = pinned()
    for name, version in locked.items():
        assert tested.get(name, version) == version, "run: make lock"


def test_the_list_of_parts_is_sound_whole_and_the_same_each_time() -> None:
    """Held against CycloneDX's own schema, as the package of its makers carries it."""
    from cyclonedx.schema import SchemaVersion
    from cyclonedx.validation.json import JsonStrictValidator

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        import sbom
    from parts import EXTRAS, parts

    text = sbom.text()
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(text) is None
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str("{}") is not None
    data = json.loads(text)
    found = {(part["name"], part["version"]) for part in data["components"]}
    needed = {
        (part.name, part.version) for extra in (None, *EXTRAS) for part in parts(extra).values()
    }
    assert found == needed
    for name, version in found:
        assert importlib.metadata.version(name) == version
    # Every part is reached from Lickwright.
    edges = {each["ref"]: each.get("dependsOn", []) for each in data["dependencies"]}
    reached, waiting = set(), ["lickwright"]
    while waiting:
        ref = waiting.pop()
        if ref not in reached:
            reached.add(ref)
            waiting += edges[ref]
    assert len(reached) == len(found) + 1
    assert text == sbom.text()
    assert "timestamp" not in data["metadata"]


def test_the_sdist_holds_what_a_reader_looks_for(tmp_path: Path) -> None:
    source = tmp_path / "source"
    left_out = shutil.ignore_patterns(".*", "__pycache__", "*.egg-info", "build", "dist", "out")
    shutil.copytree(ROOT, source, ignore=left_out)
    subprocess.run(
        [sys.executable, "-m", "build", "--sdist", "--no-isolation", "--outdir", tmp_path, source],
        check=True,
        capture_output=True,
    )
    (made,) = tmp_path.glob("lickwright-*.tar.gz")
    with tarfile.open(made) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    wanted = {"CHANGELOG.md", "LICENSE", "Makefile", "README.md", "constraints.txt"}
    wanted |= {"requirements.lock", "pyproject.toml", "src/lickwright/py.typed"}
    for folder in ("bench", "docs", "examples", "src", "tests", "tools"):
        wanted |= {
            path.relative_to(source).as_posix()
            for path in (source / folder).rglob("*")
            if path.is_file()
        }
    wanted = {name for name in wanted if ".egg-info" not in name and "__pycache__" not in name}
    assert wanted <= names
    assert not [name for name in names if name.endswith(".pyc")]
    assert len([name for name in wanted if name.startswith("docs/")]) > 20
