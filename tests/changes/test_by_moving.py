"""Exact and diatonic carrying, against intervals and scales of music21."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from lickwright.changes.carry.carrying import carry
from lickwright.changes.progression.chart import parse_changes
from lickwright.lick import PLAIN, Marks
from lickwright.lick.picking.check import check_strokes
from lickwright.neck.instrument import Guitar

from .by_root import moved_by_root

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]


def under(line, placed):
    return [note for note in line.notes if placed.onset <= note.onset < placed.end]


@pytest.mark.parametrize("root", ROOTS)
def test_exact_carrying_moves_every_note_by_the_interval_of_the_roots(pair, root):
    """Transposition by music21's interval (Cuthbert & Ariza, ISMIR 2010), up to the octave."""
    from music21 import interval, note

    def theirs(name):
        return note.Note(str(name).replace("b", "-"))

    changes = parse_changes(f"{root}m9", f"{root} minor" if root not in ("Db",) else "C# minor")
    line = carry(pair.lick, changes, "exact", source=pair.chord)
    between = interval.Interval(theirs("B3"), theirs(f"{root}4"))
    for own, moved in zip(pair.lick.notes, line.lick.notes, strict=True):
        wanted = theirs(str(own.pitch)).transpose(between)
        assert moved.pitch.midi % 12 == wanted.pitch.midi % 12
        assert str(moved.pitch.name) == wanted.name.replace("-", "b")
    octaves = {
        moved.pitch.midi - own.pitch.midi
        for own, moved in zip(pair.lick.notes, line.lick.notes, strict=True)
    }
    assert len(octaves) == 1


@pytest.mark.parametrize("way", ["exact", "diatonic"])
def test_moved_lines_keep_their_string_changes_and_strokes(pair, way):
    changes = parse_changes("Bm9 | Em9 | F#m9 | C#m7b5", "A major")
    line = carry(pair.lick, changes, way, source=pair.chord, source_key=changes.key)
    own = [b.position.string - a.position.string for a, b in pairwise(pair.lick.notes)]
    for placed in changes.chords:
        notes = under(line.lick, placed)
        assert [b.position.string - a.position.string for a, b in pairwise(notes)] == own
    assert not check_strokes(
        [note.position for note in line.lick.notes], [note.stroke for note in line.lick.notes]
    )


def test_diatonic_carrying_moves_every_note_by_steps_of_the_key(pair):
    """Against music21's scale: each note as many steps up as the root went."""
    from music21 import scale

    changes = parse_changes("Bm9 | C#m7 | Dmaj7 | E13 | F#m7", "A major")
    line = carry(pair.lick, changes, "diatonic", source=pair.chord, source_key=changes.key)
    major = scale.MajorScale("A")
    for steps, placed in enumerate(changes.chords):
        for own, moved in zip(pair.lick.notes, under(line.lick, placed), strict=True):
            wanted = str(own.pitch.name)
            for _ in range(steps):
                wanted = major.nextPitch(wanted).name
            assert str(moved.pitch.name) == wanted


def test_diatonic_carrying_takes_the_scale_of_a_chord_outside_the_key(pair):
    """Over F#7b9 in A major the third is A#: F# phrygian dominant, common practice, no source."""
    changes = parse_changes("Bm9 | F#7b9 | Bm9", "A major")
    line = carry(pair.lick, changes, "diatonic", source=pair.chord, source_key=changes.key)
    names = {str(note.pitch.name) for note in under(line.lick, changes.chords[1])}
    assert "A#" in names
    assert "A" not in names
    assert line.choices[1].holds == "yes"


def test_triads_of_a_moved_line_are_named(pair):
    changes = parse_changes("Bm9 | Em9", "A major")
    line = carry(pair.lick, changes, "diatonic", source=pair.chord, source_key=changes.key)
    assert [str(t) for t in line.choices[0].triads] == ["D", "F#m"]
    assert [str(t) for t in line.choices[1].triads] == ["G#dim", "Bm"] or [
        str(t) for t in line.choices[1].triads
    ] == ["G", "Bm"]


def test_moving_by_the_root_is_the_same_shape_on_the_same_strings(pair):
    changes = parse_changes("Bm9 | Dm9 | Am9")
    line = moved_by_root(pair.lick, changes, pair.chord.root)
    for placed, move in zip(changes.chords, (0, 3, -2), strict=True):
        for own, moved in zip(pair.lick.notes, under(line, placed), strict=True):
            assert moved.position.string == own.position.string
            assert moved.position.fret == own.position.fret + move
            assert moved.pitch.midi == Guitar().midi_at(moved.position)


@pytest.mark.parametrize("way", ["idea", "exact", "diatonic"])
def test_a_carried_note_keeps_what_it_bears(pair, way):
    """A dead note stays a click, and turns into no sounding one."""
    borne = [Marks(dead=True), Marks(vibrato=True), PLAIN, Marks(palm_mute=True)]
    notes = tuple(replace(note, marks=borne[at % 4]) for at, note in enumerate(pair.lick.notes))
    lick = replace(pair.lick, notes=notes)
    changes = parse_changes("Bm9 | Em9", "A major")
    kept = {"source_key": changes.key} if way == "diatonic" else {}
    line = carry(lick, changes, way, source=pair.chord, triads=pair.triads, **kept).lick
    assert [note.marks for note in line.notes] == [note.marks for note in notes] * 2
