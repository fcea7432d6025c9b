"""``lickwright learn-hands``: a player's hand from tabs with fingers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from lickwright.lesson.file import Lesson
    from lickwright.lick.habits import FingeredLine


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("learn-hands")(learn_hands)


def learn_hands(
    lessons: Annotated[list[Path], typer.Argument(metavar="LESSON...", help="lesson files (YAML)")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="write the hand to this file")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print for machines")] = False,
) -> None:
    """Learn a player's left hand from tabs that have a finger for every note."""
    from dataclasses import replace

    from lickwright.files import write_whole
    from lickwright.lesson.file import load_lesson
    from lickwright.lick.habits import hand_in_words, learn_hand, print_profile
    from lickwright.neck import hand_profile

    read = [load_lesson(path) for path in lessons]
    learnt = learn_hand([line for lesson in read for line in _lines(lesson)])
    size = read[0].entry.hand
    said = hand_in_words(learnt)
    text = print_profile(replace(hand_profile(size), habits=learnt.habits), said)
    if out is not None:
        write_whole(out, text.encode())
    if as_json:
        import json

        data = {
            "lines": learnt.lines,
            "notes": learnt.notes,
            "agreed_before": learnt.before,
            "agreed_after": learnt.after,
            "kept_usual": not learnt.better,
            "hand": size,
            "weights": dict(learnt.habits),
            "words": said,
        }
        typer.echo(json.dumps(data, indent=2))
        return
    typer.echo(f"{learnt.lines} lines, {learnt.notes} notes.")
    typer.echo("\n".join(said))
    if out is not None:
        typer.echo(f"Written: {out}")


def _lines(lesson: Lesson) -> Iterator[FingeredLine]:
    """The examples of a lesson whose teacher has given a finger for every note."""
    from lickwright.lesson.compile import Workshop
    from lickwright.lick.habits import fingered_line

    workshop = Workshop(lesson)
    for index, entry in enumerate(lesson.examples):
        if not entry.fingers or None in entry.fingers:
            continue
        worked = workshop.worked(index)
        notes = worked.score.lick.notes
        if len(entry.fingers) != len(notes):
            continue
        yield fingered_line(
            [note.position for note in notes],
            [[note.finger or 0 for note in notes]],
            lesson.guitar,
            worked.score.target_bpm,
            onsets=[note.onset for note in notes],
            hand=lesson.entry.hand,
            techniques=[note.technique for note in notes],
        )
