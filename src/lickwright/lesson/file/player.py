"""What does a lesson file say of the player?  The words of its key ``player``."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, field_validator

from lickwright.errors import LickwrightError
from lickwright.lesson.file.keys import Entry, fault
from lickwright.lick.hands import FASTEST_HZ, LEVELS, SLOWEST_HZ, Player, read_player


class PlayerEntry(Entry):
    """Whose hands play the lesson; every key may be left out."""

    level: str = Field(
        "practised",
        description=f"how far the player is: {', '.join(LEVELS)}",
        json_schema_extra={"enum": list(LEVELS)},
    )
    hand: Literal["small", "medium", "large"] | None = Field(
        None, description="the left hand's size; that of the lesson where left out"
    )
    left_handed: bool | None = Field(None, description="mirror the diagrams")
    escape: Literal["both", "down", "up"] = Field(
        "both", description="on which stroke the pick leaves the strings"
    )
    alternate: float | None = Field(
        None, ge=SLOWEST_HZ, le=FASTEST_HZ, description="notes a second on one string"
    )
    sweep: float | None = Field(
        None, ge=SLOWEST_HZ, le=FASTEST_HZ, description="notes a second in a sweep"
    )
    one_finger: float | None = Field(
        None, ge=SLOWEST_HZ, le=FASTEST_HZ, description="notes a second by the index finger alone"
    )
    trills: dict[str, float] | None = Field(
        None, description="notes a second by two fingers in turn, such as {3-4: 7}"
    )

    @field_validator("level", "trills", mode="after")
    @classmethod
    def _known(cls, value: Any) -> Any:
        try:
            read_player(value) if isinstance(value, str) else read_player(trills=value)
        except LickwrightError as error:
            raise fault(error.what, error.mend or "Change it") from error
        return value

    def player(self, hand: str, *, left_handed: bool) -> Player:
        """The player these keys describe, with a hand and a side where they are silent."""
        return read_player(
            self.level,
            hand=self.hand or hand,
            escape=self.escape,
            left_handed=left_handed if self.left_handed is None else self.left_handed,
            alternate=self.alternate,
            sweep=self.sweep,
            one_finger=self.one_finger,
            trills=self.trills,
        )
