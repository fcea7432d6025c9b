"""Carried lines engrave: the page takes every progression without a word of complaint."""

from __future__ import annotations

import pytest

from lickwright.changes.carry.carrying import carry
from lickwright.changes.progression.chart import parse_changes
from lickwright.engrave.page.systems import engrave
from lickwright.neck.instrument import Guitar
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.key import parse_key

from .progressions import PROGRESSIONS


def score_of(pair, text, key, time) -> Score:
    changes = parse_changes(text, key, time)
    line = carry(pair.lick, changes, triads=pair.triads)
    bars = tuple(
        Bar(b.number, b.onset, b.length, b.beats, b.unit, b.key or parse_key("C"))
        for b in changes.bars
    )
    chords = tuple(
        ChordSpan(p.onset, p.length, p.chord, p.chord.notes, p.chord.bass_note)
        for p in changes.chords
    )
    return Score("Carried", Guitar(), line.lick, bars, chords, 60.0, 100.0)


@pytest.mark.parametrize(("name", "text", "key", "time"), PROGRESSIONS)
def test_every_progression_engraves(pair, capfd, name, text, key, time):
    score = score_of(pair, text, key, time)
    page = engrave(score, 180.0)
    assert set(page.note_ids) == set(range(len(score.lick.notes)))
    assert capfd.readouterr().err == ""
