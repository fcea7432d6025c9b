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

#: Dearer than any path; sums of it over a long line still fit in 64 bits.
IMPOSSIBLE = 10**12

#: (finger, frets off its own) -> cost of stopping a string there.  The order is that of the
#: states: the earlier wins a tie.
OFFSETS: dict[tuple[int, int], int] = {
    (1, 0): 0,
    (1, -1): 900,  # the index reaches back
    (2, 0): 0,
    (2, 1): 100,  # as in two whole steps on one string: 1-2-4
    (2, -1): 1600,
    (3, 0): 0,
    (3, 1): 800,
    (3, -1): 1600,
    (3, -2): 3200,  # crowded together, as three fingers on one fret
    (4, 0): 0,
    (4, 1): 400,  # the little finger extends most easily
    (4, -1): 1600,
    (4, 2): 1200,
    (4, -2): 3200,
}
WEAK_FINGER: dict[int, int] = {1: 0, 2: 0, 3: 30, 4: 60}

#: Hand moves to another place.
PIVOT_MM = 30.0  # the hand turns about the thumb; further is a shift
PIVOT = 1000
SHIFT = 1300
MOVE_PER_MM = 20
NO_GUIDE_FINGER = 100  # along a string, from one finger to another
NO_GUIDE_STRING = 500  # from string to string: nothing leads the hand
#: After an open string the hand belongs in first position, where finger and fret agree.
OFF_OPEN_POSITION = 250
LAST_OPEN_PLACE = 4  # higher up, open strings are a colour and ask for no place

#: One finger plays two notes running.
GUIDE_SLIDE = 400  # along its string, while the hand moves with it
FINGER_SLIDE = 1400  # along its string, while the hand stays
SAME_FINGER_JUMP = 2000  # to another string
ROLL: dict[int, int] = {1: 300, 2: 550, 3: 400, 4: 900}  # same fret, neighbouring string
INDEX_BARRE = 600  # index lies over strings that are not neighbours
BARRE_PER_STRING = 200

#: Two fingers in one place.
STRETCH_PER_MM = 60  # beyond a comfortable spread, on one string
STRETCH_ACROSS_PER_MM = 30  # to another string: the finger behind may leave at once
STACKED = 500  # on one fret, the higher finger on the thinner string
CROSSED_FINGERS = 1500  # the higher finger on the lower fret
CROSSED_ON_ONE_FRET = 800  # the higher finger on the thicker string
FINGER_SWAP = 1200  # another finger on the note that sounds

#: A slur that the hand cannot make: a slide by two fingers, a hammer-on by one.
SLUR_BROKEN = 20_000
SLUR_MOVED = 2000  # the hand moves inside a hammer-on or pull-off

#: Haste: 1 at this time from note to note, within these bounds.
UNHURRIED_S = 0.25
HASTE_BOUNDS = (0.5, 4.0)
LARGE_MOVE = 0.5  # power of the haste for shifts: the hand speeds up with the notes...
SMALL_MOVE = 0.25  # ... and for pivots and rolls, which hurry costs least

#: Choosing strings as well: what speaks against one place of a note rather than another.
OPEN_STRING = 300  # it rings on, and takes no vibrato
STRING_SKIP = 250  # for each string left out between two notes
UP_THE_NECK = 5  # for each fret: of equals, the lower place

#: Between moments of several notes a term is the dearest over pairs of notes; of this one the
#: cheapest, since one finger that keeps its string guides the whole hand.
CHEAPEST_PAIR = "no guide finger"

#: Every term with its reason, in the order in which they are told.
TERMS: dict[str, str] = {
    "off its fret": "a finger leaves its own fret of the position",
    "weak finger": "ring and little finger are the weaker ones",
    "pivot": "the hand turns about the thumb to a neighbouring position",
    "shift": "the whole hand moves",
    "no guide finger": "no finger keeps its string through the shift",
    "off open position": "beside open strings each finger has the fret of its number",
    "slide": "one finger slides from note to note",
    "jump": "one finger leaps to another string",
    "roll": "one finger rolls to the neighbouring string",
    "barre": "the finger lies across strings",
    "stretch": "two fingers are spread beyond comfort",
    "stacked fingers": "two fingers crowd on one fret",
    "crossed fingers": "the higher finger lies behind the lower one",
    "finger swap": "another finger takes over the same note",
    "slur": "a slide is one finger, a hammer-on or pull-off two fingers of one hand place",
}
