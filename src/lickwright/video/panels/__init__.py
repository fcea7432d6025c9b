"""What does each panel of the picture show at a moment?

Nouns:

* :class:`Card`: a still page.
* :class:`NeckPlate`: the neck of one passage in a box of the screen.
* :class:`NowPlate`: the readout of one passage in a box of the screen.
* :class:`Plate`: something that knows how it looks at every moment.
* :class:`TabPlate`: the tab of one passage in a box of the screen.
* :class:`TitlePlate`: the line above the plates and the line below them.
"""

from __future__ import annotations

from lickwright.video.panels.card import Card
from lickwright.video.panels.neck import Labels, NeckPlate
from lickwright.video.panels.now import NowPlate
from lickwright.video.panels.panel import Plate
from lickwright.video.panels.tab import TabPlate
from lickwright.video.panels.title import TitlePlate

__all__ = [
    "Card",
    "Labels",
    "NeckPlate",
    "NowPlate",
    "Plate",
    "TabPlate",
    "TitlePlate",
]
