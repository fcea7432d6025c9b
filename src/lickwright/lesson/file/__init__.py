"""What does a lesson file say?

Nouns:

* :class:`TempoEntry`: two tempi, in quarter notes a minute.
* :class:`GuitarEntry`: the instrument; every key may be left out.
* :class:`SoundEntry`: how the guitar sounds, and how loud the band is beside it.
* :class:`PinEntry`: what is settled for the chords that begin in one bar of a carried lick.
* :class:`ExampleEntry`: one example: from ``triads``, of ``parts``, your own ``tab``, or a
  ``lick`` taken up.
* :class:`PlayerEntry`: whose hands play the lesson.
* :class:`LessonEntry`: a whole lesson.
* :class:`PartEntry`: one part of an example: its own triads, or an earlier part taken up again.
* :class:`WishKeys`: what may be said of a carried line, for all of it or for one bar.
* :class:`PhraseKeys`: what may be said of a line as a phrase.
* :class:`ParsedText`: a text that is YAML: its plain data, the lines of its keys, the parser's
  tree.
* :class:`Lesson`: a lesson file that was read whole and makes sense key by key.
"""

from __future__ import annotations

from lickwright.lesson.file.entries import (
    ANY_EXAMPLE,
    KEYS_BY_KIND,
    AudioKind,
    CarryWay,
    ExampleEntry,
    Extra,
    Labels,
    LessonEntry,
    PinEntry,
)
from lickwright.lesson.file.parts import Filled, Joined, PartEntry, model_of, part_names
from lickwright.lesson.file.player import PlayerEntry
from lickwright.lesson.file.reading import (
    MAX_BYTES,
    Lesson,
    ParsedText,
    decode_lesson,
    lesson_bytes,
    load_lesson,
    parse_text,
    read_lesson,
    understand,
)
from lickwright.lesson.file.schema import lesson_schema
from lickwright.lesson.file.settings import FilmEntry, GuitarEntry, SoundEntry, TempoEntry
from lickwright.lesson.file.wishes import (
    WISHES,
    PhraseKeys,
    WishKeys,
    parse_families,
    parse_note_range,
    parse_tones,
)
from lickwright.lesson.file.yaml_tree import MAX_DEPTH

__all__ = [
    "ANY_EXAMPLE",
    "KEYS_BY_KIND",
    "MAX_BYTES",
    "MAX_DEPTH",
    "WISHES",
    "AudioKind",
    "CarryWay",
    "ExampleEntry",
    "Extra",
    "Filled",
    "FilmEntry",
    "GuitarEntry",
    "Joined",
    "Labels",
    "Lesson",
    "LessonEntry",
    "ParsedText",
    "PartEntry",
    "PhraseKeys",
    "PinEntry",
    "PlayerEntry",
    "SoundEntry",
    "TempoEntry",
    "WishKeys",
    "decode_lesson",
    "lesson_bytes",
    "lesson_schema",
    "load_lesson",
    "model_of",
    "parse_families",
    "parse_note_range",
    "parse_text",
    "parse_tones",
    "part_names",
    "read_lesson",
    "understand",
]
