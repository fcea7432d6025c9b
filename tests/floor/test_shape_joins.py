"""Which shapes join under the hand (limits and weights: common practice, no source)."""

from __future__ import annotations

import pytest

from lickwright.errors import NeckError
from lickwright.neck import Guitar, Position, hand_profile
from lickwright.neck.shapes.joins import JOIN_COSTS, ShapePair, find_joined_shapes
from lickwright.neck.shapes.search import find_shapes

GUITAR = Guitar()
ENDS = {"up": (0, -1), "down": (-1, 0)}
WAYS = ("up-down", "down-up", "up-up", "down-down")


def pairs(limit: int | None = None, **more: object) -> list[ShapePair]:
    found = find_joined_shapes("D", "Em", frets="3-11", strings="1-4", **more)  # type: ignore[arg-type]
    return list(found)[:limit]


def ends(pair: ShapePair, way: str) -> tuple[Position, Position]:
    """Where a line leaves the first shape and lands on the second, worked out from the words:
    upwards it goes from the lowest note to the highest."""
    first, second = way.split("-")
    leave = pair.first.positions[-1 if first == "up" else 0]
    land = pair.second.positions[0 if second == "up" else -1]
    return leave, land


def step(pair: ShapePair, way: str) -> int:
    leave, land = ends(pair, way)
    return GUITAR.midi_at(land) - GUITAR.midi_at(leave)


def roughness(pair: ShapePair, way: str) -> float:
    """What the contour adds to the rank, from the words of the costs."""
    leave, land = ends(pair, way)
    size = abs(step(pair, way))
    return (
        JOIN_COSTS["semitone beyond a whole step"] * max(0, size - 2)
        + (JOIN_COSTS["the same note twice"] if size == 0 else 0)
        + (JOIN_COSTS["same string"] if leave.string == land.string else 0)
        + (JOIN_COSTS["line goes on in one direction"] if way in WAYS[2:] else 0)
    )


def joins_well(pair: ShapePair, way: str) -> bool:
    leave, land = ends(pair, way)
    return abs(step(pair, way)) <= 3 and abs(leave.string - land.string) <= 1


def test_every_pair_joins_by_a_minor_third_at_most_on_neighbouring_strings() -> None:
    found = pairs()
    assert found
    for pair in found:
        assert joins_well(pair, pair.contour)
        assert (pair.leave, pair.land) == ends(pair, pair.contour)
        assert pair.step == step(pair, pair.contour)
    assert {abs(pair.step) for pair in found} == {1, 2, 3}  # D and Em have no tone in common
    sharing = find_joined_shapes("D", "Bm", frets="3-11", strings="1-4")
    assert {abs(pair.step) for pair in sharing} >= {0, 3}
    assert {abs(pair.leave.string - pair.land.string) for pair in found} == {0, 1}


def test_each_pair_takes_its_smoothest_contour() -> None:
    for pair in pairs():
        best = min(roughness(pair, way) for way in WAYS if joins_well(pair, way))
        assert roughness(pair, pair.contour) == best


def test_no_pair_that_joins_within_half_a_reach_is_left_out() -> None:
    found = {(pair.first.positions, pair.second.positions): pair for pair in pairs()}
    reach = hand_profile("medium").comfortable_reach_mm
    assert all(pair.travel_mm <= reach / 2 + 0.05 for pair in found.values())
    for first in find_shapes("D", frets="3-11", strings="1-4"):
        for second in find_shapes("Em", frets="3-11", strings="1-4"):
            pair = found.get((first.positions, second.positions))
            trial = ShapePair(first, second, "up-down", 0, 0.0, 0.0)
            if not any(joins_well(trial, way) for way in WAYS):
                assert pair is None


def test_the_smoothest_come_first_and_the_limit_takes_them() -> None:
    found = pairs()
    assert [pair.cost for pair in found] == sorted(pair.cost for pair in found)
    few = find_joined_shapes("D", "Em", frets="3-11", strings="1-4", limit=3)
    assert [pair.cost for pair in few] == [pair.cost for pair in found[:3]]
    assert len(few) == 3
    assert [pair.cost for pair in few[0:2]] == [pair.cost for pair in found[:2]]


def test_a_contour_can_be_kept_to() -> None:
    for way in WAYS:
        found = pairs(contour=way)
        assert found
        assert {pair.contour for pair in found} == {way}
        line = found[0].line
        count = len(found[0].first.positions)
        heard = [GUITAR.midi_at(place) for place in line]
        for part, word in zip((heard[:count], heard[count:]), way.split("-"), strict=True):
            assert part == sorted(part, reverse=word == "down")
    with pytest.raises(NeckError, match="no contour 'up-dwn'") as slip:
        find_joined_shapes("D", "Em", contour="up-dwn")
    assert "up-down" in (slip.value.mend or "")


def test_a_shape_is_not_joined_to_itself() -> None:
    found = list(find_joined_shapes("D", "D", frets="3-11", strings="1-4"))
    assert found
    assert all(pair.first.positions != pair.second.positions for pair in found)


def test_shared_places_are_named_and_make_a_pair_smoother() -> None:
    found = list(find_joined_shapes("D", "Bm", frets="3-11", strings="1-4"))  # D and F# in common
    sharing = [pair for pair in found if pair.shared]
    assert sharing
    assert len(sharing) < len(found)
    for pair in found[:200]:
        assert set(pair.shared) == set(pair.first.positions) & set(pair.second.positions)
        told = [reason for reason in pair.reasons if reason.startswith("shared tone")]
        assert bool(told) == bool(pair.shared)
    with_one = sharing[0]
    assert f"shared tone: both take {', '.join(map(str, with_one.shared))}" in with_one.reasons


def test_the_cost_is_travel_and_contour_and_what_is_not_shared() -> None:
    """The ranks of the two shapes are the same in all pairs of them: compared over the pairs of
    one first and one second shape they fall out."""
    by_shapes: dict[tuple[object, object], float] = {}
    for way in WAYS:
        for pair in pairs(contour=way):
            rest = pair.cost - roughness(pair, way) - pair.travel_mm
            rest -= 0.0 if pair.shared else JOIN_COSTS["no shared place"]
            key = (pair.first.positions, pair.second.positions)
            assert by_shapes.setdefault(key, rest) == pytest.approx(rest, abs=0.01)
    ranks: dict[object, set[float]] = {}
    for (first, second), rest in by_shapes.items():
        ranks.setdefault((first, second), set()).add(round(rest, 1))
    assert all(len(of_one) == 1 for of_one in ranks.values())
    assert min(by_shapes.values()) >= -0.06


def test_the_judgement_what_is_rougher() -> None:
    costs = JOIN_COSTS
    assert costs["mm of hand travel"] == 1.0  # the unit of all others
    assert costs["the same note twice"] == max(costs.values())
    assert costs["same string"] > costs["semitone beyond a whole step"]
    assert costs["line goes on in one direction"] < costs["no shared place"] < costs["same string"]
    # Never so much as the travel that the limit lets pass.
    assert max(costs.values()) < hand_profile("medium").comfortable_reach_mm / 2


def test_reasons_are_said() -> None:
    many = [
        pair
        for first, second in (("D", "Em"), ("D", "Bm"), ("Em", "D"), ("Bm", "D"), ("C", "Eb"))
        for pair in find_joined_shapes(first, second, frets="3-11", strings="1-4", limit=100)
    ]
    words = {reason for pair in many for reason in pair.reasons}
    for wanted in (
        "the hand stays where it is",
        "half step up at the join",
        "whole step down at the join",
        "minor third up at the join",
        "the same note again at the join",
        "same string at the join",
        "neighbouring string at the join",
        "both lie within frets 3-11",
    ):
        assert wanted in words, wanted
    travelled = next(pair for pair in pairs() if pair.travel_mm > 0)
    assert travelled.reasons[0] == f"the hand travels {travelled.travel_mm:.0f} mm"
    for pair in pairs():
        assert ("same string at the join" in pair.reasons) == (
            pair.leave.string == pair.land.string
        )
        if pair.step:
            assert ("up" if pair.step > 0 else "down") in pair.reasons[1]
    anywhere = find_joined_shapes("D", "Em", strings="1-3", limit=1)[0]
    assert not any("frets" in reason for reason in anywhere.reasons)


def test_a_wider_hand_joins_more() -> None:
    few, many = (len(pairs(hand=hand)) for hand in ("small", "large"))
    assert few < many
