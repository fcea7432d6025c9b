"""Do we hear functions and keys as published Roman-numeral analyses do?

Run:  python bench/roman.py      (needs the extra ``test``; reading takes minutes the first time)

Every Roman-numeral analysis (RomanText) that music21 carries in its corpus is read; each of its
numerals becomes a chord with its root, its notes, its bass and its local key (Cuthbert & Ariza,
ISMIR 2010; the analyses are by D. Tymoczko and others, as each file says).

* functions: in the analyst's own keys, is a published secondary dominant (``V/x``, ``V7/x``,
  ``viio/x``) called a secondary dominant or a leading-tone chord?  In all, and where its
  goal follows.
* keys: without any key, is the local key found, weighed by chord?  Beside it a Viterbi over
  key profiles alone (Krumhansl & Kessler 1982, as music21 tabulates them; the same price for a
  change of key), and the misses by their relation to the analyst's key.

The prices of the search were set on every other piece, from the first; the others are told apart.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from lickwright.changes.progression import Changes, PlacedChord, analyse, infer_keys, parse_changes
from lickwright.theory import Chord, Key, chord_from_degrees, parse_key, parse_note_name

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


def pieces() -> list[list[Published]]:
    """Every analysis, read once and kept in the folder for temporary files."""
    kept = Path(tempfile.gettempdir()) / "lickwright-roman.jsonl"
    if not kept.exists():
        kept.write_text("".join(f"{json.dumps(piece)}\n" for piece in _from_music21()), "utf-8")
    raw = [json.loads(line) for line in kept.read_text("utf-8").splitlines()]
    return [[each for row in piece if (each := _published(*row))] for piece in raw]


def _from_music21() -> Iterator[list[tuple[str, list[int], str, str, str, float]]]:
    from music21 import converter, corpus

    for path in sorted(path for path in corpus.getPaths() if path.name.endswith(".rntxt")):
        rows = []
        score = converter.parse(path, format="romanText")
        for numeral in score.recurse().getElementsByClass("RomanNumeral"):
            pitches = [pitch.pitchClass for pitch in numeral.pitches]
            if pitches and numeral.key is not None:
                root = numeral.root()
                key = f"{numeral.key.tonic.name.replace('-', 'b')} {numeral.key.mode}"
                rows.append(
                    (
                        root.name.replace("-", "b"),
                        sorted({(pc - root.pitchClass) % 12 for pc in pitches}),
                        numeral.bass().name.replace("-", "b"),
                        key,
                        numeral.figure,
                        float(numeral.quarterLength),
                    )
                )
        yield rows


def _published(
    root: str, tones: list[int], bass: str, key: str, figure: str, length: float
) -> Published | None:
    degrees = _KIND_DEGREES.get(tuple(tones))
    if degrees is None:
        return None
    chord = chord_from_degrees(parse_note_name(root), degrees, parse_note_name(bass))
    return None if chord is None else Published(chord, parse_key(key), figure, length)


#: V or vii of another degree than I; what follows a slash in a figure such as 6/5 is a number.
_SECONDARY = re.compile(r"(vii|V)(?![iI])[^a-zA-Z]*[oø]?[^a-zA-Z]*/(?:[#b]*)(?!I$|i$)[iIvV]+$")


def played(piece: Sequence[Published]) -> Changes:
    """The numerals as changes, every chord in the analyst's key."""
    empty = parse_changes("C")
    chords, onset = [], Fraction(0)
    for each in piece:
        length = Fraction(each.length).limit_denominator(96) or Fraction(1)
        chords.append(PlacedChord(each.chord, onset, length, 1, each.key))
        onset += length
    return replace(empty, chords=tuple(chords))


def functions(every: Sequence[Sequence[Published]]) -> None:
    """Published secondary dominants: how many are found, by kind."""
    asked: Counter[str] = Counter()
    found: Counter[str] = Counter()
    for piece in every:
        for at, (each, role) in enumerate(zip(piece, analyse(played(piece)), strict=True)):
            secondary = _SECONDARY.match(each.figure)
            if secondary is None:
                continue
            kind = "leading-tone" if secondary[1] == "vii" else "dominant"
            kind += " seventh" if len(each.chord.kind.degrees) > 3 else " triad"
            after = next((c.chord for c in piece[at + 1 :] if c.chord != each.chord), None)
            rises = 1 if kind.startswith("leading") else 5
            goal = after is not None and (after.root.pc - each.chord.root.pc) % 12 == rises
            hit = role.function in ("secondary dominant", "leading-tone chord")
            for name in (kind, "all", *(("all whose goal follows",) if goal else ())):
                asked[name] += 1
                found[name] += hit
    for name, count in sorted(asked.items()):
        print(f"  {name:<26} {found[name]:4} of {count:4}  {found[name] / count:6.1%}")


#: Krumhansl & Kessler 1982, as in music21.analysis.discrete.KrumhanslKessler.
_PROFILES = (
    (6.35, 2.33, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    (6.33, 2.68, 3.52, 5.38, 2.6, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
)


def profile_keys(piece: Sequence[Published], price: float) -> list[tuple[int, bool]]:
    """The cheapest path over key profiles alone; a change of key costs ``price``."""
    states = [(tonic, minor) for minor in (False, True) for tonic in range(12)]
    costs, back = [0.0] * 24, []
    for each in piece:
        tones = [note.pc for note in each.chord.tones]
        cheapest = min(range(24), key=costs.__getitem__)
        came, now = [], []
        for at, (tonic, minor) in enumerate(states):
            stay = costs[at] <= costs[cheapest] + price
            came.append(at if stay else cheapest)
            fit = sum(_PROFILES[minor][(tone - tonic) % 12] for tone in tones) / len(tones)
            now.append(min(costs[at], costs[cheapest] + price) - fit)
        costs, back = now, [*back, came]
    state = min(range(24), key=costs.__getitem__)
    path = []
    for came in reversed(back):
        path.append(states[state])
        state = came[state]
    return path[::-1]


def _relation(theirs: tuple[int, bool], ours: tuple[int, bool]) -> str:
    up = (ours[0] - theirs[0]) % 12
    if theirs[1] == ours[1]:
        return {0: "right", 7: "a fifth above", 5: "a fifth below"}.get(up, "another")
    if up == 0:
        return "parallel"
    return "relative" if up == (3 if theirs[1] else 9) else "another"


def keys(every: Sequence[Sequence[Published]]) -> None:
    """How many chords are given the analyst's key."""
    ours: Counter[str] = Counter()
    profile = dict.fromkeys((0.5, 1.0, 2.0, 4.0, 8.0, 16.0), 0)
    total = 0
    for piece in every:
        theirs = [(each.key.tonic.pc, "minor" in each.key.mode) for each in piece]
        mine = infer_keys(
            [each.chord for each in piece],
            [Fraction(each.length).limit_denominator(96) for each in piece],
        )
        for want, got in zip(theirs, mine, strict=True):
            ours[_relation(want, (got.tonic.pc, got.mode == "minor"))] += 1
        total += len(piece)
        for price in profile:
            path = profile_keys(piece, price)
            profile[price] += sum(a == b for a, b in zip(theirs, path, strict=True))
    print(f"  {total} chords; " + ", ".join(f"{k} {n / total:.1%}" for k, n in ours.most_common()))
    best = max(profile.values())
    print(f"  a Viterbi over key profiles alone, at its best price: {best / total:.1%}")


def main() -> None:
    every = [piece for piece in pieces() if piece]
    print(f"{len(every)} analyses, {sum(map(len, every)):,} numerals")
    print("secondary dominants, in the analyst's keys")
    functions(every)
    parts = {
        "that prices were set on": every[::2],
        "the others": every[1::2],
        "the others, chorales alone": every[1:20:2],
    }
    for name, part in parts.items():
        print(f"keys: analyses {name}")
        keys(part)


if __name__ == "__main__":
    main()
