"""The two pictures of Find: what a pair implies over twelve basses, and which pairs imply a chord.

*The rose*: the basses stand round a circle in fifths; from the pair in the middle a petal grows
towards each bass, the longer the more surely its chord is heard.  A petal of solid colour has its
root in the triads; an open one leaves the root to the bass or to the ear.

*The web*: the triads that can take part in a chord stand round a circle, in the order of fifths
and in the shapes of their qualities; a thread joins each pair that implies the chord, the thicker
the more of the chord it says.

Both are pictures of facts that stand beside them in a table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from lickwright.drawing import INK, PAPER, Shape, number, printed_symbol, svg
from lickwright.theory import NoteName, Triad, TriadQuality
from lickwright.theory.finding import TriadGroup
from lickwright.theory.hearing import Reading

_SIZE = 600.0
_MIDDLE = _SIZE / 2
#: The hub that holds the pair, the rim that a sure chord reaches, and where chords are named.
_HUB, _RIM, _NAMES = 58.0, 186.0, 220.0

#: Where the triads of a web stand.
_KNOTS = 236.0

_SHAPES: dict[TriadQuality, Shape] = {
    TriadQuality.MAJOR: "disc",
    TriadQuality.MINOR: "tile",
    TriadQuality.DIMINISHED: "kite",
    TriadQuality.AUGMENTED: "hexagon",
    TriadQuality.SUS4: "hexagon",
    TriadQuality.SUS2: "hexagon",
}


def _turn(pc: int) -> float:
    """Where a pitch class stands on the circle of fifths: radians from the top, clockwise."""
    return 2 * math.pi * (pc * 7 % 12) / 12


def _at(turn: float, radius: float) -> tuple[float, float]:
    return _MIDDLE + radius * math.sin(turn), _MIDDLE - radius * math.cos(turn)


def _frame(title: str, description: str, parts: Sequence[str]) -> str:
    size = number(_SIZE)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="lw-chart" role="img" '
        f'viewBox="0 0 {size} {size}" font-family="{svg.FONTS}">'
        f"<title>{svg.escape_xml(title)}</title><desc>{svg.escape_xml(description)}</desc>"
        f"{''.join(parts)}</svg>"
    )


def rose(
    triads: Sequence[Triad], rows: Mapping[NoteName, Sequence[Reading]], chosen: NoteName | None
) -> str:
    """The rose of some triads: SVG, each petal marked with ``data-bass``."""
    parts = [
        f'<circle class="rim" cx="{number(_MIDDLE)}" cy="{number(_MIDDLE)}" '
        f'r="{number(_HUB + (_RIM - _HUB) * share)}"/>'
        for share in (0.5, 1.0)
    ]
    own = {note.pc for triad in triads for note in triad.notes}
    said = []
    for bass, readings in rows.items():
        first = readings[0]
        is_chosen = chosen is not None and chosen.pc == bass.pc
        kind = "root" if first.root.pc in own else "open"
        parts.append(_petal(bass, first, f"petal {kind}{' chosen' if is_chosen else ''}"))
        said.append(
            f"Over {bass}: {first.symbol or 'no common name'}, {round(100 * first.strength)} of 100"
        )
    names = [printed_symbol(str(triad)) for triad in triads]
    for index, name in enumerate(names):
        y = _MIDDLE + 26.0 * (index - (len(names) - 1) / 2) + 7.0
        parts.append(svg.text(_MIDDLE, y, name, INK, 21.0, "bold"))
    title = f"What {' and '.join(map(str, triads))} imply over every bass"
    return _frame(title, ". ".join(said) + ".", parts)


def _petal(bass: NoteName, reading: Reading, classes: str) -> str:
    turn = _turn(bass.pc)
    tip = _HUB + (_RIM - _HUB) * max(0.12, reading.strength) ** 2
    half = 0.2
    left, right = _at(turn - half, _HUB), _at(turn + half, _HUB)
    wide = (_HUB + tip) / 2 + 14
    (x1, y1), (x2, y2), (x3, y3) = _at(turn - half, wide), _at(turn, tip), _at(turn + half, wide)
    path = (
        f"M{left[0]:.1f} {left[1]:.1f}Q{x1:.1f} {y1:.1f} {x2:.1f} {y2:.1f}"
        f"Q{x3:.1f} {y3:.1f} {right[0]:.1f} {right[1]:.1f}Z"
    )
    symbol = printed_symbol(reading.symbol) or "?"
    x, y = _at(turn, _NAMES)
    side = math.sin(turn)
    anchor = "middle" if abs(side) < 0.3 else ("start" if side > 0 else "end")
    room = _MIDDLE - 4 if anchor == "middle" else _MIDDLE - abs(x - _MIDDLE) - 4
    size = min(16.0, 16.0 * room / max(room, svg.text_width(symbol, 16.0)))
    name_x, name_y = _at(turn, _RIM + 14)
    return (
        f'<g class="{classes}" data-bass="{svg.escape_xml(str(bass))}"><path d="{path}"/>'
        f"{svg.text(name_x, name_y + 4.5, printed_symbol(str(bass)), svg.SOFT, 13.0, names='soft')}"
        f"{svg.text(x, y + 5.5, symbol, INK, size, 'bold', anchor=anchor)}</g>"
    )


def web(groups: Sequence[TriadGroup], chosen: TriadGroup | None, name: str) -> str:
    """The web of the pairs that imply the chord ``name``; threads are marked ``data-pair``."""
    pairs = [group for group in groups if len(group.triads) == 2]
    triads = sorted(
        {triad for group in pairs for triad in group.triads},
        key=lambda triad: (_turn(triad.root.pc), str(triad.quality)),
    )
    # Evenly round the circle: where a triad stands is its turn in fifths, not its distance.
    at = {
        triad: _at(2 * math.pi * (place + 0.5) / len(triads), _KNOTS)
        for place, triad in enumerate(triads)
    }
    parts = [
        f'<circle class="rim" cx="{number(_MIDDLE)}" cy="{number(_MIDDLE)}" r="{number(_KNOTS)}"/>'
    ]
    said = []
    for index, group in reversed(list(enumerate(pairs))):
        (x1, y1), (x2, y2) = (at[triad] for triad in group.triads)
        bend = 0.25
        bx, by = ((x1 + x2) / 2, (y1 + y2) / 2)
        bx, by = bx + (_MIDDLE - bx) * bend, by + (_MIDDLE - by) * bend
        classes = "thread" + (" chosen" if group is chosen else "")
        classes += " rootless" if group.without_root else ""
        width = 1.5 + 6.5 * group.completeness * group.reading.strength**2
        parts.append(
            f'<path class="{classes}" data-pair="{index}" d="M{x1:.1f} {y1:.1f}Q{bx:.1f} {by:.1f} '
            f'{x2:.1f} {y2:.1f}" stroke-width="{width:.1f}"/>'
        )
    for group in pairs:
        words = " and ".join(map(str, group.triads))
        said.append(f"{words}: {round(100 * group.completeness)} of 100 of the chord")
    active = set(chosen.triads) if chosen is not None else set()
    for triad, (x, y) in at.items():
        kind = _SHAPES[triad.quality]
        knot = svg.shape(kind, x, y, 29.0, PAPER, "knot-shape", INK, 1.6)
        classes = "knot chosen" if triad in active else "knot"
        parts.append(f'<g class="{classes}">{knot}{_fitted(x, y, printed_symbol(str(triad)))}</g>')
    words = printed_symbol(name)
    parts.append(svg.text(_MIDDLE, _MIDDLE + 10, words, INK, 32.0, "bold", "ink centre"))
    return _frame(f"Pairs of triads that imply {name}", ". ".join(said) + ".", parts)


def _fitted(x: float, y: float, words: str) -> str:
    size = min(16.0, 16.0 * 46.0 / max(46.0, svg.text_width(words, 16.0)))
    return svg.text(x, y + 0.35 * size, words, INK, size, "bold")
