"""What does a block of text tab say, and how is a line printed as one?"""

from __future__ import annotations

from lickwright.lick.tab.lick import lick_from_tab
from lickwright.lick.tab.reading import parse_tab
from lickwright.lick.tab.writing import print_tab

__all__ = [
    "lick_from_tab",
    "parse_tab",
    "print_tab",
]
