"""What stands before the first note of a finished video: title, contents, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lickwright.drawing import INK
from lickwright.video.frames import SOFT, Album, Area, Drawing, Passage, Placed, Words
from lickwright.video.panels.panel import sheet_of_paper
from lickwright.video.words import CAUTIONS


class Card:
    """A still page."""

    def __init__(
        self,
        passages: Sequence[Passage],
        size: tuple[int, int],
        album: Album,
        unit: float,
        title: str,
    ) -> None:
        width, height = size
        across, down = round(120 * unit), round(150 * unit)
        paper = Area(across, down, width - across, height - down)
        self._paper = sheet_of_paper(album, paper, unit, 1.0)
        middle, room = width / 2, width - 330 * unit
        heading = title or passages[0].score.name
        words = [
            Words(heading, middle, 400 * unit, 104 * unit, room=room),
            Words(
                contents(passages), middle, 525 * unit, 60 * unit, SOFT, "regular", True, room=room
            ),
        ]
        for index, caution in enumerate(CAUTIONS):
            base = (770 + 74 * index) * unit
            words.append(Words(caution, middle, base, 47 * unit, INK, "regular", room=room))
        self._sprite = album.add(Drawing(width, height, "", tuple(words)))

    def at(self, time_s: float) -> Iterator[Placed]:
        yield self._paper
        yield Placed(self._sprite, 0, 0)


def contents(passages: Sequence[Passage]) -> str:
    """The examples by name, or one example with its tempi."""
    names = list(dict.fromkeys(passage.score.name for passage in passages))
    if len(names) > 1:
        return " · ".join(names)
    tempi = [passage.tempo_bpm for passage in passages]
    rising = f"{min(tempi):g} to {max(tempi):g}" if len(set(tempi)) > 1 else f"{tempi[0]:g}"
    return f"{names[0]}, ♩ = {rising}"
