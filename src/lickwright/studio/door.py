"""The password's door: who gave the right word gets a session, for half a day."""

from __future__ import annotations

import hmac
import os
import secrets
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path

from lickwright.errors import LessonError, Spot

#: The variable that holds the password.
VARIABLE = "LICKWRIGHT_PASSWORD"
LEAST_LENGTH = 10
SESSION_S = 12 * 3600.0
#: So many wrong words within so many seconds shut the door for the rest of them.
WRONG_WORDS, WITHIN_S = 5, 60.0


def password_from(file: Path | None) -> str:
    """The password that the owner set, ``""`` where there is none.

    Parameters
    ----------
    file : a file whose first line it is; without one, :data:`VARIABLE` is asked.

    Raises
    ------
    LessonError
        When the file cannot be read, or the password is short.
    """
    word = os.environ.get(VARIABLE, "")
    if file is not None:
        try:
            word = file.read_text("utf-8").split("\n", 1)[0].rstrip("\r")
        except (OSError, UnicodeDecodeError) as error:
            raise LessonError(
                "the password file cannot be read",
                mend="Name a text file that you may read",
                where=Spot(str(file)),
            ) from error
    if (word or file is not None) and len(word) < LEAST_LENGTH:
        raise LessonError(
            "the password is too short", mend=f"Choose one of {LEAST_LENGTH} letters or more"
        )
    return word


class Door:
    """Sessions by token; nothing of them outlives the process."""

    def __init__(self, password: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._password = password.encode()
        self._clock = clock
        self._sessions: dict[str, float] = {}
        self._wrong: deque[float] = deque(maxlen=WRONG_WORDS)

    @property
    def is_shut(self) -> bool:
        """Whether so many wrong words came lately that nobody is asked."""
        full = len(self._wrong) == WRONG_WORDS
        return full and self._clock() - self._wrong[0] < WITHIN_S

    def open(self, word: str) -> str | None:
        """A session's token for the right word, ``None`` for a wrong one or a shut door."""
        if self.is_shut:
            return None
        if not hmac.compare_digest(word.encode(), self._password):
            self._wrong.append(self._clock())
            return None
        now = self._clock()
        self._sessions = {token: end for token, end in self._sessions.items() if end > now}
        token = secrets.token_urlsafe(32)
        self._sessions[token] = now + SESSION_S
        return token

    def is_known(self, token: str) -> bool:
        """Whether a token's session still runs."""
        return self._sessions.get(token, 0.0) > self._clock()
