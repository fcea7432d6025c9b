"""How is a line written as a text tab block, and what does such a block say?

A block has one line for each string, the highest first, as guitarists write it::

       PM-----|
    e|------------------10-12~-|
    B|------------10-13--------|
    G|--------10---------------|
    D|-10h12-------------------|
    A|-------------------------|
    E|-------------------------|

* Labels are optional; where given they must be the open strings of the tuning.
* ``|`` is a bar line on all strings.  Several systems, a blank line between, follow each other.
* ``h`` hammer-on and ``p`` pull-off to the number that follows, ``/`` and ``\\`` slide up and down
  to it, ``~`` vibrato on the number before, ``x`` a dead note, ``(12)`` the note before it held on.
* A line above the strings may mark palm mutes: ``PM`` and the dashes and ``|`` after it.

A line is monophonic: two notes at once are an error.  The spacing of the columns is no rhythm.
"""

from __future__ import annotations

from lickwright.lick.tab_block import TabBlock, TabColumn, tab_of
from lickwright.lick.tab_read import parse_tab
from lickwright.lick.tab_write import print_tab

__all__ = ["TabBlock", "TabColumn", "parse_tab", "print_tab", "tab_of"]
