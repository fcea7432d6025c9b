"""Do we hear functions and keys as published Roman-numeral analyses do?

Run:  python bench/roman.py [HOW_MANY]      (needs the extra ``test``; a few minutes for all)

Every Roman-numeral analysis (RomanText) that music21 carries in its corpus is read; each of its
numerals becomes a chord with its root, its notes, its bass and its local key (Cuthbert & Ariza,
ISMIR 2010; the analyses are by D. Tymoczko and others, as each file says).

* functions: in the analyst's own keys, is a published secondary dominant (``V/x``, ``V7/x``,
  ``viio/x``) called a secondary dominant, or a leading-tone chord, of the same goal?
* keys: without any key, is the local key found, weighed by chord?  Beside it a Viterbi over
  key profiles alone (Krumhansl & Kessler 1982, as music21 tabulates them; the same price for a
  change of key), and the misses by their relation to the analyst's key.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from lickwright.changes.progression import PlacedChord, infer_keys, roles_of
from lickwright.theory import Chord, Key, chord_from_degrees, parse_note_name

_KIND_DEGREES = {
    (0, 4, 7): ("1", "3", "5"),
    (0, 3, 7): ("1", "b3", "5"),
    (0, 3, 6): ("1", "b3", "b5"),
    (0, 4, 8): ("1", "3", "#5"),
    (0, 4, 7, 10): ("1", "3", "5", "b7"),
    (0, 4, 7, 11): ("1", "3", "5", "7"),
    (0, 3, 7, 10): ("1", "b3", "5", "b7"),
    (0, 3, 6, 10): ("1", "b3", "b5", "b7"),
    (0, 3, 6, 9): ("1", "b3", "b5", "bb7"),
    (0, 3, 7, 11): ("1", "b3", "5", "7"),
    (0, 4, 8, 11): ("1", "3", "#5", "7"),
    (0, 4, 6, 10): ("1", "3", "b5", "b7"),
}


@dataclass(frozen=True, slots=True)
class Published:
    """A numeral of a published analysis."""

    chord: Chord
    key: Key
    figure: str
    length: float


def pieces(most: int | None) -> list[list[Published]]:
    """Every analysis, read once and kept in the folder for temporary files."""
    kept = Path(tempfile.gettempdir()) / "lickwright-roman.json"
    if not kept.exists():
        kept.write_text(json.dumps(_from_music21()), encoding="utf-8")
    raw = json.loads(kept.read_text(encoding="utf-8"))
    return [[each for row in piece if (each := _published(*row))] for piece in raw[:most]]


def _from_music21() -> list[list[tuple[str, list[int], str, str, str, float]]]:
    from music21 import converter, corpus

    found = []
    paths = [path for path in corpus.getPaths() if path.name.endswith(".rntxt")]
    paths += [p for p in corpus.getPaths() if p.name.endswith(".txt") and "analysis" in p.name]
    for path in sorted(set(paths)):
        score = converter.parse(path, format="romanText")
        rows = []
        for numeral in score.recurse().getElementsByClass("RomanNumeral"):
            pitches = [p.pitchClass for p in numeral.pitches]
            if not pitches or numeral.key is None:
                continue
            root = numeral.root()
            rows.append(
                (
                    root.name.replace("-", "b"),
                    sorted({(pc - root.pitchClass) % 12 for pc in pitches}),
                    numeral.bass().name.replace("-", "b"),
                    f"{numeral.key.tonic.name.replace('-', 'b')} {numeral.key.mode}",
                    numeral.figure,
                    float(numeral.quarterLength),
                )
            )
        found.append(rows)
    return found


def _published(
    root: str, tones: list[int], bass: str, key: str, figure: str, length: float
) -> Published | None:
    from lickwright.theory import parse_key

    degrees = _KIND_DEGREES.get(tuple(tones))
    if degrees is None:
        return None
    chord = chord_from_degrees(parse_note_name(root), degrees, parse_note_name(bass))
    return None if chord is None else Published(chord, parse_key(key), figure, length)
