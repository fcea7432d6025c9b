"""``lickwright take``: hold a recording against an example, or write it down as one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from lickwright.lesson.file import Lesson
    from lickwright.take import Take
    from lickwright.take.listening import Recording


def register(app: typer.Typer) -> None:
    """Add this room's command."""
    app.command("take")(take)


def take(
    lesson: Annotated[Path, typer.Argument(metavar="LESSON", help="a lesson file (YAML)")],
    example: Annotated[
        str,
        typer.Argument(
            metavar="EXAMPLE", help="an example's name or number; with --transcribe, any new name"
        ),
    ],
    audio: Annotated[
        Path,
        typer.Argument(
            metavar="AUDIO", help="the recording: an audio file, or a film with its sound"
        ),
    ],
    tempo: Annotated[
        float | None,
        typer.Option(
            "--tempo", metavar="BPM", min=20, max=400, help="quarter notes a minute; else found"
        ),
    ] = None,
    transcribe: Annotated[
        bool, typer.Option("--transcribe", help="write down what is played, as an example")
    ] = False,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE.svg", help="draw what was heard on the tab"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print for machines")] = False,
) -> None:
    """Check what was played against what is printed, note by note."""
    from lickwright.lesson.file import load_lesson
    from lickwright.take.listening import read_recording

    read = load_lesson(lesson)
    recording = read_recording(audio)
    if transcribe:
        _refuse_picture(picture)
        _print_proposal(read, example, recording, tempo, as_json)
        return
    heard = _checked(read, example, recording, tempo)
    if picture is not None:
        _write(picture, heard)
    if as_json:
        _print_json(heard)
    else:
        _print_take(heard)


def _checked(lesson: Lesson, example: str, recording: Recording, tempo: float | None) -> Take:
    from lickwright.errors import LessonError, did_you_mean
    from lickwright.lesson.compile import Workshop
    from lickwright.take.judging import check_take

    index = _index(lesson, example)
    if index is None:
        names = [entry.name for entry in lesson.examples]
        raise LessonError(
            f"the lesson has no example '{example}'",
            mend=did_you_mean(example, names) or f"Name one of 1 to {len(names)}",
            where=lesson.spot("examples"),
        )
    return check_take(Workshop(lesson).worked(index).score, recording, tempo)


def _index(lesson: Lesson, example: str) -> int | None:
    """The example of a name, or of a number counted from 1."""
    names = [entry.name for entry in lesson.examples]
    if example in names:
        return names.index(example)
    folded = [name.casefold() for name in names]
    if example.casefold() in folded:
        return folded.index(example.casefold())
    if example.isascii() and example.isdigit() and 1 <= int(example) <= len(names):
        return int(example) - 1
    return None


def _refuse_picture(picture: Path | None) -> None:
    from lickwright.errors import OutputError

    if picture is not None:
        raise OutputError(
            "a picture shows a take beside its example", mend="Leave --picture or --transcribe out"
        )


def _write(path: Path, heard: Take) -> None:
    from lickwright.errors import OutputError
    from lickwright.take.judging import take_svg

    try:
        path.write_text(take_svg(heard), encoding="utf-8")
    except OSError as error:
        raise OutputError(
            f"{path} could not be written: {error.strerror or error}",
            mend="Give a place where files can be written",
        ) from error


def _print_json(heard: Take) -> None:
    import json

    from lickwright.take.judging import not_heard, remarks

    data = heard.as_data()
    data["remarks"] = [
        {"hand": r.hand, "notes": [n + 1 for n in r.notes], "text": r.text} for r in remarks(heard)
    ]
    data["not_heard"] = list(not_heard(heard))
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))


def _print_take(heard: Take) -> None:
    from lickwright.take.judging import not_heard, remarks

    typer.echo(
        f"{heard.score.name}: {heard.tempo_bpm:.1f} quarter notes a minute,"
        f" first bar line at {heard.start_s:.2f} s"
    )
    typer.echo("note  string/fret  due s    verdict      late ms  ring ms")
    for note in heard.notes:
        place = heard.score.lick.notes[note.index].position
        late = "" if note.late_s is None else f"{1000 * note.late_s:+.0f}"
        ring = "" if note.ring_s is None else f"{1000 * note.ring_s:.0f}"
        row = (
            f"{note.index + 1:>4}  {f'{place.string}/{place.fret}':<11}  {note.expected_s:>6.2f}"
            f"   {note.verdict.value:<12} {late:>7}  {ring:>7}"
        )
        typer.echo(row.rstrip())
    hand = ""
    for remark in remarks(heard):
        if remark.hand != hand:
            hand = remark.hand
            typer.echo({"both": "", "picking": "Picking hand:"}.get(hand, "Fretting hand:"))
        typer.echo(f"  {remark.text}")
    typer.echo("What a recording cannot tell:")
    for line in not_heard(heard):
        typer.echo(f"  {line}")


def _print_proposal(
    lesson: Lesson, example: str, recording: Recording, tempo: float | None, as_json: bool
) -> None:
    import json

    from lickwright.lick.rhythm import Meter
    from lickwright.take.writing import transcribe

    index = _index(lesson, example)
    entry = None if index is None else lesson.examples[index]
    tempi = lesson.entry.tempo if entry is None else lesson.tempo_of(entry)
    beats, unit = (entry and entry.time) or lesson.entry.time
    key = (entry and entry.key) or lesson.entry.key
    proposal = transcribe(
        recording,
        lesson.guitar,
        key,
        tempo,
        near_bpm=(tempi.target, tempi.slow),
        meter=Meter.of(beats, unit),
        hand=lesson.hand,
        policy=(entry.picking if entry is not None else "sweep"),
    )
    over = str(key.tonic)
    if entry is not None and entry.over is not None:
        over = str(entry.over)
    elif entry is not None and entry.under is not None:
        over = str(entry.under.bass_note)
    name = example if entry is None else entry.name
    text = proposal.example_text(name, over)
    if as_json:
        notes = [
            {"onset_s": round(n.onset_s, 4), "end_s": round(n.end_s, 4), "midi": n.midi}
            for n in proposal.heard
        ]
        data = {"tempo_bpm": round(proposal.tempo_bpm, 2), "notes": notes, "example": text}
        typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
        return
    typer.echo(text, nl=False)
    typer.echo(
        "Heard, not known: read it through. The first note is taken to begin a bar; strings,"
        " fingers and strokes are chosen, not heard.",
        err=True,
    )
