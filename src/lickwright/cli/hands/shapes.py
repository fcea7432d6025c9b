"""Where do triads lie on the neck, one by one, joined or merged?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from lickwright.cli.hands.asking import (
    AS_JSON,
    CAPO,
    FRETS,
    HAND,
    SHOW,
    STRINGS,
    TUNING,
    guitar_of,
    in_columns,
    print_json,
    say_more,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.neck import Guitar, Position
    from lickwright.neck.shapes import MergedArpeggio, Shape, ShapePair


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
    loop: Annotated[
        bool, typer.Option("--loop", help="a pair goes round: judge its way back as well")
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

    guitar = guitar_of(tuning, capo)
    if merged:
        own = {"--contour": contour, "--notes-per-string": notes_per_string, "--loop": loop}
        for option, given in own.items():
            if given:
                raise NeckError(f"{option} is not for merged triads", mend=f"Take {option} out")
        _merged(triads, guitar, frets, strings, hand, show, as_json)
        return
    if len(triads) > 2:
        raise NeckError(
            f"{len(triads)} triads were given",
            mend="Give one triad, or two to join, or write --merged",
        )
    if len(triads) == 2:
        first, second = triads
        pairs = find_joined_shapes(
            *(first, second, guitar, frets, strings, notes_per_string),
            contour=contour,
            hand=hand,
            loop=loop,
        )
        if as_json:
            print_json([_pair_data(pair, guitar) for pair in pairs[:show]])
        else:
            _print_pairs(pairs, show, loop=loop)
        return
    if contour is not None or loop:
        raise NeckError("a contour or a loop is for two triads", mend="Give a second triad")
    found = find_shapes(triads[0], guitar, frets, strings, notes_per_string, hand=hand)
    if as_json:
        print_json([_shape_data(shape, guitar) for shape in found[:show]])
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
        print_json({"found": len(found), "arpeggios": arpeggios, "why_no_sweep": why})
        return
    for cost, arpeggio in found[:show]:
        low, high = arpeggio.frame_mm(guitar)
        typer.echo(_merged_lines(arpeggio, guitar))
        typer.echo(f"{arpeggio.in_words(guitar)}; {high - low:.0f} mm, cost {cost:.1f}\n")
    if why:
        typer.echo(f"{why[0].upper()}{why[1:]}.")
    say_more(len(found), show)


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
    return in_columns(rows)


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
    typer.echo(in_columns(rows))
    say_more(len(found), show)


def _print_pairs(pairs: Sequence[ShapePair], show: int, *, loop: bool) -> None:
    if not pairs:
        typer.echo("No two shapes in this window join under the hand.")
        return
    for pair in pairs[:show]:
        rise = pair.contour.partition("-")
        for shape, way in ((pair.first, rise[0]), (pair.second, rise[2])):
            typer.echo(f"{shape.triad!s:<6}{_places_text(shape)}  ({way})")
        back = f"; and round again by {abs(pair.back)} semitones" if loop else ""
        typer.echo(f"      {'; '.join(pair.reasons)}{back}\n")
    say_more(len(pairs), show)


def _places_text(shape: Shape) -> str:
    return " ".join(f"{place.string}/{place.fret}" for place in shape.positions)


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
        "back": pair.back,
        "travel_mm": pair.travel_mm,
        "cost": pair.cost,
        "reasons": list(pair.reasons),
    }
