"""What weighs on a left-hand fingering?  The named costs and their weights, all in one place.

The state of the hand is a *finger* (1 index to 4 little) and a *place*: the fret over which the
index lies, which players call the position.  In place ``q`` finger ``f`` has fret ``q + f - 1`` of
its own: one finger a fret.  A finger may leave its own fret by the offsets of :data:`OFFSETS`.

All costs are whole numbers, so that sums are exact and ties are true ties; 1000 is about what a
finger pays for leaving its own fret awkwardly.  Distances are mm along the string.  What grows
with the hurry is multiplied by the *haste*: 1 at a quarter of a second per note, 2 at twice the
speed.

The form of the model, a shortest path over finger and hand place with a cost for each and for each
transition, follows Sayegh 1989 (Computer Music Journal 13:3) and Radicioni & Lombardo 2005/2007;
comfortable and greatest spreads by pair of fingers follow the ergonomic models of the same papers.
The weights are common practice, no source: they were set so that the usual fingerings of scales,
arpeggios and sweep shapes win (see docs/hands.md).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache

from lickwright.errors import HandError
from lickwright.neck import HandProfile

#: Dearer than any path; sums of it over a long line still fit in 64 bits.
IMPOSSIBLE = 10**12
#: No weight is greater.
MOST = 10**6

#: Hand moves to another place.
PIVOT_MM = 30.0  # the hand turns about the thumb; further is a shift


@dataclass(frozen=True, slots=True)
class HandWeights:
    """What weighs how much for one player.

    Parameters
    ----------
    index_back, middle_on, middle_back, ring_on, ring_back, ring_two_back, little_on, little_two_on,
    little_back, little_two_back : a finger stops a fret that is not its own.
    ring, little : each note of a weaker finger.
    pivot, shift, move_per_mm : the hand turns about the thumb, or moves whole; and for each mm.
    unguided_along, unguided_across : no finger keeps its string through a shift.
    within_reach : the hand moves to a note on another string that it could have stopped from where
        it lay.
    unguided_ahead : none does over two notes either.
    off_open_position : after an open string the hand lies in position 2 to 4.
    slide_with_hand, slide : one finger to another fret of its string.
    leap_with_hand, jump : one finger to another string and fret, moved by the hand or alone.
    roll_index, roll_middle, roll_ring, roll_little : a finger to the same fret of the next string.
    barre, barre_per_string : the index lies over strings that are not neighbours.
    stretch_per_mm, stretch_across_per_mm : beyond a comfortable spread, on one string or two.
    stacked : two fingers on one fret, the higher on the thinner string.
    crossed, crossed_on_one_fret : the higher finger behind the lower; or level, on the thicker.
    swap : another finger takes over the note that sounds.
    let_go : no finger keeps its string from grip to grip.
    moved_on : the hand is further off after two notes than the thumb can turn.
    needed_again : a finger moves by itself between two notes that one other note parts.
    refingered : a note has another finger when it comes again after one other note.
    slur_broken, slur_moved : a slur that the hand cannot make, or only by moving.
    """

    index_back: int = 1100
    middle_on: int = 110  # as in two whole steps on one string: 1-2-4
    middle_back: int = 1550
    ring_on: int = 1080
    ring_back: int = 1620
    ring_two_back: int = 3070  # crowded together, as three fingers on one fret
    little_on: int = 400  # the little finger extends most easily
    little_two_on: int = 1200
    little_back: int = 1600
    little_two_back: int = 3200
    ring: int = 30
    little: int = 150
    pivot: int = 800
    shift: int = 1700
    move_per_mm: int = 16
    unguided_along: int = 100
    unguided_across: int = 500  # from string to string nothing leads the hand
    within_reach: int = 520
    unguided_ahead: int = 150
    off_open_position: int = 290
    slide_with_hand: int = 400
    slide: int = 1750
    leap_with_hand: int = 300
    jump: int = 1400
    roll_index: int = 300
    roll_middle: int = 580
    roll_ring: int = 390
    roll_little: int = 1350
    barre: int = 600
    barre_per_string: int = 200
    stretch_per_mm: int = 64
    stretch_across_per_mm: int = 30  # the finger behind may leave at once
    stacked: int = 620
    crossed: int = 1740
    crossed_on_one_fret: int = 1200
    swap: int = 1200
    let_go: int = 2500
    moved_on: int = 150
    needed_again: int = 300
    refingered: int = 800
    slur_broken: int = 20_000
    slur_moved: int = 2000


#: (finger, frets off its own) -> the weight of stopping a string there; none on its own fret.  The
#: order is that of the states: the earlier wins a tie.
OFFSETS: dict[tuple[int, int], str | None] = {
    (1, 0): None,
    (1, -1): "index_back",
    (2, 0): None,
    (2, 1): "middle_on",
    (2, -1): "middle_back",
    (3, 0): None,
    (3, 1): "ring_on",
    (3, -1): "ring_back",
    (3, -2): "ring_two_back",
    (4, 0): None,
    (4, 1): "little_on",
    (4, -1): "little_back",
    (4, 2): "little_two_on",
    (4, -2): "little_two_back",
}
#: After an open string the hand belongs in first position, where finger and fret agree.
LAST_OPEN_PLACE = 4  # higher up, open strings are a colour and ask for no place

#: Haste: 1 at this time from note to note, within these bounds.
UNHURRIED_S = 0.25
HASTE_BOUNDS = (0.5, 4.0)
LARGE_MOVE = 0.5  # power of the haste for shifts: the hand speeds up with the notes...
SMALL_MOVE = 0.25  # ... and for pivots and rolls, which hurry costs least


@lru_cache(maxsize=64)
def weights_of(hand: HandProfile) -> HandWeights:
    """The weights of a player's hand: the usual ones but for its habits.

    Parameters
    ----------
    hand : whose; its habits are weights by name.

    Returns
    -------
    HandWeights

    Raises
    ------
    HandError
        When a habit is of no weight that there is, or below 0.

    Examples
    --------
    >>> from lickwright.neck import hand_profile
    >>> weights_of(hand_profile("medium")) == HandWeights()
    True
    """
    known = {field.name for field in fields(HandWeights)}
    for name, value in hand.habits:
        if name not in known:
            raise HandError(
                f"the hand '{hand.name}' has a habit '{name}' that no finger has",
                mend="Use the names of the weights in docs/hands.md",
            )
        if not 0 <= value <= MOST:
            raise HandError(
                f"the hand '{hand.name}' has a weight of {value} for '{name}'",
                mend=f"Give a whole number from 0 to {MOST}",
            )
    return replace(HandWeights(), **dict(hand.habits))


#: Choosing strings as well: what speaks against one place of a note rather than another.
OPEN_STRING = 300  # it rings on, and takes no vibrato
STRING_SKIP = 250  # for each string left out between two notes
UP_THE_NECK = 5  # for each fret: of equals, the lower place

#: Between moments of several notes a term is the dearest over pairs of notes; of these the
#: cheapest, since one finger that keeps its string guides the whole hand.
CHEAPEST_PAIR = ("no guide finger", "grip let go")

#: Terms between two notes that one other note parts.
AHEAD = ("needed again", "no guide ahead", "moved on", "refingered")

#: Every term with its reason, in the order in which they are told.
TERMS: dict[str, str] = {
    "off its fret": "a finger leaves its own fret of the position",
    "weak finger": "ring and little finger are the weaker ones",
    "pivot": "the hand turns about the thumb to a neighbouring position",
    "shift": "the whole hand moves",
    "no guide finger": "no finger keeps its string through the shift",
    "moved within reach": "the hand moves though the next string lay under it",
    "no guide ahead": "no finger finds its string again after a shift",
    "grip let go": "no finger keeps its string from grip to grip",
    "off open position": "beside open strings each finger has the fret of its number",
    "slide": "one finger slides from note to note",
    "jump": "one finger leaps to another string",
    "moved on": "the hand is further off after two notes than the thumb can turn",
    "refingered": "a note that comes again at once has another finger",
    "needed again": "a finger is needed at another fret two notes later",
    "roll": "one finger rolls to the neighbouring string",
    "barre": "the finger lies across strings",
    "stretch": "two fingers are spread beyond comfort",
    "stacked fingers": "two fingers crowd on one fret",
    "crossed fingers": "the higher finger lies behind the lower one",
    "finger swap": "another finger takes over the same note",
    "slur": "a slide is one finger, a hammer-on or pull-off two fingers of one hand place",
}
