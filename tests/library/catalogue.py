"""A catalogue of made-up licks of any size, the same for the same seed.

A few dozen lines are composed and fingered in earnest; each is then moved along the neck, given
other tempi, and talked about in invented words of very unequal frequency, as in real texts.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache

from lickwright.lick.hands.finishing import finish
from lickwright.lick.phrase.composing import compose, plain_spelling
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.shapes.search import find_shapes
from lickwright.neck.tunings import parse_tuning
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.shelf.licks.facts import ChordFact, LickFacts, score_facts
from lickwright.shelf.licks.shelved import ShelvedLesson, ShelvedLick
from lickwright.theory.chord import Chord
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName, parse_note_name, pitch_from_midi
from lickwright.theory.triad import Triad, parse_triad

NAMES = plain_spelling()

#: Bass, two triads, strings, contour, rhythm, picking, tuning.
PATTERNS = (
    ("D", "F", "Am", "1-4", "up down", "16ths", "sweep", "standard"),
    ("G", "F", "Dm", "1-3", "up-down", "8th triplets", "sweep", "standard"),
    ("C", "G", "Em", "2-5", "down up", "16ths", "alternate", "standard"),
    ("E", "G#dim", "Bdim", "1-5", "up down", "8ths", "legato", "standard"),
    ("A", "C#dim", "Edim", "3-6", "up in threes", "sextuplets", "sweep", "drop D"),
    ("F", "G", "Am", "2-4", "down broken", "quintuplets", "alternate", "standard"),
    ("B", "Ddim", "Fdim", "1-4", "up up", "16ths", "legato", "all fourths"),
    ("Eb", "Gaug", "Baug", "1-3", "up-down", "e s s", "down", "standard"),
    ("Bb", "C", "Dm", "1-6", "up down", "q e e", "sweep", "standard"),
    ("F#", "A", "C#m", "1-4", "up down", "quintuplets", "sweep", "half-step down"),
    ("Ab", "Cm", "Eb", "3-5", "down-up", "8th triplets", "alternate", "standard"),
    ("C#", "Gsus4", "Am", "2-5", "up down", "s s e", "sweep", "standard"),
)

SYLLABLES = ("ta", "re", "mo", "lin", "os", "fen", "wi", "dar", "ku", "be", "sha", "nel")


@cache
def vocabulary() -> tuple[str, ...]:
    rng = random.Random(3)
    words = {"".join(rng.choices(SYLLABLES, k=rng.randint(2, 4))) for _ in range(3000)}
    return tuple(sorted(words, key=lambda word: (len(word), word)))


def saying(rng: random.Random, words: int) -> str:
    """Some words, the common ones far more often (Zipf's law)."""
    known = vocabulary()
    return " ".join(
        known[min(int(rng.paretovariate(0.6)) - 1, len(known) - 1)] for _ in range(words)
    )


@cache
def base_licks() -> tuple[tuple[Score, LickFacts], ...]:
    """Lines composed in earnest."""
    made = []
    for bass, one, two, strings, contour, rhythm, picking, tuning in PATTERNS:
        guitar = Guitar(open_strings=parse_tuning(tuning))
        triads = (parse_triad(one), parse_triad(two))
        for turn in range(3):
            shapes = []
            for triad in triads:
                offered = find_shapes(triad, guitar, "3-14", strings)
                shapes.append(offered[(turn * 2) % len(offered)])
            line = compose(shapes, contour, rhythm, guitar, voices=range(2))
            lick = finish(line, guitar, 96.0, picking)
            key = Key(parse_note_name("C"))
            numbers = range(int(lick.length) // 4)
            bars = [Bar(n + 1, Fraction(4 * n), Fraction(4), 4, 4, key) for n in numbers]
            score = Score("A line", guitar, lick, tuple(bars), (), 60.0, 96.0)
            facts = score_facts(score, parse_note_name(bass), picking=picking)
            made.append((score, replace(facts, triads=triads, contour=contour, rhythm=rhythm)))
    return tuple(made)


def moved_note(name: NoteName, semitones: int) -> NoteName:
    return NAMES[(name.pc + semitones) % 12]


def moved_chord(chord: Chord, semitones: int) -> Chord:
    bass = None if chord.bass is None else moved_note(chord.bass, semitones)
    return Chord(moved_note(chord.root, semitones), chord.kind, bass)


def moved_score(score: Score, frets: int, name: str, target_bpm: float) -> Score:
    """The same shape so many frets along the neck; every note must stay on it."""
    notes = []
    for note in score.lick.notes:
        midi = note.pitch.midi + frets
        notes.append(
            replace(
                note,
                position=Position(note.position.string, note.position.fret + frets),
                pitch=pitch_from_midi(midi, NAMES[midi % 12]),
            )
        )
    lick = replace(score.lick, notes=tuple(notes))
    chords = tuple(ChordSpan(c.onset, c.length, c.chord, c.notes, c.bass) for c in score.chords)
    return replace(
        score, name=name, lick=lick, chords=chords, slow_bpm=target_bpm / 2, target_bpm=target_bpm
    )


def moved_facts(facts: LickFacts, frets: int, text: str, ceiling_bpm: float) -> LickFacts:
    low, high = facts.frets
    return replace(
        facts,
        chords=tuple(
            ChordFact(fact.place, moved_chord(fact.chord, frets), fact.printed)
            for fact in facts.chords
        ),
        triads=tuple(Triad(moved_note(t.root, frets), t.quality) for t in facts.triads),
        frets=(low + frets, high + frets),
        ceiling_bpm=ceiling_bpm,
        text=text,
    )


def catalogue(count: int, seed: int = 7) -> Iterator[ShelvedLick]:
    """So many licks."""
    rng = random.Random(seed)
    bases = base_licks()
    for number in range(count):
        score, facts = bases[rng.randrange(len(bases))]
        frets = rng.randint(1 - facts.frets[0], 24 - facts.frets[1])
        tempo = float(rng.randint(50, 180))
        yield ShelvedLick(
            moved_score(score, frets, f"{saying(rng, 2).capitalize()} {number}", tempo),
            moved_facts(facts, frets, saying(rng, 25), round(rng.gauss(120, 30), 1)),
        )


def series(count: int, licks: int = 5, seed: int = 7) -> Iterator[ShelvedLesson]:
    """So many lessons of a few licks each."""
    rng = random.Random(seed)
    source = catalogue(count * licks, seed)
    for number in range(1, count + 1):
        yield ShelvedLesson(
            title=f"Lesson of {saying(rng, 2)}",
            number=number,
            teacher="Tern Street Guitar Room",
            file=f"lesson-{number}.yaml",
            text=f"lesson: Lesson {number}\n",
            licks=tuple(next(source) for _ in range(licks)),
        )
