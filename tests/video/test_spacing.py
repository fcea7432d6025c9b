from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.lick.notes import Lick, LickNote
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, Score
from lickwright.theory.key import Key
from lickwright.theory.pitch import parse_note_name, pitch_from_midi
from lickwright.video.panels.spacing import pages_of

F = Fraction
COLUMN = 44.0

LENGTHS = st.sampled_from([F(1, 4), F(1, 3), F(1, 5), F(1, 2), F(1), F(3, 2), F(3)])


@st.composite
def scores(draw) -> Score:
    beats, unit = draw(st.sampled_from([(4, 4), (3, 4), (6, 8), (7, 8)]))
    whole = F(4 * beats, unit)
    notes, at = [], F(0)
    for length in draw(st.lists(LENGTHS, min_size=1, max_size=40)):
        if draw(st.integers(0, 5)):
            pitch = pitch_from_midi(64, parse_note_name("E"))
            notes.append(LickNote(Position(1, 0), pitch, at, length))
        at += length
    count = max(1, -(-at // whole))
    key = Key(parse_note_name("D"), "dorian")
    bars = tuple(Bar(n + 1, n * whole, whole, beats, unit, key) for n in range(count))
    lick = Lick(tuple(notes), count * whole)
    return Score("drawn", Guitar(), lick, bars, (), 60, 90)


@given(score=scores(), width=st.floats(500, 2000))
@settings(max_examples=60, deadline=None)
def test_pages_follow_each_other_and_hold_every_note_once(score, width):
    pages = pages_of(score, width, COLUMN)
    assert pages[0].onset == 0
    assert pages[-1].end == score.length
    assert all(before.end == after.onset for before, after in pairwise(pages))
    for note in score.lick.notes:
        assert sum(note.onset in page.times[:-1] for page in pages) == 1


@given(score=scores(), width=st.floats(500, 2000))
@settings(max_examples=60, deadline=None)
def test_time_runs_to_the_right_and_stays_on_the_page(score, width):
    pages = pages_of(score, width, COLUMN)
    room = width if len(pages) == 1 else width / 2
    for page in pages:
        assert all(left < right for left, right in pairwise(page.xs))
        assert page.xs[0] > 0
        assert page.xs[-1] < room
        middle = (page.times[0] + page.times[1]) / 2
        assert page.xs[0] < page.x(middle) < page.xs[1]
        assert [page.x(time) for time in page.times] == list(page.xs)


@given(score=scores(), width=st.floats(600, 2000))
@settings(max_examples=60, deadline=None)
def test_notes_are_a_column_apart_unless_a_single_beat_is_too_full(score, width):
    pages = pages_of(score, width, COLUMN)
    for page in pages:
        gaps = [right - left for left, right in pairwise(page.xs)]
        if min(gaps) < COLUMN - 1e-6:
            assert page.end - page.onset <= F(3, 2)


def test_a_bar_that_fits_stays_whole(quarters):
    assert len(pages_of(quarters(2), 920, COLUMN)) == 1
    cut = pages_of(quarters(8), 920, COLUMN)
    assert all(page.onset % 4 == 0 for page in cut)
