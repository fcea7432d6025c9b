"""What does each panel of the picture show at a moment?

Nouns:

* :class:`Card`: a still page.
* :class:`NeckPanel`: the neck of one passage in a box of the screen.
* :class:`NowPanel`: the readout of one passage in a box of the screen.
* :class:`Panel`: something that knows how it looks at every moment.
* :class:`TabPanel`: the tab of one passage in a box of the screen.
* :class:`TitlePanel`: the line above the panels and the line below them.
"""

from __future__ import annotations

from lickwright.video.panels.card import Card
from lickwright.video.panels.neck import Labels, NeckPanel
from lickwright.video.panels.now import NowPanel
from lickwright.video.panels.panel import Panel
from lickwright.video.panels.tab import TabPanel
from lickwright.video.panels.title import TitlePanel

__all__ = [
    "Card",
    "Labels",
    "NeckPanel",
    "NowPanel",
    "Panel",
    "TabPanel",
    "TitlePanel",
]
