"""Where do the notes stand on the staff? The clef, and the octave brackets over high passages.

A guitar is written an octave above its sound, so its clef is a treble clef with a small 8 below;
a bass has the bass clef with a small 8; a small four-string instrument, whose lowest string is
high, is written where it sounds.  Octave brackets are chosen for the whole line at once: the
cheapest way through it, where ledger lines cost, and so does each change of bracket.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lickwright.neck import Guitar
from lickwright.theory import Pitch, parse_pitch


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef: MusicXML sign, staff line, octaves from written to sounding pitch.

    ``bottom_step`` and ``top_step`` are the outer staff lines as written staff steps
    (:attr:`Pitch.staff_step`).
    """

    sign: str
    line: int
    octave: int
    bottom_step: int

    @property
    def top_step(self) -> int:
        return self.bottom_step + 8

    @property
    def middle_step(self) -> int:
        return self.bottom_step + 4

    def written_step(self, pitch: Pitch) -> int:
        """The staff step of a sounding pitch as this clef shows it."""
        return pitch.staff_step - 7 * self.octave

    def ledger_lines(self, step: int) -> int:
        """Ledger lines that a written step needs."""
        if step > self.top_step:
            return (step - self.top_step) // 2
        return max(0, (self.bottom_step - step) // 2)


TREBLE = Clef("G", 2, 0, parse_pitch("E4").staff_step)
GUITAR = Clef("G", 2, -1, parse_pitch("E4").staff_step)
BASS = Clef("F", 4, -1, parse_pitch("G2").staff_step)

#: An instrument whose highest open string sounds no higher than this is read in the bass clef.
BASS_TOP_MIDI = 50
#: An instrument whose lowest open string sounds no lower than this is written where it sounds.
TREBLE_BOTTOM_MIDI = 55

#: Octaves from the sounding line to the page per bracket: 15ma, 8va, none, 8vb.
SHIFTS = (-2, -1, 0, 1)
#: Ledger lines that read without effort; beyond them each costs its square.
EASY_LEDGERS = 2
#: What a change of bracket costs beside them: at a bar line, on a beat, inside a beat.
CHANGE = (20, 26, 36)
#: What a note under a bracket costs, for each octave and for each ledger line the bracket causes.
SHIFTED = 3


def clef_for(guitar: Guitar, pitches: Sequence[Pitch]) -> Clef:
    """The clef of an example: the instrument's, or the bass clef where a line lies that low.

    Parameters
    ----------
    guitar : decides the usual clef.
    pitches : the sounding pitches of the line; on seven strings and more, a line that mostly
        lies far below the treble staff is written in the bass clef.
    """
    sounding = [pitch.midi + guitar.capo for pitch in guitar.open_strings]
    if max(sounding) <= BASS_TOP_MIDI:
        return BASS
    if min(sounding) >= TREBLE_BOTTOM_MIDI:
        return TREBLE
    if guitar.string_count >= 7 and pitches:
        steps = sorted(GUITAR.written_step(pitch) for pitch in pitches)
        if GUITAR.bottom_step - steps[len(steps) // 2] > 2 * EASY_LEDGERS + 1:
            return BASS
    return GUITAR


def octave_shifts(clef: Clef, pitches: Sequence[Pitch], breaks: Sequence[int]) -> tuple[int, ...]:
    """Per note the octaves by which a bracket moves it on the page: -1 under 8va, 0 for none.

    Parameters
    ----------
    pitches : sounding pitches in time.
    breaks : per note 0 where a bar begins with it, 1 for a beat, 2 for neither; brackets change
        more readily in that order.
    """
    if not pitches:
        return ()
    best = [reading_cost(clef, pitches[0], shift) for shift in SHIFTS]
    came_from: list[list[int]] = []
    for index in range(1, len(pitches)):
        change = CHANGE[breaks[index]]
        origins, costs = [], []
        for here, shift in enumerate(SHIFTS):
            origin = min(
                range(len(SHIFTS)), key=lambda there: best[there] + change * (there != here)
            )
            origins.append(origin)
            costs.append(
                best[origin] + change * (origin != here) + reading_cost(clef, pitches[index], shift)
            )
        best = costs
        came_from.append(origins)
    here = min(range(len(SHIFTS)), key=best.__getitem__)
    path = [here]
    for origins in reversed(came_from):
        here = origins[here]
        path.append(here)
    return tuple(SHIFTS[state] for state in reversed(path))


def reading_cost(clef: Clef, pitch: Pitch, shift: int) -> int:
    """How hard a note is to read under a bracket that moves it ``shift`` octaves; 0 is easy."""
    step = clef.written_step(pitch) + 7 * shift
    ledgers = clef.ledger_lines(step)
    cost = 4 * max(0, ledgers - EASY_LEDGERS) ** 2 + SHIFTED * abs(shift)
    if (shift < 0) == (step < clef.middle_step):
        cost += 2 * SHIFTED * abs(shift) * ledgers
    return cost
