"""Commands on harmony: implies, rebass, pairs, triads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from lickwright.theory import NoteName, Triad

from lickwright.cli.harmony.plain_data import (
    group_data,
    over_data,
    over_pair_data,
    pair_data,
    reading_data,
)
from lickwright.cli.harmony.words import (
    degrees,
    heard,
    new_table,
    print_json,
    print_lines,
    print_table,
    readings_table,
    symbol,
)

PLAYED = Annotated[
    list[str],
    typer.Argument(
        metavar="TRIAD...", help="triads such as Gm 'C# dim', or notes such as 'Bb D F'"
    ),
]
LOOSE = Annotated[
    list[str] | None, typer.Option("--note", metavar="NOTE", help="a loose note beside the triads")
]
KEY = Annotated[
    str | None, typer.Option("--key", metavar="KEY", help="a key that spells, such as 'D dorian'")
]
SHOW = Annotated[int, typer.Option("--show", metavar="N", min=1, help="how many to print")]
STYLE = Annotated[
    Literal["plain", "symbol", "slash"],
    typer.Option("--style", metavar="STYLE", help="how names are written: plain, symbol or slash"),
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(implies)
    app.command()(rebass)
    app.command()(pairs)
    app.command()(triads)


def implies(
    played: PLAYED,
    over: Annotated[
        str | None, typer.Option("--over", metavar="BASS", help="the sounding bass")
    ] = None,
    under: Annotated[
        str | None,
        typer.Option("--under", metavar="CHORD", help="the chord that the band sounds below"),
    ] = None,
    note: LOOSE = None,
    key: KEY = None,
    show: SHOW = 5,
    in_turn: Annotated[
        bool,
        typer.Option("--in-turn", help="a line of even eighths: notes that only lead don't count"),
    ] = False,
    style: STYLE = "plain",
    why: Annotated[bool, typer.Option("--why", help="show every part of the strength")] = False,
    as_json: AS_JSON = False,
) -> None:
    """Name what triads, or loose notes, imply over a bass, or say over a chord."""
    from lickwright.errors import TheoryError
    from lickwright.theory.hearing import implied_chords

    if (over is None) == (under is None):
        raise TheoryError(
            "what sounds below is not said" if over is None else "a bass and a chord both below",
            mend="Give --over and a bass, or --under and the chord that the band sounds",
        )
    if under is not None:
        _print_over(played, note, under, key, as_json)
        return
    assert over is not None
    leading: list[str] = []
    notes: list[Triad | NoteName] = []
    if in_turn:
        notes, leading = _in_turn(" ".join([*played, *(note or ())]), over)
    readings = implied_chords(notes or _notes(played, note), over, key)
    if as_json:
        found = [reading_data(reading) for reading in readings]
        print_json({"readings": found, "leading": leading} if in_turn else found)
        return
    print_lines([f"{' '.join([*played, *(note or ())])} over {over}"])
    print_lines([] if in_turn else _read_as(played))
    print_lines(leading)
    print_table(readings_table(readings[:show], style))
    for reading in readings[:show] if why else ():
        print_lines(["", f"{symbol(reading, style)}  {reading.strength:.0%}"])
        print_lines([f"  {term}" for term in reading.why])
    if len(readings) > show:
        print_lines([f"{len(readings) - show} less likely: --show {len(readings)}"])


def _in_turn(text: str, over: str) -> tuple[list[Triad | NoteName], list[str]]:
    """The notes of a line that make its harmony, and the words for those that lead to them."""
    from lickwright.theory import parse_note_name
    from lickwright.theory.hearing import even_line, harmony_of, ornaments

    line = even_line(text)
    names = [parse_note_name(word.rstrip("0123456789")) for word in text.replace(",", " ").split()]
    harmony = harmony_of(line, parse_note_name(over).pc)
    said = [
        f"note {each.index + 1}, {names[each.index]}: {_ORNAMENTS[each.kind]} to {names[each.into]}"
        for each in ornaments(line, harmony)
    ]
    return [name for name in names if harmony >> name.pc & 1], said


_ORNAMENTS = {
    "passing": "a passing note",
    "neighbour": "a neighbour note",
    "enclosure": "an enclosure",
    "approach": "an approach note",
    "leaning": "a leaning note",
}


def _print_over(
    played: list[str], note: list[str] | None, under: str, key: str | None, as_json: bool
) -> None:
    """What the notes say over a chord, and what they make with it."""
    from lickwright.theory import parse_chord, parse_key
    from lickwright.theory.hearing import heard_over, sum_over

    below, in_key = parse_chord(under), None if key is None else parse_key(key)
    notes = _notes(played, note)
    said, together = heard_over(notes, below, in_key), sum_over(notes, below, in_key)
    if as_json:
        print_json({**over_data(said), "together": together and reading_data(together)})
        return
    print_lines([f"{' '.join([*played, *(note or ())])} over the chord {under}"])
    pairs = zip(said.notes, said.degrees, strict=True)
    print_lines(["  ".join(f"{name}={degree}" for name, degree in pairs)])
    print_lines(str(said).split("; "))
    if together is not None:
        print_lines([f"together they make {symbol(together)}"])


def rebass(
    played: PLAYED,
    note: LOOSE = None,
    key: KEY = None,
    as_json: AS_JSON = False,
) -> None:
    """Name the same triads, or notes, over each of the twelve basses."""
    from lickwright.theory.finding import over_every_bass

    rows = over_every_bass(_notes(played, note), key)
    if as_json:
        print_json(
            [
                {"over": str(bass), "readings": [reading_data(reading) for reading in readings]}
                for bass, readings in rows.items()
            ]
        )
        return
    print_lines([f"{' '.join([*played, *(note or ())])} over every bass", *_read_as(played)])
    table = new_table("over", "implies", "heard", "notes", "or")
    for bass, readings in rows.items():
        first = readings[0]
        others = [*first.also, *(reading.symbol for reading in readings[1:3])]
        table.add_row(
            str(bass),
            symbol(first),
            heard(first),
            degrees(first),
            "  ".join(dict.fromkeys(others)),
        )
    print_table(table)


def pairs(
    chord: Annotated[str, typer.Argument(metavar="CHORD", help="the wanted chord, such as Bbmaj9")],
    over: Annotated[
        str | None, typer.Option("--over", metavar="BASS", help="another sounding bass")
    ] = None,
    key: KEY = None,
    with_triad: Annotated[
        str | None, typer.Option("--with", metavar="TRIAD", help="only groups with this triad")
    ] = None,
    rootless: Annotated[
        bool, typer.Option("--rootless", help="only groups that leave the root to the bass")
    ] = False,
    max_avoid: Annotated[
        int | None,
        typer.Option("--max-avoid", metavar="N", min=0, help="at most so many avoid notes"),
    ] = None,
    added: Annotated[
        int,
        typer.Option("--added", metavar="N", min=0, help="with --alone: tensions they may add"),
    ] = 0,
    alone: Annotated[
        bool,
        typer.Option("--alone", help="only pairs and triples that say the chord without a band"),
    ] = False,
    show: SHOW = 12,
    as_json: AS_JSON = False,
) -> None:
    """Find the pairs of triads to play over a chord, or those that imply it alone."""
    if alone or added or over is not None:
        _print_alone(
            (chord, over, key, with_triad, rootless, max_avoid), added, show=show, as_json=as_json
        )
        return
    from lickwright.theory.finding import pairs_over

    found = pairs_over(chord, key, with_triad, max_avoid, rootless=rootless)
    if as_json:
        print_json([over_pair_data(pair) for pair in found])
        return
    if not found:
        print_lines([f"No scale of {chord} holds such a pair"])
        return
    table = new_table(
        "triads", "scale", "each gives", "leaves to the band", "rubs", "shared", "step"
    )
    for pair in found[:show]:
        table.add_row(
            " ".join(map(str, pair.triads)),
            pair.scale.name,
            " | ".join(" ".join(colour) for colour in pair.colours),
            " ".join(pair.over.leaves) or "nothing",
            ", ".join(f"{rub.degree} against {rub.against}" for rub in pair.over.rubs),
            " ".join(map(str, pair.shared)),
            str(pair.step_semitones),
        )
    print_table(table)
    if len(found) > show:
        print_lines([f"{len(found) - show} more: --show {len(found)}"])


def _print_alone(
    asked: tuple[str, str | None, str | None, str | None, bool, int | None],
    added: int,
    *,
    show: int,
    as_json: bool,
) -> None:
    """The pairs and triples that say a chord over its bass by themselves."""
    from lickwright.theory.finding import pairs_for

    groups = pairs_for(*asked, added_tones=added)
    if as_json:
        print_json([group_data(group) for group in groups])
        return
    if not groups:
        print_lines([f"No triads say {asked[0]} by themselves; let them add tensions: --added 1"])
        return
    table = new_table("triads", "implies", "complete", "heard", "each gives", "shared", "step")
    for group in groups[:show]:
        table.add_row(
            " ".join(map(str, group.triads)),
            group.reading.symbol,
            f"{group.completeness:.0%}",
            heard(group.reading) + ("" if group.place == 1 else f" (no. {group.place})"),
            " | ".join(" ".join(colour) for colour in group.colours),
            " ".join(map(str, group.shared)),
            str(group.step_semitones),
        )
    print_table(table)
    if len(groups) > show:
        print_lines([f"{len(groups) - show} more: --show {len(groups)}"])


def triads(
    scale: Annotated[str, typer.Argument(metavar="SCALE", help="such as 'D dorian'")],
    sharing: Annotated[
        int,
        typer.Option("--sharing", metavar="N", min=0, max=2, help="notes a pair may share"),
    ] = 0,
    over: Annotated[
        str | None,
        typer.Option("--over", metavar="BASS", help="read the pairs over another bass"),
    ] = None,
    as_json: AS_JSON = False,
) -> None:
    """List the triads of a scale, its hexatonic pairs and what each leaves out."""
    from lickwright.theory.finding import pairs_in, triads_in

    inside, found = triads_in(scale), pairs_in(scale, sharing=sharing, over=over)
    if as_json:
        print_json(
            {"triads": [str(triad) for triad in inside], "pairs": [pair_data(p) for p in found]}
        )
        return
    print_lines([f"{scale}: {' '.join(map(str, inside))}", ""])
    table = new_table(
        "pair", "notes", "leaves out", "shared", "step", f"implies over {over or 'the tonic'}"
    )
    for pair in found:
        table.add_row(
            f"{pair.first} {pair.second}",
            " ".join(map(str, pair.notes)),
            " ".join(map(str, pair.complement)),
            " ".join(map(str, pair.shared)),
            str(pair.step_semitones),
            symbol(pair.reading),
        )
    print_table(table)


def _notes(played: list[str], loose: list[str] | None) -> list[Triad | NoteName]:
    """Triads, and notes where one argument lists several or ``--note`` gives them."""
    from lickwright.errors import TheoryError
    from lickwright.theory import parse_note_name, parse_triad

    notes: list[Triad | NoteName] = []
    for text in played:
        words = text.replace(",", " ").split()
        try:
            several = [parse_note_name(word) for word in words] if len(words) > 1 else []
        except TheoryError:  # not a list of notes: a triad in two words, such as F# dim
            several = []
        notes += several or [parse_triad(text)]
    return [*notes, *(parse_note_name(text) for text in loose or ())]


def _read_as(played: list[str]) -> list[str]:
    """A line that says so where three bare letters or more, mostly meant as notes, are triads."""
    from lickwright.theory import NoteName, TriadQuality

    read = _notes(played, None)
    if len(read) < 3 or any(
        isinstance(each, NoteName) or each.quality is not TriadQuality.MAJOR for each in read
    ):
        return []
    return [
        f"Read as {len(read)} major triads; for the notes alone, write them as one: "
        f"'{' '.join(played)}'"
    ]
