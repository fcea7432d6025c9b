"""What a teacher is told, on takes whose verdicts are given."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import ModuleType
from xml.etree import ElementTree

import pytest

from lickwright.lick.notes import Lick, Stroke
from lickwright.score.score import Score
from lickwright.take.judging.picture import take_svg
from lickwright.take.judging.words import not_heard, remarks
from lickwright.take.report import ExtraNote, HeardNote, NoteVerdict, Pause, Take

STROKES = "DDDDUUUU"
LATE_BY = {NoteVerdict.LATE: 0.04, NoteVerdict.EARLY: -0.04}


@pytest.fixture
def score(bench: ModuleType) -> Score:
    places = [(4, 12), (3, 12), (2, 12), (1, 12), (1, 15), (2, 15), (3, 15), (4, 15)]
    score: Score = bench.players.line_score(places, [Fraction(1, 4)] * 8)
    notes = tuple(
        replace(note, stroke=Stroke(stroke), finger=1)
        for note, stroke in zip(score.lick.notes, STROKES, strict=True)
    )
    return replace(score, lick=Lick(notes, score.lick.length))


def take_of(
    score: Score,
    verdicts: dict[int, NoteVerdict] | None = None,
    moved_s: dict[int, float] | None = None,
    **changes: object,
) -> Take:
    notes = []
    for i, note in enumerate(score.lick.notes):
        verdict = (verdicts or {}).get(i, NoteVerdict.PLAYED)
        due, midi = 1.0 + 0.125 * i, note.pitch.midi
        heard = None
        if verdict not in (NoteVerdict.MISSING, NoteVerdict.UNJUDGED):
            heard = due + LATE_BY.get(verdict, 0.0) + (moved_s or {}).get(i, 0.0)
        wrong = midi + 1 if verdict is NoteVerdict.WRONG else midi
        notes.append(HeardNote(i, midi, due, verdict, heard, None if heard is None else wrong, 0.9))
    take = Take(score, tuple(notes), (), (), 120.0, 0.0, 1.0, 0.0, 0.025)
    return replace(take, **changes)


def texts(take: Take, hand: str) -> str:
    return " ".join(remark.text for remark in remarks(take) if remark.hand == hand)


def test_a_faultless_take_gets_one_remark(score: Score) -> None:
    assert [r.text for r in remarks(take_of(score))] == ["8 of 8 notes sounded at their pitch."]


def test_an_uneven_sweep_is_the_picking_hands(score: Score) -> None:
    said = texts(take_of(score, moved_s={1: -0.02, 2: 0.02}), "picking")
    assert "downward sweep of notes 1 to 4 is uneven" in said
    assert "upward" not in said


def test_a_hurried_sweep_is_told_from_an_uneven_one(score: Score) -> None:
    said = texts(take_of(score, moved_s={5: -0.02, 6: -0.04, 7: -0.06}), "picking")
    assert "upward sweep of notes 5 to 8 is hurried: it takes 84% of its time" in said


def test_a_late_turn_is_the_picking_hands_and_a_late_shift_the_fretting_hands(
    score: Score,
) -> None:
    take = take_of(score, {4: NoteVerdict.LATE})
    assert "turn at note 5 comes 40 ms late" in texts(take, "picking")
    assert texts(take, "fretting") == ""
    plain = replace(score.lick, notes=tuple(replace(n, stroke=None) for n in score.lick.notes))
    unswept = take_of(replace(score, lick=plain), {4: NoteVerdict.LATE})
    assert "After the shift, note 5 comes 40 ms late" in texts(unswept, "fretting")


def test_missing_wrong_extra_pauses_and_drift_are_named_by_note(score: Score) -> None:
    take = take_of(
        score,
        {1: NoteVerdict.MISSING, 6: NoteVerdict.WRONG},
        extras=(ExtraNote(2, 1.3, 60, 0.9),),
        pauses=(Pause(5, 1.5), Pause(7, -0.5)),
        drift=0.05,
        tuning_cents=-20.0,
    )
    whole = texts(take, "both")
    assert "6 of 8 notes" in whole
    assert "Not heard: note 2." in whole
    assert "a note after note 3" in whole
    assert "Before note 6 you stopped for 1.5 s" in whole
    assert "Before note 8 you came in too soon, by 0.5 s" in whole
    assert "gained 5 %" in whole
    assert "20 cents below" in whole
    assert "Note 7 sounds 1 fret above string 3 fret 15" in texts(take, "fretting")


def test_strings_that_ring_over_are_the_fretting_hands(score: Score) -> None:
    take = take_of(score)
    ringing = tuple(replace(n, ring_s=0.11 if n.index < 2 else 0.02) for n in take.notes)
    said = texts(replace(take, notes=ringing), "fretting")
    assert "up to 110 ms: notes 1, 2." in said


def test_what_cannot_be_heard_is_said(score: Score) -> None:
    lines = " ".join(not_heard(take_of(score, {2: NoteVerdict.UNJUDGED}, clipped=True)))
    for word in ("finger", "stroke", "several strings", "octave", "told: note 3", "overdriven"):
        assert word in lines


def test_the_picture_shows_every_verdict_and_is_well_formed(score: Score) -> None:
    named = replace(score, name="<script>alert(1)</script> & \x07 friends")
    verdicts = dict(enumerate(NoteVerdict))
    take = take_of(named, verdicts, extras=(ExtraNote(2, 1.3, 60, 0.9),))
    svg = take_svg(take)
    root = ElementTree.fromstring(svg)
    assert "<script" not in svg
    assert "\x07" not in svg
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert tags <= {"svg", "title", "rect", "line", "text", "circle", "polygon"}
    words = [element.text for element in root.iter() if element.tag.endswith("text")]
    assert {"+40", "-40"} <= set(words)
    assert sum(word is not None and word.startswith("heard") for word in words) == 1
    assert svg == take_svg(take)


def test_a_long_take_is_drawn_in_systems(bench: ModuleType) -> None:
    score = bench.players.random_score(3, 120, beats=32)
    root = ElementTree.fromstring(take_svg(take_of(score)))
    height = float(root.attrib["height"])
    assert height > 600
    places = [float(e.attrib["x"]) for e in root.iter() if "x" in e.attrib]
    assert min(places) >= 0
    assert max(places) <= float(root.attrib["width"])
    lowest = max(float(e.attrib[k]) for e in root.iter() for k in ("y", "cy") if k in e.attrib)
    assert lowest < height
