"""What can a left hand span?  Reach in millimetres by pair of fingers and by size of hand.

Fingers are 1 (index) to 4 (little).  A *comfortable* spread is one that a player keeps for a whole
line; the *greatest* is one that a warm hand takes for a moment.  The values are common practice,
no source: a medium hand lies comfortably on one finger a fret from the third fret of a 648 mm
neck, and reaches five frets from the third; small and large hands are 10 % off it.  A teacher who
knows the hand can build a profile of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lickwright.errors import HandError, did_you_mean

FINGERS = (1, 2, 3, 4)
FINGER_NAMES = {
    0: "open string",
    1: "index finger",
    2: "middle finger",
    3: "ring finger",
    4: "little finger",
}

#: Pair of fingers -> (comfortable, greatest) spread along the string in mm, medium hand.
_MEDIUM_MM: Mapping[tuple[int, int], tuple[float, float]] = {
    (1, 2): (48.0, 76.0),
    (1, 3): (70.0, 100.0),
    (1, 4): (94.0, 126.0),
    (2, 3): (31.0, 56.0),
    (2, 4): (60.0, 88.0),
    (3, 4): (29.0, 52.0),
}
#: The pairs of fingers, in the order in which a profile gives its spreads.
PAIRS: tuple[tuple[int, int], ...] = tuple(_MEDIUM_MM)


@dataclass(frozen=True, slots=True)
class HandProfile:
    """How far a hand opens along the strings.

    Parameters
    ----------
    name : as in a lesson file.
    comfortable_mm, greatest_mm : spread in mm of each pair of fingers, in the order of
        ``PAIRS``.
    habits : what weighs more or less for this player than usual, by name (docs/hands.md).
    """

    name: str
    comfortable_mm: tuple[float, ...]
    greatest_mm: tuple[float, ...]
    habits: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        if len(self.comfortable_mm) != len(PAIRS) or len(self.greatest_mm) != len(PAIRS):
            raise HandError(
                f"the hand '{self.name}' does not give a reach for every pair of fingers",
                mend=f"Give {len(PAIRS)} comfortable and {len(PAIRS)} greatest spreads in mm",
            )
        for pair, comfortable, greatest in zip(
            PAIRS, self.comfortable_mm, self.greatest_mm, strict=True
        ):
            if not 0.0 < comfortable <= greatest:
                raise HandError(
                    f"the hand '{self.name}' has a comfortable spread of {comfortable:g} mm and a "
                    f"greatest of {greatest:g} mm for fingers {pair[0]} and {pair[1]}",
                    mend="Give spreads above zero, the comfortable one no longer than the greatest",
                )

    def comfortable(self, finger: int, other: int) -> float:
        """Comfortable spread in mm of two fingers, in either order; 0 for one and the same."""
        if finger == other:
            return 0.0
        return self.comfortable_mm[PAIRS.index((min(finger, other), max(finger, other)))]

    def greatest(self, finger: int, other: int) -> float:
        """Greatest spread in mm of two fingers, in either order; 0 for one and the same."""
        if finger == other:
            return 0.0
        return self.greatest_mm[PAIRS.index((min(finger, other), max(finger, other)))]

    @property
    def comfortable_reach_mm(self) -> float:
        """Comfortable spread from index to little finger."""
        return self.comfortable(1, 4)

    @property
    def greatest_reach_mm(self) -> float:
        """Greatest spread from index to little finger."""
        return self.greatest(1, 4)


def _scaled(name: str, factor: float) -> HandProfile:
    return HandProfile(
        name,
        tuple(round(comfortable * factor, 1) for comfortable, _ in _MEDIUM_MM.values()),
        tuple(round(greatest * factor, 1) for _, greatest in _MEDIUM_MM.values()),
    )


HANDS: dict[str, HandProfile] = {
    "small": _scaled("small", 0.9),
    "medium": _scaled("medium", 1.0),
    "large": _scaled("large", 1.1),
}


def hand_profile(hand: str | HandProfile) -> HandProfile:
    """The profile of a hand named ``small``, ``medium`` or ``large``; a profile passes through.

    Parameters
    ----------
    hand : a name, or a profile.

    Returns
    -------
    HandProfile
        How far the hand opens, in mm.

    Raises
    ------
    HandError
        When there is no such hand.

    Examples
    --------
    >>> hand_profile("medium") == hand_profile(hand_profile("medium"))
    True
    """
    if isinstance(hand, HandProfile):
        return hand
    found = HANDS.get(hand.strip().lower())
    if found is None:
        raise HandError(
            f"there is no hand '{hand}'",
            mend=did_you_mean(hand, HANDS).rstrip("?") or "Use small, medium or large",
        )
    return found
