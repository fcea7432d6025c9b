"""The tempo over the first system: where it fits, above what stands there."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

from lickwright.drawing import text_width
from lickwright.engrave.page.boxes import Box, highest
from lickwright.engrave.page.elements import lettered
from lickwright.score.notation import PrintedTempo

SIZE = 330.0
#: The note of the tempo is set a little larger than its figures.
NOTE_SCALE = 0.42
AIR = 140.0
LEFT = 20.0

#: SMuFL metronome notes, U+ECA3 and following, by the type of the beat.
_BEATS = {"half": "ECA3", "quarter": "ECA5", "eighth": "ECA7", "16th": "ECA9"}
_DOT = "ECB7"
#: From a note to its dot, in thousandths.
_ADVANCE = 340.0


def tempo_mark(tempo: PrintedTempo, boxes: Sequence[Box]) -> tuple[Element, Box]:
    """A tempo drawn over a system, and its box.

    Parameters
    ----------
    boxes : what is drawn in the system already.
    """
    glyphs = [_BEATS[tempo.beat.type]]
    glyphs += [_DOT] * tempo.beat.dotted
    words = f"= {tempo.per_minute}" + (f"   {tempo.swing}" if tempo.swing else "")
    begin = LEFT + 60 + _ADVANCE * NOTE_SCALE * (1.0 if len(glyphs) == 1 else 1.6)
    width = begin - LEFT + text_width(words, SIZE)
    chords = [box.bottom for box in boxes if box.kind == "harm"]
    base = highest(boxes, LEFT, LEFT + width + 2 * AIR) - AIR
    base = min([base, *chords])
    group = Element("g", {"class": "lw-tempo"})
    for index, glyph in enumerate(glyphs):
        x = LEFT + index * _ADVANCE * NOTE_SCALE
        place = f"translate({x:.0f},{base:.0f}) scale({NOTE_SCALE})"
        SubElement(group, "use", {"href": f"#{glyph}", "transform": place})
    group.append(lettered(words, begin, base, SIZE))
    return group, Box("tempo", LEFT, base - SIZE, LEFT + width, base)
