"""What is wrong or doubtful in a lesson, each with file, line, what and how to mend it.

An *error* is something that cannot be played or is not true: it stops the build.  A *warning* is
for the teacher's eyes: it goes on the margin report, never on the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor
from typing import Literal

from lickwright.errors import Finding, LickwrightError, Spot
from lickwright.lesson.compile import Span, Worked, Workshop
from lickwright.lesson.file import Lesson
from lickwright.lick.hands import check_reach, playability
from lickwright.lick.picking import check_strokes
from lickwright.neck.shapes import listed
from lickwright.theory.hearing import judge


def check(lesson: Lesson) -> list[Finding]:
    """Every finding in a lesson, in the order of its examples.

    Parameters
    ----------
    lesson : as :func:`~lickwright.lesson.file.reading.load_lesson` reads it.

    Returns
    -------
    list of Finding
        Errors and warnings; empty where there is nothing to mend.
    """
    shop = Workshop(lesson)
    return [
        finding for index in range(len(lesson.examples)) for finding in check_example(shop, index)
    ]


@dataclass(frozen=True, slots=True)
class Flaw:
    """A finding that knows the key of its example but not yet the line in the file.

    The build keeps flaws of examples it does not rebuild; lines may have moved since.  ``note`` is
    the index of the note that the flaw stands at, ``None`` where it is not of one note; the build
    has no use for it and does not keep it.
    """

    severity: Literal["error", "warning"]
    key: str
    what: str
    mend: str
    note: int | None = None

    def as_data(self) -> dict[str, str]:
        """The flaw as plain data, as the build's manifest keeps it."""
        return {"severity": self.severity, "key": self.key, "what": self.what, "mend": self.mend}

    def finding(self, lesson: Lesson, index: int) -> Finding:
        spot = lesson.spot("examples", index, self.key)
        return Finding(self.severity, self.what, self.mend, spot, lesson.examples[index].name)


def check_example(shop: Workshop, index: int) -> list[Finding]:
    """Every finding in one example; music that is impossible is one finding, an error."""
    lesson = shop.lesson
    try:
        worked = shop.worked(index)
    except LickwrightError as error:
        where = error.where or Spot(str(lesson.path))
        name = lesson.examples[index].name
        return [Finding("error", error.what, error.mend or "Change it", where, name)]
    return [flaw.finding(lesson, index) for flaw in flaws(worked, lesson)]


def flaws(worked: Worked, lesson: Lesson) -> list[Flaw]:
    """What is wrong or doubtful in an example that was worked out."""
    return [
        *_claims(worked),
        *_breaks(worked),
        *_cut(worked),
        *_strokes(worked),
        *_reaches(worked, lesson),
        *_tempi(worked, lesson),
    ]


def _claims(worked: Worked) -> Iterator[Flaw]:
    """The teacher's chord symbols against what sounds."""
    key = "implies" if worked.entry.changes is None else "changes"
    for span in worked.spans:
        if span.claim is None or not span.notes:
            continue
        verdict = judge(span.claim, list(span.notes), span.over, span.key)
        if verdict.holds != "yes":
            bar = _bar_of(worked, span)
            where = f"bar {bar}: " if len(worked.spans) > 1 else ""
            heard = verdict.first.symbol
            yield Flaw(
                "error" if verdict.holds == "no" else "warning",
                key,
                f"{where}{verdict.what}",
                f"Write {heard}, or change the notes" if heard else "Change the notes",
            )


def _bar_of(worked: Worked, span: Span) -> int:
    return worked.score.bar_at(span.onset).number


def _breaks(worked: Worked) -> Iterator[Flaw]:
    """Merged arpeggios through which no single stroke passes."""
    for arpeggio in worked.arpeggios:
        if arpeggio.breaks:
            said = arpeggio.in_words(worked.score.guitar)
            yield Flaw(
                "warning",
                worked.entry.kind,
                f"{listed(arpeggio.triads)} merged: {said}",
                "Choose other frets or strings for a sweep that passes, or let it be",
            )


def _cut(worked: Worked) -> Iterator[Flaw]:
    """Parts of a carried lick that a chord ends too early."""
    for said in worked.cut:
        yield Flaw(
            "warning",
            "changes",
            said,
            "Let the chord last as long as the lick (Dm9 | %)"
            + (", or set filled to held or rest" if worked.entry.filled == "round" else ""),
        )


def _tempi(worked: Worked, lesson: Lesson) -> Iterator[Flaw]:
    """A target tempo above what the page estimates for the player's hands."""
    score = worked.score
    if len(score.lick.notes) < 2:
        return
    report = playability(
        score.lick,
        score.guitar,
        score.target_bpm,
        policy=worked.entry.picking,
        meter=score.meter,
        player=lesson.player,
    )
    hands = [
        (need, hand)
        for need, hand in ((report.left_ceiling, "fretting"), (report.pick_ceiling, "picking"))
        if need is not None and need.ceiling_bpm < score.target_bpm
    ]
    if hands:
        need, hand = min(hands, key=lambda one: one[0].ceiling_bpm)
        yield Flaw(
            "warning",
            "tempo" if worked.entry.tempo is not None else "name",
            f"the target {score.target_bpm:g} is above the estimated ceiling of"
            f" {need.ceiling_bpm:.0f} for {report.whom}, which note {need.note + 1} sets for the"
            f" {hand} hand: {need.why}",
            f"Set a target of {floor(need.ceiling_bpm)} or less, name another player,"
            " or change that place",
            need.note,
        )


def _strokes(worked: Worked) -> Iterator[Flaw]:
    """Strokes the pick cannot make, by note."""
    notes, meter = worked.score.lick.notes, worked.score.meter
    for problem in check_strokes(
        [note.position for note in notes],
        [note.stroke for note in notes],
        [note.technique for note in notes],
        onsets=[note.onset - meter.pickup for note in notes],
        beat=meter.beats,
        policy=worked.entry.picking,
    ):
        yield Flaw("error", "strokes", problem.what, problem.mend, problem.note)


def _reaches(worked: Worked, lesson: Lesson) -> Iterator[Flaw]:
    """Stretches that the lesson's hand does not have, by note."""
    lick, guitar = worked.score.lick, worked.score.guitar
    key = "fingers" if worked.entry.fingers else worked.entry.kind
    pinned = {i for i, finger in enumerate(worked.entry.fingers or ()) if finger is not None}
    for problem in check_reach(lick.notes, guitar, lesson.hand, pinned):
        yield Flaw("error", key, problem.what, problem.mend, problem.note)
