"""How does a lesson meet the film that a teacher made of it?

Nouns:

* :class:`Film`: a lesson's film: its recordings, what was heard, and what was found in it.
* :class:`FilmRow`: a playing of an example, as the table shows it.
* :class:`FilmSource`: one of the files that recorded the same playing.
* :class:`MadeFile`: a file that was made of a film, and what it is.
* :class:`TableLine`: a row of a table file, as the teacher left it.
"""

from __future__ import annotations

from lickwright.publish.film.exporting import (
    MadeFile,
    make_cuts,
    make_film,
    make_overlays,
    rough_cut,
)
from lickwright.publish.film.findings import Film, FilmRow, FilmSource, find_film
from lickwright.publish.film.table import TableLine, clock, corrected, read_table, write_table

__all__ = [
    "Film",
    "FilmRow",
    "FilmSource",
    "MadeFile",
    "TableLine",
    "clock",
    "corrected",
    "find_film",
    "make_cuts",
    "make_film",
    "make_overlays",
    "read_table",
    "rough_cut",
    "write_table",
]
