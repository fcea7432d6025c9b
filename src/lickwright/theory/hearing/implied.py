"""What chord do these notes imply over this bass?

    >>> [reading.symbol for reading in implied_chords("G Bb D F", over="C")][:2]
    ['C9sus4', 'Bb6/C']

A rank, not a verdict: the same notes are another chord over another bass, and over one bass there
may be several ways to hear them.  Every reading accounts for every note that sounds, shows what
its name says and does not sound, and explains its strength part by part.

Masks are read here once (:mod:`~lickwright.theory.hearing.sounding`), ranked relative to the bass
(:mod:`~lickwright.theory.hearing.strength`) and spelled at the very end.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from lickwright.theory.chord import Chord
from lickwright.theory.degree import (
    PLAIN_DEGREES,
    as_tension,
    degree_between,
    degree_note,
    degree_semitones,
)
from lickwright.theory.hearing.naming import TENSIONS
from lickwright.theory.hearing.other_symbols import other_symbols, polychord_of
from lickwright.theory.hearing.sounding import NoteLike, Notes, Sounding, read_sounding
from lickwright.theory.hearing.strength import Heard, HeardTerm, hear
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName
from lickwright.theory.spelling import spell_root

_GUIDES = frozenset({"b3", "3", "b7", "7", "bb7"})
_FOREIGN_DEGREES = frozenset({*PLAIN_DEGREES, "#9", "b5", "#5", "6"})


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to hear some notes over a bass.

    Parameters
    ----------
    symbol : the chord symbol in house style; it parses back.  ``""`` where no common name exists.
    root, bass : spelled.
    chord : what the symbol says, ``None`` where there is none.
    notes : what sounds, the bass first, then up from it, spelled by degree from the root; only a
        bass outside the chord keeps its own name where its letter would be a strange degree.
    degrees : for each of ``notes`` its degree over the root.
    missing : degrees that the symbol says and that do not sound; ``"1"`` is an absent root.
    tensions : the sounding degrees above the seventh.
    guide_tones : the third and the seventh, where they sound.
    clashes : tensions the chord cannot carry, such as ``"11 against 3"``.
    root_sounds : ``False`` for a rootless reading.
    diatonic : whether every note belongs to the key; ``None`` where no key was given.
    strength : how surely it is heard, 0 to 1.
    why : the parts of the strength, in points out of 100.
    named : ``False`` where no common name exists; the degrees then stand over the bass.
    also : other ways a player might write it: a slash chord, a polychord, a plainer enharmonic.
    beside : sounding degrees that the symbol does not hold, as in C7 with B (the 7) beside it.
    """

    symbol: str
    root: NoteName
    bass: NoteName
    chord: Chord | None
    notes: tuple[NoteName, ...]
    degrees: tuple[str, ...]
    missing: tuple[str, ...]
    tensions: tuple[str, ...]
    guide_tones: tuple[str, ...]
    clashes: tuple[str, ...]
    root_sounds: bool
    diatonic: bool | None
    strength: float
    why: tuple[HeardTerm, ...]
    named: bool = True
    also: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()

    @property
    def mask(self) -> int:
        """12-bit mask of what sounds, C on bit 0."""
        mask = 0
        for note in self.notes:
            mask |= 1 << note.pc
        return mask


def implied_chords(notes: Notes, over: NoteLike, key: Key | str | None = None) -> list[Reading]:
    """Every way to hear some notes over a bass, the surest first; there is always one.

    Parameters
    ----------
    notes : text such as ``"F A C"``, or an iterable of note names, pitch classes and triads.
    over : the sounding bass; it joins the notes.
    key : spells, and marks the readings that stay inside it; it does not change the rank.

    Returns
    -------
    list of Reading
        Where no common name exists, a single reading with ``named`` false and its degrees.

    Raises
    ------
    TheoryError
        When a note or the key cannot be read, or there are no notes.

    Examples
    --------
    >>> [reading.symbol for reading in implied_chords("D F# A C#", over="B")][:2]
    ['Bm9', 'Dmaj7/B']
    """
    return list(
        readings_of(read_sounding(notes, over), parse_key(key) if isinstance(key, str) else key)
    )


@lru_cache(maxsize=1024)
def readings_of(sounding: Sounding, key: Key | None = None) -> tuple[Reading, ...]:
    """As :func:`implied_chords`, for notes that are read already.

    Parameters
    ----------
    sounding : what sounds, as :func:`read_sounding` reads it.
    key : spells, and marks the readings that stay inside it.

    Returns
    -------
    tuple of Reading
        The surest first; there is always one.

    Examples
    --------
    >>> readings_of(read_sounding("F A C", "D"))[0].symbol
    'Dm7'
    """
    heard = hear(sounding.over_bass)
    if not heard:
        return (_nameless(sounding, key),)
    return tuple(spelled_reading(way, sounding, key) for way in heard)


def spelled_reading(way: Heard, sounding: Sounding, key: Key | None = None) -> Reading:
    """One heard way, spelled.

    Parameters
    ----------
    way : one of :func:`hear`.
    sounding : what sounds; its spelling is kept where it can be.
    key : spells, and marks what stays inside it.

    Returns
    -------
    Reading
        With note names for pitch classes.

    Examples
    --------
    >>> sounding = read_sounding("E G", "C")
    >>> spelled_reading(hear(sounding.mask)[0], sounding).symbol
    'C'
    """
    naming = way.naming
    chord, bass_degree = spelled_chord(way, sounding, key)
    root, bass = chord.root, chord.bass_note
    sounding_degrees = [(at, name) for at, name in enumerate(naming.by_semitones) if name]
    if way.foreign:
        sounding_degrees.append((-way.root % 12, bass_degree))
    sounding_degrees += [(degree_semitones(name), name) for name in way.beside]
    sounding_degrees.sort(key=lambda pair: (pair[0] + way.root) % 12)
    degrees = tuple(name for _, name in sounding_degrees)
    return Reading(
        symbol=str(chord),
        root=root,
        bass=bass,
        chord=chord,
        notes=(bass, *(degree_note(root, name) for name in degrees[1:])),
        degrees=degrees,
        missing=naming.missing,
        tensions=naming.tensions,
        guide_tones=tuple(name for name in naming.degrees if name in _GUIDES),
        clashes=way.clashes,
        root_sounds=bool(naming.by_semitones[0]),
        diatonic=_diatonic(sounding, key),
        strength=way.points / 100,
        why=way.terms,
        also=other_symbols(chord, degrees),
        beside=way.beside,
    )


def spelled_chord(way: Heard, sounding: Sounding, key: Key | None = None) -> tuple[Chord, str]:
    """The chord that a heard way is called, and the degree of its bass over its root."""
    root = _root_name(way, sounding, key)
    if way.foreign:
        bass = sounding.bass_name(key)
        return Chord(root, way.naming.kind, bass), _foreign_degree(root, bass)
    bass = _readable_bass(degree_note(root, way.bass_degree), sounding, key)
    return Chord(root, way.naming.kind, bass), way.bass_degree


def _readable_bass(bass: NoteName, sounding: Sounding, key: Key | None) -> NoteName:
    """A natural bass under its natural name: F, not the E# of F#m(maj7), unless that was typed."""
    if abs(bass.alter) < 2 and str(bass) not in ("E#", "B#", "Fb", "Cb"):
        return bass
    typed = {note for triad in sounding.triads for note in triad.notes}
    in_key = key is not None and bass in key.notes
    if bass in typed or in_key or sounding.spellings[bass.pc] == bass:
        return bass
    return sounding.bass_name(key)


def _nameless(sounding: Sounding, key: Key | None) -> Reading:
    bass = sounding.bass_name(key)
    over_bass = sounding.over_bass
    degrees = tuple(PLAIN_DEGREES[at] for at in range(12) if over_bass >> at & 1)
    polychord = polychord_of(sounding.triads, bass)
    return Reading(
        symbol="",
        root=bass,
        bass=bass,
        chord=None,
        notes=tuple(degree_note(bass, name) for name in degrees),
        degrees=degrees,
        missing=(),
        tensions=tuple(name for name in degrees if name in TENSIONS),
        guide_tones=tuple(name for name in degrees if name in _GUIDES),
        clashes=(),
        root_sounds=True,
        diatonic=_diatonic(sounding, key),
        strength=0.0,
        why=(HeardTerm("no common name", 0.0, "no chord in use holds all of these notes"),),
        named=False,
        also=(polychord,) if polychord else (),
    )


def _diatonic(sounding: Sounding, key: Key | None) -> bool | None:
    return None if key is None else not sounding.mask & ~key.mask


def _root_name(way: Heard, sounding: Sounding, key: Key | None) -> NoteName:
    """The key's name, or the caller's, or the usual one.

    A root that the caller did not choose as the bass gives up its spelling where that would write
    the chord with double accidentals and the usual name does not.
    """
    pc = (sounding.bass + way.root) % 12
    usual = spell_root(pc, minor="b3" in way.naming.kind.degrees)
    given = sounding.name(pc, key)
    if given is None or given == usual:
        return usual
    if way.root and _has_doubles(given, way) and not _has_doubles(usual, way):
        return usual
    return given


def _has_doubles(root: NoteName, way: Heard) -> bool:
    return any(abs(degree_note(root, name).alter) > 1 for name in way.naming.kind.degrees)


def _foreign_degree(root: NoteName, bass: NoteName) -> str:
    """The degree of a bass outside the chord: by its letter where that is a usual degree."""
    by_letter = as_tension(degree_between(root, bass))
    if by_letter in _FOREIGN_DEGREES:
        return by_letter
    return PLAIN_DEGREES[degree_semitones(by_letter)]
