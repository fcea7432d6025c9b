"""A composed line as a phrase: how triads are joined, approached, displaced, and where it lands.

Common practice, no source; the joinings are counted out by hand.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from lickwright.errors import ContourError, RhythmError
from lickwright.lick.phrase import (
    compose,
    displaced,
    guide_tones,
    land,
    landing_of,
    landing_tones,
    parse_approach,
    parse_cells,
    parse_landing,
    plain_spelling,
)
from lickwright.lick.rhythm import Meter
from lickwright.neck import Guitar
from lickwright.neck.shapes import chain_shapes
from lickwright.theory import mask_of, parse_chord, parse_key, parse_triad

F = Fraction
SHAPES = chain_shapes([parse_triad("D"), parse_triad("F#m")], frets="9-12")
#: D F# A D up, C# A F# down, as the two shapes lie there.
D, UP = ["D4", "F#4", "A4", "D5"], ["C#5", "A4", "F#4"]
D_MAJOR = parse_key("D major").mask


def line(**asked):
    return compose(SHAPES, "up down", asked.pop("rhythm", "8ths"), voices=(0, 1), **asked)


def named(lick):
    return [str(note.pitch) for note in lick.notes]


def landed(lick, text, chord="Bm9", meter=None, bars=None):
    meter, landing = meter or Meter(), parse_landing(text)
    names = plain_spelling() | {name.pc: name for name in parse_chord(chord).notes}
    moment = landing_of(lick, landing, meter, bars)
    tones = landing_tones(landing, parse_chord(chord))
    return land(lick, landing, tones, moment, Guitar(), meter, names)


# -------------------------------------------------------------------------------------- joining


def test_run_by_run_is_what_it_was():
    assert named(line()) == D + UP


def test_note_by_note_and_cells_take_turns():
    assert named(line(cells=(1,))) == ["D4", "C#5", "F#4", "A4", "A4", "F#4", "D5"]
    assert named(line(cells=(2, 1))) == ["D4", "F#4", "C#5", "A4", "D5", "A4", "F#4"]
    assert named(line(cells=(3, 3, 2))) == ["D4", "F#4", "A4", "C#5", "A4", "F#4", "D5"]


def test_cells_run_on_over_the_bars_and_know_their_triads():
    lick = line(cells=(3, 3, 2), bars=2)
    assert named(lick)[:14] == named(line(cells=(3, 3, 2))) * 2
    assert [note.voice for note in lick.notes[:7]] == [0, 0, 0, 1, 1, 1, 0]


def test_a_line_begins_again_in_every_bar_or_runs_on():
    on, again = line(bars=2), line(bars=2, again=True)
    assert named(again)[:8] == named(again)[8:] == named(on)[:8]
    assert named(on)[8:] != named(on)[:8]


@pytest.mark.parametrize("text", ["", "0", "9", "3 + x", "3 3"])
def test_what_are_no_cells_is_refused(text):
    if text == "3 3":
        text = "33"
    with pytest.raises(ContourError, match="how many notes"):
        parse_cells(text)


# ------------------------------------------------------------------------------------- approach


@pytest.mark.parametrize(
    ("text", "first", "second"),
    [
        ("half step below", ["C#4"], ["C5"]),
        ("half step above", ["Eb4"], []),  # D5 comes before C#5 as it is
        ("scale step below", ["C#4"], ["B4"]),
        ("scale step above", ["E4"], []),
        ("enclosure", ["E4", "C#4"], ["C5"]),
    ],
)
def test_approach_notes_lead_to_the_first_note_of_each_triad(text, first, second):
    lick = line(approach=parse_approach(text), scale=D_MAJOR)
    assert named(lick) == first + D + second + UP
    leading = [note for note in lick.notes if note.belongs.approach]
    assert [str(note.pitch) for note in leading] == first + second
    assert all(note.voice is None and not note.triads for note in leading)
    for note, following in pairwise(lick.notes):
        if note.belongs.approach and not following.belongs.approach:
            assert abs(note.pitch.midi - following.pitch.midi) <= 2


def test_single_notes_are_not_approached():
    with pytest.raises(ContourError, match="no room"):
        line(cells=(1,), approach=parse_approach("half step below"))


@pytest.mark.parametrize("text", ["", "from below", "half step", "whole step below"])
def test_what_is_no_approach_is_refused(text):
    with pytest.raises(ContourError, match="approach"):
        parse_approach(text)


@pytest.mark.parametrize("text", ["half step below", "scale step above", "enclosure"])
def test_an_approach_reads_back(text):
    assert str(parse_approach(text)) == text


# ------------------------------------------------------------------------------------ displaced


def test_a_displaced_line_comes_later_and_ends_on_a_bar_line():
    lick = line()
    late = displaced(lick, F(1, 2), Meter(), cut=False)
    assert named(late) == named(lick)
    assert [n.onset for n in late.notes] == [n.onset + F(1, 2) for n in lick.notes]
    assert late.length == late.notes[-1].end == 4


def test_a_displaced_line_of_bars_stays_as_long_as_it_was():
    late = displaced(line(bars=1), F(1, 2), Meter(), cut=True)
    assert (late.length, len(late.notes), late.notes[-1].end) == (4, 7, 4)


def test_tuplets_and_whole_bars_are_not_displaced():
    with pytest.raises(RhythmError, match="tuplets"):
        displaced(line(rhythm="8th triplets"), F(1, 2), Meter(), cut=False)
    with pytest.raises(RhythmError, match="displaced by 4"):
        displaced(line(), F(4), Meter(), cut=False)


# ------------------------------------------------------------------------------------ landing


@pytest.mark.parametrize(
    ("text", "name", "onset", "length"),
    [
        ("3 on 1", "D", F(4), F(4)),  # D is the third of Bm9
        ("third on 1 for 2", "D", F(4), F(2)),
        ("9 on 1", "C#", F(4), F(4)),
        ("F# on 1 for 1", "F#", F(4), F(1)),
    ],
)
def test_a_line_lands_on_the_next_such_beat_after_its_last_note(text, name, onset, length):
    lick = landed(line(), text)
    last = lick.notes[-1]
    assert (str(last.pitch.name), last.onset, last.duration) == (name, onset, length)
    assert named(lick)[:-1] == D + UP
    assert lick.length == 8


def test_a_line_of_bars_lands_in_its_last_one():
    lick = landed(line(bars=2), "guide tone", bars=2)
    last = lick.notes[-1]
    assert (last.onset, last.end, lick.length) == (6, 8, 8)  # the last strong beat is the third
    assert last.pitch.midi % 12 in {2, 9}  # D and A of Bm9
    assert last.pitch.midi != lick.notes[-2].pitch.midi


def test_a_note_that_rings_on_is_cut_where_the_line_lands():
    lick = landed(line(rhythm="h", bars=2), "3 on 4", bars=2)
    assert lick.notes[-2].end == lick.notes[-1].onset == 7


def test_a_landing_prefers_the_lines_own_places_and_knows_their_triad():
    lick = landed(line(), "3 on 1")
    own = {note.position: note.voice for note in lick.notes[:-1]}
    assert lick.notes[-1].voice == own[lick.notes[-1].position] == 0


def test_in_three_and_in_six_eight_the_strong_beats_are_theirs():
    three = landed(line(bars=1, meter=Meter.of(3, 4)), "3", meter=Meter.of(3, 4), bars=1)
    assert three.notes[-1].onset == 2  # no strong beat is left after the first
    six = landed(line(bars=2, meter=Meter.of(6, 8)), "3 on 2", meter=Meter.of(6, 8), bars=2)
    assert six.notes[-1].onset == 3 + F(3, 2)


def test_a_tuplet_is_not_cut_by_a_landing():
    meter = Meter()
    lick = line(rhythm="3(q q q)", bars=1)
    with pytest.raises(RhythmError, match="tuplet"):
        landed(lick, "3 on 2", meter=meter, bars=1)


def test_a_tone_out_of_reach_is_refused():
    with pytest.raises(ContourError, match="no beat 5"):
        landed(line(bars=1), "3 on 5", bars=1)


# ---------------------------------------------------------------------------------- guide tones


@pytest.mark.parametrize(
    ("symbol", "names"),
    [
        ("Cmaj7", "E B"),
        ("Dm7", "F C"),
        ("G7", "B F"),
        ("Bm7b5", "D A"),
        ("G9sus4", "C F"),
        ("C6", "E A"),
        ("Cdim7", "Eb Bbb"),
        ("C", "E G"),
    ],
)
def test_guide_tones_are_third_and_seventh(symbol, names):
    assert " ".join(str(name) for _, name in guide_tones(parse_chord(symbol))) == names


def test_a_bare_degree_is_the_chords_own():
    minor, major = parse_chord("Cm7"), parse_chord("Cmaj7")
    assert landing_tones(parse_landing("3"), minor) == mask_of([3])
    assert landing_tones(parse_landing("3"), major) == mask_of([4])
    assert landing_tones(parse_landing("b3"), major) == mask_of([3])
    assert landing_tones(parse_landing("chord tone"), minor) == minor.mask


def test_one_triad_there_and_back_fills_every_bar_that_begins_again():
    shapes = chain_shapes([parse_triad("F#m")], frets="9-12")
    lick = compose(shapes, "up-down", "16ths", bars=2, again=True)
    first, second = lick.notes_in(F(0), F(4)), lick.notes_in(F(4), F(8))
    assert len(first) == len(second) == 16
    assert [n.position for n in first] == [n.position for n in second]
