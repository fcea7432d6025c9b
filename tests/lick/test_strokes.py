"""Pick strokes: known answers, laws, and optimality against two independent solvers."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.costs import StrokeCosts
from lickwright.lick.picking.strokes import assign_strokes, legato_techniques, stroke_costs
from lickwright.lick.picking.text import mirror_strokes, parse_strokes, print_strokes
from lickwright.neck.instrument import Position

F = Fraction
D, U = Stroke.DOWN, Stroke.UP
PICK, HAMMER, PULL = Technique.PICK, Technique.HAMMER_ON, Technique.PULL_OFF


def on_strings(*strings: int) -> list[tuple[int, int]]:
    return [(string, 10) for string in strings]


def letters(strokes: list[Stroke | None]) -> str:
    return "".join("-" if stroke is None else stroke.value for stroke in strokes)


# Known answers: common practice, no source.


@pytest.mark.parametrize(
    ("strings", "strokes"),
    [
        # A four-string sweep lick goes up on its first note, sweeps three downs, and turns with
        # an up on the top string; coming back it is mirrored: down, three ups, down.
        ((4, 4, 3, 2, 1), "UDDDU"),
        ((1, 1, 2, 3, 4), "DUUUD"),
        ((4, 4, 3, 2, 1, 1, 1, 2, 3, 4), "UDDDUDUUUD"),
        # A five-string arpeggio up and down, turned by outside strokes at both ends.
        ((5, 4, 3, 2, 1, 2, 3, 4, 5), "DDDDUUUUD"),
        # Two notes on the top string turn the sweep there.
        ((4, 3, 2, 1, 1, 2, 3, 4), "DDDDUUUD"),
        # Three notes a string, ascending and descending: economy picking keeps one direction.
        ((6, 6, 6, 5, 5, 5, 4, 4, 4), "DUDDUDDUD"),
        ((1, 1, 1, 2, 2, 2, 3, 3, 3), "UDUUDUUDU"),
        # One string: alternate.
        ((2, 2, 2, 2), "DUDU"),
    ],
)
def test_sweep_policy_gives_the_usual_strokes(strings: tuple[int, ...], strokes: str) -> None:
    assert letters(assign_strokes(on_strings(*strings))) == strokes


def test_strict_alternation_starts_outside_where_that_is_cheaper() -> None:
    # Down on the bass side and up on the treble side attack each pair of strings from without.
    assert letters(assign_strokes(on_strings(4, 3, 4, 3), "alternate")) == "DUDU"
    assert letters(assign_strokes(on_strings(3, 4, 3, 4), "alternate")) == "UDUD"


def test_down_policy_is_all_down_and_legato_picks_each_string_once() -> None:
    assert letters(assign_strokes(on_strings(5, 4, 2, 2), "down")) == "DDDD"
    line = [(4, 10), (4, 12), (4, 14), (3, 10), (3, 12), (3, 11), (3, 11)]
    assert legato_techniques(line) == [PICK, HAMMER, HAMMER, PICK, HAMMER, PULL, PICK]
    strokes = assign_strokes(line, "legato")
    assert [stroke is not None for stroke in strokes] == [1, 0, 0, 1, 0, 0, 1]
    assert check_strokes(line, strokes, legato_techniques(line)) == []


def test_positions_and_pairs_and_policy_names_are_equal() -> None:
    pairs = on_strings(4, 3, 2, 1)
    places = [Position(*pair) for pair in pairs]
    assert assign_strokes(pairs) == assign_strokes(places, "economy")
    assert assign_strokes([]) == []


def test_the_beat_asks_for_a_downstroke() -> None:
    onsets = [Fraction(n, 2) for n in range(1, 6)]  # begins off the beat
    assert letters(assign_strokes(on_strings(3, 3, 3, 3, 3), onsets=onsets)) == "UDUDU"
    assert letters(assign_strokes(on_strings(3, 3, 3, 3, 3))) == "DUDUD"


def test_beats_of_different_length_are_known() -> None:
    # From the last eighth of one 7/8 bar (2+2+3) over the next bar's first beat.
    onsets = [F(n, 2) for n in range(6, 10)]
    strokes = assign_strokes(on_strings(3, 3, 3, 3), onsets=onsets, beat=(F(1), F(1), F(3, 2)))
    assert letters(strokes) == "UDUD"


def test_a_quarter_note_of_time_frees_the_hand() -> None:
    onsets = [Fraction(0), Fraction(1), Fraction(2), Fraction(3)]
    assert letters(assign_strokes(on_strings(1, 3, 5, 2), onsets=onsets)) == "DDDD"


def test_pinned_strokes_stay_and_the_rest_is_solved_around_them() -> None:
    line = on_strings(4, 3, 2, 1)
    for note, stroke in product(range(4), (D, U)):
        assert assign_strokes(line, pins={note: stroke})[note] is stroke


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"policy": "swep"}, "Did you mean 'sweep'?"),
        ({"policy": "down", "pins": {1: U}}, "note 2 is given an upstroke"),
        ({"policy": "alternate", "pins": {0: D, 1: D}}, "cannot keep the strokes"),
        ({"pins": {9: D}}, "note 10"),
        ({"techniques": [PICK, HAMMER, PICK], "pins": {1: D}}, "note 2 is not picked"),
        ({"techniques": [PICK]}, "1 techniques for 3 notes"),
        ({"onsets": [Fraction(0)]}, "1 onsets for 3 notes"),
    ],
)
def test_bad_requests_say_which_note(arguments: dict[str, object], words: str) -> None:
    with pytest.raises(HandError, match=r".") as raised:
        assign_strokes(on_strings(3, 3, 3), **arguments)  # type: ignore[arg-type]
    assert words in str(raised.value)


def test_strokes_and_techniques_may_be_given_as_words() -> None:
    line = on_strings(4, 3, 3)
    assert [problem.note for problem in check_strokes(line, "DDD")] == [2]
    assert [problem.note for problem in check_strokes(line, ["D", "D", "U"])] == []
    assert letters(assign_strokes(line, techniques=["pick", "pick", "hammer-on"])) == "DU-"  # type: ignore[list-item]
    with pytest.raises(HandError, match="note 2 has the stroke 'X'"):
        check_strokes(line, ["D", "X", "U"])
    with pytest.raises(HandError, match="note 2 has the technique 'pluck'"):
        assign_strokes(line, techniques=["pick", "pluck", "pick"])  # type: ignore[list-item]


@pytest.mark.parametrize("place", [(0, 5), (2, -1), (1, 2, 3), ("a", 1), 7, "4/1"])
def test_a_note_that_is_none_is_named(place: object) -> None:
    with pytest.raises(HandError, match="note 2"):
        assign_strokes([(1, 1), place])  # type: ignore[list-item]


# Optimality.  The costs are stated again here, in another form, so that the solvers below share
# no code with what they check.


def step_points(
    one: int, first: Stroke, swept: bool, two: int, second: Stroke, joined: bool
) -> tuple[int, bool]:
    """Points of one step of an economy line, and whether it is a sweep."""
    costs = StrokeCosts()
    up_the_strings = one - two  # towards the treble
    if first == second:
        step = up_the_strings if second == D else -up_the_strings
        if step == 1:
            return (costs.sweep_start if joined and not swept else 0), joined
        return (costs.broken if joined else costs.recover), False
    points = costs.turn if swept and joined else 0
    if up_the_strings != 0:
        from_without = (first == D) == (up_the_strings > 0)
        change = costs.outside if from_without else costs.inside
        points += change if joined else change // 2
        points += costs.skip * (abs(up_the_strings) - 1)
    return points, False


def phrase(seed: int, longest: int) -> tuple[list[int], list[bool], list[Fraction]]:
    """Strings, whether each note is picked, and onsets."""
    draw = random.Random(seed)
    count = draw.randint(2, longest)
    strings = [draw.randint(1, 6)]
    for _ in range(count - 1):
        near = strings[-1] + draw.choice((-1, -1, -1, 0, 0, 1, 1, 1, -2, 2))
        strings.append(min(6, max(1, near)))
    picked = [True] + [strings[i] != strings[i - 1] or draw.random() < 0.7 for i in range(1, count)]
    onsets = [Fraction(draw.randint(0, 3), 4)]
    for _ in range(count - 1):
        onsets.append(onsets[-1] + draw.choice((1, 1, 1, 1, 2, 4)) * Fraction(1, 4))
    return strings, picked, onsets


def picks_of(picked: list[bool], onsets: list[Fraction]) -> list[tuple[int, bool, bool]]:
    """Per picked note: index, whether it follows at once, whether the hand is free before it."""
    found: list[tuple[int, bool, bool]] = []
    for index, sounds in enumerate(picked):
        if sounds:
            free = not found or onsets[index] - onsets[index - 1] >= 1
            found.append((index, index > 0 and picked[index - 1], free))
    return found


def brute_force(strings: list[int], picked: list[bool], onsets: list[Fraction]) -> int:
    costs = StrokeCosts()
    picks = picks_of(picked, onsets)
    best = 10**9
    for strokes in product((D, U), repeat=len(picks)):
        total, swept = 0, False
        for at, (index, joined, free) in enumerate(picks):
            if strokes[at] == U and onsets[index].denominator == 1:
                total += costs.up_on_beat
            if free:
                total += costs.sweep_end if swept else 0
                swept = False
            else:
                before = picks[at - 1][0]
                points, swept = step_points(
                    strings[before], strokes[at - 1], swept, strings[index], strokes[at], joined
                )
                total += points
        total += costs.sweep_end if swept else 0
        best = min(best, total)
    return best


def cp_sat(strings: list[int], picked: list[bool], onsets: list[Fraction]) -> int:
    costs = StrokeCosts()
    picks = picks_of(picked, onsets)
    model = cp_model.CpModel()
    up = [model.new_bool_var(f"up{at}") for at in range(len(picks))]
    swept = [model.new_bool_var(f"swept{at}") for at in range(len(picks))]
    points = [model.new_int_var(0, 3000, f"points{at}") for at in range(len(picks))]
    for at, (index, joined, free) in enumerate(picks):
        beat = costs.up_on_beat if onsets[index].denominator == 1 else 0
        rows: list[tuple[int, ...]] = []
        for now in (D, U):
            here = beat if now == U else 0
            for before, came_swept in product((D, U), (False, True)):
                came = (int(before == U), int(came_swept))
                if free:
                    end = costs.sweep_end if came_swept and at else 0
                    rows.append((*came, int(now == U), 0, here + end))
                    continue
                extra, sweeps = step_points(
                    strings[picks[at - 1][0]], before, came_swept, strings[index], now, joined
                )
                rows.append((*came, int(now == U), int(sweeps), here + extra))
        before_at = max(at - 1, 0)
        if at == 0:
            model.add_allowed_assignments(
                [up[0], swept[0], points[0]], sorted({row[2:] for row in rows})
            )
        else:
            model.add_allowed_assignments(
                [up[before_at], swept[before_at], up[at], swept[at], points[at]], rows
            )
    model.minimize(sum(points) + costs.sweep_end * swept[-1])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def test_strokes_are_optimal_against_brute_force_and_cp_sat_on_520_phrases() -> None:
    for seed in range(520):
        strings, picked, onsets = phrase(seed, longest=8)
        line = on_strings(*strings)
        techniques = [PICK if sounds else HAMMER for sounds in picked]
        strokes = assign_strokes(line, techniques=techniques, onsets=onsets)
        terms = stroke_costs(line, strokes, techniques=techniques, onsets=onsets)
        ours = sum(term.points for note in terms for term in note)
        assert ours == brute_force(strings, picked, onsets), seed
        assert ours == cp_sat(strings, picked, onsets), seed


# Laws.

lines = st.lists(st.integers(1, 6), min_size=1, max_size=24)


@given(lines, st.sampled_from(["sweep", "alternate"]))
def test_mirror_law(strings: list[int], policy: str) -> None:
    """Strings exchanged and the first stroke turned: the same strokes with down and up swapped."""
    mirrored = [7 - string for string in strings]
    strokes = assign_strokes(on_strings(*strings), policy, pins={0: D})
    answer = assign_strokes(on_strings(*mirrored), policy, pins={0: U})
    assert answer == mirror_strokes(strokes)


@given(lines)
def test_a_mirrored_line_costs_the_same_with_nothing_pinned(strings: list[int]) -> None:
    def cost(line: list[tuple[int, int]]) -> int:
        return sum(t.points for note in stroke_costs(line, assign_strokes(line)) for t in note)

    assert cost(on_strings(*strings)) == cost(on_strings(*(7 - s for s in strings)))


@given(lines, st.data())
def test_a_pin_never_lowers_the_cost(strings: list[int], data: st.DataObject) -> None:
    line = on_strings(*strings)
    note = data.draw(st.integers(0, len(strings) - 1))
    stroke = data.draw(st.sampled_from([D, U]))
    free, pinned = assign_strokes(line), assign_strokes(line, pins={note: stroke})
    costs = [sum(t.points for n in stroke_costs(line, s) for t in n) for s in (free, pinned)]
    assert costs[0] <= costs[1]


@given(lines, st.sampled_from(["sweep", "alternate", "legato", "down"]))
def test_what_we_assign_is_never_wrong(strings: list[int], policy: str) -> None:
    line = [(string, 5 + at % 4) for at, string in enumerate(strings)]
    techniques = legato_techniques(line) if policy == "legato" else [PICK] * len(line)
    strokes = assign_strokes(line, policy)
    assert check_strokes(line, strokes, techniques, policy=policy) == []


@given(st.lists(st.sampled_from([D, U, None]), min_size=1, max_size=40))
def test_printed_strokes_read_back(strokes: list[Stroke | None]) -> None:
    assert parse_strokes(print_strokes(strokes)) == strokes


# Patterns.


@pytest.mark.parametrize(
    ("text", "count", "strokes"),
    [
        ("DDD U  UUU D", None, "DDDUUUUD"),
        ("DDD U mirrored", None, "DDDUUUUD"),
        ("du", 5, "DUDUD"),
        ("D-- U--", None, "D--U--"),
        ("(DD U) x2 D", None, "DDUDDUD"),
        ("D x4 U", None, "DDDDU"),
        ("DDD U mirrored", 10, "DDDUUUUDDD"),
    ],
)
def test_patterns_repeat_and_mirror(text: str, count: int | None, strokes: str) -> None:
    assert letters(parse_strokes(text, count)) == strokes


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("DDX U", "'X' at place 3"),
        ("", "empty"),
        ("(DD", "bracket open"),
        ("DD)", "never opened"),
        ("mirrored DD", "'mirrored' before their end"),
        ("x3", "repeat nothing"),
        ("D x999 x2", "repeat nothing"),
    ],
)
def test_bad_patterns_say_what_is_wrong(text: str, words: str) -> None:
    with pytest.raises(HandError) as raised:
        parse_strokes(text)
    assert words in str(raised.value)


def test_a_pattern_longer_than_the_line_is_refused() -> None:
    with pytest.raises(HandError, match="4 notes, but there are 3"):
        parse_strokes("DDDU", 3)


@settings(max_examples=30)
@given(st.integers(1, 4))
def test_nested_repeats_cannot_eat_the_machine(depth: int) -> None:
    text = "(" * depth + "D" + " x999)" * depth
    if 999**depth <= 4096:
        assert len(parse_strokes(text)) == 999
    else:
        with pytest.raises(HandError, match="longer than"):
            parse_strokes(text)
