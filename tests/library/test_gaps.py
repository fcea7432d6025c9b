"""What is covered and what is not, counted once more by hand."""

from __future__ import annotations

from collections import Counter

from lickwright.shelf.gaps import EXAMPLES, PICKING, coverage
from lickwright.shelf.licks.families import FAMILIES, family_of
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.store.keeping import keep_lesson, write_licks
from lickwright.shelf.store.store import Shelf
from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.triad import parse_triad

from .catalogue import catalogue, series


def test_the_table_counts_each_lick_once_in_each_of_its_places(shelf: Shelf) -> None:
    licks = list(catalogue(150))
    with shelf.writing() as connection:
        write_licks(connection, [(lick, None, 0, "generated", []) for lick in licks])
    counted: Counter[tuple[str, str, tuple[int, int]]] = Counter()
    for lick in licks:
        low, high = lick.facts.strings
        families = {fact.family for fact in lick.facts.chords if fact.printed}
        for family in families:
            for technique in set(lick.facts.techniques) & set(PICKING):
                for first in range(low, high - 1):
                    counted[family, technique, (first, first + 2)] += 1
    covered = coverage(shelf)
    assert covered.counts == counted
    assert covered.count() == sum(counted.values())
    assert covered.count(family="minor") == sum(
        number for (family, _, _), number in counted.items() if family == "minor"
    )


def test_an_empty_shelf_has_everything_to_teach(shelf: Shelf) -> None:
    covered = coverage(shelf, steps=200)
    assert covered.counts == {}
    assert covered.string_sets == ((1, 3), (2, 4), (3, 5), (4, 6))
    assert len(covered.steps) == len(EXAMPLES) * len(PICKING) * 4
    assert all(step.known == () for step in covered.steps)


def test_the_next_step_is_new_in_one_thing(shelf: Shelf, demo: ShelvedLesson) -> None:
    keep_lesson(shelf, demo)
    covered = coverage(shelf, steps=40)
    cells = [(step.family, step.technique, step.strings) for step in covered.steps]
    assert len(set(cells)) == len(cells)
    assert not any(covered.counts.get(cell) for cell in cells)
    # The first steps build on what is there, each in another family of chords.
    first = covered.steps[: len(EXAMPLES)]
    assert len({step.family for step in first}) == len(EXAMPLES)
    assert any(step.known for step in first)
    taught = {family for family, _, _ in covered.counts}
    for step in first:
        if step.family in taught:
            assert step.known


def test_the_triads_of_a_step_say_its_chord(shelf: Shelf, demo: ShelvedLesson) -> None:
    keep_lesson(shelf, demo)
    for step in coverage(shelf, steps=30).steps:
        chord = parse_chord(step.chord)
        assert family_of(chord) == step.family
        assert step.family in FAMILIES
        if step.triads:
            triads = [parse_triad(text) for text in step.triads]
            readings = implied_chords(triads, chord.bass_note)
            roots = [(reading.root.pc, reading.symbol) for reading in readings[:3]]
            assert any(root == chord.root.pc for root, _ in roots), (step, roots)
        assert step.family in str(step)


def test_the_lessons_of_one_teacher(shelf: Shelf, demo: ShelvedLesson) -> None:
    from dataclasses import replace

    keep_lesson(shelf, demo)
    everyone = coverage(shelf)
    for lesson in series(3):
        keep_lesson(shelf, replace(lesson, teacher="Somebody else"))
    assert coverage(shelf, teacher=demo.teacher).counts == everyone.counts
    assert coverage(shelf, teacher="Nobody").counts == {}
    assert coverage(shelf).count() > everyone.count()
