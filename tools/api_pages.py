"""Make the pages of the API from the docstrings: ``make docs``.

    python tools/api_pages.py FOLDER

A page for the package, for every floor and for every room; each shows what its ``__init__`` offers.
Files inside a room are nobody else's business and have no page.
"""

from __future__ import annotations

import importlib
import pkgutil
import re
import sys
import warnings
from pathlib import Path

import pdoc
import pdoc.render

import lickwright


def rooms() -> list[str]:
    """The package, its floors and their rooms, by the names that they are imported by."""
    below = pkgutil.walk_packages(lickwright.__path__, "lickwright.")
    return ["lickwright", *(module.name for module in below if module.ispkg)]


def _asked_for(name: str) -> bool:
    """Whether a page must be asked for; a room that its floor offers by name comes with it."""
    floor, _, room = name.rpartition(".")
    return not floor or room not in getattr(sys.modules[floor], "__all__", (room,))


def make(folder: Path) -> int:
    """Write the pages into a folder; how many there are."""
    names = rooms()
    for name in names:
        importlib.import_module(name)
    for name in lickwright.__all__:  # loaded when first asked for, which a page does not do
        setattr(lickwright, name, getattr(lickwright, name))
    inside = [
        f"!{re.escape(module.name)}$"
        for module in pkgutil.walk_packages(lickwright.__path__, "lickwright.")
        if not module.ispkg
    ]
    # Types that only a type checker imports are shown as they are written.
    warnings.filterwarnings("ignore", message="Error parsing type annotation")
    pdoc.render.configure(docformat="numpy", show_source=False)
    pdoc.pdoc(*filter(_asked_for, names), *inside, output_directory=folder)
    return len(names)


if __name__ == "__main__":
    target = Path(sys.argv[1])
    print(f"{make(target)} pages; open {target / 'index.html'}")
