"""Who gave the right password gets a session, for half a day.

Wrong words are counted by address.  One that gave too many waits; nobody else does, and no session
that runs is touched.
"""

from __future__ import annotations

import hmac
import math
import os
import secrets
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from pathlib import Path

from lickwright.errors import LessonError, Spot
from lickwright.studio.server.address import neighbourhood

#: The variable that holds the password.
VARIABLE = "LICKWRIGHT_PASSWORD"
LEAST_LENGTH, MOST_LENGTH = 10, 400
SESSION_S = 12 * 3600.0
#: So many wrong words from one address within so many seconds, and it waits for the rest of them.
WRONG_WORDS, WITHIN_S = 5, 60.0
#: So many addresses are remembered; then the one that erred longest ago is forgotten.
KEPT_ADDRESSES = 4096
#: So many sessions at once; then the oldest ends.
KEPT_SESSIONS = 256


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
    if len(word) > MOST_LENGTH:
        raise LessonError(
            "the password is too long", mend=f"Choose one of {MOST_LENGTH} letters or fewer"
        )
    return word


class Logins:
    """Sessions by token; nothing of them outlives the process."""

    def __init__(self, password: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._password = _bytes(password)
        self._clock = clock
        self._sessions: dict[str, float] = {}
        self._wrong: OrderedDict[str, deque[float]] = OrderedDict()
        self._to_tell: list[Callable[[str], object]] = []

    def wait_s(self, address: str) -> int:
        """How many seconds an address has to wait before it is asked again; 0 for none."""
        times = self._wrong.get(neighbourhood(address))
        if times is None or len(times) < WRONG_WORDS:
            return 0
        return max(0, math.ceil(times[0] + WITHIN_S - self._clock()))

    def open(self, word: str, address: str) -> str | None:
        """A session's token for the right word, ``None`` for a wrong one or one that has to wait.

        Parameters
        ----------
        address : where the word comes from.
        """
        if self.wait_s(address):
            return None
        if not hmac.compare_digest(_bytes(word), self._password):
            self._note_wrong(neighbourhood(address))
            return None
        now = self._clock()
        for gone in [token for token, end in self._sessions.items() if end <= now]:
            self.end(gone)
        while len(self._sessions) >= KEPT_SESSIONS:
            self.end(next(iter(self._sessions)))
        token = secrets.token_urlsafe(32)
        self._sessions[token] = now + SESSION_S
        return token

    def _note_wrong(self, where: str) -> None:
        times = self._wrong.pop(where, None)
        self._wrong[where] = times = deque(maxlen=WRONG_WORDS) if times is None else times
        times.append(self._clock())
        while len(self._wrong) > KEPT_ADDRESSES:
            self._wrong.popitem(last=False)

    def left_s(self, token: str) -> float:
        """How many seconds a token's session still runs; 0 where there is none."""
        return max(0.0, self._sessions.get(token, 0.0) - self._clock())

    def is_known(self, token: str) -> bool:
        """Whether a token's session still runs."""
        return self.left_s(token) > 0

    def end(self, token: str) -> None:
        """End a session before its time, and tell whoever holds something open for it."""
        if self._sessions.pop(token, None) is not None:
            for told in self._to_tell:
                told(token)

    def tell(self, told: Callable[[str], object]) -> None:
        """From now on, call this with the token of every session that is ended."""
        self._to_tell.append(told)


def _bytes(word: str) -> bytes:
    # A browser may send anything, also halves of signs that UTF-8 does not have.
    return word.encode("utf-8", "surrogatepass")
