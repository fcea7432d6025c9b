"""What tables does a shelf have today?

:mod:`lickwright.shelf.store.versions` makes them, step by step from the first version on; a test
holds what it makes against what stands here.  The words of a lick are indexed in a table of the
database's own kind: see :mod:`lickwright.shelf.store.text_index`.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData()


def _lick_id() -> Column[int]:
    return Column("lick_id", Integer, ForeignKey("lick.id", ondelete="CASCADE"), primary_key=True)


#: The number of the last step that was taken.
version = Table("shelf_version", metadata, Column("version", Integer, primary_key=True))

#: A lesson and the very text of its file.
lesson = Table(
    "lesson",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("title", String, nullable=False),
    Column("number", Integer),
    Column("teacher", String, nullable=False),
    Column("file", String, nullable=False),
    Column("digest", String, nullable=False),
    Column("text", Text, nullable=False),
)

#: A lick: an example of a lesson (``place`` counts from 0), or one that came alone.  ``chords``,
#: ``triads`` and ``techniques`` are what a list of licks shows.
lick = Table(
    "lick",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("lesson_id", Integer, ForeignKey("lesson.id", ondelete="CASCADE")),
    Column("place", Integer, nullable=False),
    Column("name", String, nullable=False),
    Column("file", String, nullable=False),
    Column("digest", String, nullable=False),
    Column("key", String, nullable=False),
    Column("tuning", String, nullable=False),
    Column("lowest_string", Integer, nullable=False),
    Column("highest_string", Integer, nullable=False),
    Column("lowest_fret", Integer, nullable=False),
    Column("highest_fret", Integer, nullable=False),
    Column("target_bpm", Float, nullable=False),
    Column("ceiling_bpm", Float),
    Column("chords", String, nullable=False),
    Column("triads", String, nullable=False),
    Column("techniques", String, nullable=False),
    UniqueConstraint("lesson_id", "place"),
    Index("lick_digest", "digest"),
)

#: The rest of a lick, kept apart so that a search need not read past it: the whole Score as JSON,
#: and what the teacher wrote.
body = Table(
    "lick_body",
    metadata,
    _lick_id(),
    Column("contour", String, nullable=False),
    Column("rhythm", String, nullable=False),
    Column("text", Text, nullable=False),
    Column("score", Text, nullable=False),
)

#: A chord that a stretch of a lick implies; ``root`` and ``bass`` are pitch classes.
chord = Table(
    "lick_chord",
    metadata,
    _lick_id(),
    Column("nth", Integer, primary_key=True),
    Column("place", Integer, nullable=False),
    Column("printed", Boolean, nullable=False),
    Column("symbol", String, nullable=False),
    Column("suffix", String, nullable=False),
    Column("root", Integer, nullable=False),
    Column("bass", Integer, nullable=False),
    Column("family", String, nullable=False),
    Index("lick_chord_family", "family", "printed", "lick_id"),
)

#: A technique that a lick uses.
technique = Table(
    "lick_technique",
    metadata,
    _lick_id(),
    Column("name", String, primary_key=True),
    Index("lick_technique_found", "name", "lick_id"),
)

#: What stays the same of a lick when it is moved; see
#: :mod:`lickwright.shelf.likeness.fingerprints`.
prints = Table(
    "lick_print",
    metadata,
    _lick_id(),
    Column("line", String, nullable=False),
    Column("shape", String, nullable=False),
    Column("tones", String, nullable=False),
    Column("contour", String, nullable=False),
    Column("rhythm", String, nullable=False),
    Index("lick_print_line", "line", "lick_id"),
    Index("lick_print_shape", "shape", "lick_id"),
    Index("lick_print_tones", "tones", "lick_id"),
    Index("lick_print_way", "contour", "rhythm", "lick_id"),
)

#: The bands of a line, by which lines that are partly alike are found.
band = Table(
    "lick_band",
    metadata,
    _lick_id(),
    Column("nth", Integer, primary_key=True),
    Column("band", BigInteger, nullable=False),
    Index("lick_band_found", "band", "lick_id"),
)
