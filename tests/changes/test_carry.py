"""Carrying a lick: what must hold of every line, and the ways it may be asked for."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lickwright.changes.carry.carrying import carry, carry_ways
from lickwright.changes.carry.task import CarryPin
from lickwright.changes.lines.joins import CarryCosts
from lickwright.changes.progression.chart import held_on, parse_changes
from lickwright.errors import HandError, NeckError, TheoryError
from lickwright.lick.hands.difficulty import playability
from lickwright.lick.notes import Technique
from lickwright.lick.picking.check import check_strokes
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.chord import transpose_chord
from lickwright.theory.hearing.claim import TRUSTED, judge
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.interval import note_above, parse_interval
from lickwright.theory.key import Key
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.triad import parse_triad

from .by_root import moved_by_root
from .hand_travel import least_travel_mm
from .progressions import PROGRESSIONS

GUITAR = Guitar()
SPANS = {name: parse_changes(text, key, time) for name, text, key, time in PROGRESSIONS}


def notes_under(lick, placed):
    return [note for note in lick.notes if placed.onset <= note.onset < placed.end]


def wrong_strokes(lick):
    return check_strokes(
        [note.position for note in lick.notes],
        [note.stroke for note in lick.notes],
        [note.technique for note in lick.notes],
        onsets=[note.onset for note in lick.notes],
    )


@pytest.fixture(scope="module")
def carried(pair):
    """Every progression carried once."""
    return {name: carry(pair.lick, ch, triads=pair.triads) for name, ch in SPANS.items()}


def test_there_are_twenty_progressions_of_four_to_sixteen_chords():
    assert len(SPANS) >= 20
    assert all(4 <= len(changes.chords) <= 16 for changes in SPANS.values())


@pytest.mark.parametrize("name", SPANS)
def test_every_bar_implies_its_chord_among_the_top_readings(carried, name):
    for placed in SPANS[name].chords:
        pitches = [note.pitch for note in notes_under(carried[name].lick, placed)]
        readings = implied_chords(pitches, placed.chord.bass_note, placed.key)[:TRUSTED]
        assert any(r.named and r.root.pc == placed.chord.root.pc for r in readings)
        assert judge(placed.chord, pitches, placed.chord.bass_note, placed.key).holds != "no"


def test_most_chords_are_borne_out_to_the_letter(carried):
    """A plain chord has no two triads of its own; most others do."""
    verdicts = [choice.holds for line in carried.values() for choice in line.choices]
    assert verdicts.count("yes") >= 0.9 * len(verdicts)


@pytest.mark.parametrize("name", SPANS)
def test_strokes_are_legal_and_no_reach_is_over_the_limit(carried, name):
    line = carried[name].lick
    assert wrong_strokes(line) == []
    report = playability(line, GUITAR, 60)
    assert report.longest_stretch.stretch_mm <= HANDS["medium"].greatest_reach_mm
    assert all(GUITAR.has(note.position) for note in line.notes)


@pytest.mark.parametrize("name", SPANS)
def test_the_hand_travels_no_further_than_when_the_shape_moves_by_the_root(carried, pair, name):
    def travel(line):
        return least_travel_mm([note.position for note in line.notes])

    naive = travel(moved_by_root(pair.lick, SPANS[name], pair.chord.root))
    exact = carry(pair.lick, SPANS[name], "exact", source=pair.chord)
    assert travel(carried[name].lick) <= naive
    assert travel(exact.lick) <= naive


@pytest.mark.parametrize("name", SPANS)
def test_time_and_rhythm_are_those_of_the_lick(carried, pair, name):
    changes, line = SPANS[name], carried[name].lick
    assert line.length == changes.length
    for before, after in pairwise(line.notes):
        assert before.end <= after.onset
    for placed in changes.chords:
        own = [note.onset - placed.onset for note in notes_under(line, placed)]
        cycle = [note.onset for note in pair.lick.notes]
        repeated = [start * pair.lick.length + onset for start in range(3) for onset in cycle]
        assert own == [onset for onset in repeated if onset < placed.length]


@pytest.mark.parametrize("name", ["ii V I, major", "sixteen chords", "Lydian vamp"])
def test_the_contour_is_that_of_the_lick(carried, pair, name):
    rises = [
        (b.pitch.midi > a.pitch.midi) - (b.pitch.midi < a.pitch.midi)
        for a, b in pairwise(pair.lick.notes)
    ]
    for placed in SPANS[name].chords:
        own = notes_under(carried[name].lick, placed)
        assert [
            (b.pitch.midi > a.pitch.midi) - (b.pitch.midi < a.pitch.midi) for a, b in pairwise(own)
        ] == rises


def test_the_same_chord_keeps_the_licks_own_triads(pair):
    changes = parse_changes("Bm9 | Bm9", "B dorian")
    line = carry(pair.lick, changes, triads=pair.triads, source=pair.chord)
    assert [choice.triads for choice in line.choices] == [pair.triads] * 2


def test_choices_say_why_and_their_costs_add_up(carried):
    for line in carried.values():
        assert sum(choice.cost for choice in line.choices) == line.cost
        for choice in line.choices:
            assert str(choice)
            assert choice.holds != "yes" or str(choice.placed.chord) in choice.why[0]
        voiced = [note for note in line.lick.notes if note.voice is not None]
        assert len(voiced) == len(line.lick.notes)


def test_voices_name_the_triads_that_hold_their_notes(carried):
    for name, line in carried.items():
        for placed, choice in zip(held_on(SPANS[name]).chords, line.choices, strict=True):
            for note in notes_under(line.lick, placed):
                assert note.pitch.name in choice.triads[note.voice].notes


@pytest.mark.parametrize("up", ["m2", "M2", "m3", "M3", "P4"])
def test_transposing_changes_key_and_window_never_costs_more(pair, up):
    """What lies on the neck lies, moved up, under a hand that reaches more frets.

    Terms in mm are let go, since frets are closer up the neck.
    """
    interval = parse_interval(up)
    costs = CarryCosts(register=0, far_off=0, high_on_low=0, place=0, shape=0, travel=0)
    guitar = Guitar(frets=30)
    text = "Dm9 | G13 | Cmaj9 | A7b9"
    here = parse_changes(text, "C major")
    moved = " | ".join(str(transpose_chord(placed.chord, interval)) for placed in here.chords)
    there = parse_changes(moved, Key(note_above(parse_note_name("C"), interval), "major"))
    low, high = (
        carry(
            pair.lick,
            changes,
            triads=pair.triads,
            guitar=guitar,
            frets=(4 + frets, 22 + frets),
            costs=costs,
        )
        for changes, frets in ((here, 0), (there, interval.semitones))
    )
    assert high.cost <= low.cost
    assert [c.holds for c in high.choices] == [c.holds for c in low.choices] == ["yes"] * 4
    assert {c.reading.symbol for c in low.choices} == {str(p.chord) for p in here.chords}
    assert {c.reading.symbol for c in high.choices} == {str(p.chord) for p in there.chords}


KEYS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]


@pytest.mark.parametrize("tonic", KEYS)
@pytest.mark.parametrize(
    ("numerals", "mode"),
    [("iim9 | V13 | Imaj9 | VI7b9", "major"), ("im9 | IV13 | im9 | IV13", "dorian")],
)
def test_cadences_carry_in_all_keys(pair, tonic, numerals, mode):
    tonic = {"Db": "C#", "Ab": "G#"}.get(tonic, tonic) if mode == "dorian" else tonic
    changes = parse_changes(numerals, f"{tonic} {mode}")
    line = carry(pair.lick, changes, triads=pair.triads)
    assert [choice.holds for choice in line.choices] == ["yes"] * 4
    assert wrong_strokes(line.lick) == []


def test_the_k_best_lines_differ_and_come_in_order(pair):
    changes = parse_changes("Bm9 | E13 | Amaj9", "A major")
    lines = carry_ways(pair.lick, changes, k=6, triads=pair.triads)
    places = [tuple(note.position for note in line.lick.notes) for line in lines]
    assert len(set(places)) == 6
    assert [line.cost for line in lines] == sorted(line.cost for line in lines)
    assert lines[0] == carry(pair.lick, changes, triads=pair.triads)


def test_pins_are_kept_and_never_make_a_line_cheaper(pair):
    changes = parse_changes("Bm9 | E13 | Amaj9", "A major")
    free = carry(pair.lick, changes, triads=pair.triads)
    triads = (parse_triad("G#dim"), parse_triad("E"))
    line = carry(
        pair.lick,
        changes,
        triads=pair.triads,
        pins={2: CarryPin(triads=triads), 3: CarryPin(frets="2-6", strings="1-5")},
    )
    assert line.choices[1].triads == triads
    last = notes_under(line.lick, changes.chords[2])
    assert all(2 <= note.position.fret <= 6 and note.position.string <= 5 for note in last)
    assert line.cost >= free.cost


def test_a_bar_is_pinned_to_its_very_places(pair):
    changes = parse_changes("Bm9 | E13 | Amaj9", "A major")
    second = carry_ways(pair.lick, changes, k=4, triads=pair.triads)[3]
    places = tuple(note.position for note in notes_under(second.lick, changes.chords[1]))
    line = carry(pair.lick, changes, triads=pair.triads, pins={2: CarryPin(positions=places)})
    own = notes_under(line.lick, changes.chords[1])
    assert tuple(note.position for note in own) == places


def test_a_part_of_a_chord_names_only_the_triads_it_plays(source):
    quick = source("D F#m", contour="up down", rhythm="8ths", bars=1)
    changes = parse_changes("Bm9 . . E13", "A major")
    line = carry(quick.lick, changes, triads=quick.triads)
    for placed, choice in zip(changes.chords, line.choices, strict=True):
        for note in notes_under(line.lick, placed):
            assert note.pitch.name in choice.triads[note.voice].notes


@pytest.mark.parametrize("way", ["exact", "diatonic", "idea"])
def test_every_way_carries_on_every_tuning(source, way):
    own = source("D F#m", frets="4-12")
    for tuning in ("drop D", "half-step down"):
        guitar = Guitar(open_strings=parse_tuning(tuning))
        line = carry(
            own.lick,
            parse_changes("Bm9 | Em9 | A13", "D major"),
            way,
            triads=own.triads,
            source=own.chord,
            guitar=guitar,
        )
        assert wrong_strokes(line.lick) == []
        for note in line.lick.notes:
            assert guitar.midi_at(note.position) == note.pitch.midi


@pytest.mark.parametrize("policy", ["sweep", "alternate", "down", "legato"])
def test_every_picking_style_stays_itself(source, policy):
    own = source("D F#m", policy=policy)
    line = carry(
        own.lick, parse_changes("Bm9 | E13 | Amaj9", "A major"), triads=own.triads, picking=policy
    )
    problems = check_strokes(
        [note.position for note in line.lick.notes],
        [note.stroke for note in line.lick.notes],
        [note.technique for note in line.lick.notes],
        onsets=[note.onset for note in line.lick.notes],
        policy=policy,
    )
    assert problems == []
    slurred = [n for n in line.lick.notes if n.technique is not Technique.PICK]
    assert bool(slurred) == any(n.technique is not Technique.PICK for n in own.lick.notes)


@pytest.mark.parametrize("names", ["F#m", "D F#m A", "Bm D F#m A"])
def test_one_to_four_triads_are_carried(source, names):
    own = source(names, contour="up down", rhythm="16ths", bars=2)
    line = carry(own.lick, parse_changes("Bm9 | . | E13 | .", "A major"), triads=own.triads)
    assert len(line.choices) == 2
    assert wrong_strokes(line.lick) == []


def test_the_same_carry_is_the_same_to_the_last_value(pair):
    changes = parse_changes("Bm9 | E13 | Amaj9", "A major")
    once, twice = (carry(pair.lick, changes, triads=pair.triads) for _ in range(2))
    assert once == twice


@settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.sampled_from(["Bm9", "E13", "Amaj9", "F#7alt", "Dmaj7", "C#m7b5", "G#dim7", "Em6"]),
        min_size=2,
        max_size=5,
    )
)
def test_any_changes_are_carried_without_a_wrong_stroke(pair, chords):
    changes = parse_changes(" | ".join(chords), "A major")
    line = carry(pair.lick, changes, triads=pair.triads)
    assert wrong_strokes(line.lick) == []
    assert sum(note.duration for note in line.lick.notes) == changes.length


@pytest.mark.parametrize(
    ("options", "error", "said"),
    [
        ({"way": "exakt"}, TheoryError, "no way to carry a lick called 'exakt'"),
        ({"way": "exact", "source": None}, TheoryError, "bar 1, Bm9: the chord that the lick"),
        ({"triads": ()}, TheoryError, "only where its triads are known"),
        ({"triads": (parse_triad("Eb"),)}, TheoryError, "no note of the lick is a tone of Eb"),
        ({"frets": "1-2"}, NeckError, "bar 1: the lick has no place"),
        ({"pins": {9: CarryPin(frets="1-4")}}, NeckError, "bar 9 is pinned"),
        ({"pins": {1: CarryPin(triads=(parse_triad("D"),))}}, TheoryError, "1 triads are pinned"),
        (
            {"pins": {2: CarryPin(positions=(Position(1, 1),))}},
            HandError,
            "bar 2, E13: 1 places are pinned for 16 notes",
        ),
        ({"k": 0}, HandError, "0 ways"),
        ({"hand": "giant"}, HandError, "no hand 'giant'"),
        ({"picking": "swept"}, HandError, "swept"),
    ],
)
def test_what_cannot_be_carried_is_told_with_its_bar(pair, options, error, said):
    asked = {"triads": pair.triads, "source": pair.chord, "k": 1, **options}
    with pytest.raises(error) as caught:
        carry_ways(pair.lick, parse_changes("Bm9 | E13", "A major"), **asked)
    assert said in caught.value.what
    assert caught.value.mend
