"""Which strokes play a line, and can a picking hand play them?

Nouns:

* :class:`StrokeProblem`: one thing a picking hand cannot do; ``note`` is an index from 0.
* :class:`Sweep`: a run of two or more notes in one motion; indexes from 0, ``last`` included.
* :class:`StrokeReport`: what the strokes of a line ask of the picking hand.
* :class:`StrokeCosts`: the terms, in points; only their proportions matter (common practice, no
  source).
* :class:`PickedTime`: what is known of a line besides its places, and of the player's pick.
* :class:`Motion`: what one stroke does after another; the first six are sound, the last two are
  not.
* :class:`Picking`: what the picking hand may do.
* :class:`Escape`: on which stroke a player's pick comes out of the strings.
* :class:`HandSwing`: where the hand is when a note begins.
"""

from __future__ import annotations

from lickwright.lick.picking.check import (
    StrokeProblem,
    StrokeReport,
    Sweep,
    check_strokes,
    stroke_report,
)
from lickwright.lick.picking.costs import PickedTime, StrokeCosts
from lickwright.lick.picking.motions import (
    REST_GAP,
    Beat,
    Escape,
    Motion,
    Picking,
    motion,
    opposite,
    picked_pairs,
    read_escape,
    read_policy,
)
from lickwright.lick.picking.slurs import even_techniques, legato_techniques
from lickwright.lick.picking.strokes import assign_strokes, stroke_costs
from lickwright.lick.picking.swing import HandSwing, hand_swing
from lickwright.lick.picking.text import (
    OwnStrokes,
    mirror_strokes,
    parse_strokes,
    print_strokes,
    read_strokes,
)

__all__ = [
    "REST_GAP",
    "Beat",
    "Escape",
    "HandSwing",
    "Motion",
    "OwnStrokes",
    "PickedTime",
    "Picking",
    "StrokeCosts",
    "StrokeProblem",
    "StrokeReport",
    "Sweep",
    "assign_strokes",
    "check_strokes",
    "even_techniques",
    "hand_swing",
    "legato_techniques",
    "mirror_strokes",
    "motion",
    "opposite",
    "parse_strokes",
    "picked_pairs",
    "print_strokes",
    "read_escape",
    "read_policy",
    "read_strokes",
    "stroke_costs",
    "stroke_report",
]
