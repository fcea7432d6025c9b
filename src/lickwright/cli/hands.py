"""Commands for neck and left hand: shapes, fingers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from lickwright.lick.fingering import FingeredNote, Fingering, NoteCosts, Pin
    from lickwright.neck import Guitar, HandProfile, Position
    from lickwright.neck.shapes import MergedArpeggio, Shape, ShapePair

TUNING = Annotated[
    str,
    typer.Option("--tuning", metavar="NAME", help="a tuning's name, or its notes lowest first"),
]
CAPO = Annotated[int, typer.Option("--capo", metavar="FRET", min=0, help="the capo's fret")]
HAND = Annotated[str, typer.Option("--hand", help="whose hand: small, medium or large")]
FRETS = Annotated[
    str | None, typer.Option("--frets", metavar="A-B", help="stay within these frets")
]
STRINGS = Annotated[
    str | None, typer.Option("--strings", metavar="A-B", help="stay on these strings, 1 highest")
]
SHOW = Annotated[
    int, typer.Option("--show", metavar="N", min=1, help="how many to print, as JSON too")
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(shapes)
    app.command()(fingers)


def shapes(
    triads: Annotated[
        list[str],
        typer.Argument(metavar="TRIAD...", help="one triad, two to join, two or three to merge"),
    ],
    frets: FRETS = None,
    strings: STRINGS = None,
    notes_per_string: Annotated[
        str | None,
        typer.Option(
            "--notes-per-string",
            metavar="N",
            help="1, 2, or a pattern from the lowest string such as 21112",
        ),
    ] = None,
    contour: Annotated[
        str | None,
        typer.Option("--contour", help="of a pair: up-down, down-up, up-up or down-down"),
    ] = None,
    merged: Annotated[
        bool, typer.Option("--merged", help="the triads as one arpeggio, laid to be swept")
    ] = False,
    tuning: TUNING = "standard",
    capo: CAPO = 0,
    hand: HAND = "medium",
    show: SHOW = 10,
    as_json: AS_JSON = False,
) -> None:
    """List the shapes of a triad, of two triads that join, or of triads merged into one."""
    from lickwright.errors import NeckError
    from lickwright.neck.shapes import find_joined_shapes, find_shapes

    guitar = _guitar(tuning, capo)
    if merged:
        for option, given in (("--contour", contour), ("--notes-per-string", notes_per_string)):
            if given is not None:
                raise NeckError(f"{option} is not for merged triads", mend=f"Take {option} out")
        _merged(triads, guitar, frets, strings, hand, show, as_json)
        return
    if len(triads) > 2:
        raise NeckError(
            f"{len(triads)} triads were given",
            mend="Give one triad, or two to join, or write --merged",
        )
    if len(triads) == 2:
        pairs = find_joined_shapes(
            triads[0],
            triads[1],
            guitar,
            frets,
            strings,
            notes_per_string,
            contour=contour,
            hand=hand,
        )
        if as_json:
            _print_json([_pair_data(pair, guitar) for pair in pairs[:show]])
        else:
            _print_pairs(pairs, show)
        return
    if contour is not None:
        raise NeckError("a contour is for two triads", mend="Give a second triad")
    found = find_shapes(triads[0], guitar, frets, strings, notes_per_string, hand=hand)
    if as_json:
        _print_json([_shape_data(shape, guitar) for shape in found[:show]])
    else:
        _print_shapes(found, guitar, show)


def _merged(
    triads: Sequence[str],
    guitar: Guitar,
    frets: str | None,
    strings: str | None,
    hand: str,
    show: int,
    as_json: bool,
) -> None:
    from lickwright.neck.shapes import ranked_merged, why_not_merged

    found = ranked_merged(triads, guitar, frets, strings, hand)
    why = why_not_merged(triads, guitar, frets, strings, hand=hand)
    if as_json:
        arpeggios = [_merged_data(arpeggio, cost, guitar) for cost, arpeggio in found[:show]]
        _print_json({"found": len(found), "arpeggios": arpeggios, "why_no_sweep": why})
        return
    for cost, arpeggio in found[:show]:
        low, high = arpeggio.frame_mm(guitar)
        typer.echo(_merged_lines(arpeggio, guitar))
        typer.echo(f"{arpeggio.in_words(guitar)}; {high - low:.0f} mm, cost {cost:.1f}\n")
    if why:
        typer.echo(f"{why[0].upper()}{why[1:]}.")
    _echo_more(len(found), show)


def _merged_lines(arpeggio: MergedArpeggio, guitar: Guitar) -> str:
    """Places, their notes and whose they are, in columns."""
    rows = [("", *(f"{place.string}/{place.fret}" for place in arpeggio.positions))]
    names = [_name_in(arpeggio, place, guitar) for place in arpeggio.positions]
    rows.append(("", *names))
    for number, triad in enumerate(arpeggio.triads):
        held = (number in arpeggio.members(place, guitar) for place in arpeggio.positions)
        rows.append(
            (str(triad), *(name if own else "." for name, own in zip(names, held, strict=True)))
        )
    return _columns(rows)


def _name_in(arpeggio: MergedArpeggio, place: Position, guitar: Guitar) -> str:
    """A note's name as the first of its triads spells it."""
    triad = arpeggio.triads[arpeggio.members(place, guitar)[0]]
    pc = guitar.midi_at(place) % 12
    return next(str(name) for name in triad.notes if name.pc == pc)


def _merged_data(arpeggio: MergedArpeggio, cost: float, guitar: Guitar) -> dict[str, Any]:
    low, high = arpeggio.frame_mm(guitar)
    return {
        "notes": [
            {
                "string": place.string,
                "fret": place.fret,
                "note": _name_in(arpeggio, place, guitar),
                "triads": [str(arpeggio.triads[n]) for n in arpeggio.members(place, guitar)],
            }
            for place in arpeggio.positions
        ],
        "notes_per_string": list(arpeggio.notes_per_string),
        "sweep": arpeggio.sweep,
        "breaks": list(arpeggio.breaks),
        "in_words": arpeggio.in_words(guitar),
        "frame_mm": [round(low, 1), round(high, 1)],
        "cost": cost,
    }


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

    guitar = _guitar(tuning, capo)
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
        _print_json([_fingering_data(one, cost) for one, cost in zip(found, costs, strict=True)])
        return
    typer.echo(_fingering_table(found))
    if why:
        said = explain_fingers(
            places, guitar, tempo, pins, onsets=onsets, hand=whose, objective=objective
        )
        typer.echo(f"\n{said}")


def _guitar(tuning: str, capo: int) -> Guitar:
    from lickwright.neck import Guitar, parse_tuning

    return Guitar(open_strings=parse_tuning(tuning), capo=capo)


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


def _print_shapes(found: Sequence[Shape], guitar: Guitar, show: int) -> None:
    from lickwright.neck.shapes import INVERSIONS

    if not found:
        typer.echo("No shape lies in this window under one hand.")
        return
    rows = [("string/fret, low to high", "frets", "frame", "notes a string", "")]
    for shape in found[:show]:
        low, high = shape.frame_mm(guitar)
        rows.append(
            (
                _places_text(shape),
                f"{shape.lowest_fret}-{shape.highest_fret}",
                f"{high - low:.0f} mm",
                "".join(map(str, shape.notes_per_string)),
                INVERSIONS[shape.inversion(guitar)],
            )
        )
    typer.echo(_columns(rows))
    _echo_more(len(found), show)


def _print_pairs(pairs: Sequence[ShapePair], show: int) -> None:
    if not pairs:
        typer.echo("No two shapes in this window join under the hand.")
        return
    for pair in pairs[:show]:
        rise = pair.contour.partition("-")
        for shape, way in ((pair.first, rise[0]), (pair.second, rise[2])):
            typer.echo(f"{shape.triad!s:<6}{_places_text(shape)}  ({way})")
        typer.echo(f"      {'; '.join(pair.reasons)}\n")
    _echo_more(len(pairs), show)


def _echo_more(count: int, show: int) -> None:
    if count > show:
        typer.echo(f"{count - show} more: --show {count}")


def _places_text(shape: Shape) -> str:
    return " ".join(f"{place.string}/{place.fret}" for place in shape.positions)


def _fingering_table(found: Sequence[Fingering]) -> str:
    cells = [f"{note.position.string}/{note.position.fret}" for note in found[0].notes]
    rows = [("note", *cells)]
    for fingering in found:
        rows.append(("finger", *(str(note.finger) for note in fingering.notes)))
        rows.append(("position", *_positions(fingering.notes)))
    return _columns(rows)


def _positions(notes: Sequence[FingeredNote]) -> list[str]:
    """The hand's position where it is new, a dot where it stays."""
    said = []
    before: int | None = None
    for note in notes:
        said.append("." if note.place in (None, before) else str(note.place))
        before = note.place
    return said


def _columns(rows: Sequence[Sequence[str]]) -> str:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )


def _shape_data(shape: Shape, guitar: Guitar) -> dict[str, Any]:
    low, high = shape.frame_mm(guitar)
    return {
        "triad": str(shape.triad),
        "notes": [{"string": place.string, "fret": place.fret} for place in shape.positions],
        "notes_per_string": list(shape.notes_per_string),
        "inversion": shape.inversion(guitar),
        "frame_mm": [round(low, 1), round(high, 1)],
    }


def _pair_data(pair: ShapePair, guitar: Guitar) -> dict[str, Any]:
    return {
        "first": _shape_data(pair.first, guitar),
        "second": _shape_data(pair.second, guitar),
        "contour": pair.contour,
        "step": pair.step,
        "travel_mm": pair.travel_mm,
        "cost": pair.cost,
        "reasons": list(pair.reasons),
    }


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


def _print_json(data: Any) -> None:
    import json

    typer.echo(json.dumps(data, indent=2))
