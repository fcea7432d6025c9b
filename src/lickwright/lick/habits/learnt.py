"""Is what was learnt of a hand better than what was known?  Leave one out, and words for it.

A hand learnt from some lines must finger a line that it has not seen better than the usual hand
does.  So every line is left out once: the hand is learnt from the others and asked for this one.
Where it agrees with the player on no more fingers than the usual hand, the usual hand stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lickwright.errors import HandError

if TYPE_CHECKING:
    from lickwright.lick.habits.learning import FingeredLine

FEWEST_LINES = 4
#: A weight that changed by less than this factor is not worth a word.
_WORTH_SAYING = 1.15


@dataclass(frozen=True, slots=True)
class LearntHand:
    """What lines say of a player's hand.

    Parameters
    ----------
    habits : as a hand has them; none where the usual hand stays.
    lines, notes : how many were learnt from.
    before, after : notes on which the usual hand and a hand learnt from the other lines agree with
        the player.
    """

    habits: tuple[tuple[str, int], ...]
    lines: int
    notes: int
    before: int
    after: int

    @property
    def better(self) -> bool:
        """Whether the learnt hand agrees with the player on lines that it had not seen."""
        return self.after > self.before


def learn_hand(lines: Sequence[FingeredLine]) -> LearntHand:
    """The habits of the player who fingers these lines, if they show any.

    Parameters
    ----------
    lines : each with the player's fingers.

    Returns
    -------
    LearntHand

    Raises
    ------
    HandError
        When there are too few lines to leave one out.

    Examples
    --------
    >>> from lickwright.lick.habits.learning import fingered_line
    >>> box = fingered_line([(3, 5), (3, 7), (2, 5), (2, 8)], [[1, 3, 1, 4]])
    >>> learn_hand([box] * 6).better
    False
    """
    from lickwright.lick.habits.learning import CountedLine, fitted, habits_of, usual_weights

    if len(lines) < FEWEST_LINES:
        raise HandError(
            f"{len(lines)} fingered line{'s' * (len(lines) != 1)}, and a hand is learnt from "
            f"{FEWEST_LINES} at least",
            mend="Give tabs with a finger for every note under 'fingers'; twenty are a good number",
        )
    counted = [CountedLine(line) for line in lines]
    usual = usual_weights()
    before = after = 0
    for at, line in enumerate(counted):
        others = fitted([*counted[:at], *counted[at + 1 :]])
        before += line.agreeing(usual)
        after += line.agreeing(others)
    notes = sum(len(line.places) for line in lines)
    habits = habits_of(fitted(counted)) if after > before else ()
    return LearntHand(habits, len(lines), notes, before, after)


def hand_in_words(learnt: LearntHand) -> list[str]:
    """What was learnt, a sentence a line, the greatest change first.

    Parameters
    ----------
    learnt : a hand, and what it agrees with.

    Returns
    -------
    list of str

    Examples
    --------
    >>> print(hand_in_words(LearntHand((("shift", 3000),), 20, 200, 160, 190))[1])
    The whole hand moves less gladly (shift 3000, usually 1700).
    """
    from lickwright.lick.fingering import HandWeights

    share = f"{learnt.before} of {learnt.notes} fingers to {learnt.after}"
    said = [f"On lines left out, agreement goes from {share}."]
    if not learnt.better:
        said.append("That is no better, so the usual hand stays.")
        return said
    usual = HandWeights()
    changes = [
        (max(weight, 1) / max(getattr(usual, name), 1), name, weight)
        for name, weight in learnt.habits
    ]
    for factor, name, weight in sorted(changes, key=lambda c: -max(c[0], 1 / c[0])):
        if max(factor, 1 / factor) >= _WORTH_SAYING:
            how = "less gladly" if factor > 1 else "more gladly"
            said.append(f"{_WORDS[name]} {how} ({name} {weight}, usually {getattr(usual, name)}).")
    return said


#: What a player does who pays little for each weight.
_WORDS: dict[str, str] = {
    "index_back": "The index reaches back",
    "middle_on": "The middle finger reaches on",
    "middle_back": "The middle finger crowds back",
    "ring_on": "The ring finger reaches on",
    "ring_back": "The ring finger crowds back",
    "ring_two_back": "The ring finger crowds two frets back",
    "little_on": "The little finger reaches on",
    "little_two_on": "The little finger reaches two frets on",
    "little_back": "The little finger crowds back",
    "little_two_back": "The little finger crowds two frets back",
    "ring": "The ring finger plays",
    "little": "The little finger plays",
    "pivot": "The hand turns about the thumb",
    "shift": "The whole hand moves",
    "move_per_mm": "The hand moves far",
    "unguided_along": "The hand shifts along a string without a guide finger",
    "unguided_across": "The hand shifts from string to string without a guide finger",
    "within_reach": "The hand moves though the next string lies under it",
    "unguided_ahead": "A shift leaves fingers on other strings than before",
    "off_open_position": "Open strings are left for second to fourth position",
    "slide_with_hand": "A finger slides with the hand",
    "slide": "A finger slides by itself",
    "leap_with_hand": "A finger is taken to another string by the hand",
    "jump": "A finger jumps to another string",
    "roll_index": "The index rolls",
    "roll_middle": "The middle finger rolls",
    "roll_ring": "The ring finger rolls",
    "roll_little": "The little finger rolls",
    "barre": "The index lies over strings",
    "barre_per_string": "The index lies over many strings",
    "stretch_per_mm": "Two fingers stretch along a string",
    "stretch_across_per_mm": "Two fingers stretch from string to string",
    "stacked": "Two fingers share a fret",
    "crossed": "Fingers cross",
    "crossed_on_one_fret": "Fingers cross on one fret",
    "swap": "Another finger takes over a sounding note",
    "let_go": "A grip is let go for the next",
    "moved_on": "The hand goes on from turn to turn",
    "needed_again": "A finger is needed again two notes later",
    "refingered": "A note that comes again has another finger",
    "slur_broken": "A slur is made against its nature",
    "slur_moved": "The hand moves within a slur",
}
