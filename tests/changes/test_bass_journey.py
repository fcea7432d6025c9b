"""Bass lines under a shape that stays, against exhaustive search."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.changes.bass_journey import Stop, bass_journeys, move_cost, stop_cost
from lickwright.changes.progression.chart import parse_changes
from lickwright.errors import TheoryError
from lickwright.theory.finding.basses import over_every_bass

NOTES = st.sampled_from(["Bb D F A", "C E G B D", "F# A C", "E G B D F#", "Ab C Eb", "D F A C E"])


@settings(max_examples=12, deadline=None)
@given(NOTES, st.integers(2, 4), st.sampled_from([None, "C major", "G dorian"]))
def test_the_best_journeys_are_those_of_exhaustive_search(notes, stops, key):
    rows = [Stop(bass, found[0]) for bass, found in over_every_bass(notes, key).items()]
    costs = []
    for line in itertools.permutations(rows, stops):
        cost = sum(stop_cost(s, last=at == stops - 1) for at, s in enumerate(line))
        costs.append(cost + sum(move_cost(a, b) for a, b in itertools.pairwise(line)))
    found = bass_journeys(notes, stops, key, count=6)
    assert [journey.cost for journey in found] == sorted(costs)[:6]


def test_the_same_five_notes_are_a_new_chord_over_each_bass():
    """Common practice, no source: E minor and B minor together over E, G and C."""
    found = bass_journeys("E G B D F#", 3, start="E", end="C", count=30)
    lines = [[stop.reading.symbol for stop in journey.stops] for journey in found]
    assert ["Em9", "Gmaj13", "Cmaj9#11"] in lines


def test_a_round_comes_home_and_prints_as_changes():
    journey = bass_journeys("C E G B", 4, "C major", start="A", end="A", count=1)[0]
    basses = [str(stop.bass) for stop in journey.stops]
    assert basses[0] == basses[-1] == "A"
    assert len(set(basses)) == 3
    assert len(parse_changes(str(journey)).chords) == 4
    assert len(journey.why) == 4


@pytest.mark.parametrize(
    ("stops", "options"),
    [(1, {}), (13, {}), (3, {"count": 0}), (2, {"start": "C", "end": "C"}), (3, {"start": "H"})],
)
def test_journeys_that_cannot_be_are_refused(stops, options):
    with pytest.raises(TheoryError) as caught:
        bass_journeys("C E G", stops, **options)
    assert caught.value.mend
