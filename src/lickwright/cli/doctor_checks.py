"""Does this machine have what Lickwright needs?

Each check gives lines: what was looked at, what was found, and where it must be mended, how.
Nothing is made, changed or sent anywhere; a file that tries whether a folder takes files is gone
again at once.
"""

from __future__ import annotations

import importlib
import importlib.metadata
import importlib.util
import os
import platform
import re
import tempfile
import webbrowser
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from packaging.requirements import Requirement

OLDEST_PYTHON = (3, 11)
#: A module for each package that holds compiled code: such a one can be there and not start.
_COMPILED = {
    "av": "av",
    "midirenderer": "midirenderer",
    "numpy": "numpy",
    "pillow": "PIL.Image",
    "pydantic": "pydantic",
    "scipy": "scipy.signal",
    "soundfile": "soundfile",
    "sqlalchemy": "sqlalchemy",
    "typst": "typst",
    "verovio": "verovio",
}
#: What the typesetter must carry for the sheet and the screen.
_FACES = ("DejaVu Sans Mono", "Libertinus Serif", "New Computer Modern Math")
_ENCODERS = ("libx264", "aac", "png")
_EXTRA = re.compile(r"""extra\s*==\s*['"]([\w-]+)['"]""")


@dataclass(frozen=True, slots=True)
class DoctorLine:
    """One thing that was looked at.

    Parameters
    ----------
    topic, name : what was looked at.
    found : what is there, in words.
    mend : what to do where it is not as it must be; empty where all is well.
    needed : whether Lickwright lacks something without it.
    """

    topic: str
    name: str
    found: str
    mend: str = ""
    needed: bool = True

    @property
    def is_fault(self) -> bool:
        """Whether it must be mended."""
        return bool(self.mend) and self.needed

    def as_data(self) -> dict[str, Any]:
        """The same as plain data."""
        state = "fault" if self.is_fault else "optional" if self.mend else "good"
        return {
            "topic": self.topic,
            "name": self.name,
            "found": self.found,
            "state": state,
            "mend": self.mend,
        }


def lines(shelf: str | None) -> Iterator[DoctorLine]:
    """Look at everything.

    Parameters
    ----------
    shelf : the place of the shelf, as ``--shelf`` names it; ``None`` for the usual one.
    """
    yield from system_lines()
    yield from package_lines()
    yield from extra_lines()
    yield from sound_and_page_lines()
    yield browser_line()
    yield from folder_lines(shelf)


# --- the system and its packages -----------------------------------------------------------------


def system_lines() -> Iterator[DoctorLine]:
    """Lickwright itself, Python, the machine."""
    import sqlite3

    from lickwright import __version__

    yield DoctorLine("system", "lickwright", f"{__version__}, engine {_engine()}")
    python = f"{platform.python_version()} ({platform.python_implementation()})"
    old = tuple(map(int, platform.python_version_tuple()[:2])) < OLDEST_PYTHON
    wanted = ".".join(map(str, OLDEST_PYTHON))
    yield DoctorLine("system", "Python", python, f"Use Python {wanted} or later" if old else "")
    yield DoctorLine("system", "platform", f"{platform.system()} {platform.machine()}")
    yield DoctorLine("system", "processors", str(os.cpu_count() or "unknown"))
    yield DoctorLine("system", "zlib", zlib.ZLIB_RUNTIME_VERSION)
    with sqlite3.connect(":memory:") as connection:
        names = {name for (name,) in connection.execute("PRAGMA compile_options")}
    connection.close()
    lacks = "ENABLE_FTS5" not in names
    mend = "Use a Python whose SQLite has FTS5; the shelf is searched by it" if lacks else ""
    yield DoctorLine("system", "SQLite", sqlite3.sqlite_version, mend)


def _engine() -> str:
    from lickwright.publish import engine

    try:
        return engine()[:12]
    except importlib.metadata.PackageNotFoundError:
        return "unknown (a package is missing)"


def package_lines() -> Iterator[DoctorLine]:
    """Every package that Lickwright names as needed, and what the build's bytes hang on."""
    from lickwright.publish import _ENGINES

    asked = _requirements()
    names = {_plain(name): name for name in (*asked.get("", {}), *_ENGINES)}
    for plain in sorted(names):
        yield _package(names[plain], asked.get("", {}).get(names[plain], ""))


def extra_lines() -> Iterator[DoctorLine]:
    """The packages of each part that may be left out."""
    asked = _requirements()
    for extra in ("cluster", "postgres"):
        for name, wanted in asked.get(extra, {}).items():
            line = _package(name, wanted)
            install = f"Install it with: pip install 'lickwright[{extra}]'" if line.mend else ""
            yield DoctorLine(f"extra {extra}", name, line.found, install, needed=False)


def _requirements() -> dict[str, dict[str, str]]:
    """What our package asks for: by extra (``""`` for all of us), name and version."""
    asked: dict[str, dict[str, str]] = {}
    for extra, requirement in _asked_by("lickwright"):
        home = asked.setdefault(extra, {})
        home[requirement.name] = str(requirement.specifier)
        # ``dask[distributed]`` asks for more than Dask.
        for more, other in _asked_by(requirement.name) if requirement.extras else ():
            if more in requirement.extras:
                home[other.name] = str(other.specifier)
    return asked


def _asked_by(name: str) -> Iterator[tuple[str, Requirement]]:
    """What a package asks for, each with the extra that it belongs to."""
    from packaging.requirements import Requirement

    try:
        texts = importlib.metadata.requires(name) or []
    except importlib.metadata.PackageNotFoundError:  # run from its source, or not there
        return
    for text in texts:
        requirement = Requirement(text)
        extra = _EXTRA.search(str(requirement.marker or ""))
        yield (extra[1] if extra else ""), requirement


def _package(name: str, wanted: str) -> DoctorLine:
    from packaging.specifiers import SpecifierSet

    try:
        version = importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return DoctorLine("packages", name, "missing", f"Install it with: pip install {name}")
    if wanted and not SpecifierSet(wanted).contains(version, prereleases=True):
        mend = f"Install another with: pip install '{name}{wanted}'"
        return DoctorLine("packages", name, f"{version}, {wanted} is needed", mend)
    module = _COMPILED.get(_plain(name))
    if module is not None:
        try:
            importlib.import_module(module)
        except (ImportError, OSError) as error:
            said = (str(error).splitlines() or [type(error).__name__])[0]
            mend = f"Install it again with: pip install --force-reinstall {name}"
            return DoctorLine("packages", name, f"{version}, does not start ({said})", mend)
    return DoctorLine("packages", name, version)


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


# --- what the packages must carry ----------------------------------------------------------------


def sound_and_page_lines() -> Iterator[DoctorLine]:
    """The faces, the music font, the bank, the encoders: they lie in packages."""
    yield from _face_lines()
    yield _music_font_line()
    yield _bank_line()
    yield from _encoder_lines()


def _face_lines() -> Iterator[DoctorLine]:
    try:
        import typst

        carried = set(typst.Fonts(include_system_fonts=False).families())
    except ImportError:
        carried = set()
    for face in _FACES:
        there = face in carried
        mend = "Install the version of typst that constraints.txt names"
        found = "in the typesetter" if there else "missing"
        yield DoctorLine("fonts", face, found, "" if there else mend)


def _music_font_line() -> DoctorLine:
    from lickwright.engrave.page import MUSIC_FONT

    home = importlib.util.find_spec("verovio")
    there = home is not None and home.origin is not None
    if home is not None and home.origin is not None:
        there = (Path(home.origin).parent / "data" / f"{MUSIC_FONT}.xml").is_file()
    mend = "Install it again with: pip install --force-reinstall verovio"
    found = "in the layout engine" if there else "missing"
    return DoctorLine("fonts", MUSIC_FONT, found, "" if there else mend)


def _bank_line() -> DoctorLine:
    from lickwright.errors import LickwrightError

    name = "General MIDI"
    try:
        from lickwright.sound.mix import bank_path

        path = bank_path()
        with path.open("rb") as file:
            head = file.read(12)
        size = path.stat().st_size
    except (LickwrightError, OSError, ImportError) as error:
        mend = getattr(error, "mend", "") or "Install it again with: pip install pretty_midi"
        return DoctorLine("bank", name, "missing", mend)
    if head[:4] != b"RIFF" or head[8:] != b"sfbk":
        mend = "Install it again with: pip install --force-reinstall pretty_midi"
        return DoctorLine("bank", name, f"{path.name} is no sound bank", mend)
    return DoctorLine("bank", name, f"{path.name}, {size:,} bytes")


def _encoder_lines() -> Iterator[DoctorLine]:
    mend = "Install the version of av that constraints.txt names"
    try:
        import av
    except ImportError:
        yield DoctorLine("encoders", ", ".join(_ENCODERS), "missing", mend)
        return
    known = av.codecs_available
    for name in _ENCODERS:
        try:
            there = name in known and av.Codec(name, "w").is_encoder
        except ValueError:  # what av says of a codec that it can only read
            there = False
        yield DoctorLine("encoders", name, "there" if there else "missing", "" if there else mend)


# --- the browser and the folders -----------------------------------------------------------------


def browser_line() -> DoctorLine:
    """Whether the studio can open a browser by itself."""
    try:
        browser = webbrowser.get()
    except webbrowser.Error:
        mend = "Open the address that the studio prints in any browser"
        return DoctorLine("browser", "for the studio", "none was found", mend, needed=False)
    name = getattr(browser, "name", "") or type(browser).__name__
    return DoctorLine("browser", "for the studio", Path(name).name)


def folder_lines(shelf: str | None) -> Iterator[DoctorLine]:
    """Whether the folders that are written to can be."""
    yield _folder("temporary files", _temporary(), "Set TMPDIR to a folder that you may write")
    yield _folder("this folder", Path.cwd(), "Name another with: lickwright build LESSON -o DIR")
    yield _shelf_line(shelf)


def _temporary() -> Path | None:
    try:
        return Path(tempfile.gettempdir())
    except FileNotFoundError:
        return None


def _folder(name: str, folder: Path | None, mend: str) -> DoctorLine:
    if folder is None:
        return DoctorLine("folders", name, "there is none that can be written", mend)
    try:
        with tempfile.TemporaryFile(dir=folder) as file:
            file.write(b"\0")
    except OSError as error:
        said = (error.strerror or type(error).__name__).lower()
        return DoctorLine("folders", name, f"{short(folder)}, cannot be written ({said})", mend)
    return DoctorLine("folders", name, f"{short(folder)}, can be written")


def _shelf_line(where: str | None) -> DoctorLine:
    """Where the shelf stands; it is neither opened nor made."""
    from lickwright.errors import LickwrightError

    name, mend = "shelf", "Name another with --shelf or LICKWRIGHT_SHELF"
    try:
        from lickwright.cli.shelf.place import usual_place
        from lickwright.shelf.store import address_of
    except ImportError as error:
        return DoctorLine("folders", name, f"unknown ({error})", "Install what is missing above")
    try:
        address = address_of(where or usual_place())
    except LickwrightError as error:
        return DoctorLine("folders", name, error.what, error.mend)
    if address.file is None:
        return DoctorLine("folders", name, f"{address.name}, not asked")
    if os.path.exists(address.file) and not os.access(address.file, os.W_OK):
        return DoctorLine("folders", name, f"{short(address.file)}, cannot be written", mend)
    folder = address.file.parent
    while where is None and not folder.exists() and folder != folder.parent:
        folder = folder.parent  # the usual folder is made when it is first needed
    line = _folder(name, folder, mend)
    state = line.found.rpartition(", ")[2] if line.mend else "can be written"
    there = "" if os.path.exists(address.file) else "not made yet, "
    return DoctorLine("folders", name, f"{short(address.file)}, {there}{state}", line.mend)


def short(path: Path) -> str:
    """A path without the name of who is at home here, for reports that others read."""
    try:
        home = Path.home()
    except RuntimeError:  # no home at all
        return str(path)
    if home != Path(home.anchor) and path.is_relative_to(home):
        return str(Path("~") / path.relative_to(home))
    return str(path)
