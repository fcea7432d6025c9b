"""All the ways to play a lick of merged arpeggios under one chord: other triads, the same layout.

For every piece the groups of triads that sound most clearly as the chord, in every place where
their tones take the piece's layout over the strings, all pieces on the same strings or moved to
other strings together.  Of each group the :data:`PLACES` nearest to the lick are kept, and of all
lines the :data:`LINES` that cost least before the pick is asked: the best way is the best of
those.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise, product

from lickwright.changes.idea.pieces import MergedIdea, Piece, PieceNote
from lickwright.changes.idea.triad_groups import Group, clearest_groups
from lickwright.changes.lines import (
    Candidate,
    ChordGround,
    HandPlaces,
    clarity_cost,
    clarity_of,
    new_strokes_cost,
    standing_of,
    stroke_book,
    turn_of,
)
from lickwright.neck import Guitar, Position
from lickwright.theory import NoteName, Triad, TriadQuality, mask_of

#: Places of one group that are tried on a set of strings, and lines that the pick is asked about.
PLACES, LINES = 3, 64
#: Lines of places that are priced for one set of strings.
MOST_LINES = 1_200
#: More triads than this in one line are not told apart.
MOST_TRIADS = 4


@dataclass(frozen=True, slots=True)
class MergedTask:
    """What one chord asks for.

    Parameters
    ----------
    ground : what any line over the chord goes by.
    sources : which notes of the lick are played, in order.
    scale_mask : pitch classes the chord's scale offers beside its own tones.
    pinned : the triads that the teacher has settled; empty where they are open.
    is_own_chord : whether the lick was made on this chord.
    keeps_strokes : whether strokes are turned round only where nothing else can be played.
    families : the kinds of triad that may be taken; any where empty.
    """

    ground: ChordGround
    idea: MergedIdea
    sources: tuple[int, ...]
    scale_mask: int
    pinned: Group = ()
    is_own_chord: bool = False
    keeps_strokes: bool = False
    families: tuple[TriadQuality, ...] = ()

    @property
    def played(self) -> tuple[int, ...]:
        """The pieces that are played, in order."""
        return tuple(dict.fromkeys(self.idea.notes[source].piece for source in self.sources))


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """A piece in a place: its triads, its rungs, and what that costs alone.

    Parameters
    ----------
    stretch : what it costs to reach wider than the lick or the hand likes.
    cost : that, and how far it lies from where the lick has it.
    mask : of its notes that are played.
    others : triads of another quality than the lick's in their place.
    is_new_figure : whether it is another figure to the left hand than the lick's.
    """

    triads: Group
    positions: tuple[Position, ...]
    midi: tuple[int, ...]
    stretch: int
    cost: int
    mask: int
    others: int
    is_new_figure: bool


def merged_candidates(task: MergedTask) -> list[Candidate]:
    """The lines that cost least, each with every place of the hand and its strokes."""
    priced: list[tuple[int, int, tuple[LaidPiece, ...]]] = []
    used = [string for piece in task.idea.pieces for string in piece.strings]
    first, last = task.ground.strings or (1, task.ground.guitar.string_count)
    plan = _plan(task)
    pieces = plan.pieces
    most = max(1, int(MOST_LINES ** (1 / len(pieces))))
    for shift in range(first - min(used), last - max(used) + 1):
        laid = [
            _laid(task, piece, rungs, shift)[:most]
            for piece, rungs in zip(pieces, plan.rungs, strict=True)
        ]
        for line in product(*laid):
            if (
                len(_triads_of(line)) <= MOST_TRIADS
                and _fits_pins(task, line)
                and task.ground.home.bounds.allow(_line(task, line)[1])
            ):
                priced.append((_cost(task, plan, line), len(priced), line))
    priced.sort()
    return [one for line in _kept(task, priced) for one in _candidates(task, plan, line)]


def _kept(
    task: MergedTask, priced: Sequence[tuple[int, int, tuple[LaidPiece, ...]]]
) -> list[tuple[LaidPiece, ...]]:
    """Of lines that begin and end at the same two places the cheapest, as many as are kept.

    How a line joins its neighbours hangs on its ends: among twins at both only one can be best.
    """
    kept: dict[tuple[Position, Position], tuple[LaidPiece, ...]] = {}
    for _, _, line in priced:
        places = _line(task, line)[0]
        kept.setdefault((places[0], places[-1]), line)
        if len(kept) == LINES:
            break
    return list(kept.values())


def _fits_pins(task: MergedTask, line: Sequence[LaidPiece]) -> bool:
    return not task.pinned or set(_triads_of(line)) == set(task.pinned)


def _triads_of(line: Sequence[LaidPiece]) -> Group:
    """The triads of a line, each once, in the order in which they come: its voices."""
    return tuple(dict.fromkeys(triad for piece in line for triad in piece.triads))


def _groups(task: MergedTask, piece: Piece) -> list[Group]:
    size = len(piece.voices)
    if task.pinned:
        if len(task.pinned) == len(task.idea.triads):
            return [tuple(task.pinned[voice] for voice in piece.voices)]
        return [_ordered(group, piece) for group in combinations(task.pinned, size)]
    # The pieces together hold what is required.
    bounds = replace(task.ground.home.bounds, required=0)
    found = clearest_groups(
        task.ground.chord,
        task.ground.key,
        task.scale_mask,
        size,
        task.ground.costs,
        bounds,
        task.families,
    )
    own = tuple(task.idea.triads[voice] for voice in piece.voices)
    groups: dict[int, Group] = {}
    for group in (own, *found) if task.is_own_chord else found:
        key = mask_of(note.pc for triad in group for note in triad.notes)
        groups.setdefault(key, own if {*group} == {*own} else _ordered(group, piece))
    return list(groups.values())


def _ordered(group: Sequence[Triad], piece: Piece) -> Group:
    """The triads in the order whose qualities are most like those of the piece."""
    left = list(group)
    ordered = []
    for quality in piece.qualities:
        taken = next((triad for triad in left if triad.quality is quality), left[0])
        left.remove(taken)
        ordered.append(taken)
    return tuple(ordered)


def _laid(task: MergedTask, piece: Piece, rungs: Sequence[int], shift: int) -> list[LaidPiece]:
    """The places of a piece on one set of strings, the cheapest first."""
    found: list[LaidPiece] = []
    for group in _groups(task, piece):
        places = _places_of(task, piece, rungs, group, shift)
        own = sorted(places, key=lambda laid: laid.cost)
        found += own[:PLACES]
    found.sort(key=lambda laid: laid.cost)
    return found


def _places_of(
    task: MergedTask, piece: Piece, rungs: Sequence[int], group: Group, shift: int
) -> Iterator[LaidPiece]:
    guitar = task.ground.guitar
    mask = 0
    for triad in group:
        mask |= triad.mask
    low, high = task.ground.frets or (0, guitar.last_fret)
    strings = [string + shift for string in piece.strings]
    opens = [guitar.midi_at(Position(string, 0)) for string in strings]
    reach = max(task.ground.hand.greatest_reach_mm, _spread_mm(guitar, piece.positions))
    at_home = [guitar.midi_at(place) for place in piece.positions]
    for fret in range(low, high + 1):
        midi = [opens[0] + fret]
        if not mask >> midi[0] % 12 & 1:
            continue
        for step in piece.steps:
            midi.append(_up(midi[-1], step, mask))
        frets = [key - own for key, own in zip(midi, opens, strict=True)]
        if min(frets) < low or max(frets) > high:
            continue
        if piece.is_whole and mask_of(midi) != mask:
            continue
        places = tuple(map(Position, strings, frets))
        if _spread_mm(guitar, places) > reach:
            continue
        wide = _stretch_cost(task, piece, places)
        away = _away_cost(task, piece, places, sum(midi) - sum(at_home))
        moves = {a.fret - b.fret for a, b in zip(places, piece.positions, strict=True)}
        yield LaidPiece(
            group,
            places,
            tuple(midi),
            wide,
            wide + away,
            mask_of(midi[rung] for rung in rungs),
            sum(t.quality is not q for t, q in zip(group, piece.qualities, strict=True)),
            len(moves) > 1,
        )


def _stretch_cost(task: MergedTask, piece: Piece, places: Sequence[Position]) -> int:
    """What it costs that a piece lies wider than is comfortable, and wider than in the lick."""
    free = max(
        task.ground.hand.comfortable_reach_mm, _spread_mm(task.ground.guitar, piece.positions)
    )
    return int(max(0.0, _spread_mm(task.ground.guitar, places) - free) * task.ground.costs.shape)


def _away_cost(task: MergedTask, piece: Piece, places: Sequence[Position], semitones: int) -> int:
    """How far a piece lies from where the lick has it, as it costs a whole line.

    Parameters
    ----------
    semitones : that it lies higher, all its rungs together.
    """
    tenths = HandPlaces(task.ground.guitar, task.ground.hand).tenths
    here = sum(tenths[place.fret] for place in places)
    away = abs(here - sum(tenths[place.fret] for place in piece.positions))
    costs, count = task.ground.costs, len(places)
    return int(abs(semitones) / count * costs.register + away / count * costs.place / 10)


def _spread_mm(guitar: Guitar, places: Sequence[Position]) -> float:
    """How far the fingers of some places stand apart along the neck."""
    stopped = [place for place in places if place.fret > 0]
    if not stopped:
        return 0.0
    along = [guitar.along(place) for place in stopped]
    return (max(along) - min(along)) * max(guitar.scale_mm[place.string - 1] for place in stopped)


def _up(midi: int, steps: int, mask: int) -> int:
    """The key so many tones of a mask above another."""
    while steps:
        midi += 1
        steps -= mask >> midi % 12 & 1
    return midi


def _line(task: MergedTask, line: Sequence[LaidPiece]) -> tuple[list[Position], list[int]]:
    """The place and the MIDI key of every note."""
    by_piece = dict(zip(task.played, line, strict=True))
    notes = [task.idea.notes[source] for source in task.sources]
    places = [by_piece[note.piece].positions[note.rung] for note in notes]
    return places, [by_piece[note.piece].midi[note.rung] for note in notes]


@dataclass(frozen=True, slots=True)
class MergedPlan:
    """What is the same for every line of a task.

    Parameters
    ----------
    pieces : that are played, in order; a line has one laid piece for each.
    rungs : of each, those that are played.
    own : the lick's triads of each.
    crossings : from which rung of which to which rung of which the line goes over.
    """

    pieces: tuple[Piece, ...]
    rungs: tuple[tuple[int, ...], ...]
    own: tuple[frozenset[Triad], ...]
    crossings: tuple[tuple[PieceNote, PieceNote], ...]


def _plan(task: MergedTask) -> MergedPlan:
    played = task.played
    notes = [
        PieceNote(played.index(note.piece), note.rung)
        for note in (task.idea.notes[source] for source in task.sources)
    ]
    pieces = tuple(task.idea.pieces[number] for number in played)
    return MergedPlan(
        pieces,
        tuple(
            tuple(sorted({note.rung for note in notes if note.piece == number}))
            for number in range(len(pieces))
        ),
        tuple(frozenset(task.idea.triads[voice] for voice in piece.voices) for piece in pieces),
        tuple((a, b) for a, b in pairwise(notes) if a.piece != b.piece),
    )


def _terms(task: MergedTask, plan: MergedPlan, line: Sequence[LaidPiece]) -> dict[str, int]:
    """The named costs of a line without those of hand and pick."""
    costs = task.ground.costs
    leap = same = 0
    for a, b in plan.crossings:
        rise = abs(line[b.piece].midi[b.rung] - line[a.piece].midi[a.rung])
        leap += max(rise - 2, 0) * costs.leap
        same += costs.same_note if rise == 0 else 0
    groups = [frozenset(laid.triads) for laid in line]
    others = sum(laid.others for laid in line)
    # Pieces of other pairs stay of other pairs, and pieces of one pair of one.
    for one, other in combinations(range(len(line)), 2):
        others += (plan.own[one] == plan.own[other]) != (groups[one] == groups[other])
    changed = task.is_own_chord and tuple(groups) != plan.own
    mask = 0
    for laid in line:
        mask |= laid.mask
    figures = sum(laid.is_new_figure for laid in line)
    return {
        "clarity": clarity_cost(standing_of(mask, task.ground.chord), costs),
        "triads": others * costs.other_quality + (costs.other_triads if changed else 0),
        "shape": sum(laid.stretch for laid in line),
        "leap": leap,
        "same note": same,
        "new figure": costs.new_figure * figures // len(line),
    }


def _cost(task: MergedTask, plan: MergedPlan, line: Sequence[LaidPiece]) -> int:
    """What a line costs before hand and pick are asked."""
    away = sum(laid.cost - laid.stretch for laid in line) // len(line)
    return sum(_terms(task, plan, line).values()) + away


def _belonging(
    task: MergedTask, line: Sequence[LaidPiece], triads: Group
) -> tuple[tuple[tuple[int, ...], ...], tuple[NoteName, ...]]:
    """For every note: which of the line's triads hold it, and how it is spelled."""
    found: dict[PieceNote, tuple[tuple[int, ...], NoteName]] = {}
    for number, laid in zip(task.played, line, strict=True):
        for rung, key in enumerate(laid.midi):
            own = [
                (triads.index(triad), name)
                for triad in laid.triads
                for name in triad.notes
                if name.pc == key % 12
            ]
            members = tuple(sorted(index for index, _ in own))
            found[PieceNote(number, rung)] = members, own[0][1]
    notes = [found[task.idea.notes[source]] for source in task.sources]
    return tuple(members for members, _ in notes), tuple(name for _, name in notes)


def _candidates(
    task: MergedTask, plan: MergedPlan, line: Sequence[LaidPiece]
) -> Iterator[Candidate]:
    costs = task.ground.costs
    places, midi = _line(task, line)
    positions = tuple(places)
    triads = _triads_of(line)
    clarity = clarity_of(mask_of(midi), task.ground.chord, task.ground.key)
    terms = _terms(task, plan, line)
    members, names = _belonging(task, line, triads)
    lines = stroke_book(task.ground.picking).lines(positions)
    if task.keeps_strokes:
        lines = tuple(one for one in lines if not one.changed) or lines
    hand_places = HandPlaces(task.ground.guitar, task.ground.hand)
    for travel, hand in hand_places.ways(positions):
        home = task.ground.home.terms(positions, midi, travel, hand_places.tenths, costs)
        for picked in lines:
            anew = new_strokes_cost(picked, costs)
            yield Candidate(
                positions=positions,
                triads=triads,
                voices=tuple(own[0] for own in members),
                names=names,
                hand=hand,
                picked=picked,
                clarity=clarity,
                terms=(
                    *home.items(),
                    *terms.items(),
                    ("strokes", picked.points * costs.stroke + anew),
                ),
                members=members,
                turn=turn_of(midi),
            )
