"""How are two licks alike, and what is the interval between them?  Said in words.

``near`` (:mod:`lickwright.shelf.neighbours`) finds the pairs; this compares them note by note.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum

from lickwright.lick import LickNote
from lickwright.score import Score
from lickwright.shelf.likeness.fingerprints import Prints, line_of, prints_of

#: Lines that share less than so much of the shorter one are not called alike.
LEAST_SHARE = 0.6
#: The shortest run of intervals that counts as shared.
SHORTEST_RUN = 3

_STEPS = (
    "at the same pitch",
    "a minor second",
    "a major second",
    "a minor third",
    "a major third",
    "a fourth",
    "a tritone",
    "a fifth",
    "a minor sixth",
    "a major sixth",
    "a minor seventh",
    "a major seventh",
)


class Alike(StrEnum):
    """What two licks have in common, the closest first."""

    NOTES = "the same notes"
    LINE = "the same line"
    SHAPE = "the same shape"
    TONES = "the same chord tones"
    PARTS = "parts of the line"
    WAY = "the same contour and rhythm"


@dataclass(frozen=True, slots=True)
class Likeness:
    """How a lick that is on the shelf is like a new one.

    Parameters
    ----------
    alike : the closest thing that they have in common.
    semitones : from the new one to the one on the shelf; ``None`` where no interval holds.
    shared : how many notes of the shorter one are in the other too, in their order.
    notes : how many notes the shorter one has.
    inside : whether the shorter one is that on the shelf.
    same_rhythm, same_contour, same_strings : what else they share.
    """

    alike: Alike
    semitones: int | None
    shared: int
    notes: int
    inside: bool
    same_rhythm: bool
    same_contour: bool
    same_strings: bool

    @property
    def closeness(self) -> tuple[int, int, int]:
        """A key to sort by, the closest first."""
        rank = list(Alike).index(self.alike)
        return rank, -self.shared, 0 if self.same_rhythm else 1

    def in_words(self, where: str) -> str:
        """One sentence; ``where`` names the lick on the shelf."""
        moved = "" if self.semitones is None else f", {interval_in_words(self.semitones)}"
        rhythm = "in the same rhythm" if self.same_rhythm else "in another rhythm"
        strings = "" if self.same_strings else ", on other strings"
        if self.alike is Alike.NOTES:
            return f"You taught this, note for note, in {where}{strings}"
        if self.alike is Alike.LINE:
            return f"You taught this line in {where}{moved}{strings}, {rhythm}"
        if self.alike is Alike.SHAPE:
            order = "in the same contour" if self.same_contour else "in another order"
            return f"You taught this shape in {where}{moved}, {order} and {rhythm[3:]}"
        if self.alike is Alike.TONES:
            return f"You taught these tones in {where}{moved}{strings}, in another order"
        if self.alike is Alike.PARTS:
            count = "all" if self.shared == self.notes else f"{self.shared} of"
            if self.inside:
                return f"It holds {count} the {self.notes} notes of {where}{moved}, {rhythm}"
            count = count.capitalize()
            return f"{count} its {self.notes} notes stand in {where}{moved}, {rhythm}"
        return f"The contour and the rhythm are those of {where}, with other notes"


def interval_in_words(semitones: int) -> str:
    """``"a fourth lower"``, ``"an octave and a minor third higher"``, ``"at the same pitch"``."""
    if semitones == 0:
        return _STEPS[0]
    octaves, step = divmod(abs(semitones), 12)
    words = []
    if octaves:
        words.append("an octave" if octaves == 1 else f"{octaves} octaves")
    if step:
        words.append(_STEPS[step])
    return f"{' and '.join(words)} {'higher' if semitones > 0 else 'lower'}"


def compare(new: Score, old: Score) -> Likeness | None:
    """How an old lick is like a new one; ``None`` where it is not."""
    new_prints, old_prints = prints_of(new), prints_of(old)
    if new_prints is None or old_prints is None:
        return None
    ours, theirs = new.lick.notes, old.lick.notes
    shared, semitones = _shared(ours, theirs)
    notes = min(len(ours), len(theirs))
    kind = _kind(new_prints, old_prints, shared / notes)
    if kind is None:
        return None
    if kind in (Alike.SHAPE, Alike.TONES):
        semitones = _lowest(theirs) - _lowest(ours)
    elif kind is Alike.WAY:
        semitones = None
    same_rhythm = new_prints.rhythm == old_prints.rhythm
    if kind is Alike.LINE and semitones == 0 and same_rhythm:
        kind = Alike.NOTES
    return Likeness(
        kind,
        semitones,
        shared,
        notes,
        len(theirs) < len(ours),
        same_rhythm,
        new_prints.contour == old_prints.contour,
        _strings(ours) == _strings(theirs),
    )


def _kind(new: Prints, old: Prints, share: float) -> Alike | None:
    if new.line == old.line:
        return Alike.LINE
    if new.shape == old.shape:
        return Alike.SHAPE
    if new.tones == old.tones:
        return Alike.TONES
    if share >= LEAST_SHARE:
        return Alike.PARTS
    if new.contour == old.contour and new.rhythm == old.rhythm:
        return Alike.WAY
    return None


def _shared(ours: Sequence[LickNote], theirs: Sequence[LickNote]) -> tuple[int, int | None]:
    """How many notes stand in both in the same order, and the interval that most of them keep."""
    matcher = SequenceMatcher(None, line_of(ours), line_of(theirs), autojunk=False)
    votes: Counter[int] = Counter()
    for block in matcher.get_matching_blocks():
        if block.size >= SHORTEST_RUN:
            moved = theirs[block.b].pitch.midi - ours[block.a].pitch.midi
            votes[moved] += block.size + 1
    if not votes:
        return 0, None
    # Of two intervals that as many notes keep, the smaller is said.
    semitones = min(votes, key=lambda moved: (-votes[moved], abs(moved), moved))
    return min(votes[semitones], len(ours), len(theirs)), semitones


def _lowest(notes: Sequence[LickNote]) -> int:
    return min(note.pitch.midi for note in notes)


def _strings(notes: Sequence[LickNote]) -> list[int]:
    return [note.position.string for note in notes]
