"""How the backing band plays: the feels, as data.

A feel is known by its style of time.  Every pattern is written on the felt beats of a bar, so that
it fits any meter; eighths that swing are written as eighths, and the score's swing plays them.  The
patterns are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from lickwright.errors import RhythmError, did_you_mean
from lickwright.score import Score, Swing

#: General MIDI percussion keys (GM System Level 1, percussion map).
KICK, SIDE_STICK, SNARE, CLOSED_HAT, PEDAL_HAT, OPEN_HAT, RIDE = 36, 37, 38, 42, 44, 46, 51
CRASH, HIGH_TOM, MIDDLE_TOM, FLOOR_TOM = 49, 48, 45, 43
HIGH_WOOD_BLOCK, LOW_WOOD_BLOCK = 76, 77

#: General MIDI programs, counted from 0.
ELECTRIC_PIANO, FINGERED_BASS, WARM_PAD, CLEAN_GUITAR = 4, 33, 89, 27

#: Which beats of a bar a drum is struck in: every one; the first, and the middle one of four or
#: six; those after strong ones; the beat on which a half-time backbeat falls; all but the first.
Beats = Literal["all", "strong", "back", "middle", "first", "later"]


@dataclass(frozen=True, slots=True)
class Hit:
    """One stroke of a drummer, in each beat of a kind.

    Parameters
    ----------
    beats : which beats of the bar.
    at : where in the beat, as a share of it.
    velocity : 1-127.
    """

    key: int
    beats: Beats
    at: Fraction
    velocity: int


@dataclass(frozen=True, slots=True)
class Drumming:
    """What the drummer does.

    Parameters
    ----------
    steady : struck in every bar.
    free : strokes that a bar may add, few at a time: no two bars are alike.
    threes : the same two for a dotted beat.
    fill : into how many parts the beat of a fill is divided.
    """

    steady: tuple[Hit, ...]
    free: tuple[Hit, ...]
    threes: tuple[tuple[Hit, ...], tuple[Hit, ...]]
    fill: int = 4


@dataclass(frozen=True, slots=True)
class Feel:
    """What each player of the band does.

    Parameters
    ----------
    words : the style of time, for people.
    swing : how written pairs are played where a score does not say.
    drums : ``None`` for no drummer.
    bass : "held" struck anew in each bar, "roots" on strong beats, "walking" on every beat,
        "dotted" a dotted beat and a half, "sixteenths", "thirds" in twelve eighths.
    chords : the rhythm of the chord player, a key of :data:`COMPING`; "held" struck anew in each
        bar, "drone" the bass note alone, in two octaves, held.
    program : General MIDI program of the chord player, counted from 0.
    """

    name: str
    words: str
    swing: Swing | None
    drums: Drumming | None
    bass: Literal["held", "roots", "walking", "dotted", "sixteenths", "thirds"]
    chords: str
    program: int = ELECTRIC_PIANO


def _hits(key: int, beats: Beats, at: str, velocity: int) -> tuple[Hit, ...]:
    return tuple(Hit(key, beats, Fraction(place), velocity) for place in at.split())


_THREES = (
    (
        *_hits(CLOSED_HAT, "all", "0", 74),
        *_hits(CLOSED_HAT, "all", "1/3 2/3", 56),
        *_hits(KICK, "first", "0", 96),
        *_hits(SNARE, "back", "0", 88),
    ),
    (
        *_hits(KICK, "all", "2/3", 78),
        *_hits(KICK, "back", "1/3", 74),
        *_hits(SNARE, "all", "1/3 2/3", 40),
        *_hits(OPEN_HAT, "later", "2/3", 58),
    ),
)
_RIDE_THREES = (
    (
        *_hits(RIDE, "all", "0", 74),
        *_hits(RIDE, "all", "2/3", 60),
        *_hits(KICK, "first", "0", 92),
        *_hits(SIDE_STICK, "back", "0", 80),
    ),
    (*_THREES[1], *_hits(RIDE, "all", "1/3", 52)),
)
_STRAIGHT = Drumming(
    (
        *_hits(CLOSED_HAT, "all", "0", 74),
        *_hits(CLOSED_HAT, "all", "1/2", 58),
        *_hits(KICK, "strong", "0", 96),
        *_hits(SNARE, "back", "0", 90),
    ),
    (
        *_hits(KICK, "strong", "1/2", 82),
        *_hits(KICK, "back", "1/2 3/4", 80),
        *_hits(SNARE, "all", "1/4 3/4", 40),
        *_hits(OPEN_HAT, "back", "1/2", 60),
        *_hits(CLOSED_HAT, "all", "3/4", 48),
    ),
    _THREES,
)
_HALF_TIME = Drumming(
    (
        *_hits(CLOSED_HAT, "all", "0", 72),
        *_hits(CLOSED_HAT, "all", "1/2", 56),
        *_hits(KICK, "first", "0", 96),
        *_hits(SNARE, "middle", "0", 92),
    ),
    (
        *_hits(KICK, "back", "0 1/2", 82),
        *_hits(KICK, "all", "3/4", 78),
        *_hits(SNARE, "back", "3/4", 40),
        *_hits(SNARE, "all", "1/4", 38),
        *_hits(OPEN_HAT, "back", "1/2", 58),
    ),
    _THREES,
)
_SWING = Drumming(
    (
        *_hits(RIDE, "all", "0", 76),
        *_hits(RIDE, "back", "1/2", 62),
        *_hits(PEDAL_HAT, "back", "0", 66),
        *_hits(KICK, "all", "0", 46),  # feathered: felt, hardly heard
    ),
    (
        *_hits(RIDE, "strong", "1/2", 56),
        *_hits(SNARE, "all", "1/2", 50),
        *_hits(SNARE, "later", "0", 46),
        *_hits(KICK, "all", "1/2", 70),
        *_hits(SIDE_STICK, "back", "0", 62),
    ),
    _RIDE_THREES,
    fill=3,
)
_SHUFFLE = Drumming(
    (
        *_hits(RIDE, "all", "0", 74),
        *_hits(RIDE, "all", "1/2", 60),
        *_hits(KICK, "strong", "0", 96),
        *_hits(SNARE, "back", "0", 88),
    ),
    (
        *_hits(KICK, "all", "1/2", 80),
        *_hits(SNARE, "all", "1/2", 42),
        *_hits(OPEN_HAT, "back", "1/2", 58),
        *_hits(PEDAL_HAT, "back", "0", 62),
        *_hits(KICK, "back", "0", 78),
    ),
    _RIDE_THREES,
    fill=3,
)
_TWELVE = Drumming(
    (
        *_hits(CLOSED_HAT, "all", "0", 74),
        *_hits(CLOSED_HAT, "all", "1/3 2/3", 54),
        *_hits(KICK, "strong", "0", 96),
        *_hits(SNARE, "back", "0", 90),
    ),
    _THREES[1],
    _THREES,
    fill=3,
)
_BOSSA = Drumming(
    (
        *_hits(CLOSED_HAT, "all", "0 1/2", 58),
        *_hits(KICK, "all", "0", 74),
        *_hits(KICK, "back", "1/2", 66),
        *_hits(SIDE_STICK, "strong", "0", 74),
    ),
    (
        *_hits(SIDE_STICK, "all", "1/2", 70),
        *_hits(SIDE_STICK, "back", "0", 70),
        *_hits(CLOSED_HAT, "all", "1/4 3/4", 42),
        *_hits(PEDAL_HAT, "back", "0", 56),
    ),
    _RIDE_THREES,
)
_FUNK = Drumming(
    (
        *_hits(CLOSED_HAT, "all", "0", 74),
        *_hits(CLOSED_HAT, "all", "1/4 3/4", 46),
        *_hits(CLOSED_HAT, "all", "1/2", 62),
        *_hits(KICK, "first", "0", 98),
        *_hits(SNARE, "back", "0", 92),
    ),
    (
        *_hits(KICK, "all", "3/4", 84),
        *_hits(KICK, "back", "1/2", 86),
        *_hits(KICK, "strong", "1/2", 80),
        *_hits(SNARE, "all", "1/4 3/4", 40),
        *_hits(SNARE, "strong", "3/4", 44),
        *_hits(OPEN_HAT, "all", "1/2", 60),
    ),
    _THREES,
)
_VAMP = Drumming(
    (
        *_hits(RIDE, "all", "0", 72),
        *_hits(KICK, "strong", "0", 94),
        *_hits(SIDE_STICK, "back", "0", 80),
    ),
    (
        *_hits(RIDE, "all", "1/2", 54),
        *_hits(KICK, "all", "1/2", 78),
        *_hits(SNARE, "all", "3/4", 38),
        *_hits(PEDAL_HAT, "back", "0", 58),
    ),
    _RIDE_THREES,
)

#: Rhythms of the chord player: bars of (onset, length) in beats, one of them chosen for each bar.
#: Beats count from the bar line; what does not fit a shorter bar is left out.
COMPING: dict[str, tuple[tuple[tuple[str, str], ...], ...]] = {
    "long": (
        (("0", "4"),),
        (("0", "5/2"), ("5/2", "3/2")),
        (("0", "2"), ("2", "2")),
        (("0", "3"), ("3", "1")),
    ),
    "pushed": (
        (("0", "1"), ("3/2", "1")),
        (("0", "1"), ("3/2", "1"), ("3", "1/2")),
        (("0", "3/2"), ("5/2", "1")),
        (("0", "1"), ("3/2", "1/2"), ("5/2", "1/2")),
    ),
    "sparse": (
        (("0", "1"), ("3/2", "3/2")),
        (("0", "3/4"), ("5/2", "1")),
        (("0", "2"), ("3", "1/2")),
        (("0", "1/2"), ("3/2", "1/2"), ("3", "1")),
        (("0", "5/2"),),
    ),
    "backbeats": (
        (("0", "1/2"), ("1", "1/2"), ("3", "1/2")),
        (("0", "1/2"), ("1", "1/2"), ("5/2", "1/2"), ("3", "1/2")),
        (("0", "1/2"), ("1", "1/2"), ("3/2", "1/2"), ("3", "1/2")),
    ),
    "bossa": (
        (("0", "1"), ("3/2", "1"), ("3", "1")),
        (("0", "3/2"), ("3/2", "1"), ("5/2", "1")),
        (("0", "1"), ("1", "1/2"), ("5/2", "3/2")),
        (("0", "3/2"), ("2", "1/2"), ("7/2", "1/2")),
    ),
    "stabs": (
        (("0", "1/2"), ("7/4", "1/4"), ("5/2", "1/2")),
        (("0", "1/4"), ("3/4", "1/4"), ("5/2", "1/4")),
        (("0", "1/2"), ("3/2", "1/4"), ("13/4", "1/4")),
        (("0", "1/2"), ("9/4", "1/4"), ("11/4", "1/2")),
    ),
    "thirds": (
        (("0", "2"), ("2", "2")),
        (("0", "5/3"), ("5/3", "1/3"), ("2", "2")),
        (("0", "2"), ("2", "5/3"), ("11/3", "1/3")),
    ),
}

_TRIPLET, _BY_TEMPO = Swing(Fraction(2)), Swing()
FEELS: dict[str, Feel] = {
    feel.name: feel
    for feel in (
        Feel("drone", "a held note", None, None, "held", "drone", WARM_PAD),
        Feel("chords", "held chords", None, None, "held", "held"),
        Feel("straight", "straight eighths", None, _STRAIGHT, "roots", "long"),
        Feel("swing", "swung eighths, walking", _BY_TEMPO, _SWING, "walking", "sparse"),
        Feel("shuffle", "shuffled eighths, walking", _TRIPLET, _SHUFFLE, "walking", "backbeats"),
        Feel("half-time", "half-time", None, _HALF_TIME, "roots", "long"),
        Feel("12/8", "slow, in twelve eighths", _TRIPLET, _TWELVE, "thirds", "thirds"),
        Feel("bossa", "bossa", None, _BOSSA, "dotted", "bossa"),
        Feel("funk", "sixteenths", None, _FUNK, "sixteenths", "stabs"),
        Feel("vamp", "a vamp on the ride", None, _VAMP, "roots", "pushed"),
    )
}


def feel_named(name: str) -> Feel:
    """The feel of this name.

    Raises
    ------
    RhythmError
        With the nearest name.
    """
    if name not in FEELS:
        raise RhythmError(
            f"there is no feel '{name}'",
            mend=did_you_mean(name, FEELS).rstrip("?") or f"Use one of: {', '.join(FEELS)}",
        )
    return FEELS[name]


def as_felt(score: Score, feel: str) -> Score:
    """The score with the swing of a feel, where it does not say its own."""
    swing = feel_named(feel).swing
    return score if score.swing is not None or swing is None else replace(score, swing=swing)
