"""Where do two or three triads lie as one arpeggio?  Every merged arpeggio, the best sweep first.

A *merged arpeggio* of triads is a set of places on the neck for which all of this holds:

* the tones of the triads together, each pitch once, in ascending order without a gap: from any
  tone to any tone, and between them no pitch that one of the triads has is left out;
* every tone of every triad sounds at least once, in some octave;
* the strings are neighbours, three or more, and each has at least one note;
* the outer strings have one, two or three notes: there the stroke turns;
* an inner string has one note, so that the pick passes through.  Where tones lie so near to each
  other that a second one cannot be avoided, it is allowed, and *the sweep breaks there*: such an
  arpeggio ranks behind and says so (:attr:`MergedArpeggio.breaks`);
* all of it lies under one hand: within the hand's greatest reach in mm.

C and Am at frets 5 to 8 on strings 4 to 2 are ``4/5 4/7 3/5 2/5 2/8``: G A C E G, a sweep between
two turns.  The order (:data:`MERGED_COSTS`, in mm of stretch like that of single shapes) is common
practice, no source: a player takes what runs through in one stroke, turns on a string of its own,
lies without stretching, and need not roll a finger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.shapes.search import FEWEST_STRINGS
from lickwright.neck.shapes.shape import Shape, frame_mm, notes_per_string
from lickwright.neck.window import Span, fret_window, read_guitar, string_window
from lickwright.theory import Triad, parse_triad

#: The most notes on an outer string, where the stroke turns, and on an inner one.
MOST_OUTER, MOST_INNER = 3, 2

#: What makes a merged arpeggio less good, each in mm of stretch.
MERGED_COSTS: dict[str, float] = {
    "a string of the asked window left out": 60.0,
    "the sweep breaks on an inner string": 40.0,
    "open string": 20.0,
    "share of the notes outside the longest sweep": 20.0,
    "third note on an outer string": 8.0,
    "no turn on an outer string": 6.0,
    "finger rolled over two strings at one fret": 3.0,
    "fret above the 17th": 2.0,
    "mm beyond a comfortable reach": 1.0,
    "mm of frame": 0.1,
}
_PRICES = tuple(MERGED_COSTS.values())


@dataclass(frozen=True, slots=True)
class MergedArpeggio:
    """The tones of two or three triads laid under one hand as one arpeggio.

    Parameters
    ----------
    triads : whose tones sound, in the order in which they were given.
    positions : from the lowest note to the highest; strings run from the low to the high.
    """

    triads: tuple[Triad, ...]
    positions: tuple[Position, ...]

    @property
    def notes_per_string(self) -> tuple[int, ...]:
        """How many notes each string has, lowest string first."""
        return notes_per_string(self.positions)

    @property
    def lowest_fret(self) -> int:
        return min(position.fret for position in self.positions)

    @property
    def highest_fret(self) -> int:
        return max(position.fret for position in self.positions)

    @property
    def breaks(self) -> tuple[int, ...]:
        """Inner strings with a second note, where the sweep breaks; lowest string first."""
        strings = list(dict.fromkeys(place.string for place in self.positions))
        counts = zip(strings, self.notes_per_string, strict=True)
        return tuple(string for string, count in list(counts)[1:-1] if count > 1)

    @property
    def sweep(self) -> int:
        """Notes of the longest run that one stroke plays: each on the string after the last."""
        longest = run = 1
        for before, after in pairwise(self.positions):
            run = run + 1 if before.string != after.string else 1
            longest = max(longest, run)
        return longest

    def frame_mm(self, guitar: Guitar) -> tuple[float, float]:
        """Where the fingers stand: lowest and highest place in mm from the nut."""
        return frame_mm(self.positions, guitar)

    def members(self, position: Position, guitar: Guitar) -> tuple[int, ...]:
        """Which of the triads hold the note at a place, by number from 0: one of them, or more."""
        return triads_with(guitar.midi_at(position) % 12, self.triads)

    def shapes(self, guitar: Guitar) -> tuple[Shape, ...]:
        """What each triad has of it; a tone that several hold is in all of theirs."""
        return tuple(
            Shape(
                triad,
                tuple(p for p in self.positions if number in self.members(p, guitar)),
            )
            for number, triad in enumerate(self.triads)
        )

    def in_words(self, guitar: Guitar) -> str:
        """How a pick goes through it, in one sentence without its full stop.

        Examples
        --------
        >>> find_merged("C Am", frets="5-8", strings="2-4")[0].in_words(Guitar())
        '3 of 5 notes in one sweep, between two turns'
        """
        said = f"{self.sweep} of {len(self.positions)} notes in one sweep"
        if self.breaks:
            *first, last = map(str, self.breaks)
            where = f"strings {', '.join(first)} and {last}" if first else f"string {last}"
            return f"{said}: it breaks on {where}, with two notes"
        per_string = self.notes_per_string
        turns = (per_string[0] > 1) + (per_string[-1] > 1)
        return said + ("", ", with a turn at one end", ", between two turns")[turns]

    def __str__(self) -> str:
        places = " ".join(f"{place.string}/{place.fret}" for place in self.positions)
        return f"{listed(self.triads)}: {places}"


def listed(triads: Sequence[Triad]) -> str:
    """Triads as a sentence names them: ``C and Am``, ``C, Dm and Em``.

    Parameters
    ----------
    triads : one or more.

    Returns
    -------
    str
        Their symbols with commas, and ``and`` before the last.

    Examples
    --------
    >>> from lickwright.theory import parse_triad
    >>> listed([parse_triad("C"), parse_triad("Dm"), parse_triad("Em")])
    'C, Dm and Em'
    """
    *first, last = map(str, triads)
    return f"{', '.join(first)} and {last}" if first else last


def triads_with(pitch_class: int, triads: Sequence[Triad]) -> tuple[int, ...]:
    """Numbers, from 0, of the triads that hold a pitch class.

    Parameters
    ----------
    pitch_class : 0 to 11.
    triads : some triads.

    Returns
    -------
    tuple of int
        Places in ``triads``, ascending.

    Examples
    --------
    >>> from lickwright.theory import parse_triad
    >>> triads_with(9, [parse_triad("D"), parse_triad("F#m"), parse_triad("C")])
    (0, 1)
    """
    return tuple(n for n, triad in enumerate(triads) if triad.mask >> pitch_class % 12 & 1)


def read_merged(triads: str | Sequence[Triad | str]) -> tuple[Triad, ...]:
    """Two or three triads that can be merged, from ``"C Am"`` or one by one.

    Raises
    ------
    NeckError, TheoryError
        When there are fewer or more, or the same one comes twice.
    """
    given = triads.split() if isinstance(triads, str) else triads
    read = tuple(parse_triad(one) if isinstance(one, str) else one for one in given)
    if not 2 <= len(read) <= 3:
        raise NeckError(
            f"{len(read)} {'triad' if len(read) == 1 else 'triads'} cannot be merged",
            mend="Give two or three triads, such as C and Am",
        )
    for number, triad in enumerate(read):
        if triad in read[:number]:
            raise NeckError(f"{triad} is merged with itself", mend="Give another triad")
    return read


def find_merged(
    triads: str | Sequence[Triad | str],
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    *,
    hand: str | HandProfile = "medium",
) -> list[MergedArpeggio]:
    """Every merged arpeggio of two or three triads in a place (see the module), the best first.

    Parameters
    ----------
    triads : as values or symbols, or symbols in one text: ``"C Am"``.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows such as ``"5-8"`` or ``(2, 4)``; those that use every string of a
        given window come first.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    list of MergedArpeggio
        Empty where none lies there; :func:`why_not_merged` says why.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> print(find_merged("C Am", frets="5-8", strings="2-4")[0])
    C and Am: 4/5 4/7 3/5 2/5 2/8
    """
    return [arpeggio for _, arpeggio in ranked_merged(triads, guitar, frets, strings, hand)]


def ranked_merged(
    triads: str | Sequence[Triad | str],
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    hand: str | HandProfile = "medium",
) -> list[tuple[float, MergedArpeggio]]:
    """As :func:`find_merged`, each with its cost in mm of stretch.

    Parameters
    ----------
    triads : two or three, or their symbols in one text.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows to stay within, such as ``"5-8"`` and ``"2-4"``.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    list of (float, MergedArpeggio)
        The cheapest first.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> cost, arpeggio = ranked_merged("C Am", frets="5-8", strings="2-4")[0]
    >>> print(round(cost, 1), *(f"{place.string}/{place.fret}" for place in arpeggio.positions))
    18.8 4/5 4/7 3/5 2/5 2/8
    """
    read = read_merged(triads)
    guitar = read_guitar(guitar)
    profile = hand_profile(hand)
    window = fret_window(frets, guitar), _strings(strings, guitar)
    asked = 0 if strings is None else window[1][1] - window[1][0] + 1
    found = [
        (_cost(climb, guitar.capo, profile, asked), climb.lowest, climb.places)
        for climb in _climbs(read, guitar, window, profile.greatest_reach_mm)
    ]
    found.sort()
    return [(cost, MergedArpeggio(read, places)) for cost, _, places in found]


def why_not_merged(
    triads: str | Sequence[Triad | str],
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    *,
    hand: str | HandProfile = "medium",
) -> str:
    """Why no merged arpeggio there runs through in one sweep, as a sentence; ``""`` if one does.

    The nearest way out is named: other frets, other strings, or how far a hand would have to
    reach; last of all, that the sweep must break.

    Parameters
    ----------
    triads : two or three, or their symbols in one text.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    frets, strings : windows to stay within.
    hand : whose greatest reach bounds the frame.

    Returns
    -------
    str
        A sentence, or ``""``.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> why_not_merged("C Am", frets="5-8", strings="2-4")
    ''
    """
    read = read_merged(triads)
    guitar = read_guitar(guitar)
    profile = hand_profile(hand)
    reach_mm = profile.greatest_reach_mm
    names = listed(read)
    here = fret_window(frets, guitar), _strings(strings, guitar)
    all_frets, all_strings = fret_window(None, guitar), string_window(None, guitar)

    def swept(
        window: tuple[tuple[int, int], tuple[int, int]], reach: float = reach_mm
    ) -> list[_Climb]:
        return list(_climbs(read, guitar, window, reach, most_inner=1))

    if swept(here):
        return ""
    ways_out: list[str] = []
    for window, words in (
        ((all_frets, here[1]), "at frets {0} on these strings"),
        ((here[0], all_strings), "on strings {1} at these frets"),
        ((all_frets, all_strings), "at frets {0} on strings {1}"),
    ):
        is_new = window != here and not (len(ways_out) and window == (all_frets, all_strings))
        if is_new and (found := swept(window)):
            places = min(
                found, key=lambda one: (_way_to(one.places, here), one.width_mm, one.places)
            ).places
            frets_there = [place.fret for place in places]
            ways_out.append(
                words.format(
                    f"{min(frets_there)}-{max(frets_there)}",
                    f"{places[-1].string}-{places[0].string}",
                )
            )
    if ways_out:
        return f"{names} have no sweep there; they have one {', or '.join(ways_out)}"
    count = bin(_mask(read)).count("1")
    if wider := swept((all_frets, all_strings), float("inf")):
        span_mm = min(climb.width_mm for climb in wider)
        return (
            f"the {count} tones of {names} lie so near to each other that a note a string would"
            f" take a reach of {span_mm:.0f} mm, but a {profile.name} hand has {reach_mm:.0f} mm:"
            " the sweep must break"
        )
    return (
        f"the {count} tones of {names} do not fit a note a string on this instrument:"
        " the sweep must break"
    )


def _way_to(places: Sequence[Position], window: tuple[tuple[int, int], tuple[int, int]]) -> int:
    """How far some places lie outside a window: frets and strings, added up."""
    return sum(
        max(frets[0] - at, at - frets[1], 0)
        for place in places
        for at, frets in zip((place.fret, place.string), window, strict=True)
    )


def _strings(strings: Span | None, guitar: Guitar) -> tuple[int, int]:
    first, last = string_window(strings, guitar)
    if last - first + 1 < FEWEST_STRINGS:
        raise NeckError(
            f"strings {first}-{last} are too few for a merged arpeggio",
            mend=f"Give a window of {FEWEST_STRINGS} or more strings",
        )
    return first, last


def _mask(triads: Sequence[Triad]) -> int:
    mask = 0
    for triad in triads:
        mask |= triad.mask
    return mask


class _Climb(NamedTuple):
    """One merged arpeggio, and what its cost is made from.

    Parameters
    ----------
    lowest, highest : frets.
    strings : how many.
    turns : notes on the lowest string, and on the highest.
    breaks : inner strings with two notes.
    sweep : notes of the longest run, each on the string after the last.
    """

    places: tuple[Position, ...]
    width_mm: float
    lowest: int
    highest: int
    strings: int
    turns: tuple[int, int]
    breaks: int
    sweep: int
    rolled: int
    open_strings: int


def _climbs(
    triads: Sequence[Triad],
    guitar: Guitar,
    window: tuple[tuple[int, int], tuple[int, int]],
    reach_mm: float,
    most_inner: int = MOST_INNER,
) -> list[_Climb]:
    """Every merged arpeggio, in no order."""
    (low_fret, high_fret), (top, bottom) = window
    every = _mask(triads)
    tones = [pc for pc in range(12) if every >> pc & 1]
    rise = {a: (b - a - 1) % 12 + 1 for a, b in pairwise((*tones, tones[0]))}
    opens = {s: guitar.midi_at(Position(s, 0)) for s in range(top, bottom + 1)}
    place = {
        (s, fret): (Position(s, fret), guitar.along(Position(s, fret)))
        for s in opens
        for fret in range(low_fret, high_fret + 1)
    }
    found: list[_Climb] = []

    # What is known of the notes so far is counted on the way up: whole necks have thousands.
    def climb(
        string: int,
        strings: int,
        midi: int,
        heard: int,
        frame: tuple[float, float, float],
        path: tuple[Position, ...],
        frets: tuple[int, int, int],
        first: int,
        breaks: int,
        run: int,
        sweep: int,
        rolled: int,
        open_strings: int,
    ) -> None:
        """Lay notes from ``midi`` up on a string; end there, and go on to the next string."""
        low, high, longest = frame
        lowest, highest, before = frets
        for count in range(1, MOST_OUTER + 1):
            here = place.get((string, midi - opens[string]))
            if here is None:
                return
            position, along = here
            fret = position.fret
            if fret:
                low, high = min(low, along), max(high, along)
                longest = max(longest, guitar.scale_mm[string - 1])
                if (high - low) * longest > reach_mm:
                    return
            else:
                open_strings += 1
            if count == 1:
                run += 1
                rolled += before == fret > 0
            else:
                run = 1
            sweep = max(sweep, run)
            before = fret
            lowest, highest = min(lowest, fret), max(highest, fret)
            path = (*path, position)
            heard |= 1 << midi % 12
            midi += rise[midi % 12]
            if strings >= FEWEST_STRINGS and heard == every:
                width = high * longest - low * longest if longest else 0.0
                turns = first, count
                found.append(
                    _Climb(
                        path,
                        width,
                        lowest,
                        highest,
                        strings,
                        turns,
                        breaks,
                        sweep,
                        rolled,
                        open_strings,
                    )
                )
            if string > top and count <= (MOST_OUTER if strings == 1 else most_inner):
                climb(
                    string - 1,
                    strings + 1,
                    midi,
                    heard,
                    (low, high, longest),
                    path,
                    (lowest, highest, before),
                    count if strings == 1 else first,
                    breaks + (strings > 1 and count > 1),
                    run,
                    sweep,
                    rolled,
                    open_strings,
                )

    for string in range(bottom, top + FEWEST_STRINGS - 2, -1):
        for fret in range(low_fret, high_fret + 1):
            midi = opens[string] + fret
            if every >> midi % 12 & 1:
                frame, frets = (1.0, 0.0, 0.0), (high_fret, 0, -1)
                climb(string, 1, midi, 0, frame, (), frets, 0, 0, 0, 0, 0, 0)
    return found


def _cost(climb: _Climb, capo: int, hand: HandProfile, asked: int) -> float:
    """The cost of one, in mm of stretch; ``asked`` strings are to be used, 0 for any number."""
    places, width, (first, last) = climb.places, climb.width_mm, climb.turns
    # Term by term, in the order of MERGED_COSTS: whole necks have thousands.
    left_out, broken, opened, outside, third, no_turn, roll, high, wide, frame = _PRICES
    cost = (
        broken * climb.breaks
        + opened * climb.open_strings
        + outside * (1 - climb.sweep / len(places))
        + third * ((first == 3) + (last == 3))
        + no_turn * ((first == 1) + (last == 1))
        + roll * climb.rolled
        + frame * width
    )
    if asked > climb.strings:
        cost += left_out * (asked - climb.strings)
    if climb.highest + capo > 17:
        cost += high * (climb.highest + capo - 17)
    if width > hand.comfortable_reach_mm:
        cost += wide * (width - hand.comfortable_reach_mm)
    return round(cost, 3)
