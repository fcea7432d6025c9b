"""Which fingers play a line?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from lickwright.cli.hands.asking import (
    AS_JSON,
    CAPO,
    FRETS,
    HAND,
    STRINGS,
    TUNING,
    guitar_of,
    in_columns,
    print_json,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from lickwright.lick.fingering import FingeredNote, Fingering, NoteCosts, Pin
    from lickwright.neck import Guitar, HandProfile, Position


def fingers(
    notes: Annotated[
        list[str],
        typer.Argument(
            metavar="NOTE...",
            help="STRING/FRET, string 1 the highest: 5/12 5/15 4/14; or pitches such as A3 C4 E4, "
            "whose strings are then chosen too",
        ),
    ],
    tempo: Annotated[
        float | None, typer.Option("--tempo", metavar="BPM", help="quarter notes a minute")
    ] = None,
    rhythm: Annotated[
        str | None, typer.Option("--rhythm", help="such as 16ths; sixteenths without it")
    ] = None,
    pin: Annotated[
        list[str] | None,
        typer.Option("--pin", metavar="N=F", help="finger F on note N, counted from 1"),
    ] = None,
    objective: Annotated[
        str,
        typer.Option("--objective", help="sum: least work; minimax: easiest hardest moment"),
    ] = "sum",
    frets: FRETS = None,
    strings: STRINGS = None,
    tuning: TUNING = "standard",
    capo: CAPO = 0,
    hand: HAND = "medium",
    profile: Annotated[
        Path | None, typer.Option("--profile", metavar="FILE", help="a learnt hand, for --hand")
    ] = None,
    best: Annotated[
        int, typer.Option("--best", metavar="K", min=1, help="how many fingerings to print")
    ] = 1,
    why: Annotated[bool, typer.Option("--why", help="say why it won, note by note")] = False,
    as_json: AS_JSON = False,
) -> None:
    """Find the best left-hand fingers for a line."""
    from lickwright.errors import HandError
    from lickwright.lick.fingering import best_fingerings, explain_fingers, price_fingers
    from lickwright.lick.habits import read_profile

    guitar = guitar_of(tuning, capo)
    whose = hand if profile is None else read_profile(profile)
    pins = dict(_pin(text) for text in pin or ())
    onsets = _onsets(rhythm, len(notes))
    if any("/" in note for note in notes):
        if frets is not None or strings is not None:
            raise HandError(
                "the notes have their frets and strings already",
                mend="Give --frets and --strings with pitches, such as A3 C4 E4",
            )
        places = [_place(note) for note in notes]
    else:
        places = _chosen(notes, guitar, tempo, pins, onsets, whose, objective, frets, strings)
    found = best_fingerings(
        places, guitar, tempo, pins, count=best, onsets=onsets, hand=whose, objective=objective
    )
    if as_json:
        costs = [
            price_fingers(one.notes, guitar, tempo, onsets=onsets, hand=whose) for one in found
        ]
        print_json([_fingering_data(one, cost) for one, cost in zip(found, costs, strict=True)])
        return
    typer.echo(_fingering_table(found))
    if why:
        said = explain_fingers(
            places, guitar, tempo, pins, onsets=onsets, hand=whose, objective=objective
        )
        typer.echo(f"\n{said}")


def _place(text: str) -> Position:
    from lickwright.errors import HandError
    from lickwright.neck import Position

    string, _, fret = text.partition("/")
    if not (string.isascii() and string.isdigit() and fret.isascii() and fret.isdigit()):
        raise HandError(
            f"'{text}' is not a note of a line",
            mend="Write STRING/FRET for every note, such as 4/10",
        )
    return Position(int(string), int(fret))


def _pin(text: str) -> tuple[int, int | Pin]:
    from lickwright.errors import HandError

    note, _, finger = text.partition("=")
    if not (note.isascii() and note.isdigit() and finger.isascii() and finger.isdigit()):
        raise HandError(f"'{text}' is not a pin", mend="Write NOTE=FINGER, such as 3=1")
    return int(note) - 1, int(finger)


def _onsets(rhythm: str | None, count: int) -> Sequence[Fraction] | None:
    from lickwright.lick.rhythm import lay_out, parse_rhythm

    if rhythm is None:
        return None
    return [onset for onset, _ in lay_out(parse_rhythm(rhythm), count).spans]


def _chosen(
    notes: Sequence[str],
    guitar: Guitar,
    tempo: float | None,
    pins: dict[int, int | Pin],
    onsets: Sequence[Fraction] | None,
    hand: str | HandProfile,
    objective: str,
    frets: str | None,
    strings: str | None,
) -> list[Position]:
    from lickwright.lick.strings import choose_strings

    line = choose_strings(
        notes,
        guitar,
        tempo,
        pins,
        onsets=onsets,
        hand=hand,
        objective=objective,
        frets=frets,
        strings=strings,
    )
    return [note.position for note in line]


def _fingering_table(found: Sequence[Fingering]) -> str:
    cells = [f"{note.position.string}/{note.position.fret}" for note in found[0].notes]
    rows = [("note", *cells)]
    for fingering in found:
        rows.append(("finger", *(str(note.finger) for note in fingering.notes)))
        rows.append(("position", *_positions(fingering.notes)))
    return in_columns(rows)


def _positions(notes: Sequence[FingeredNote]) -> list[str]:
    """The hand's position where it is new, a dot where it stays."""
    said = []
    before: int | None = None
    for note in notes:
        said.append("." if note.place in (None, before) else str(note.place))
        before = note.place
    return said


def _fingering_data(fingering: Fingering, costs: Sequence[NoteCosts]) -> dict[str, Any]:
    return {
        "cost": fingering.cost,
        "notes": [
            {
                "string": note.position.string,
                "fret": note.position.fret,
                "finger": note.finger,
                "position": note.place,
                "stretch_mm": cost.stretch_mm,
                "travel_mm": cost.travel_mm,
                "costs": [
                    {"name": term.name, "cost": term.cost, "why": term.why} for term in cost.terms
                ],
            }
            for note, cost in zip(fingering.notes, costs, strict=True)
        ],
    }
