"""What is wrong or doubtful in a lesson, each with file, line, what and how to mend it.

An *error* is something that cannot be played or is not true: it stops the build.  A *warning* is
for the teacher's eyes: it goes on the margin report, never on the page.  Whatever the example lists
under ``meant`` is shown as *meant* and stops nothing.

Only ``implies`` is a claim.  ``changes`` and ``under`` are what the band sounds: a line may play
what it likes over them, and a note that another third, fifth or seventh of the chord speaks against
is a warning where neither the key nor its way on by step explains it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import reduce
from math import floor
from operator import or_

from lickwright.errors import Finding, LickwrightError, Severity, Spot
from lickwright.lesson.compile import Span, Worked, Workshop
from lickwright.lesson.file import Lesson
from lickwright.lick import LickNote
from lickwright.lick.hands import check_reach, playability
from lickwright.lick.picking import check_strokes
from lickwright.lick.rhythm import Meter
from lickwright.neck.shapes import listed
from lickwright.theory import Chord, NoteName
from lickwright.theory.hearing import (
    ClaimVerdict,
    LineTone,
    Rub,
    heard_over,
    judge_line,
    ornaments,
)


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

    severity: Severity
    key: str
    what: str
    mend: str
    note: int | None = None
    bar: int | None = None

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
    found = [
        *_claims(worked, _meter(worked, lesson)),
        *_breaks(worked),
        *_cut(worked),
        *_strokes(worked),
        *_reaches(worked, lesson),
        *_tempi(worked, lesson),
    ]
    return [replace(flaw, severity="meant") if _is_meant(worked, flaw) else flaw for flaw in found]


def _is_meant(worked: Worked, flaw: Flaw) -> bool:
    bar = flaw.bar
    if bar is None and flaw.note is not None:
        bar = worked.score.bar_at(worked.score.lick.notes[flaw.note].onset).number
    return any(
        meant.key == flaw.key and meant.bar in (None, bar) for meant in worked.entry.meant or ()
    )


def _meter(worked: Worked, lesson: Lesson) -> Meter:
    entry = worked.entry
    beats, unit = entry.time or lesson.entry.time
    return Meter.of(beats, unit, (entry.pickup or Fraction(0)) * Fraction(4, unit))


def _claims(worked: Worked, meter: Meter) -> Iterator[Flaw]:
    """The teacher's claims against what sounds, and the line against what the band sounds."""
    entry = worked.entry
    if entry.changes is None and entry.under is None:
        for span in worked.spans:
            if span.claim is not None:
                yield from _claimed(worked, span.claim, (span,), span.over, meter)
        return
    if entry.implies is not None:
        below = {span.claim for span in worked.spans if span.claim is not None}
        band = next(iter(below)) if len(below) == 1 else None
        over = band.bass_note if band is not None else entry.implies.bass_note
        yield from _claimed(worked, entry.implies, worked.spans, over, meter, band)
    for span in worked.spans:
        yield from _rubs(worked, span, meter)


def _claimed(
    worked: Worked,
    claim: Chord,
    spans: tuple[Span, ...],
    over: NoteName,
    meter: Meter,
    band: Chord | None = None,
) -> Iterator[Flaw]:
    """What a line says to a claim over the whole of its time."""
    line = _line(_notes_in(worked, spans[0].onset, spans[-1].end), meter)
    if not line:
        return
    given = reduce(or_, (triad.mask for span in spans for triad in span.triads), 0)
    verdict = judge_line(claim, line, over, spans[0].key, given=given, below=band)
    if verdict.holds == "yes":
        return
    alone = len(worked.spans) == 1
    bar = worked.score.bar_at(spans[0].onset).number
    yield Flaw(
        "error" if verdict.holds == "no" else "warning",
        "implies",
        verdict.what if alone else f"bar {bar}: {verdict.what}",
        _mend(verdict),
        bar=bar,
    )


def _mend(verdict: ClaimVerdict) -> str:
    heard = verdict.first.symbol.replace("(no5)", "")  # nobody writes that a fifth is left out
    return f"Write {heard}, or change the notes" if heard else "Change the notes"


def _rubs(worked: Worked, span: Span, meter: Meter) -> Iterator[Flaw]:
    """Notes that stand against what the band sounds, each pitch class once."""
    notes = _notes_in(worked, span.onset, span.end)
    if span.claim is None or not notes:
        return
    line = _line(notes, meter)
    leads = {each.index for each in ornaments(line, span.claim.mask)}
    rubs: dict[int, Rub] = {
        rub.note.pc: rub
        for rub in heard_over(list(dict.fromkeys(tone.midi % 12 for tone in line)), span.claim).rubs
        if rub.hard and not span.key.has(rub.note)
    }
    for at, (note, tone) in enumerate(zip(notes, line, strict=True)):
        rub = rubs.pop(tone.midi % 12, None) if at not in leads else None
        if rub is not None:
            index = worked.score.lick.notes.index(note)
            bar = worked.score.bar_at(note.onset).number
            key = "changes" if worked.entry.changes is not None else "under"
            yield Flaw(
                "warning",
                key,
                f"bar {bar}: {rub} of {span.claim}",
                f"Move it by a half step, or write meant: [{key}] if it is to rub",
                index,
                bar,
            )


def _notes_in(worked: Worked, start: Fraction, end: Fraction) -> list[LickNote]:
    return [note for note in worked.score.lick.notes_in(start, end) if not note.marks.dead]


def _line(notes: Sequence[LickNote], meter: Meter) -> list[LineTone]:
    return [
        LineTone(
            note.pitch.midi,
            note.onset,
            note.duration,
            2 if meter.is_strong(note.onset) else 1 if meter.on_beat(note.onset) else 0,
        )
        for note in notes
    ]


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
