"""Writes docs/licences.md from what the installed packages say of themselves.

``make licences`` runs it.  What no package says, the terms of the libraries and the bank inside
them, stands in :data:`INSIDE` with the place where its makers say it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from parts import EXTRAS, ROOT, Part, parts

PAGE = ROOT / "docs" / "licences.md"
#: Words by which terms that ask for something in return are known.
RECIPROCAL = ("GPL", "General Public License", "MPL", "Mozilla Public")

#: Inside a package: the thing, its terms, where its makers say so (from memory, not fetched).
INSIDE = (
    ("pretty_midi", "TimGM6mb.sf2", "GPL-2.0", "Debian's package timgm6mb-soundfont, copyright"),
    ("av", "libx264", "GPL-2.0-or-later, or bought", "COPYING and the file heads of x264"),
    ("av", "libx265", "GPL-2.0-or-later, or bought", "COPYING and the file heads of x265"),
    ("av", "libavcodec", "LGPL-2.1-or-later or GPL, by how it was built", "LICENSE.md of FFmpeg"),
    ("av", "libmp3lame", "LGPL-2.0-or-later", "COPYING of LAME"),
    ("av", "libgnutls", "LGPL-2.1-or-later", "LICENSE of GnuTLS"),
    ("av", "libgmp", "LGPL-3.0-or-later or GPL-2.0-or-later", "COPYING.LESSERv3 of GMP"),
    ("av", "libnettle", "LGPL-3.0-or-later or GPL-2.0-or-later", "README of Nettle"),
    ("av", "libasound", "LGPL-2.1-or-later", "COPYING of alsa-lib"),
    ("av", "libunistring", "LGPL-3.0-or-later or GPL-2.0-or-later", "COPYING of libunistring"),
    ("soundfile", "libsndfile", "LGPL-2.1-or-later", "COPYING of libsndfile"),
    ("numpy", "libgfortran", "GPL-3.0 with GCC's runtime exception", "COPYING.RUNTIME of GCC"),
    ("scipy", "libgfortran", "GPL-3.0 with GCC's runtime exception", "COPYING.RUNTIME of GCC"),
    ("numpy", "libquadmath", "LGPL-2.0-or-later", "libquadmath/COPYING.LIB of GCC"),
    ("scipy", "libquadmath", "LGPL-2.0-or-later", "libquadmath/COPYING.LIB of GCC"),
    ("psycopg-binary", "libcrypt", "LGPL-2.1-or-later", "COPYING.LIB of libxcrypt or glibc"),
    ("psycopg-binary", "libkeyutils", "LGPL-2.1-or-later", "LICENCE.LGPL of keyutils"),
)

_HEAD = """\
# What Lickwright stands on

Lickwright itself is Apache-2.0. Nothing below is copied into it: every part is a package of its
own, which pip installs beside it. The tables are made by `make licences` from what the installed
packages say of themselves (on Linux x86-64), word for word; a test compares them. A package that
says several things is quoted with all of them.

This page says what is there. It is no legal advice: what the terms of two parts mean together, or
for a work made with them, is for a lawyer to say.
"""
_INSIDE = """\
## What lies inside the packages

A package's own terms are not those of all it carries. What asks for something in return, and where
its makers say so (from memory; read the files named before you rely on them):
"""
_VIDEO = """\
The FFmpeg in the video package `av` calls itself "LGPL version 3 or later" when it is asked
(`avcodec_license`), and says in the same breath that it was built with x264 and x265
(`avcodec_configuration`). Lickwright encodes video with x264.
"""
_CARRYING = """\
## If you pass it on

`pip install lickwright` has each user fetch every part from where its makers put it. Our own
wheel and sdist hold none of them.

An installer, a container image or a disk with everything on it is another matter: it would carry,
among all the parts above,

- the General MIDI bank TimGM6mb (GPL-2.0), inside `pretty_midi`;
- libx264 and libx265 (GPL-2.0-or-later), inside `av`;
- verovio (LGPL-3.0), and with the extra `postgres` psycopg (LGPL-3.0);
- the other LGPL libraries of the table above, and the MPL packages.

Who passes such a thing on passes these on, and has to do what their terms ask of it: among other
things the GPL (version 2, section 3) asks for the source along with the program, the LGPL
(version 3, section 4) that the library can be replaced, the MPL (version 2.0, section 3.2) that its
source can be had. `make sbom` lists every part with its version for that purpose.

## What a lesson is made with

Lickwright claims nothing in what you build with it. Of the outputs of programs in general the Free
Software Foundation says that the GPL does not reach them, save where a program copies parts of
itself into them (GPL FAQ, "Is there some way that I can GPL the output people get from use of my
program?", from memory). The band on a backing track is played from samples of the bank; we know of
no source that settles what that means for a recording. `backing: none` makes a lesson without it.
"""


def page() -> str:
    """The whole page."""
    own = parts()
    beside = {extra: parts(extra) for extra in EXTRAS}
    every = [*own.values(), *(part for found in beside.values() for part in found.values())]
    pieces = [_HEAD, "## What we ask for\n", _table(part for part in own.values() if part.direct)]
    pieces += ["## What those ask for in turn\n"]
    pieces += [_table(part for part in own.values() if not part.direct)]
    for extra, found in beside.items():
        pieces += [f"## With the extra `{extra}`\n", _table(found.values())]
    pieces += ["## Packages that ask for something in return\n"]
    pieces += [_table(part for part in every if _is_reciprocal(part))]
    pieces += [_INSIDE, _inside(), _VIDEO, "Every library that the wheels carry:\n"]
    carried = ((part.name, ", ".join(part.carries)) for part in every if part.carries)
    pieces += [_rows(("package", "libraries"), carried)]
    return "\n".join([*pieces, _CARRYING])


def _is_reciprocal(part: Part) -> bool:
    return any(word in part.terms for word in RECIPROCAL)


def _table(found: Iterable[Part]) -> str:
    return _rows(("package", "its terms, as it says"), ((part.name, part.terms) for part in found))


def _inside() -> str:
    return _rows(("in", "what", "its terms", "where its makers say so"), INSIDE)


def _rows(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [f"| {' | '.join(head)} |", f"|{'---|' * len(head)}"]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    Path(PAGE).write_text(page(), encoding="utf-8")
