"""Text tab: read, printed, read again; pitches against music21's fretboard; errors with places."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch as TheirPitch
from music21.tablature import FretNote, GuitarFretBoard

from lickwright.errors import RhythmError, Spot, TabError
from lickwright.lick.notes import Marks, Technique
from lickwright.lick.rhythm.timing import Meter
from lickwright.lick.tab.block import TabBlock, TabColumn, tab_of
from lickwright.lick.tab.lick import lick_from_tab
from lickwright.lick.tab.reading import parse_tab
from lickwright.lick.tab.writing import print_tab
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import parse_tuning

F = Fraction
BLOCK = """\
   PM-----|
e|------------------10-12~-|
B|------------10-13--------|
G|--------10---------------|
D|-10h12-------------------|
A|-------------------------|
E|-------------------------|
"""


def test_the_block_of_the_docstring() -> None:
    block = parse_tab(BLOCK)
    assert block.positions == tuple(
        Position(*pair) for pair in [(4, 10), (4, 12), (3, 10), (2, 10), (2, 13), (1, 10), (1, 12)]
    )
    assert [column.technique for column in block.columns][:3] == [
        Technique.PICK,
        Technique.HAMMER_ON,
        Technique.PICK,
    ]
    assert [column.marks.palm_mute for column in block.columns] == [True, True, True] + [False] * 4
    assert block.columns[-1].marks.vibrato
    assert block.bars == 1


def test_pitches_agree_with_the_fretboard_of_music21() -> None:
    lick = lick_from_tab(BLOCK, "16ths")
    board = GuitarFretBoard(fretNotes=[])
    for note in lick.notes:
        board.fretNotes = [FretNote(string=note.position.string, fret=note.position.fret)]
        (theirs,) = [pitch for pitch in board.getPitches() if pitch is not None]
        assert theirs.midi == note.pitch.midi == TheirPitch(str(note.pitch)).midi


def test_bars_systems_labels_and_loose_writing() -> None:
    text = """
    |-0--|----|--5-||
    |----|-x--|----||
    |----|----|----||
    |----|----|----||
    |----|----|----||
    |----|----|----||

    E|-(5)-7/9\\7p5-|
    B|-------------|
    G|-------------|
    D|-------------|
    A|-------------|
    e|-------------|
    """
    block = parse_tab(text)
    assert [column.bar for column in block.columns] == [0, 1, 2, 3, 3, 3, 3, 3]
    assert block.bars == 4
    assert [column.held for column in block.columns] == [False] * 3 + [True] + [False] * 4
    assert block.columns[1].marks.dead
    assert [column.technique for column in block.columns[-3:]] == [
        Technique.SLIDE,
        Technique.SLIDE,
        Technique.PULL_OFF,
    ]


@pytest.mark.parametrize(
    "tuning", ["E1 A1 D2 G2", "B1 E2 A2 D3 G3 B3 E4", "F#1 B1 E2 A2 D3 G3 B3 E4", "DADGAD"]
)
def test_other_instruments_have_their_own_lines(tuning: str) -> None:
    guitar = Guitar(parse_tuning(tuning))
    columns = tuple(
        TabColumn(Position(string, string), 0) for string in range(1, guitar.string_count + 1)
    )
    block = TabBlock(columns, 1)
    text = print_tab(block, guitar)
    assert len(text.splitlines()) == guitar.string_count
    assert parse_tab(text, guitar) == block


def row(number: int, text: str) -> str:
    """The block with one of its lines (counted from 1) replaced."""
    rows = BLOCK.splitlines()
    rows[number - 1] = text
    return "\n".join(rows)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no lines"),
        ("|----|\n" * 6, "no notes"),
        (row(2, "e|------------------10-30~-|"), "tab line 2, column 24: there is no fret 30"),
        (row(2, "e|------------------10-127-|"), "tab line 2, column 24: there is no fret 127"),
        (row(2, "e|" + "9" * 5000), "tab line 2: string 1 is"),
        (f"|{'9' * 5000}|\n" * 6, "tab line 1, column 2: there is no fret 999"),
        (row(4, "G|--------10--------------|"), "tab line 4: string 3 is 1 character shorter"),
        (row(4, "A|--------10---------------|"), "tab line 4, column 1: the line is labelled A"),
        (row(4, "G|--------10b--------------|"), "tab line 4, column 13: 'b' is no tab sign"),
        (row(7, "E|---------10--------------|"), "tab line 7, column 12: two notes at once"),
        (row(7, "E|-10----------------------|"), "two notes at once, on strings 4 and 6"),
        (row(7, "E|------------------------||"), "the bar line does not cross string 1"),
        (row(5, "D|-12h10-------------------|"), "'h' leads to fret 10, but no lower fret"),
        (row(5, "D|-10p12-------------------|"), "'p' leads to fret 12, but no higher fret"),
        (row(5, "D|-10h-12----------------h-|"), "'h' leads to no number"),
        (row(5, "D|-10hp12------------------|"), "'p' follows 'h'"),
        (row(5, "D|~10h12-------------------|"), "'~' follows no number"),
        (row(5, "D|-10-~12------------------|"), "'~' follows no number"),
        (row(5, "D|-10hx--------------------|"), "'h' leads to x"),
        (row(5, "D|-10(12)------------------|"), "(12) holds a note"),
        (row(5, "D|-10(12-------------------|"), "'(' is no tab sign"),
        (row(1, "   PM--- then|"), "tab line 1, column 10: 't' is no palm mute"),
        (BLOCK.replace("A|-------------------------|\n", ""), "number of lines is 5"),
        ("Here is a line.", "number of lines is 1"),
    ],
)
def test_every_error_says_line_and_column(text: str, words: str) -> None:
    with pytest.raises(TabError) as raised:
        parse_tab(text)
    assert words in str(raised.value)
    assert "\n" not in str(raised.value)
    assert raised.value.mend


def test_a_mark_may_stand_anywhere_between_its_frets() -> None:
    block = parse_tab(row(3, "B|------------10-h13-------|"))
    assert block.columns[4].technique is Technique.HAMMER_ON


def test_errors_name_the_line_of_the_file() -> None:
    with pytest.raises(TabError) as raised:
        parse_tab(row(4, "G|-8|"), where=Spot("lesson.yaml", 20))
    assert raised.value.where == Spot("lesson.yaml", 23)


@st.composite
def blocks(draw: st.DrawFn) -> TabBlock:
    """Any block a guitarist could write on six strings."""
    bars = draw(st.integers(1, 4))
    columns: list[TabColumn] = []
    for bar in sorted(draw(st.lists(st.integers(0, bars - 1), min_size=1, max_size=16))):
        column = TabColumn(
            Position(draw(st.integers(1, 6)), draw(st.integers(0, 24))),
            bar,
            marks=Marks(vibrato=draw(st.booleans()), palm_mute=draw(st.booleans())),
        )
        before = columns[-1] if columns else None
        if before is not None and not before.marks.dead:
            from_fret, string = before.position.fret, before.position.string
            kind = draw(st.sampled_from(["plain", "slur", "slide", "held"]))
            to = draw(st.integers(0, 24))
            if kind == "held":
                column = replace(column, position=before.position, held=True)
            elif kind != "plain" and to != from_fret:
                slur = Technique.HAMMER_ON if to > from_fret else Technique.PULL_OFF
                column = replace(
                    column,
                    position=Position(string, to),
                    technique=slur if kind == "slur" else Technique.SLIDE,
                )
        if column.technique is Technique.PICK and not column.held and draw(st.booleans()):
            column = replace(
                column,
                position=Position(column.position.string, 0),
                marks=replace(column.marks, dead=True),
            )
        columns.append(column)
    return TabBlock(tuple(columns), bars)


@given(blocks(), st.sampled_from([20, 60, 100]))
def test_tab_to_notes_to_tab_is_the_identity(block: TabBlock, width: int) -> None:
    assert parse_tab(print_tab(block, width=width)) == block


@given(blocks(), st.sampled_from(["16ths", "8th triplets", "q e e"]))
def test_a_lick_printed_and_read_is_the_same_lick(block: TabBlock, rhythm: str) -> None:
    struck = replace(block, bars=1, columns=tuple(replace(c, bar=0) for c in block.columns))
    lick = lick_from_tab(struck, rhythm)
    if any(column.held for column in struck.columns):
        assert len(lick.notes) == sum(not column.held for column in struck.columns)
        assert tab_of(lick).positions == tuple(
            column.position for column in struck.columns if not column.held
        )
        return
    assert lick_from_tab(print_tab(lick), rhythm) == lick


@given(st.text(alphabet="eBGDAE|-0123456789hp/\\~x()PM \n", max_size=120))
def test_any_text_is_read_or_refused_cleanly(text: str) -> None:
    try:
        block = parse_tab(text)
    except TabError:
        return
    assert parse_tab(print_tab(block)) == block


def test_a_held_column_lengthens_its_note() -> None:
    block = TabBlock((TabColumn(Position(1, 5), 0), TabColumn(Position(1, 5), 1, held=True)), 2)
    lick = lick_from_tab(block, "wholes")
    assert [(note.onset, note.duration) for note in lick.notes] == [(0, 8)]


def test_tab_and_rhythm_must_agree_on_the_bars() -> None:
    text = print_tab(lick_from_tab(BLOCK, "quarters"))
    assert parse_tab(text).bars == 2
    assert len(lick_from_tab(text, "quarters").notes) == 7
    with pytest.raises(RhythmError, match="bar 1 of the tab is too short"):
        lick_from_tab(text, "8ths")
    with pytest.raises(RhythmError, match="bar 1 of the tab is too long"):
        lick_from_tab(text, "halves")
    with pytest.raises(RhythmError, match="bar 1 of the tab is too long"):
        lick_from_tab(text, "quarters", meter=Meter(bar=F(3)))


@pytest.mark.parametrize("mark", ["5h7", "7p5", "5/7", "7\\5"])
def test_a_mark_cannot_lead_over_a_rest(mark: str) -> None:
    """It was read, and then neither drawn nor picked: the note was lost to the page and the ear."""
    text = "-" * 8 + "\n" + f"-{mark}----\n" + ("-" * 8 + "\n") * 4
    with pytest.raises(RhythmError, match="comes after a rest"):
        lick_from_tab(text, "e rq e h")
    assert len(lick_from_tab(text, "q q h").notes) == 2
