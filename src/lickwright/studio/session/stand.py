"""The example on its stand: the page, the necks and the findings, above or below a room."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial

from lickwright.studio.session.tags import button, markup, tag, words
from lickwright.studio.work.preview import Preview

_PAGE_LABEL = (
    "The page. Left and right choose a note; up and down move it by a fret; s takes it to another"
    " string; 1 to 4 pin a finger, 0 frees it; d and u set its stroke."
)


class Stand:
    """What is laid out once and filled with every preview.

    Attributes
    ----------
    box : all of it.
    whole_neck : where Place draws the whole neck.
    """

    def __init__(self) -> None:
        self.box = tag("div", "stand")
        with self.box:
            self._music = markup(
                "",
                "music",
                id="music",
                tabindex="0",
                role="group",
                aria_label=_PAGE_LABEL,
                data_key="music",
            )
            self.whole_neck = tag("div", "board")
            self._necks = markup(
                "", "necks", id="necks", tabindex="0", role="group", aria_label="Necks"
            )
            self._faults = tag("ul", "faults", aria_label="Findings")

    def put_up(self, preview: Preview, *, is_other: bool) -> str:
        """Put a preview up; what the browser is to be told of it, as a line of script.

        Parameters
        ----------
        is_other : whether it shows another example than the one that stands there.
        """
        # Where the music became impossible, the last page that was possible stays to be mended.
        if not preview.systems and not is_other:
            return ""
        systems = "".join(f'<div class="system">{svg}</div>' for svg in preview.systems)
        self._music.set_content(f'<div class="systems">{systems}</div>')
        self._necks.set_content(
            "".join(
                f'<figure><div class="neck-box">{neck.svg}</div></figure>' for neck in preview.necks
            )
        )
        facts = {
            "heads": [[h.system, h.note, h.tab, h.x, h.y] for h in preview.heads],
            "notes": [[n.onset, n.end, f"{n.string}/{n.fret}"] for n in preview.notes],
            "faults": [[f.note, f.severity] for f in preview.faults if f.note is not None],
            "necks": [
                [chord.onset, chord.end, neck.places]
                for chord, neck in zip(preview.chords, preview.necks, strict=True)
            ],
        }
        return f"lickwright.show({json.dumps(facts)})"

    def draw_faults(self, preview: Preview, choose: Callable[[int], object]) -> None:
        """List what was found; ``choose`` goes to a note."""
        self._faults.clear()
        with self._faults:
            for fault in preview.faults:
                with tag("li", fault.severity):
                    words("strong", fault.severity.capitalize())
                    words("span", f"{fault.what}. {fault.mend}.")
                    if fault.note is not None:
                        button(f"Go to note {fault.note + 1}", partial(choose, fault.note), "slim")
