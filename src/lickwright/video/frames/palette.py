"""Which colours does the screen wear, and why may anybody tell them apart?

Nothing is told by colour alone: triads differ in shape and filling, the sounding note by a dark
rim and a light ground.  Words stand on panels of paper, so that they keep a contrast of at least
7 to 1 over any footage (W3C WCAG 2.2, success criterion 1.4.6), signs at least 3 to 1 (1.4.11).
"""

from __future__ import annotations

SOFT = "#4f4840"
BOARD = "#f3ebdd"
INLAY = "#d8cbb6"
#: Behind the panels of a finished video.
GROUND = "#e3d6c1"
#: The ground of whatever sounds at the moment.
LAMP = "#ffb81c"

#: How opaque a panel is over footage.
PANEL_ALPHA = 0.94


def rgb(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0-255, of ``"#rrggbb"``."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
