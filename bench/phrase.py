"""Is a lick that is carried over changes a line: how do its chords join, lead and end?

Run:  python bench/phrase.py [--ways idea,exact] [--licks pair] ...

24 progressions of many kinds times 4 licks times all ways to carry.  A second set of progressions
(``--set apart``) is never looked at while a weight is chosen: it tells whether the weights hold.

Figures, of every line and then of all, the worst line beside the mean
---------------------------------------------------------------------
join          semitones from the last note of a chord to the first of the next, mean
step          share of joins of a half or whole step (same pitch not counted)
same          share of joins on the same pitch
third+        share of joins beyond a major third
guide         share of chord beats (first notes of chords) on a guide tone of the chord
lands         whether the last note is a chord tone on a strong beat, held for a beat or longer
high          notes at fret 19 or above on strings 5 and 6
loop          semitones from the last note of the line back to its first
away          semitones between the mean pitch of a chord's line and the lick's, mean
travel        mm that the left hand moves at the least, for a chord
seconds       processor time for a line, caches as they come
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import pairwise
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "changes"))

from hand_travel import least_travel_mm
from progressions import PROGRESSIONS

from lickwright.changes.carry import NO_WISH, CarryWish, carry
from lickwright.changes.lines import CarryCosts
from lickwright.changes.progression import Changes, held_on, parse_changes
from lickwright.errors import LickwrightError
from lickwright.lick import Lick
from lickwright.lick.hands import finish
from lickwright.lick.phrase import compose, in_turn, parse_contour
from lickwright.lick.rhythm import Meter
from lickwright.neck.shapes import chain_shapes, ranked_merged
from lickwright.theory import Chord, Triad, parse_chord, parse_triad

#: The progressions that weights may be tried on: those of the tests but one.
TUNED = tuple(row for row in PROGRESSIONS if row[0] != "sixteen chords")

#: Kept apart: never looked at while a weight is chosen (our own invention).
APART: tuple[tuple[str, str, str, str], ...] = (
    ("major, two keys a third apart", "Fm9 Bb13 | Ebmaj9 | Am9 D13 | Gmaj9", "Eb major", "4/4"),
    ("minor line", "Cm9 | Abmaj7 | Dm7b5 | G7alt", "C minor", "4/4"),
    ("tritone substitutes", "Em9 | Eb13 | Dmaj9 | B7b9", "D major", "4/4"),
    ("Aeolian rock", "Em | C | G | D/F#", "E minor", "4/4"),
    ("dominants in fourths", "E7 | A7 | D7 | G7 | C7 | F7 | Bb7 | Eb7", "Eb major", "4/4"),
    ("major blues, short", "F7 | Bb7 | F7 | F7 | Bb7 | Bdim7 | F7 D7 | Gm7 C7", "F major", "4/4"),
    ("sus chain", "A9sus4 | G9sus4 | F9sus4 | E7b9", "A minor", "4/4"),
    ("waltz", "Fmaj9 | Bm7b5 E7b9 | Am9 | D13", "C major", "3/4"),
    ("six eight", "Dm9 | Gm9 | A7b9 | Dm9", "D minor", "6/8"),
    ("mediants down", "Emaj7 | Cmaj7 | Abmaj7 | Emaj7", "E major", "4/4"),
    ("slow Dorian", "Gm9 | % | C13 | %", "G dorian", "4/4"),
    ("half-bar rush", "Bbmaj7 G7b9 | Cm9 F13 | Dm7 Db7 | Cm9 B7#11", "Bb major", "4/4"),
)

WAYS = ("idea", "exact", "grip", "diatonic")


@dataclass(frozen=True)
class Source:
    """A lick that is carried: its notes, its triads, the chord that it was made on."""

    name: str
    lick: Lick
    triads: tuple[Triad, ...]
    chord: Chord


def licks() -> list[Source]:
    """The four licks: a running pair, a short phrase with a long note, one triad, a merged pair."""
    return [
        _source("pair", "D F#m", "Bm9", "up down", "16ths", frets="4-12"),
        _source("phrase", "D F#m", "Bm9", "up down", "e e e e e q.", frets="4-12"),
        _source("one triad", "F#m", "Bm11", "up-down", "8ths", frets="5-12"),
        _merged("merged", "C Am", "Fmaj9", "up down", "8ths", frets="5-8"),
    ]


def _source(name: str, triads: str, chord: str, contour: str, rhythm: str, *, frets: str) -> Source:
    own = tuple(parse_triad(text) for text in triads.split())
    shapes = chain_shapes(own, frets=frets)
    line = compose(shapes, contour, rhythm, bars=1, voices=range(len(own)))
    return Source(name, finish(line), own, parse_chord(chord))


def _merged(name: str, triads: str, chord: str, contour: str, rhythm: str, *, frets: str) -> Source:
    own = tuple(parse_triad(text) for text in triads.split())
    arpeggio = ranked_merged(own, frets=frets)[0][1]
    shapes = in_turn((arpeggio,), parse_contour(contour))
    line = compose(shapes, contour, rhythm, bars=1, voices=[(0, 1)] * len(shapes))
    return Source(name, finish(line), own, parse_chord(chord))


def guide_tones(chord: Chord) -> set[int]:
    """Third and seventh as pitch classes; of a suspension the fourth or second for the third; the
    sixth where there is no seventh; of a plain triad third and fifth.
    """
    by_degree = dict(zip(chord.kind.degrees, (n.pc for n in chord.tones), strict=True))
    thirds = [by_degree[d] for d in ("3", "b3", "4", "2") if d in by_degree][:1]
    sevenths = [by_degree[d] for d in ("7", "b7", "bb7", "6", "13") if d in by_degree][:1]
    if not sevenths:
        sevenths = [by_degree[d] for d in ("5", "b5", "#5") if d in by_degree][:1]
    return {*thirds, *sevenths}


@dataclass(frozen=True)
class Figures:
    """What one line does (see the module)."""

    lick: str
    way: str
    progression: str
    join: float
    step: float
    same: float
    beyond: float
    guide: float
    lands: bool
    high: int
    loop: int
    away: float
    travel: float
    seconds: float


def figures(
    source: Source,
    way: str,
    name: str,
    changes: Changes,
    costs: CarryCosts,
    asked: bool,
) -> Figures:
    start = time.process_time()
    can_turn = way == "idea" and source.name != "merged"
    carried = carry(
        source.lick,
        changes,
        way,
        triads=source.triads,
        source=source.chord,
        costs=costs,
        wish=CarryWish(guides=True, turned=can_turn) if asked else NO_WISH,
        landing="guide tone" if asked else None,
    )
    seconds = time.process_time() - start
    return measured(source.lick, carried.lick, changes, (source.name, way, name), seconds, asked)


def measured(
    lick: Lick,
    line: Lick,
    changes: Changes,
    label: tuple[str, str, str],
    seconds: float,
    asked: bool,
) -> Figures:
    """The figures of a line over its changes."""
    chords = held_on(changes).chords
    under = [line.notes_in(chord.onset, chord.end) for chord in chords]
    own = [(chord, notes) for chord, notes in zip(chords, under, strict=True) if notes]
    joins = [
        abs(after[0].pitch.midi - before[-1].pitch.midi)
        for (_, before), (_, after) in pairwise(own)
    ] or [0]
    guided = [notes[0].pitch.midi % 12 in guide_tones(chord.chord) for chord, notes in own]
    last, (chord, _) = line.notes[-1], own[-1]
    bar = changes.bars[-1]
    meter = Meter.of(bar.beats, bar.unit)
    home = mean(n.pitch.midi for n in lick.notes)
    held = last.duration >= meter.beat
    lands = (
        held
        and meter.is_strong(last.onset - bar.onset)
        and (
            last.pitch.midi % 12 in guide_tones(chord.chord)
            if asked
            else bool(chord.chord.mask >> last.pitch.midi % 12 & 1)
        )
    )
    return Figures(
        *label,
        join=mean(joins),
        step=mean(join in (1, 2) for join in joins),
        same=mean(join == 0 for join in joins),
        beyond=mean(join > 4 for join in joins),
        guide=mean(guided),
        lands=lands,
        high=sum(n.position.fret >= 19 and n.position.string >= 5 for n in line.notes),
        loop=abs(line.notes[0].pitch.midi - last.pitch.midi),
        away=mean(abs(mean(n.pitch.midi for n in notes) - home) for _, notes in own),
        travel=least_travel_mm([n.position for n in line.notes]) / len(chords),
        seconds=seconds,
    )


def every_line(
    sources: Sequence[Source],
    ways: Sequence[str],
    rows: Sequence[tuple[str, str, str, str]],
    costs: CarryCosts,
    asked: bool,
) -> Iterator[Figures]:
    for source in sources:
        for way in ways:
            for name, text, key, meter in rows:
                changes = parse_changes(text, key, meter)
                try:
                    yield figures(source, way, name, changes, costs, asked)
                except LickwrightError as error:  # said, and not counted
                    print(f"# {source.name} {way} {name}: {error}", file=sys.stderr)


HEAD = (
    f"{'lick':>10} {'way':>9} {'lines':>5} {'join':>5} {'worst':>5} {'step':>5} {'same':>5}"
    f" {'third+':>6} {'worst':>5} {'guide':>5} {'worst':>5} {'lands':>5} {'high':>5} {'worst':>5}"
    f" {'loop':>5} {'worst':>5} {'away':>5} {'worst':>5} {'travel':>6} {'worst':>6}"
    f" {'sec':>6} {'worst':>6}"
)


def row(lick: str, way: str, lines: Sequence[Figures]) -> str:
    def average(key: str) -> float:
        return mean(float(getattr(line, key)) for line in lines)

    def most(key: str) -> float:
        return max(float(getattr(line, key)) for line in lines)

    return (
        f"{lick:>10} {way:>9} {len(lines):5d} {average('join'):5.2f} {most('join'):5.1f}"
        f" {average('step'):5.0%} {average('same'):5.0%} {average('beyond'):6.0%}"
        f" {most('beyond'):5.0%} {average('guide'):5.0%} {min(x.guide for x in lines):5.0%}"
        f" {average('lands'):5.0%} {average('high'):5.2f} {most('high'):5.0f}"
        f" {average('loop'):5.1f} {most('loop'):5.0f} {average('away'):5.1f}"
        f" {most('away'):5.1f} {average('travel'):6.0f}"
        f" {most('travel'):6.0f} {average('seconds'):6.2f} {most('seconds'):6.2f}"
    )


def sixty_four() -> str:
    """64 different chords in one line, the running pair, by idea."""
    roots = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    kinds = ("m9", "13", "maj9", "m7b5", "7b9", "maj7#11")
    names = [f"{root}{kind}" for kind in kinds for root in roots][:64]
    changes = parse_changes(" | ".join(names), "C major", "4/4")
    source = licks()[0]
    start = time.process_time()
    carry(source.lick, changes, triads=source.triads, source=source.chord)
    return f"64 different chords: {time.process_time() - start:.2f} s of processor time"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ways", default=",".join(WAYS))
    parser.add_argument("--licks", default="", help="names, parted by commas; all where left out")
    parser.add_argument("--set", choices=("tuned", "apart"), default="tuned", dest="kept")
    parser.add_argument("--few", type=int, default=0, help="only every Nth progression")
    parser.add_argument("--sixty-four", action="store_true")
    parser.add_argument("--costs", default="", help="weights to try: leap=400,same_note=20")
    parser.add_argument(
        "--asked",
        action="store_true",
        help="ask for guide tones on chord beats and a landing on one; by idea a lick of triads"
        " run by run may be turned round",
    )
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    if args.sixty_four:
        print(sixty_four())
        return
    rows = TUNED if args.kept == "tuned" else APART
    rows = rows[:: args.few] if args.few else rows
    wanted = args.licks.split(",") if args.licks else None
    sources = [source for source in licks() if wanted is None or source.name in wanted]
    weights = dict(word.split("=") for word in args.costs.split(",") if word)
    costs = replace(CarryCosts(), **{name: int(value) for name, value in weights.items()})
    lines = list(every_line(sources, args.ways.split(","), rows, costs, args.asked))
    if args.json:
        print(json.dumps([asdict(line) for line in lines], indent=1))
        return
    print(HEAD)
    groups: dict[tuple[str, str], list[Figures]] = {}
    for line in lines:
        groups.setdefault((line.lick, line.way), []).append(line)
    for (lick, way), own in groups.items():
        print(row(lick, way, own))
    for way in dict.fromkeys(line.way for line in lines):
        print(row("all", way, [line for line in lines if line.way == way]))


if __name__ == "__main__":
    main()
