"""Searching: every condition by itself and together, the same on both databases."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from lickwright.errors import LickwrightError
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks.facts import TECHNIQUES
from lickwright.shelf.licks.families import FAMILIES
from lickwright.shelf.licks.shelved import LickCard, ShelvedLesson, ShelvedLick
from lickwright.shelf.searching import LickSearch, find, lessons, lick_card
from lickwright.shelf.store.keeping import (
    Kept,
    keep_lesson,
    keep_lick,
    remove_lesson,
    remove_lick,
    write_licks,
)
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import words_of
from lickwright.theory.chord import parse_chord

from .catalogue import catalogue


def names(shelf: Shelf, search: LickSearch) -> set[str]:
    return {card.name for card in find(shelf, search, limit=1000).licks}


@pytest.fixture
def full(shelf: Shelf, demo: ShelvedLesson) -> Shelf:
    keep_lesson(shelf, demo)
    return shelf


def test_chords_are_found_by_sound_not_by_spelling(full: Shelf) -> None:
    for asked in ("C#m7b5", "Dbm7b5", "C#ø7", "Db-7♭5"):
        assert names(full, LickSearch(chord=asked)) == {"Two pairs over four chords"}
    assert names(full, LickSearch(chord="Gmaj9#11/B")) == set()
    assert "In fives" in names(full, LickSearch(chord="m9"))
    assert "In fives" not in names(full, LickSearch(chord="Bm9"))


def test_triads_techniques_and_places(full: Shelf, demo: ShelvedLesson) -> None:
    both = {
        lick.score.name
        for lick in demo.licks
        if {"G", "Bm"} <= {str(triad) for triad in lick.facts.triads}
    }
    assert names(full, LickSearch(triads=("Bm", "G"))) == both
    assert names(full, LickSearch(techniques=("String-Skipping",))) == {
        lick.score.name for lick in demo.licks if "string skipping" in lick.facts.techniques
    }
    inside = {
        lick.score.name
        for lick in demo.licks
        if lick.facts.frets[0] >= 9 and lick.facts.frets[1] <= 12
    }
    assert names(full, LickSearch(frets=(12, 9))) == inside
    assert names(full, LickSearch(strings=(1, 6))) == {lick.score.name for lick in demo.licks}
    assert names(full, LickSearch(tuning="E A D G B E")) == names(
        full, LickSearch(tuning="standard")
    )
    assert names(full, LickSearch(tuning="drop D")) == set()


def test_words_are_found_without_accents_capitals_or_marks(full: Shelf) -> None:
    everything = names(full, LickSearch())
    assert names(full, LickSearch(words="TIDE street")) == everything
    assert names(full, LickSearch(words="tïde")) == everything
    assert names(full, LickSearch(words="answ")) == {"Over the tide line"}
    assert (
        names(full, LickSearch(words="answ late")) == set()
    )  # only the last word may be unfinished
    assert (
        names(full, LickSearch(words="c♯m7b5")) == names(full, LickSearch(words="C#m7b5")) != set()
    )
    assert names(full, LickSearch(words="nobody wrote this")) == set()
    assert names(full, LickSearch(words=" -- ' \" * ")) == everything  # no word at all


def test_conditions_narrow_together(full: Shelf) -> None:
    search = LickSearch(words="tide", chord="Bm9", techniques=("sweep",), key="b minor", lesson=12)
    assert names(full, search) == names(full, LickSearch(chord="Bm9")) & names(
        full, LickSearch(techniques=("sweep",))
    )
    assert names(full, LickSearch(chord="Bm9", lesson=13)) == set()
    fives = {"In fives", "The same steps of the key"}
    assert names(full, LickSearch(playable_at=163.0)) == names(full, LickSearch()) - fives
    assert names(full, LickSearch(tempo=(1, 40))) == set()


@pytest.mark.parametrize(
    ("search", "said"),
    [
        (LickSearch(chord="H7"), "not a chord"),
        (LickSearch(triads=("Cmaj7",)), "not a triad"),
        (LickSearch(techniques=("tapping",)), "no technique 'tapping'"),
        (LickSearch(family="minr"), "Did you mean 'minor'"),
        (LickSearch(tuning="droop D"), "tuning"),
        (LickSearch(key="Q"), "not a key"),
    ],
)
def test_a_condition_that_cannot_be_read_is_told(
    shelf: Shelf, search: LickSearch, said: str
) -> None:
    with pytest.raises(LickwrightError, match=said):
        find(shelf, search)


def _plain(lick: ShelvedLick, search: LickSearch) -> bool:
    """The conditions once more, by looking at every lick."""
    facts = lick.facts
    chords = [fact.chord for fact in facts.chords]
    if search.chord is not None:
        wanted = parse_chord(search.chord)
        same = [c for c in chords if (c.root.pc, c.kind) == (wanted.root.pc, wanted.kind)]
        if wanted.bass is not None:
            same = [c for c in same if c.bass_note.pc == wanted.bass.pc]
        if not same:
            return False
    if search.family is not None and search.family not in {
        fact.family for fact in facts.chords if fact.printed
    }:
        return False
    if not set(search.techniques) <= set(facts.techniques):
        return False
    if search.tuning is not None and search.tuning != facts.tuning:
        return False
    if search.frets is not None and not (
        search.frets[0] <= facts.frets[0] and facts.frets[1] <= search.frets[1]
    ):
        return False
    if search.playable_at is not None and (facts.ceiling_bpm or 0) < search.playable_at:
        return False
    held = words_of(lick.score.name, facts.text)
    *whole, last = words_of(search.words) or [""]
    begun = len(last) > 2 or not last
    return set(whole) <= set(held) and any(
        word == last or (begun and word.startswith(last)) for word in held
    )


def test_the_index_finds_what_looking_at_every_lick_finds(shelf: Shelf) -> None:
    licks = list(catalogue(600))
    with shelf.writing() as connection:
        write_licks(connection, [(lick, None, 0, "generated", []) for lick in licks])
    rng = random.Random(5)
    draws: list[Callable[[], dict[str, object]]] = [
        lambda: {"chord": str(rng.choice(rng.choice(licks).facts.chords).chord)},
        lambda: {"family": rng.choice(FAMILIES)},
        lambda: {"techniques": (rng.choice(TECHNIQUES),)},
        lambda: {"tuning": rng.choice(licks).facts.tuning},
        lambda: {"frets": (rng.randint(0, 9), rng.randint(10, 24))},
        lambda: {"playable_at": rng.uniform(60, 180)},
        lambda: {"words": rng.choice(rng.choice(licks).facts.text.split())},
        lambda: {"words": " ".join(rng.sample(rng.choice(licks).facts.text.split(), 2))[:-1]},
    ]
    found_some = 0
    for _ in range(120):
        asked: dict[str, object] = {}
        for draw in rng.sample(draws, rng.choice((1, 1, 2, 3))):
            asked |= draw()
        search = LickSearch(**asked)  # type: ignore[arg-type]
        expected = {lick.score.name for lick in licks if _plain(lick, search)}
        assert names(shelf, search) == expected, search
        found_some += bool(expected)
    assert found_some > 60


def test_the_newest_come_first_and_the_rest_on_the_next_page(shelf: Shelf) -> None:
    licks = list(catalogue(30))
    with shelf.writing() as connection:
        write_licks(connection, [(lick, None, 0, "generated", []) for lick in licks])
    for search in (LickSearch(), LickSearch(techniques=("sweep",))):
        pages: list[LickCard] = []
        before = None
        while True:
            page = find(shelf, search, limit=7, before=before)
            pages += page.licks
            if not page.more:
                break
            before = page.licks[-1].id
        assert [card.id for card in pages] == sorted({card.id for card in pages}, reverse=True)
        assert {card.name for card in pages} == names(shelf, search)
    assert find(shelf, LickSearch(), limit=1).licks[0].name == licks[-1].score.name


def test_a_lick_comes_back_whole(full: Shelf, demo: ShelvedLesson) -> None:
    for card in find(full, LickSearch(), limit=100).licks:
        shown, score, text = lick_card(full, card.id)
        own = next(lick for lick in demo.licks if lick.score.name == card.name)
        assert (shown, score, text) == (card, own.score, own.facts.text)
    with pytest.raises(ShelfError, match="no lick 999"):
        lick_card(full, 999)


def test_a_changed_lesson_takes_the_place_of_the_former(full: Shelf, demo: ShelvedLesson) -> None:
    from dataclasses import replace

    assert keep_lesson(full, demo) is Kept.THERE
    shorter = replace(demo, text=demo.text + "# changed\n", licks=demo.licks[:2])
    assert keep_lesson(full, shorter) is Kept.REPLACED
    assert [card.licks for card in lessons(full)] == [2]
    assert names(full, LickSearch()) == {lick.score.name for lick in demo.licks[:2]}
    assert names(full, LickSearch(words="tide")) == names(full, LickSearch())
    other = replace(demo, teacher="Somebody else")
    assert keep_lesson(full, other) is Kept.ADDED
    assert len(lessons(full)) == 2


def test_what_is_removed_is_found_no_more(full: Shelf, demo: ShelvedLesson) -> None:
    lick = demo.licks[0]
    assert keep_lick(full, lick, "alone.musicxml") is Kept.ADDED
    assert keep_lick(full, lick, "alone.musicxml") is Kept.THERE
    alone = find(full, LickSearch(), limit=1).licks[0]
    assert (alone.name, alone.home) == (lick.score.name, "alone.musicxml")
    in_lesson = find(full, LickSearch(), limit=100).licks[-1]
    with pytest.raises(ShelfError, match="an example of a lesson"):
        remove_lick(full, in_lesson.id)
    remove_lesson(full, lessons(full)[0].id)
    assert [card.id for card in find(full, LickSearch()).licks] == [alone.id]
    remove_lick(full, alone.id)
    for search in (LickSearch(), LickSearch(words="pair"), LickSearch(chord="Bm9")):
        assert find(full, search).licks == ()
    for gone in (lambda: remove_lesson(full, 1), lambda: remove_lick(full, alone.id)):
        with pytest.raises(ShelfError, match="there is no"):
            gone()
    # A number that was given once is not given again.
    keep_lick(full, lick, "again.musicxml")
    assert find(full, LickSearch()).licks[0].id > alone.id
