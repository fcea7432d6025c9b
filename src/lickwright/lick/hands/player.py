"""Whose hands are they?  A player's level, rates, reach and habit of the pick.

The same line is easy for one player and impossible for another, so a ceiling says for whom.  The
levels are words of this house, and what they are worth is common practice with no source; whoever
knows the player gives rates of their own.  A rate is a planning figure and no aim to train for:
pain or numbness ends the practice, and a clinician comes before any number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from lickwright.errors import HandError, did_you_mean
from lickwright.lick.hands.tempo import HandSpeeds
from lickwright.lick.picking import Escape, read_escape
from lickwright.neck import PAIRS, HandProfile, hand_profile

#: A level and its share of a practised player's rates.
LEVELS: Mapping[str, float] = {
    "beginning": 0.5,
    "growing": 0.65,
    "steady": 0.8,
    "practised": 1.0,
    "virtuoso": 1.2,
}
USUAL_LEVEL = "practised"
_MEDIUM, _USUAL = hand_profile("medium"), HandSpeeds()
#: No hand moves outside these, in notes a second.
SLOWEST_HZ, FASTEST_HZ = 1.0, 30.0


@dataclass(frozen=True, slots=True)
class Player:
    """Two hands.

    Parameters
    ----------
    level : a word of :data:`LEVELS`.
    hand : how far the fretting hand reaches.
    speeds : how fast both hands are.
    escape : on which stroke the pick leaves the strings.
    left_handed : whether the instrument is strung the other way round.
    own_rates : whether some rates are the player's own, and not those of the level.
    """

    level: str = USUAL_LEVEL
    hand: HandProfile = _MEDIUM
    speeds: HandSpeeds = _USUAL
    escape: Escape = Escape.BOTH
    left_handed: bool = False
    own_rates: bool = False

    @property
    def in_words(self) -> str:
        """For whom a ceiling is: ``a practised player``."""
        return f"a {self.level} player" + (" with these rates" if self.own_rates else "")


def read_player(
    level: str = USUAL_LEVEL,
    *,
    hand: str | HandProfile = "medium",
    escape: Escape | str = Escape.BOTH,
    left_handed: bool = False,
    alternate: float | None = None,
    sweep: float | None = None,
    one_finger: float | None = None,
    trills: Mapping[str, float] | None = None,
) -> Player:
    """A player by level, with what is known of them better.

    Parameters
    ----------
    level : ``beginning``, ``growing``, ``steady``, ``practised`` or ``virtuoso``.
    hand : ``small``, ``medium``, ``large``, or a profile.
    escape : on which stroke the pick leaves the strings: ``both``, ``down`` or ``up``.
    left_handed : whether the instrument is strung the other way round.
    alternate, sweep : notes a second by alternate strokes on one string, and in one sweep.
    one_finger : notes a second by the index finger alone; the others keep their proportion.
    trills : notes a second by two fingers in turn, by pair: ``{"3-4": 7}``.

    Returns
    -------
    Player
        The level's rates where none are given.

    Raises
    ------
    HandError
        For a level, hand, escape or pair that is none, or a rate that no hand has.

    Examples
    --------
    >>> read_player("steady", trills={"3-4": 6}).in_words
    'a steady player with these rates'
    """
    word = level.strip().lower()
    if word not in LEVELS:
        raise HandError(
            f"there is no level of players '{level}'",
            mend=did_you_mean(word, LEVELS) or f"Use one of: {', '.join(LEVELS)}",
        )
    speeds = HandSpeeds().faster(LEVELS[word])
    if alternate is not None:
        times = _seconds("alternate", alternate) / speeds.stroke_s
        names = ("stroke_s", "repeat_s", "outside_s", "inside_s", "skip_s", "turn_s")
        speeds = replace(speeds, **{name: getattr(speeds, name) * times for name in names})
    if sweep is not None:
        speeds = replace(speeds, sweep_s=_seconds("sweep", sweep))
    if one_finger is not None:
        times = _seconds("one_finger", one_finger) / speeds.tap_s[0]
        speeds = replace(speeds, tap_s=tuple(tap * times for tap in speeds.tap_s))
    for pair, rate in (trills or {}).items():
        at = _pair(pair)
        trill, passing = list(speeds.trill_s), list(speeds.pass_s)
        times = _seconds(f"trills of {pair}", rate) / trill[at]
        trill[at], passing[at] = trill[at] * times, passing[at] * times
        speeds = replace(speeds, trill_s=tuple(trill), pass_s=tuple(passing))
    own = (alternate, sweep, one_finger) != (None, None, None) or bool(trills)
    return Player(word, hand_profile(hand), speeds, read_escape(escape), left_handed, own)


def _seconds(what: str, rate: float) -> float:
    if not SLOWEST_HZ <= rate <= FASTEST_HZ:
        raise HandError(
            f"{what} is {rate:g} notes a second",
            mend=f"Give a rate from {SLOWEST_HZ:g} to {FASTEST_HZ:g}",
        )
    return 1 / rate


def _pair(text: str) -> int:
    """Which pair of fingers a text such as ``3-4`` names."""
    fingers = tuple(sorted(int(sign) for sign in text.split("-") if sign.strip().isdecimal()))
    for at, pair in enumerate(PAIRS):
        if pair == fingers:
            return at
    raise HandError(f"'{text}' is not a pair of fingers", mend="Write two of 1 to 4, such as 3-4")
