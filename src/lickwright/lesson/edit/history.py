"""Which texts did a document go through, and which way back is there?"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EditStep:
    """One text of the history.

    Attributes
    ----------
    text : the whole text after the edit.
    subject : what a run of quick edits was about; None for an edit that stands alone.
    at_s : when it was made, in seconds of any steady clock.
    """

    text: str
    subject: Hashable = None
    at_s: float = 0.0


class History:
    """Texts in order and a place among them; new text drops what was undone.

    Parameters
    ----------
    text : the first text.
    most_steps, most_characters : what is kept at most; the oldest texts are forgotten first.
    """

    def __init__(
        self, text: str, *, most_steps: int = 500, most_characters: int = 20_000_000
    ) -> None:
        self._steps = [EditStep(text)]
        self._now = 0
        self._most_steps = most_steps
        self._most_characters = most_characters
        self._characters = len(text)

    @property
    def text(self) -> str:
        """The text at the present place."""
        return self._steps[self._now].text

    @property
    def can_undo(self) -> bool:
        return self._now > 0

    @property
    def can_redo(self) -> bool:
        return self._now < len(self._steps) - 1

    def push(
        self, text: str, *, subject: Hashable = None, at_s: float = 0.0, within_s: float = 0.0
    ) -> None:
        """Go on to a new text.

        An edit with the same ``subject`` as the last one, made at most ``within_s`` seconds
        after it, becomes one step with it.
        """
        last = self._steps[self._now]
        joins = (
            subject is not None
            and self._now > 0
            and not self.can_redo
            and subject == last.subject
            and at_s - last.at_s <= within_s
        )
        kept = self._now if joins else self._now + 1
        self._characters += len(text) - sum(len(step.text) for step in self._steps[kept:])
        self._steps[kept:] = [EditStep(text, subject, at_s)]
        while len(self._steps) > 2 and (
            len(self._steps) > self._most_steps or self._characters > self._most_characters
        ):
            self._characters -= len(self._steps.pop(0).text)
        self._now = len(self._steps) - 1

    def part(self) -> None:
        """Let the next edit be a step of its own, whatever it is about."""
        last = self._steps[self._now]
        self._steps[self._now] = EditStep(last.text)

    def back(self) -> bool:
        """Go one step back; False where there is none."""
        if not self.can_undo:
            return False
        self._now -= 1
        self.part()
        return True

    def forth(self) -> bool:
        """Go one step forth again; False where there is none."""
        if not self.can_redo:
            return False
        self._now += 1
        self.part()
        return True
