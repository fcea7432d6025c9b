"""Pick strokes: known answers, laws, and optimality against two independent solvers."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from lickwright.errors import HandError, RhythmError
from lickwright.lick.fingering.figures import Repeat
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.phrase.composing import compose
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.costs import StrokeCosts
from lickwright.lick.picking.slurs import legato_techniques
from lickwright.lick.picking.strokes import assign_strokes, stroke_costs
from lickwright.lick.picking.text import mirror_strokes, parse_strokes, print_strokes
from lickwright.neck.instrument import Position
from lickwright.neck.shapes.joins import find_joined_shapes

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
        # A four-string sweep lick goes up on its first note and runs out in downs; coming back it
        # is mirrored.  Where the line goes on, the top note turns.
        ((4, 4, 3, 2, 1), "UDDDD"),
        ((1, 1, 2, 3, 4), "DUUUU"),
        ((4, 4, 3, 2, 1, 1, 1, 2, 3, 4), "UDDDUDUUUU"),
        # A five-string arpeggio up and down: the top note has the stroke that comes next.
        ((5, 4, 3, 2, 1, 2, 3, 4, 5), "DDDDUUUUU"),
        # Two notes on the top string turn the sweep there.
        ((4, 3, 2, 1, 1, 2, 3, 4), "DDDDUUUU"),
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


@pytest.mark.parametrize("tempo", [0.0, -1.0, float("nan")])
def test_a_tempo_is_above_nothing(tempo: float) -> None:
    with pytest.raises(RhythmError, match="Give a tempo above 0"):
        assign_strokes(on_strings(3, 3), onsets=[F(0), F(1, 4)], tempo_bpm=tempo)


def test_strokes_and_techniques_may_be_given_as_words() -> None:
    line = on_strings(4, 3, 3)
    assert [problem.note for problem in check_strokes(line, "DDD")] == [2]
    assert [problem.note for problem in check_strokes(line, ["D", "D", "U"])] == []
    assert letters(assign_strokes(line, techniques=["pick", "pick", "hammer-on"])) == "DD-"  # type: ignore[list-item]
    assert letters(assign_strokes(on_strings(3, 3), "alternate", start="U")) == "UD"  # type: ignore[arg-type]
    with pytest.raises(HandError, match="has the stroke 'X'"):
        assign_strokes(line, start="X")  # type: ignore[arg-type]
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


class Plain:
    """The points of an economy line in sixteenths, a stroke after the two before it."""

    def __init__(self, strings: list[int], picked: list[bool], onsets: list[Fraction]) -> None:
        self.costs = StrokeCosts()
        self.picks = [at for at, sounds in enumerate(picked) if sounds]
        self.strings = [strings[at] for at in self.picks]
        fine = {on // 1 for on in onsets if on % 1 in (F(1, 4), F(3, 4))}
        down = [on % 1 == 0 or (on % 1 == F(1, 2) and on // 1 in fine) for on in onsets]
        self.hand = [D if down[at] else U for at in self.picks]
        self.beat = [onsets[at] % 1 == 0 for at in self.picks]
        self.free = [k == 0 or onsets[i] - onsets[i - 1] >= 1 for k, i in enumerate(self.picks)]
        self.joined = [
            k > 0 and picked[i - 1] and not self.free[k] for k, i in enumerate(self.picks)
        ]

    def way(self, k: int) -> int:
        """Towards the treble (1) or the bass (-1) in one step to a neighbouring string, else 0."""
        if not 0 < k < len(self.picks) or not self.joined[k]:
            return 0
        step = self.strings[k - 1] - self.strings[k]
        return step if abs(step) == 1 else 0

    def sweeps(self, k: int, before: Stroke, now: Stroke) -> bool:
        return before == now and self.way(k) == (1 if now == D else -1)

    def points(self, k: int, two_before: Stroke, before: Stroke, now: Stroke) -> int:
        costs = self.costs
        total = 0
        if now != self.hand[k]:
            total += costs.off_beat if self.beat[k] else costs.off_swing
            total += costs.begin_up if self.beat[k] and self.free[k] else 0
        if self.free[k]:
            return total
        was_swept = k > 1 and self.sweeps(k - 1, two_before, before)
        speed = 1 if self.joined[k] else 2  # a slur between leaves twice the time
        step = self.strings[k - 1] - self.strings[k]
        if before == now:
            if step == (1 if now == D else -1):
                return total + (costs.sweep_start if self.joined[k] and not was_swept else 0)
            if self.joined[k] and self.hand[k - 1] != self.hand[k]:
                return total + costs.broken
            return total + costs.recover // speed + costs.skip * abs(step) // speed
        total += costs.turn if was_swept and self.joined[k] else 0
        if step:
            change = costs.outside if (before == D) == (step > 0) else costs.inside
            total += change // speed + costs.skip * (abs(step) - 1) // speed
            through = self.way(k) in (self.way(k - 1), self.way(k + 1)) and self.way(k) != 0
            goes_on = k + 1 < len(self.picks) and not self.free[k + 1]
            turns = self.way(k + 1) != self.way(k) and goes_on
            total += costs.unswept if through and not turns else 0
        return total

    def total(self, strokes: tuple[Stroke, ...]) -> int:
        wide = (D, D, *strokes)
        return sum(self.points(k, *wide[k : k + 3]) for k in range(len(strokes)))


def brute_force(plain: Plain) -> int:
    return min(plain.total(strokes) for strokes in product((D, U), repeat=len(plain.picks)))


def cp_sat(plain: Plain) -> int:
    model = cp_model.CpModel()
    up = [model.new_bool_var(f"up{at}") for at in range(len(plain.picks))]
    points = [model.new_int_var(0, 3000, f"points{at}") for at in range(len(plain.picks))]
    for k in range(len(plain.picks)):
        back = [up[k - j] for j in (2, 1, 0) if k - j >= 0]
        rows = []
        for strokes in product((D, U), repeat=len(back)):
            wide = ((D, D, *strokes))[-3:]
            rows.append((*(int(stroke == U) for stroke in strokes), plain.points(k, *wide)))
        model.add_allowed_assignments([*back, points[k]], rows)
    model.minimize(sum(points))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def test_strokes_are_optimal_against_brute_force_and_cp_sat_on_520_phrases() -> None:
    for seed in range(520):
        strings, picked, onsets = phrase(seed, longest=8)
        line = on_strings(*strings)
        techniques = [PICK if sounds else HAMMER for sounds in picked]
        strokes = assign_strokes(line, techniques=techniques, onsets=onsets, repeats=())
        terms = stroke_costs(line, strokes, techniques=techniques, onsets=onsets)
        ours = sum(term.points for note in terms for term in note)
        plain = Plain(strings, picked, onsets)
        assert ours == brute_force(plain), seed
        assert ours == cp_sat(plain), seed


def test_strokes_that_keep_their_figures_are_optimal_on_300_lines() -> None:
    """Exhaustively, among all strokes in which each repetition has those of the first time."""
    kept = 0
    for seed in range(300):
        draw = random.Random(seed)
        figure = [draw.randint(1, 4)]
        while len(figure) < draw.randint(3, 5):
            figure.append(min(6, max(1, figure[-1] + draw.choice((-1, -1, 0, 1, 1, 2)))))
        lead = [draw.randint(1, 6) for _ in range(draw.randint(0, 2))]
        strings = [*lead, *figure, *figure, *figure[: draw.randint(0, 3)]]
        length, first = len(figure), len(lead)
        onsets = [F(at, 4) for at in range(len(strings))]
        again = Repeat(first + length, len(strings) - first - length, first, "again")
        line = on_strings(*strings)
        ours = assign_strokes(line, onsets=onsets, repeats=[again])
        if len(set(figure)) == 1 or strings[first:] == sorted(set(strings[first:])):
            continue
        plain = Plain(strings, [True] * len(strings), onsets)
        alike = [
            strokes
            for strokes in product((D, U), repeat=len(strings))
            if strokes[first + length :] == strokes[first:-length]
        ]
        best = min(map(plain.total, alike))
        if best < plain.costs.broken:
            kept += 1
            assert tuple(ours) in alike, seed
            assert plain.total(tuple(ours)) == best, seed  # type: ignore[arg-type]
    assert kept > 200


def test_every_repetition_of_joined_pairs_has_the_same_strokes() -> None:
    draw = random.Random(16)
    contours = ("up down", "up-down up-down", "down up", "up up", "down down", "up-down down-up")
    free_agrees = 0
    for first, second in (("C", "Am"), ("D", "F#m"), ("G", "Bb"), ("Em", "F"), ("Ab", "Cm")):
        pairs = find_joined_shapes(first, second)
        for _ in range(60):
            pair = pairs[draw.randrange(min(len(pairs), 300))]
            rhythm = draw.choice(("16ths", "8th triplets", "quintuplets"))
            lick = compose([pair.first, pair.second], draw.choice(contours), rhythm, bars=3)
            line = [note.position for note in lick.notes]
            length = next(
                lag for lag in range(1, len(line)) if line[lag:] == line[: len(line) - lag]
            )
            onsets = [note.onset for note in lick.notes]
            found = assign_strokes(line, onsets=onsets, tempo_bpm=100)
            assert found[length:] == found[:-length]
            assert check_strokes(line, found, onsets=onsets) == []
            free = assign_strokes(line, onsets=onsets, tempo_bpm=100, repeats=())
            free_agrees += free[length:] == free[:-length]
    assert free_agrees < 300  # without the constraint they do not


def test_a_figure_that_no_pick_plays_twice_alike_takes_turns() -> None:
    # Three notes that begin and end on one string, with a string between: common practice.
    cell = [(4, 7), (2, 8), (4, 9)]
    assert letters(assign_strokes(cell * 2)) == "DUDUDU"


def test_a_pinned_stroke_binds_every_repetition_but_not_one_with_its_own() -> None:
    cell = [(3, 9), (2, 10), (1, 8), (2, 10)]
    assert letters(assign_strokes(cell * 3)) == "DDUU" * 3
    assert letters(assign_strokes(cell * 3, pins={6: D})) == "DDDU" * 3
    both = assign_strokes(cell * 3, pins={2: D, 6: U})
    assert (both[2], both[6]) == (D, U)


# Strict alternate strokes hang on the beat: common practice, no source.


@pytest.mark.parametrize(
    ("onsets", "strokes"),
    [
        ((0, F(1, 2), F(3, 4), 1, F(3, 2), F(7, 4)), "DDUDDU"),
        ((0, F(1, 4), F(3, 4), 1, F(5, 4), F(7, 4)), "DUUDUU"),
        ((F(1, 2), 1, F(3, 2), 2), "UDUD"),
        ((0, 1, F(3, 2), 3), "DDUD"),
        ((0, F(1, 3), F(2, 3), 1, F(4, 3), F(5, 3), 2), "DUDUDUD"),
        ((0, F(2, 3), 1, F(5, 3)), "DUDU"),  # swung eighths
        ((0, F(2, 3), F(4, 3), 2, F(8, 3), F(10, 3)), "DUDUDU"),  # quarter triplets
        ((0, F(1, 3), F(2, 3), 2), "DUDD"),  # after a rest the beat has its downstroke back
    ],
)
def test_strict_strokes_hang_on_the_beat(onsets: tuple[Fraction, ...], strokes: str) -> None:
    line, times = on_strings(*[3] * len(onsets)), [F(onset) for onset in onsets]
    found = assign_strokes(line, "alternate", onsets=times)
    assert letters(found) == strokes
    assert check_strokes(line, found, onsets=times, policy="alternate") == []
    asked = assign_strokes(line, "alternate", onsets=times, start=U)
    assert letters(asked) == letters(found if found[0] is U else mirror_strokes(found))


def test_a_figure_of_odd_number_takes_turns_under_strict_strokes() -> None:
    line = [(3, 9), (2, 10), (1, 8), (1, 12), (2, 10)] * 2
    strokes = assign_strokes(line, "alternate", onsets=[F(at, 4) for at in range(10)])
    assert strokes[5:] == mirror_strokes(strokes[:5])


def test_tempo_decides_whether_a_change_of_string_is_swept() -> None:
    line = [(string, fret) for string in (6, 5, 4) for fret in (5, 7, 8)]
    onsets = [F(at, 4) for at in range(9)]
    at = {
        bpm: letters(assign_strokes(line, onsets=onsets, tempo_bpm=bpm, repeats=()))
        for bpm in (50, 160)
    }
    assert at == {50: "DUDUDUDUD", 160: "DUDDUDDUD"}


def test_a_pick_that_leaves_on_one_stroke_is_not_trapped() -> None:
    pairs = [(string, fret) for string in (6, 5, 4) for fret in (5, 8)]
    onsets = [F(at, 4) for at in range(6)]
    for policy in ("alternate", "sweep"):
        for escape, strokes in (("up", "DUDUDU"), ("down", "UDUDUD")):
            found = assign_strokes(pairs, policy, onsets=onsets, escape=escape)
            assert letters(found) == strokes, (policy, escape)
    with pytest.raises(HandError, match="Did you mean 'down'"):
        assign_strokes(pairs, escape="dwn")


def test_a_muted_riff_begins_down() -> None:
    riff = [(6, 0), (6, 0), (5, 2), (4, 2)]
    onsets = [F(at, 4) for at in range(4)]
    assert letters(assign_strokes(riff, onsets=onsets)) == "UDDD"
    assert letters(assign_strokes(riff, onsets=onsets, muted=range(4)))[0] == "D"


# Laws.

lines = st.lists(st.integers(1, 6), min_size=1, max_size=24)


@given(lines, st.sampled_from(["sweep", "alternate"]))
def test_mirror_law(strings: list[int], policy: str) -> None:
    """Strings exchanged and the first stroke turned: the same strokes with down and up swapped."""
    mirrored = [7 - string for string in strings]
    strokes = assign_strokes(on_strings(*strings), policy, pins={0: D}, repeats=())
    answer = assign_strokes(on_strings(*mirrored), policy, pins={0: U}, repeats=())
    assert answer == mirror_strokes(strokes)


@given(lines)
def test_a_mirrored_line_costs_the_same_with_nothing_pinned(strings: list[int]) -> None:
    def cost(line: list[tuple[int, int]]) -> int:
        strokes = assign_strokes(line, repeats=())
        return sum(t.points for note in stroke_costs(line, strokes) for t in note)

    assert cost(on_strings(*strings)) == cost(on_strings(*(7 - s for s in strings)))


@given(lines, st.data())
def test_a_pin_never_lowers_the_cost(strings: list[int], data: st.DataObject) -> None:
    line = on_strings(*strings)
    note = data.draw(st.integers(0, len(strings) - 1))
    stroke = data.draw(st.sampled_from([D, U]))
    free = assign_strokes(line, repeats=())
    pinned = assign_strokes(line, pins={note: stroke}, repeats=())
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
