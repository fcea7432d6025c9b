"""Which whole phrases may be made of two triads over a chord? A ranked, varied handful.

Every combination of the lists below is judged (:mod:`lickwright.lick.phrase.judging`): the order
of the triads, where they lie, contour, joining, approach, rhythm, length and landing.  So the first
is the best of all that is searched.  The others are chosen one by one: the better the line, and the
less it shares with those chosen already, the sooner.

An idea is an example of a lesson: what is written there makes the very same notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from lickwright.changes.idea import clearest_groups
from lickwright.changes.lines import CarryCosts, standing_of
from lickwright.changes.progression import offered_scales
from lickwright.errors import LickwrightError, TheoryError
from lickwright.lesson.compile.places import chained, windows_of
from lickwright.lick.phrase import (
    Joining,
    Landing,
    beat_counts,
    guide_tones,
    landing_counts,
    landing_place,
    landing_tones,
    line_counts,
    on_beats,
    parse_approach,
    parse_cells,
    parse_contour,
    parse_landing,
    phrase_path,
    phrase_value,
    places_of,
    points_of,
)
from lickwright.lick.rhythm import Meter, lay_out, parse_rhythm
from lickwright.neck import Guitar, Position
from lickwright.theory import Chord, Key, Triad, mask_of

#: What is searched.
WINDOWS = ((2, 7), (5, 10), (8, 13), (11, 16))
CONTOURS = ("up down", "down up", "up", "down", "up in threes, down")
CELLS = ("", "1", "3 + 3 + 2")
APPROACHES = ("", "half step below")
RHYTHMS = ("8ths", "16ths", "8th triplets", "e s s", "e. s")
LANDINGS = ("3", "7", "9")
#: Bars and the beat of the last one on which the line lands: half a bar, or one, and then it rests.
LENGTHS = ((1, 3), (2, 1))
#: What it costs to land on a tone that tells less (common practice).
LANDING_POINTS = {"3": 0.0, "7": 0.0, "9": 0.5}
#: Pairs that are tried where none is given.
PAIRS = 2
#: A point of clarity that the pair lacks of 100.
_UNCLEAR = 0.03
#: Fewer notes before the landing are no phrase, and each that lacks of so many costs.
_FEWEST, _ENOUGH, _SHORT = 4, 8, 0.3
#: How much sharing a feature with an idea that was chosen already costs the next.
_SHARED = 1.2


@dataclass(frozen=True, slots=True)
class PhraseIdea:
    """One idea.

    Parameters
    ----------
    triads : in the order in which they are played.
    entry : the keys of an example, as the lesson file writes them, without its name.
    points : the fewer, the better.
    why : what speaks for it, in words.
    """

    triads: tuple[Triad, ...]
    entry: dict[str, Any]
    points: float
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Found:
    """A phrase that was judged: its points, and the index of each feature in what is searched."""

    points: float
    features: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Path:
    """A way through the triads, whatever its rhythm."""

    group: int
    window: int
    contour: int
    cells: int
    approach: int
    places: tuple[Position, ...]
    midi: tuple[int, ...]
    voices: tuple[int | None, ...]

    def own(self, count: int) -> frozenset[Position]:
        """The places of the first notes that are tones of the triads."""
        played = zip(self.places[:count], self.voices, strict=False)
        return frozenset(place for place, voice in played if voice is not None)


def phrase_ideas(
    chord: Chord,
    key: Key | None,
    *,
    triads: Sequence[Triad] = (),
    frets: tuple[int, int] | None = None,
    guitar: Guitar | None = None,
    hand: str = "medium",
    count: int = 6,
) -> list[PhraseIdea]:
    """The best phrases over a chord that differ from each other, the best of all first.

    Parameters
    ----------
    chord : over which they sound.
    key : spells, and gives the steps of a scale; that of the chord's own scale where not given.
    triads : the two that are played; the clearest for the chord where not given.
    frets : where on the neck; everywhere where not given.
    count : how many.

    Raises
    ------
    TheoryError
        When there are not two triads, or no phrase can be made.
    """
    if count < 1:
        raise TheoryError(f"{count} ideas were asked for", mend="Ask for 1 or more")
    if triads and len(triads) != 2:
        raise TheoryError(f"{len(triads)} triads", mend="Give two, or a chord alone")
    guitar, meter = guitar or Guitar(), Meter()
    scales = offered_scales(chord, key)
    scale = scales[0].mask if scales else chord.mask
    groups = _groups(chord, key, scale, triads)
    windows = WINDOWS if frets is None else (frets,)
    paths = list(_paths(groups, windows, guitar, hand, scale))
    found = sorted(
        _judged(paths, groups, chord, guitar, meter),
        key=lambda one: (one.points, one.features),
    )
    if not found:
        raise TheoryError(
            f"no phrase of these triads lies there over {chord}",
            mend="Widen the frets, or choose other triads",
        )
    chosen = _varied(found, count)
    return [
        _written(one, paths[one.features[0]], groups, windows, chord, guitar, meter)
        for one in chosen
    ]


def _groups(
    chord: Chord, key: Key | None, scale: int, triads: Sequence[Triad]
) -> list[tuple[Triad, ...]]:
    """The pairs in both orders."""
    pairs = [tuple(triads)] if triads else []
    if not pairs:
        pairs = list(clearest_groups(chord, key, scale, 2, CarryCosts())[:PAIRS])
    return [order for pair in pairs for order in (pair, pair[::-1])]


def _paths(
    groups: Sequence[tuple[Triad, ...]],
    windows: Sequence[tuple[int, int]],
    guitar: Guitar,
    hand: str,
    scale: int,
) -> Iterator[_Path]:
    for at, group in enumerate(groups):
        for window, frets in enumerate(windows):
            for number, contour in enumerate(map(parse_contour, CONTOURS)):
                spans = windows_of([frets], len(group), guitar)
                try:
                    shapes = chained(group, guitar, spans, None, contour, hand)
                except LickwrightError:
                    continue  # these triads do not lie or join there: the next place may do
                places = [places_of(shape) for shape in shapes]
                for cell, cells in enumerate(CELLS):
                    for lead, approach in enumerate(APPROACHES):
                        joining = Joining(
                            contour,
                            parse_cells(cells) if cells else (),
                            parse_approach(approach) if approach else None,
                            scale,
                        )
                        if cells == "1" and approach:
                            continue  # single notes leave no room for approach notes
                        try:
                            path = phrase_path(joining, places, guitar, 3)
                        except LickwrightError:
                            continue  # a shape too small for its contour
                        own = tuple(note.position for note in path)
                        midi = tuple(map(guitar.midi_at, own))
                        voices = tuple(None if n.approach else n.shape for n in path)
                        yield _Path(at, window, number, cell, lead, own, midi, voices)


def _judged(
    paths: Sequence[_Path],
    groups: Sequence[tuple[Triad, ...]],
    chord: Chord,
    guitar: Guitar,
    meter: Meter,
) -> Iterator[_Found]:
    """Every phrase that there is, with its points."""
    guides = mask_of(name.pc for _, name in guide_tones(chord))
    tones = [landing_tones(Landing(tone), chord) for tone in LANDINGS]
    masks = [mask_of(name.pc for triad in group for name in triad.notes) for group in groups]
    unclear = [_UNCLEAR * 100 * (1 - standing_of(mask, chord).strength) for mask in masks]
    times = []
    for rhythm in RHYTHMS:
        for bars, beat in LENGTHS:
            moment = (bars - 1) * meter.bar + meter.beat_starts[beat - 1]
            laid = lay_out(parse_rhythm(rhythm), 40, meter=meter)
            cut = any(t.onset < moment < t.onset + t.length for t in laid.tuplets)
            times.append(() if cut else tuple(o for o, _ in laid.spans if o < moment))
    beats = [on_beats(onsets, meter) for onsets in times]
    lines: dict[tuple[int, int], float] = {}
    lands: dict[tuple[Position, frozenset[Position], int], Position | None] = {}
    for number, path in enumerate(paths):
        for time, onsets in enumerate(times):
            count = len(onsets)
            if not _FEWEST <= count <= len(path.midi) or not {0, 1} <= set(path.voices[:count]):
                continue
            midi = path.midi[:count]
            if (number, count) not in lines:
                lines[number, count] = points_of(line_counts(midi, path.places[:count]))
            points = lines[number, count] + unclear[path.group]
            points += points_of(beat_counts(midi, beats[time], chord.mask, guides))
            points += _SHORT * max(0, _ENOUGH - count)
            own = path.own(count)
            for tone, mask in enumerate(tones):
                where = path.places[count - 1], own, mask
                if where not in lands:
                    lands[where] = landing_place(*where, guitar)
                place = lands[where]
                if place is not None and mask & chord.mask:  # a sus chord has no third to land on
                    landed = points_of(landing_counts(midi, guitar.midi_at(place)))
                    extra = LANDING_POINTS[LANDINGS[tone]]
                    yield _Found(
                        round(points + landed + extra, 3),
                        (number, path.group, path.window, path.contour, path.cells,
                         path.approach, time, tone),
                    )  # fmt: skip


def _varied(found: Sequence[_Found], count: int) -> list[_Found]:
    """The best, then those that are good and share little with the ones chosen."""
    chosen = [found[0]]
    left = list(found[1 : 1 + 4_000])
    while left and len(chosen) < count:

        def cost(one: _Found) -> tuple[float, tuple[int, ...]]:
            shared = max(
                sum(a == b for a, b in zip(one.features[1:], other.features[1:], strict=True))
                for other in chosen
            )
            return one.points + _SHARED * shared, one.features

        best = min(left, key=cost)
        chosen.append(best)
        left.remove(best)
    return chosen


def _written(
    one: _Found,
    path: _Path,
    groups: Sequence[tuple[Triad, ...]],
    windows: Sequence[tuple[int, int]],
    chord: Chord,
    guitar: Guitar,
    meter: Meter,
) -> PhraseIdea:
    """An idea as an example of a lesson, with what speaks for it."""
    rhythm, (bars, beat) = (
        RHYTHMS[one.features[6] // len(LENGTHS)],
        LENGTHS[one.features[6] % len(LENGTHS)],
    )
    tone = LANDINGS[one.features[7]]
    landing = parse_landing(f"{tone} on {beat} for 2")
    moment = (bars - 1) * meter.bar + meter.beat_starts[beat - 1]
    onsets: tuple[Fraction, ...] = tuple(
        onset for onset, _ in lay_out(parse_rhythm(rhythm), 40, meter=meter).spans if onset < moment
    )
    places = path.places[: len(onsets)]
    mask = landing_tones(landing, chord)
    place = landing_place(places[-1], path.own(len(places)), mask, guitar)
    assert place is not None, "only phrases that land are judged"
    group, frets = groups[path.group], windows[path.window]
    value = phrase_value(
        places,
        onsets,
        place,
        guitar,
        meter,
        chord=chord.mask,
        guides=mask_of(name.pc for _, name in guide_tones(chord)),
    )
    degree = (
        next(d for d, n in zip(chord.kind.degrees, chord.tones, strict=True) if mask >> n.pc & 1)
        if mask & chord.mask
        else tone
    )
    entry: dict[str, Any] = {
        "triads": [str(triad) for triad in group],
        "over": str(chord.bass_note),
        "implies": str(chord),
        "frets": f"{frets[0]}-{frets[1]}",
        "contour": CONTOURS[path.contour],
        "rhythm": rhythm,
        "bars": bars,
        "landing": str(landing),
    }
    if CELLS[path.cells]:
        entry["cells"] = CELLS[path.cells]
    if APPROACHES[path.approach]:
        entry["approach"] = APPROACHES[path.approach]
    why = (f"it ends on the {degree} of {chord}, held for two beats", *value.why)
    return PhraseIdea(group, entry, one.points, why)
