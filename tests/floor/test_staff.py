"""Clefs and octave brackets (common practice, no source): what is read easily.

Steps count lines and spaces: the treble staff's lines are E4 G4 B4 D5 F5.  A guitar sounds an
octave below what is written (the small 8 below its clef).
"""

from __future__ import annotations

import pytest

from lickwright.neck import Guitar
from lickwright.score.notation.staff import (
    BASS,
    GUITAR,
    TREBLE,
    Clef,
    clef_for,
    octave_shifts,
    reading_cost,
)
from lickwright.theory import Pitch, parse_pitch

BAR, BEAT, INSIDE = 0, 1, 2


def pitches(names: str) -> list[Pitch]:
    return [parse_pitch(name) for name in names.split()]


def tuned(names: str, capo: int = 0) -> Guitar:
    """A guitar from its open strings, the highest first."""
    return Guitar(tuple(pitches(names)), capo=capo)


def shifts(names: str, breaks: list[int], clef: Clef = TREBLE) -> tuple[int, ...]:
    return octave_shifts(clef, pitches(names), breaks)


def ledgers(clef: Clef, name: str) -> int:
    return clef.ledger_lines(clef.written_step(parse_pitch(name)))


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("E4", 0),  # the bottom line
        ("D4", 0),  # hangs below it
        ("C4", 1),  # the middle C of every primer
        ("B3", 1),
        ("A3", 2),
        ("F5", 0),  # the top line
        ("G5", 0),  # sits on it
        ("A5", 1),
        ("B5", 1),
        ("C6", 2),
        ("E6", 3),
        ("B4", 0),
    ],
)
def test_ledger_lines_of_the_treble_staff(name: str, lines: int) -> None:
    assert ledgers(TREBLE, name) == lines


def test_a_guitar_is_written_an_octave_above_its_sound_and_a_bass_as_well() -> None:
    assert ledgers(GUITAR, "E2") == 3  # the low open string: E below the staff with three lines
    assert ledgers(GUITAR, "E4") == 0  # the high open string: E5 in the top space
    assert ledgers(BASS, "E1") == 1  # written E2: one line below the staff of G2 B2 D3 F3 A3
    assert ledgers(BASS, "G2") == 0  # written G3, upon the top line
    assert (TREBLE.sign, TREBLE.line, TREBLE.octave) == ("G", 2, 0)
    assert (GUITAR.sign, GUITAR.line, GUITAR.octave) == ("G", 2, -1)
    assert (BASS.sign, BASS.line, BASS.octave) == ("F", 4, -1)


def test_the_middle_line_lies_between_the_outer_ones() -> None:
    assert TREBLE.middle_step == parse_pitch("B4").staff_step
    assert TREBLE.top_step == parse_pitch("F5").staff_step
    assert BASS.middle_step == parse_pitch("D3").staff_step


# ---------------------------------------------------------------------------------------- clefs


def test_the_instrument_has_its_clef() -> None:
    assert clef_for(Guitar(), []) == GUITAR
    assert clef_for(tuned("G2 D2 A1 E1"), []) == BASS
    assert clef_for(tuned("A4 E4 C4 G4"), []) == TREBLE  # small, four strings, high
    assert clef_for(tuned("D3 A2 E2 B1"), []) == BASS  # D3 at the top: still a bass
    assert clef_for(tuned("Eb3 A2 E2 B1"), []) == GUITAR
    assert clef_for(tuned("A4 E4 C4 G3"), []) == TREBLE  # G3 at the bottom: still small
    assert clef_for(tuned("A4 E4 C4 F#3"), []) == GUITAR


def test_a_capo_raises_what_the_open_strings_sound() -> None:
    assert clef_for(tuned("D3 A2 E2 B1", capo=1), []) == GUITAR
    assert clef_for(tuned("A4 E4 C4 F#3", capo=1), []) == TREBLE


SEVEN = "E4 B3 G3 D3 A2 E2 B1"


def test_a_line_that_mostly_lies_far_below_the_staff_takes_the_bass_clef() -> None:
    # Sounding B1 is written B2, four lines and more below the staff.
    assert clef_for(tuned(SEVEN), pitches("B1 B1 C2")) == BASS
    assert clef_for(tuned(SEVEN), pitches("B1 E3 G3")) == GUITAR  # its middle note decides
    assert clef_for(tuned(SEVEN), pitches("B1 B1 G3")) == BASS
    assert clef_for(tuned(SEVEN), []) == GUITAR
    # More than five steps: written G3 is five steps below E4 (two lines), F3 is six.
    assert clef_for(tuned(SEVEN), pitches("G2")) == GUITAR
    assert clef_for(tuned(SEVEN), pitches("F2")) == BASS
    # Six strings are read in the treble clef however low the line.
    assert clef_for(Guitar(), pitches("E2 E2 F2")) == GUITAR


# ------------------------------------------------------------------------------------- brackets


def test_two_ledger_lines_read_without_a_bracket() -> None:
    easy = pitches("A3 B3 C4 E4 B4 F5 A5 C6 D6")
    assert [reading_cost(TREBLE, pitch, 0) for pitch in easy] == [0] * 9
    # Beyond two lines each costs its square: three lines a little, five much.
    three, four, five = (reading_cost(TREBLE, one, 0) for one in pitches("E6 G6 B6"))
    assert (four, five) == (4 * three, 9 * three)
    assert three > 0


def test_a_bracket_costs_for_each_octave_and_the_lines_it_causes() -> None:
    # C7 under 8va is read as C6, under 15ma as C5: without a line, but two octaves away.
    once, twice = (reading_cost(TREBLE, parse_pitch("C7"), shift) for shift in (-1, -2))
    assert once == twice / 2 > 0
    # A bracket that pushes a note off the other side of the staff costs its ledger lines too:
    # B4 under 8va is B3, one line below the staff; C5 is C4; E5 is E4 without a line.
    plain = reading_cost(TREBLE, parse_pitch("E5"), -1)
    assert reading_cost(TREBLE, parse_pitch("B4"), -1) == plain + 2 * plain
    assert reading_cost(TREBLE, parse_pitch("A4"), -1) == plain + 4 * plain
    # Upwards the same: C5 under 8vb is read as C6, two lines above; E3 as E4, none.
    assert reading_cost(TREBLE, parse_pitch("E3"), 1) == plain
    assert reading_cost(TREBLE, parse_pitch("C5"), 1) == plain + 4 * plain
    # On the side that it helps, the lines that are left are not held against the bracket.
    assert reading_cost(TREBLE, parse_pitch("C7"), -1) == plain


def test_a_high_passage_goes_under_8va_and_the_staff_stays_plain() -> None:
    assert shifts("C5 E5 G5 C5", [BAR, BEAT, BEAT, BEAT]) == (0, 0, 0, 0)
    assert shifts("G6 A6 B6 C7", [BAR, BEAT, BEAT, BEAT]) == (-1, -1, -1, -1)
    assert shifts("G7 A7 B7 C8", [BAR, BEAT, BEAT, BEAT]) == (-2, -2, -2, -2)
    assert shifts("E3 D3 C3 D3", [BAR, BEAT, BEAT, BEAT]) == (1, 1, 1, 1)
    assert shifts("", []) == ()


def test_one_high_note_is_not_worth_a_bracket() -> None:
    assert shifts("C5 G6 C5", [BAR, BEAT, BEAT]) == (0, 0, 0)


def test_a_bracket_begins_at_the_bar_line_rather_than_inside_a_beat() -> None:
    """Three notes that are easy either way: the bracket waits for the bar line if it lies there."""
    low, high = "C5 C5 C5 C5 C5", "A6 B6 C7 D7 E7"
    line = f"{low} C6 C6 C6 {high}"

    def begins(bar_at: int) -> int:
        breaks = [BAR if index == bar_at else INSIDE for index in range(13)]
        return shifts(line, breaks).index(-1)

    assert [begins(at) for at in (5, 6, 7, 8)] == [5, 6, 7, 8]


def test_changes_are_dearer_on_a_beat_than_at_a_bar_and_dearest_inside() -> None:
    """Told by how many notes on three ledger lines (4 points each, 3 of them under a bracket) a
    bracket must gather before it is put: a point a note."""

    def notes_needed(place: int) -> int:
        low, aside = ["C5"] * 12, [INSIDE] * 11
        for count in range(30, 90):
            names = " ".join([*low, *["E6"] * count, *low])
            breaks = [BAR, *aside, place, *[INSIDE] * (count - 1), place, *aside]
            if -1 in shifts(names, breaks):
                return count
        return 99

    assert notes_needed(BAR) < notes_needed(BEAT) < notes_needed(INSIDE)


def test_the_whole_line_decides_not_the_next_note() -> None:
    # Between two high passages one note in the staff stays under the bracket.
    line = "B6 C7 B6 C7 G5 B6 C7 B6 C7"
    assert shifts(line, [BAR] + [INSIDE] * 8) == (-1,) * 9
