"""Which pairs and triples of triads imply a wanted chord over a bass?

The way back from :mod:`lickwright.theory.hearing.implied`: a group of triads is returned only where
the notes of its triads and the bass read, forward, as the wanted chord among the first
``FIRST_READINGS`` readings.

Ranked by how completely the group says the chord, then by the place of the chord among the
forward readings, how strongly it is heard, how few triads it takes, and how short the step from
each triad to the next is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise, permutations

from lickwright.errors import TheoryError
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.degree import degree_note, degree_semitones, stacked
from lickwright.theory.hearing import (
    TENSIONS,
    Heard,
    NoteLike,
    Reading,
    Sounding,
    hear,
    read_sounding,
    spelled_reading,
)
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName, mask_of, pitch_classes, rotate_mask
from lickwright.theory.scales import Scale
from lickwright.theory.spelling import spell, spell_root
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

#: The wanted chord must be among so many first readings of what sounds.
FIRST_READINGS = 3

#: Qualities in the order in which a set of notes takes its name: Gsus4 rather than Csus2.
_QUALITIES = (
    TriadQuality.MAJOR,
    TriadQuality.MINOR,
    TriadQuality.DIMINISHED,
    TriadQuality.AUGMENTED,
    TriadQuality.SUS4,
)
_TONES = {
    quality: Triad(NoteName("C"), quality).mask for quality in _QUALITIES
}  # relative to the root


@dataclass(frozen=True, slots=True)
class TriadGroup:
    """Two or three triads that imply the wanted chord.

    Parameters
    ----------
    triads : in the order of the smoothest joins, spelled for the chord (or the key).
    reading : how they read over the bass, as the wanted chord.
    place : of that reading among all readings of the notes, 1 = first.
    completeness : share of the wanted chord's tones that sound, 0 to 1; tones that players
        leave out of the chord count half.
    colours : for each triad the degrees it gives, over the chord's root.
    added : sounding degrees beyond the wanted chord.
    shared : notes that two neighbouring triads of the group have in common.
    step_semitones : the least motion from each triad to the next, all voices added up.
    """

    triads: tuple[Triad, ...]
    reading: Reading
    place: int
    completeness: float
    colours: tuple[tuple[str, ...], ...]
    added: tuple[str, ...]
    shared: tuple[NoteName, ...]
    step_semitones: int

    @property
    def without_root(self) -> bool:
        """Whether no triad of the group holds the chord's root."""
        return not any(triad.mask >> self.reading.root.pc & 1 for triad in self.triads)


def pairs_for(
    chord: Chord | str,
    over: NoteLike | None = None,
    key: Key | str | None = None,
    with_triad: Triad | str | None = None,
    rootless: bool = False,
    max_avoid: int | None = None,
    *,
    added_tones: int = 0,
) -> list[TriadGroup]:
    """All pairs and triples of triads that imply a chord over a bass, the best first.

    Parameters
    ----------
    chord : the wanted chord.
    over : the sounding bass; by default that of the chord.
    key : only triads inside this key, spelled by it.
    with_triad : only groups that hold this triad.
    rootless : only groups whose triads leave the chord's root to the bass (or to the ear).
    max_avoid : at most so many clashes in the reading; ``None`` for any number.
    added_tones : how many tensions beyond the chord's own a group may add.

    Returns
    -------
    list of TriadGroup
        Each with what it implies, how completely, and in what place.

    Raises
    ------
    TheoryError
        When the chord, bass, key or triad cannot be read.

    Examples
    --------
    >>> [" ".join(map(str, group.triads)) for group in pairs_for("Bm9", rootless=True)][:2]
    ['D F#m']
    """
    wanted = parse_chord(chord) if isinstance(chord, str) else chord
    bass = wanted.bass_note if over is None else over
    in_key = parse_key(key) if isinstance(key, str) else key
    if added_tones < 0 or (max_avoid is not None and max_avoid < 0):
        raise TheoryError(
            "a count of tones below nought", mend="Give 0 or more added tones or avoid notes"
        )
    ground = read_sounding(wanted.notes, bass)
    held = parse_triad(with_triad) if isinstance(with_triad, str) else with_triad
    allowed = 0xFFF if in_key is None else in_key.mask
    if added_tones == 0:
        allowed &= wanted.mask | 1 << ground.bass
    if rootless:
        allowed &= ~(1 << wanted.root.pc)
    search = _GroupSearch(wanted, ground.bass, added_tones)
    spelling = TriadSpelling(wanted, in_key, held)
    readings: dict[int, Reading] = {}
    groups = []
    for masks in _combinations(allowed, held):
        mask = mask_of_all(masks) | 1 << ground.bass
        found = search.match(mask)
        if found is None or (max_avoid is not None and len(found.heard.clashes) > max_avoid):
            continue
        if mask not in readings:
            sounding = Sounding(mask, ground.bass, ground.spellings)
            readings[mask] = spelled_reading(found.heard, sounding, in_key)
        groups.append(_group(masks, found, readings[mask], spelling))
    groups.sort(key=_rank)
    return groups


def _combinations(allowed: int, held: Triad | None) -> Iterator[tuple[int, ...]]:
    masks = [mask for mask in triad_sets() if not mask & ~allowed]
    if held is None:
        yield from combinations(masks, 2)
        yield from combinations(masks, 3)
    elif held.mask in masks:
        others = [mask for mask in masks if mask != held.mask]
        for count in (1, 2):
            yield from ((held.mask, *group) for group in combinations(others, count))


def mask_of_all(masks: Iterable[int]) -> int:
    """The notes of several masks together."""
    union = 0
    for mask in masks:
        union |= mask
    return union


def _group(
    masks: tuple[int, ...], found: _FoundGroup, reading: Reading, spelling: TriadSpelling
) -> TriadGroup:
    order, step = _smoothest(masks)
    degree_at = {note.pc: name for note, name in zip(reading.notes, reading.degrees, strict=True)}
    common = mask_of_all(first & second for first, second in pairwise(order))
    return TriadGroup(
        triads=tuple(spelling.triad(mask) for mask in order),
        reading=reading,
        place=found.place,
        completeness=found.completeness,
        colours=tuple(stacked(degree_at[pc] for pc in pitch_classes(mask)) for mask in order),
        added=tuple(degree_at[pc] for pc in pitch_classes(found.extra)),
        shared=tuple(note for note in reading.notes if common >> note.pc & 1),
        step_semitones=step,
    )


def _smoothest(masks: tuple[int, ...]) -> tuple[tuple[int, ...], int]:
    """The order of triads with the least motion from each to the next, and that motion."""
    if len(masks) == 2:
        return masks, step_between(*masks)
    first, second, third = masks
    orders = ((first, second, third), (second, first, third), (first, third, second))
    motions = [step_between(a, b) + step_between(b, c) for a, b, c in orders]
    least = min(range(3), key=motions.__getitem__)
    return orders[least], motions[least]


def _rank(group: TriadGroup) -> tuple[float, int, float, int, int, str]:
    return (
        -group.completeness,
        group.place,
        -group.reading.strength,
        len(group.triads),
        group.step_semitones,
        " ".join(map(str, group.triads)),
    )


@dataclass(frozen=True, slots=True)
class _FoundGroup:
    """The wanted chord among the readings of one set of notes."""

    heard: Heard
    place: int
    completeness: float
    extra: int  # mask of the sounding tones beyond the chord, C on bit 0


class _GroupSearch:
    """Which sets of notes read as the wanted chord; every set is asked once."""

    def __init__(self, wanted: Chord, bass: int, added_tones: int) -> None:
        self.wanted = wanted
        self.bass = bass
        self.added_tones = added_tones
        self.wanted_mask = wanted.mask | 1 << bass
        self._classes = {degree_semitones(name): _tone_class(name) for name in wanted.kind.degrees}
        optional = {degree_semitones(name) for name in wanted.kind.optional}
        self._weights = {at: 0.5 if at in optional else 1.0 for at in self._classes}
        self._needed = mask_of(at for at in self._classes if at and at not in optional)
        if wanted.upper is not None:
            self._needed = rotate_mask(wanted.mask, -wanted.root.pc) & ~1
        self._found: dict[int, _FoundGroup | None] = {}

    def match(self, mask: int) -> _FoundGroup | None:
        """How a set of notes (C on bit 0, the bass among them) reads as the chord, if it does."""
        if mask not in self._found:
            self._found[mask] = self._match(mask)
        return self._found[mask]

    def _match(self, mask: int) -> _FoundGroup | None:
        extra = mask & ~self.wanted_mask
        if extra.bit_count() > self.added_tones:
            return None
        over_root = rotate_mask(mask, -self.wanted.root.pc)
        if self._needed & ~over_root or not self._alterations_sound(over_root):
            return None
        ways = hear(rotate_mask(mask, -self.bass))[:FIRST_READINGS]
        for place, way in enumerate(ways, start=1):
            if way.beside:
                continue
            if (self.bass + way.root) % 12 == self.wanted.root.pc and self._is_wanted(way):
                total = sum(self._weights.values())
                sound = sum(self._weights[at] for at in self._weights if over_root >> at & 1)
                return _FoundGroup(way, place, sound / total, extra)
        return None

    def _is_wanted(self, way: Heard) -> bool:
        """Whether every tone has the part in the reading that it has in the wanted chord."""
        for at, name in enumerate(way.naming.by_semitones):
            if not name:
                continue
            part = self._classes.get(at)
            if part is None and name not in TENSIONS and self.wanted.upper is None:
                return False
            if part is not None and part != _tone_class(name):
                return False
        return True

    def _alterations_sound(self, over_root: int) -> bool:
        """An altered dominant wants one altered ninth and one altered fifth of the four."""
        if self.wanted.kind.suffix != "7alt":
            return True
        return bool(over_root & 0b1010) and bool(over_root & 0b101000000)


def _tone_class(name: str) -> str:
    """The part a tone has in a chord, where two names mean the same part."""
    return {"b5": "#11", "#5": "b13", "b6": "b13", "6": "13"}.get(name, name)


@cache
def triad_sets() -> tuple[int, ...]:
    """The 52 different sets of notes among the 72 triads, as masks, C on bit 0."""
    masks = (rotate_mask(_TONES[quality], root) for quality in _QUALITIES for root in range(12))
    return tuple(dict.fromkeys(masks))


@cache
def step_between(first: int, second: int) -> int:
    """The least motion in semitones from one triad to another, its three voices added up."""
    here, there = pitch_classes(first), pitch_classes(second)
    return min(
        sum(min((a - b) % 12, (b - a) % 12) for a, b in zip(here, order, strict=True))
        for order in permutations(there)
    )


class TriadSpelling:
    """Spells the triads of one search; every set of notes is spelled once.

    In a scale on the chord's root its flat and natural degrees name their triads: Dbm, not C#m,
    in C altered.
    """

    def __init__(
        self, wanted: Chord, key: Key | None, held: Triad | None, scale: Scale | None = None
    ) -> None:
        self._names = {note.pc: note for note in wanted.notes}
        plain = ["3" if name == "b4" else name for name in scale.degrees] if scale else []
        self._scale_roots = {
            note.pc: (note, "#" in name)
            for name in plain
            for note in (degree_note(wanted.root, name),)
        }
        self._key = key
        self._chord_root = wanted.root
        self._spelled = {} if held is None else {held.mask: held}

    def triad(self, mask: int) -> Triad:
        if mask not in self._spelled:
            self._spelled[mask] = self._spell(mask)
        return self._spelled[mask]

    def _spell(self, mask: int) -> Triad:
        # An augmented triad has three roots: the first above the chord's root names it.
        quality, root = next(
            (quality, (self._chord_root.pc + up) % 12)
            for quality in _QUALITIES
            for up in range(12)
            if rotate_mask(_TONES[quality], self._chord_root.pc + up) == mask
        )
        minor = quality in (TriadQuality.MINOR, TriadQuality.DIMINISHED)
        if self._key is not None:
            return Triad(spell(root, self._key), quality)
        name, sharp = self._scale_roots.get(root, (None, False))
        if name is not None and (not sharp or quality is TriadQuality.DIMINISHED):
            in_scale = Triad(name, quality)
            if all(abs(note.alter) < 2 for note in in_scale.notes):
                return in_scale
        usual = Triad(self._usual_root(root, minor), quality)
        own = Triad(self._names.get(root, usual.root), quality)
        # Over C7#9 the triad on D# is called Eb: a name of the chord's is kept where the triad's
        # other notes are spelled as in the chord too.
        return own if all(self._names.get(note.pc) == note for note in own.notes) else usual

    def _usual_root(self, root: int, minor: bool) -> NoteName:
        # F# and Gb are as hard to read as each other: the chord's own side of the circle decides.
        if root == 6 and not minor and self._chord_root.line_of_fifths <= 0:
            return NoteName("G", -1)
        return spell_root(root, minor=minor)
