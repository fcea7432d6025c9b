"""Tuplet brackets and numbers moved clear of slurs, which the layout engine lets them cross."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from lickwright.engrave.page.boxes import Box, drawn_box, rect_box

#: Between a curve and a bracket.
AIR = 40.0
_PARTS = ("tupletBracket", "tupletNum")


def clear_brackets(system: Element) -> None:
    """Lower each bracket below the slurs and ties that it meets, its boxes with it."""
    curves = [
        drawn_box("slur", group)
        for group in system.iter("g")
        if group.get("class") in ("slur", "tie")
    ]
    for tuplet in system.iter("g"):
        if tuplet.get("class") == "tuplet":
            parts = [part for part in tuplet if part.get("class") in _PARTS]
            rects = [rect for part in parts for rect in part.iter("rect")]
            boxes = [rect_box("tuplet", rect) for rect in rects]
            drop = max((_depth(box, curves) for box in boxes), default=0.0)
            if drop > 0:
                for part in parts:
                    part.set("transform", f"translate(0,{drop:.0f})")
                for rect in rects:
                    rect.set("y", f"{float(rect.get('y', '0')) + drop:.0f}")


def _depth(box: Box, curves: list[Box]) -> float:
    """How far a box has to go down to clear every curve that it meets."""
    return max(
        (
            curve.bottom + AIR - box.top
            for curve in curves
            if box.meets(curve.left, curve.right)
            and curve.top < box.bottom
            and box.top < curve.bottom + AIR
        ),
        default=0.0,
    )
