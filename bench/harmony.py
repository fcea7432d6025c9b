"""How much of what two triads can sound do we name, and how fast, beside general libraries?

Run:  python bench/harmony.py        (needs the extras ``test`` and ``bench``)

Every pair of the 72 triads (2,556) is put over every bass (12).  A library names a set when one
of the names it gives for any rotation of the notes, in scale order or stacked in thirds, spelled
from the root of that rotation, rebuilds exactly the same notes; a bass of its own is no demand.
Polychord strings do not count, ours included.  Libraries name by interval, so each set is tried
in one transposition and counted as often as it occurs.
"""

from __future__ import annotations

import statistics
import time
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from itertools import combinations

from lickwright.theory.degree import degree_note
from lickwright.theory.finding.pairs import pairs_for
from lickwright.theory.hearing.implied import implied_chords, readings_of
from lickwright.theory.hearing.naming import name_on_root
from lickwright.theory.hearing.naming_table import name_over, names_over
from lickwright.theory.hearing.strength import hear
from lickwright.theory.pitch import NoteName, mask_of, pitch_classes, rotate_mask
from lickwright.theory.spelling import spell_root
from lickwright.theory.symbols.writing import kind_from_degrees
from lickwright.theory.triad import Triad, TriadQuality

#: A library's names for some spelled notes, each as the mask of the notes it rebuilds.
Namer = Callable[[list[NoteName]], Iterator[int]]

WANTED = (
    *("Bbmaj9", "Ebmaj13#11", "Fm11", "Gm13", "Ab13#11", "Db7alt"),
    *("Bm7b5", "C#m9", "F13sus4", "E7b9", "Am(maj9)", "Dbdim7"),
)


def all_pairs() -> list[tuple[int, int]]:
    """(union of the two triads, bass) for every pair and bass."""
    triads = [Triad(spell_root(pc), quality) for pc in range(12) for quality in TriadQuality]
    return [
        (first.mask | second.mask, bass)
        for first, second in combinations(triads, 2)
        for bass in range(12)
    ]


def lowest_transposition(mask: int) -> int:
    return min(rotate_mask(mask, up) for up in range(12))


def rotations(mask: int) -> Iterator[list[NoteName]]:
    """The notes from each of them up, in scale order and in thirds, spelled from that root."""
    for root_pc in pitch_classes(mask):
        over_root = rotate_mask(mask, -root_pc)
        naming = name_on_root(over_root)
        if naming is None:
            scale = [spell_root(root_pc + up) for up in pitch_classes(over_root)]
            yield scale
            yield scale[::2] + scale[1::2]
            continue
        root = spell_root(root_pc, minor="b3" in naming.kind.degrees)
        yield [degree_note(root, name) for name in naming.degrees]
        yield [degree_note(root, name) for name in naming.kind.degrees if name in naming.degrees]


def pychord_names(notes: list[NoteName]) -> Iterator[int]:
    from pychord.analyzer import find_chords_from_notes

    try:
        found = find_chords_from_notes([str(note) for note in notes])
    except (ValueError, KeyError):  # it refuses double accidentals
        return
    for chord in found:
        yield mask_of(int(pc) for pc in chord.components(visible=False))


def mingus_names(notes: list[NoteName]) -> Iterator[int]:
    from mingus.core import chords
    from mingus.core.notes import note_to_int

    for symbol in chords.determine([str(note) for note in notes], True, False, True):
        try:
            rebuilt = chords.from_shorthand(symbol)
        except Exception:  # it cannot read every name that it gives
            continue
        if rebuilt:
            yield mask_of(int(note_to_int(note)) for note in rebuilt)


def music21_names(notes: list[NoteName]) -> Iterator[int]:
    from music21 import chord, harmony

    low, pitches = -1, []
    for note in notes:
        midi = 48 + note.pc
        while midi <= low:
            midi += 12
        low = midi
        pitches.append(f"{str(note).replace('b', '-')}{(midi - note.alter) // 12 - 1}")
    figure = harmony.chordSymbolFigureFromChord(chord.Chord(pitches))
    if "Cannot" in figure:
        return
    try:
        symbol = harmony.ChordSymbol(figure)
    except Exception:  # it cannot read every name that it gives
        return
    yield mask_of(pitch.pitchClass for pitch in symbol.pitches)


PEERS: dict[str, Namer] = {
    "pychord": pychord_names,
    "mingus": mingus_names,
    "music21": music21_names,
}


def peer_names(namer: Namer, mask: int) -> bool:
    return any(mask in namer(notes) for notes in rotations(mask))


def shares() -> None:
    pairs = all_pairs()
    sounding = Counter((union | 1 << bass, bass) for union, bass in pairs)
    named = whole = exact = alone = 0
    for (mask, bass), count in sounding.items():
        ways = hear(rotate_mask(mask, -bass))
        if not ways:
            continue
        named += count
        whole += count * any(not way.beside for way in ways)
        readings = implied_chords(pitch_classes(mask), bass)
        # What the first symbol says, less what the reading says is missing, are the notes.
        first = readings[0]
        assert first.chord is not None
        said = kind_from_degrees(d for d in first.chord.kind.degrees if d not in first.missing)
        lowest = () if first.bass.pc in {n.pc for n in first.chord.tones} else (first.bass.pc,)
        heard = (rotate_mask(said.mask, first.root.pc) if said else 0) | mask_of(lowest)
        exact += count * (heard == mask)
        alone += count * any(r.chord is not None and r.chord.mask == mask for r in readings)
    print(f"{len(pairs):,} pairs of triads over a bass")
    for what, count in (
        ("named, perhaps with tones beside the symbol", named),
        ("some symbol holds all that sounds", whole),
        ("no common name", len(pairs) - named),
        ("first name, less the tones it is said to miss, rebuilds the notes", exact),
        ("some symbol alone, nothing missing, rebuilds the notes", alone),
    ):
        print(f"  lickwright  {what:<66} {count / len(pairs):6.1%}")

    without_bass = Counter(lowest_transposition(union | 1 << bass) for union, bass in pairs)
    unions = Counter(lowest_transposition(union) for union, bass in pairs if bass == 0)
    distinct = {union for union, _ in pairs}
    ours = {u for u in distinct if any(hear(rotate_mask(u, -pc)) for pc in pitch_classes(u))}
    print(
        f"  lickwright  of the {len(distinct)} distinct unions, over one of their notes {len(ours)}"
    )
    for name, namer in PEERS.items():
        known = {mask for mask in {*without_bass, *unions} if peer_names(namer, mask)}
        over_bass = sum(count for mask, count in without_bass.items() if mask in known)
        of_unions = sum(lowest_transposition(union) in known for union in distinct)
        print(
            f"  {name:<10}  named {over_bass / len(pairs):6.1%}"
            f"   of the {len(distinct)} unions {of_unions}"
        )


def best_of(times: int, work: Callable[[], object]) -> float:
    """Seconds, the best of some runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def speeds() -> None:
    sample = list(dict.fromkeys((u | 1 << b, b) for u, b in all_pairs()))[::40]
    stacked = [next(rotations(mask)) for mask, _ in sample]
    texts = [(" ".join(map(str, notes)), str(notes[0])) for notes in stacked]
    print(f"\nmicroseconds a call, {len(sample)} sets")

    def cold() -> None:
        for function in (readings_of, hear, name_on_root):
            function.cache_clear()
        everything()

    def everything() -> None:
        for text, bass in texts:
            implied_chords(text, bass)

    def names() -> None:
        for mask, bass in sample:
            name_over(mask, bass)

    each = 1e6 / len(sample)
    name_over(1, 0)
    ours = best_of(5, names) * each
    for what, took in (
        ("implied_chords, every reading explained, nothing cached", best_of(3, cold) * each),
        ("implied_chords, seen before", best_of(3, everything) * each),
        ("name_over, one name from the table", ours),
    ):
        print(f"  lickwright {what:<56} {took:9.3f}")
    masks = [mask for mask, _ in sample] * (1_000_000 // len(sample) + 1)
    basses = [bass for _, bass in sample] * (1_000_000 // len(sample) + 1)
    import numpy as np

    mask_array, bass_array = np.array(masks), np.array(basses)
    names_over(mask_array, bass_array)
    batch = best_of(3, partial(names_over, mask_array, bass_array)) / len(masks) * 1e6
    lists = best_of(3, partial(names_over, masks, basses)) / len(masks) * 1e6
    for what, took in (("arrays", batch), ("lists", lists)):
        print(f"  lickwright names_over, {what:<6} {1 / took:6.1f} million a second {took:25.4f}")
    for name, namer in PEERS.items():
        once = 1e6 * statistics.mean(best_of(2, partial(drain, namer, n)) for n in stacked[::10])
        print(
            f"  {name:<10} one order of the notes {once:9.1f}"
            f"   name_over {once / ours:,.0f} times as fast, batch {once / batch:,.0f}"
        )


def drain(namer: Namer, notes: list[NoteName]) -> list[int]:
    return list(namer(notes))


def backwards() -> None:
    print("\nmilliseconds a backward search (pairs and triples)")
    for label, added in (("exact", 0), ("two tones added", 2)):
        took = {chord: best_of(3, partial(pairs_for, chord, added_tones=added)) for chord in WANTED}
        worst = max(took, key=took.__getitem__)
        print(
            f"  {label:<16} median {statistics.median(took.values()) * 1e3:6.2f}"
            f"   worst {took[worst] * 1e3:6.2f} ({worst})"
        )


if __name__ == "__main__":
    shares()
    speeds()
    backwards()
