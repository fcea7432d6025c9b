"""A line in every position: same pitches, reach in mm, strokes that can be played."""

from __future__ import annotations

from lickwright.lick.hands.finishing import finish
from lickwright.lick.hands.positions import in_positions
from lickwright.lick.notes import Technique
from lickwright.lick.phrase.composing import compose
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.tab.lick import lick_from_tab
from lickwright.neck.instrument import Guitar
from lickwright.neck.shapes.merged import find_merged
from lickwright.neck.shapes.other_places import elsewhere

GUITAR = Guitar()
SHAPE = find_merged("C Am", frets="5-8", strings="2-4")[0]
LICK = finish(compose([SHAPE], "up", "16ths", GUITAR), GUITAR)


def test_every_position_has_the_pitches_and_playable_strokes() -> None:
    found = in_positions(LICK.notes, GUITAR)
    assert [one.cost for one in found] == sorted(one.cost for one in found)
    assert {one.positions for one in found} == set(
        elsewhere([note.position for note in LICK.notes], GUITAR)
    )
    for one in found:
        assert [GUITAR.midi_at(p) for p in one.positions] == [n.pitch.midi for n in LICK.notes]
        assert not check_strokes(one.positions, one.strokes)
        mm = [GUITAR.finger_mm(place) for place in one.positions if place.fret]
        assert abs(one.reach_mm - (max(mm) - min(mm))) < 1e-6
    (here,) = [one for one in found if one.here]
    assert here.strokes == tuple(note.stroke for note in LICK.notes)
    assert here.frets == (5, 8)


def test_the_strokes_stay_where_a_pick_can_play_them() -> None:
    found = in_positions(LICK.notes, GUITAR, frets="9-12", strings="3-5")
    assert [one.same_strokes for one in found] == [True]
    assert any(not one.same_strokes for one in in_positions(LICK.notes, GUITAR))


def test_a_slur_across_strings_is_picked() -> None:
    tab = "\n".join(("e|-----|", "B|-----|", "G|-5h9-|", "D|-----|", "A|-----|", "E|-----|"))
    lick = finish(lick_from_tab(tab, "q", GUITAR), GUITAR)
    assert lick.notes[1].technique is Technique.HAMMER_ON
    for one in in_positions(lick.notes, GUITAR):
        same_string = one.positions[0].string == one.positions[1].string
        assert (one.strokes[1] is None) == same_string
