"""What a teacher asks of a carried line is kept, bar by bar, and refused where it cannot be.

What makes a line lead is common practice, no source; degrees and guide tones are handbook
knowledge.
"""

from __future__ import annotations

import random
import re
from fractions import Fraction

import pytest

from lickwright.changes.carry import NO_WISH, CarryPin, CarryWish, carry
from lickwright.changes.carry.asking import chord_tasks
from lickwright.changes.carry.landing import landed_changes, landed_fillings, landing_candidates
from lickwright.changes.carry.task import CarryTask, CarryWay
from lickwright.changes.lines import CarryCosts
from lickwright.changes.lines.clarity import clarity_of, standing_of
from lickwright.changes.progression import parse_changes
from lickwright.errors import ContourError, LickwrightError, NeckError, TheoryError
from lickwright.lick.phrase import guide_tones, parse_landing
from lickwright.lick.picking import Picking
from lickwright.neck import Guitar
from lickwright.neck.reach import HANDS
from lickwright.theory import TriadQuality, degree_semitones, parse_chord, parse_key

from .reference import best_by_trying_all, every_candidate

CHANGES = parse_changes("Dm9 | G13 | Cmaj9 | A7b9", "C major")
WAYS = ("idea", "exact", "grip", "diatonic")


def asked(source, wish=NO_WISH, way="idea", changes=CHANGES, **other):
    return carry(
        source.lick,
        changes,
        way,
        triads=source.triads,
        source=source.chord,
        wish=wish,
        **other,
    )


def under(line, placed):
    return [note.pitch.midi for note in line.lick.notes_in(placed.onset, placed.end)]


# ------------------------------------------------------------------------------------- landings


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("tone", ["3", "7", "9", "root", "guide tone"])
def test_every_way_lands_on_the_tone_and_the_beat_that_are_asked_for(pair, way, tone):
    line = asked(pair, way=way, landing=f"{tone} on 3 for 1")
    last = line.lick.notes[-1]
    # A7b9: A, C#, E, G, Bb.  Its 9 is the flat one.
    tones = {"3": {1}, "7": {7}, "9": {10}, "root": {9}, "guide tone": {1, 7}}[tone]
    assert last.pitch.midi % 12 in tones
    assert (last.onset, last.duration) == (Fraction(14), Fraction(1))
    assert line.lick.length == CHANGES.length
    assert "it lands on" in line.choices[-1].why[-1]
    assert len(line.choices) == len(CHANGES.chords)
    assert sum(choice.cost for choice in line.choices) == line.cost


def test_a_landing_on_the_first_beat_is_all_that_the_last_chord_has(pair):
    line = asked(pair, landing="3 on 1")
    assert len(under(line, CHANGES.chords[-1])) == 1
    assert line.lick.notes[-1].duration == 4


def test_nothing_lands_unless_it_is_told(pair):
    assert len(under(asked(pair), CHANGES.chords[-1])) == 16


@pytest.mark.parametrize("landing", ["3 on 5", "3 on 1"])
def test_a_beat_that_the_last_chord_has_not_is_refused(pair, landing):
    changes = parse_changes("Dm9 | G13 Cmaj9", "C major")
    with pytest.raises(ContourError, match="beat"):
        asked(pair, changes=changes, landing=landing)


@pytest.mark.parametrize("text", ["", "third of all", "3 on 0", "3 for 0", "on 3", "H"])
def test_what_is_no_landing_is_refused_with_a_mend(text):
    with pytest.raises(ContourError) as caught:
        parse_landing(text)
    assert caught.value.mend


@pytest.mark.parametrize("text", ["3", "guide tone on 1 for 2", "b9 on 3", "F# for 3/2"])
def test_a_landing_reads_back(text):
    assert str(parse_landing(text)) == text


def test_the_best_landing_is_that_of_trying_every_way(pair):
    """The landing note is part of the search: plain loops find the same least cost."""
    changes = landed_changes(parse_changes("Bm9 | E13", "A major"), parse_landing("3 on 3"))
    task = CarryTask(
        pair.lick, changes, CarryWay.IDEA, pair.triads, pair.chord, changes.key, Guitar(),
        HANDS["medium"], Picking.SWEEP, (7, 10), (1, 4), {}, CarryCosts(),
        landing=parse_landing("3 on 3"), landing_cuts=True,
    )  # fmt: skip
    fillings = landed_fillings(task)
    candidates = [list(every_candidate(one)) for one in chord_tasks(task, fillings[:-1])]
    landings = landing_candidates(task, changes.chords[-1])
    candidates.append([(one.entry, one.exit, one.cost) for one in landings])
    found = asked(
        pair,
        changes=parse_changes("Bm9 | E13", "A major"),
        frets="7-10",
        strings="1-4",
        landing="3 on 3",
    )
    assert found.cost == best_by_trying_all(candidates, task.joins)


# --------------------------------------------------------------------------------------- wishes


def test_every_chord_begins_on_a_guide_tone_where_that_is_asked(pair):
    line = asked(pair, CarryWish(guides=True))
    for placed in CHANGES.chords:
        first = under(line, placed)[0] % 12
        assert first in {name.pc for _, name in guide_tones(placed.chord)}


def test_tones_are_avoided_and_required_over_each_chords_root(pair):
    line = asked(pair, CarryWish(rootless=True, require=("9",), avoid=("5",)))
    for placed in CHANGES.chords:
        root = placed.chord.root.pc
        heard = {(key - root) % 12 for key in under(line, placed)}
        ninth = degree_semitones("b9" if str(placed.chord) == "A7b9" else "9") % 12
        assert 0 not in heard
        assert 7 not in heard
        assert ninth in heard


@pytest.mark.parametrize("way", ["exact", "diatonic", "grip"])
def test_a_line_that_cannot_do_what_is_asked_is_refused_with_its_bar(pair, way):
    with pytest.raises(NeckError, match=r"bar 1: .* without the 3"):
        asked(pair, CarryWish(avoid=("3",)), way)


def test_only_the_families_that_are_asked_for_are_taken(pair):
    line = asked(pair, CarryWish(families=(TriadQuality.MINOR, TriadQuality.DIMINISHED)))
    for choice in line.choices:
        assert {triad.quality.value for triad in choice.triads} <= {"m", "dim"}


def test_a_range_of_notes_is_kept(pair):
    line = asked(pair, CarryWish(register=(55, 76)))
    assert all(55 <= note.pitch.midi <= 76 for note in line.lick.notes)


def test_a_bar_says_otherwise_than_the_whole_line(pair):
    pins = {2: CarryPin(wish=CarryWish(rootless=False, require=("1",)))}
    line = asked(pair, CarryWish(rootless=True), pins=pins)
    roots = [
        placed.chord.root.pc in {key % 12 for key in under(line, placed)}
        for placed in CHANGES.chords
    ]
    assert roots == [False, True, False, False]


def test_what_only_other_triads_can_do_is_refused_elsewhere(pair):
    with pytest.raises(TheoryError, match="families"):
        asked(pair, CarryWish(families=(TriadQuality.MINOR,)), "exact")
    with pytest.raises(TheoryError, match="bar 2: this lick is not turned round"):
        asked(pair, way="grip", pins={2: CarryPin(wish=CarryWish(turned=True))})


def test_near_lies_nearer_to_the_lick(source):
    far = source("D F#m", frets="2-7")

    def away(line):
        own = sum(note.pitch.midi for note in far.lick.notes) / len(far.lick.notes)
        return sum(abs(n.pitch.midi - own) for n in line.lick.notes) / len(line.lick.notes)

    assert away(asked(far, CarryWish(near=True))) <= away(asked(far))


def test_a_lick_turned_round_falls_where_it_rose_and_keeps_its_register(source):
    rising = source("D F#m", rhythm="e e e e e q.", contour="up down")
    changes = parse_changes("Bm9 | E13 | Amaj9 | F#7b9 | Bm9 | E13 | Amaj9 | F#7b9", "A major")
    plain = asked(rising, changes=changes)
    line = asked(rising, CarryWish(turned=True), changes=changes)
    turned = [choice for choice in line.choices if "turned round:" in str(choice)]
    assert turned
    assert not any("turned round:" in str(choice) for choice in plain.choices)
    for choice in turned:
        first, second = under(line, choice.placed)[:2]
        assert second < first
    assert line.cost < plain.cost


# -------------------------------------------------------------------------------- resolutions


def test_sevenths_fall_to_thirds_through_a_cadence(pair):
    """Handbook knowledge: in ii V I the 7 of ii falls to the 3 of V, the 7 of V to the 3 of I."""
    line = asked(pair, CarryWish(require=("3", "7")))
    said = [" ".join(map(str, choice.resolves)) for choice in line.choices]
    assert not line.choices[0].resolves
    assert re.search(r"C of \S+ \(the b7\) resolves a half step down to B, the 3", said[1])
    assert re.search(r"F of \S+ \(the b7\) resolves a half step down to E, the 3", said[2])


def test_what_resolves_is_played_on_both_sides(pair):
    line = asked(pair)
    for before, choice in zip(line.choices, line.choices[1:], strict=False):
        heard = {key % 12 for key in under(line, before.placed)}
        next_heard = {key % 12 for key in under(line, choice.placed)}
        guides = {name.pc for _, name in guide_tones(choice.placed.chord)}
        for one in choice.resolves:
            assert one.triad in before.triads
            assert one.name in one.triad.notes
            assert one.name.pc in heard
            assert one.to.pc in next_heard & guides
            assert (one.to.pc - one.name.pc - one.semitones) % 12 == 0
            assert abs(one.semitones) in (1, 2)
            assert str(one) in choice.why


# ------------------------------------------------------------------------- what the rest stands on


def test_a_chord_is_judged_once_for_all_roots():
    """The same verdict as in its own place and key, for chords and masks drawn at random."""
    draw = random.Random(7)
    roots = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "C#", "G#"]
    kinds = ["m9", "13", "maj9", "m7b5", "7b9", "maj7#11", "7alt", "dim7", "6", "9sus4", "m7/E"]
    keys = [None, parse_key("Eb major"), parse_key("A minor")]
    for _ in range(150):
        chord = parse_chord(draw.choice(roots) + draw.choice(kinds))
        mask = draw.randrange(1, 4096)
        assert standing_of(mask, chord) == clarity_of(mask, chord, draw.choice(keys)).standing


def test_an_error_of_a_wish_is_one_of_ours(pair):
    with pytest.raises(LickwrightError):
        asked(pair, CarryWish(require=("1", "3", "5", "7", "9", "11", "13", "b9", "#9")))
