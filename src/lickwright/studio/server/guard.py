"""Who may speak to the studio, and what may they send?

One ASGI layer stands before everything, pages and web sockets alike:

* the one ``Host`` must be ours, or another site could have its name resolve to this machine and
  read the answers (DNS rebinding); what a proxy says it forwards is listened to where the owner
  named that proxy, and nowhere else;
* whatever changes something, and every web socket, must come from a page of this studio
  (``Origin``: scheme, host and port), and nothing may be fetched into another site's page (Fetch
  Metadata, W3C);
* headers and bodies have a largest size, small ones before the login;
* where a password is set, only those who gave it get any further; web sockets end with their
  session;
* one visitor holds only so many web sockets and pages.

What a connection may cost before there is a request is the gate's.

Answers carry the usual headers.  The user interface's library compiles its templates in the
browser, so the content security policy has to allow that; it allows no other place to load from
or send to.
"""

from __future__ import annotations

import asyncio
import re
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lickwright.studio.server.address import (
    host_of,
    is_address,
    is_loopback,
    neighbourhood,
    origin_of,
    plain,
)
from lickwright.studio.server.gate import SEAT, Limits

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from lickwright.studio.server.login import Logins

#: The most that one request may send, in bytes: a lesson file and what surrounds it.
MAX_BODY = 1_500_000
#: The most that may be sent to the login: a password.
MAX_AT_LOGIN = 8_192
MAX_HEAD = Limits().head
COOKIE = "lickwright_door"
LOGIN_PATH, LOGOUT_PATH = "/door", "/leave"
#: Web sockets and pages that one visitor may hold, and all together.  A page that was left counts
#: for a minute more, since its connection could come back.
OWN_SOCKETS, SOCKETS = 64, 200
OWN_PAGES, PAGES = 64, 200

HEADERS = {
    "content-security-policy": (
        "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
        "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; media-src 'self' blob:; "
        "font-src 'self'; connect-src 'self'; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is turned away: its HTTP status and one sentence.

    ``wait_s`` : after so many seconds it may be let in; 0 where waiting does not help.
    """

    status: int
    words: str
    wait_s: int = 0


_NOT_OURS = Refusal(421, "This address is not the studio's.")
_ELSEWHERE = Refusal(403, "Requests from other sites are refused.")
_TOO_LARGE = Refusal(413, "That is larger than a lesson can be.")
_LONG_HEAD = Refusal(431, "The headers are too long.")
_FULL = "Too many pages of the studio are open. Close some, and try again in a minute."


@dataclass(frozen=True, slots=True)
class Reach:
    """Where the studio is reached.

    Parameters
    ----------
    host : the address or name that it listens on.
    names : other names that are ours, a proxy's for example.
    proxies : addresses whose word is taken for whom they speak for.
    """

    host: str
    names: tuple[str, ...] = ()
    proxies: frozenset[str] = frozenset()

    def has(self, host: str) -> bool:
        """Whether a ``Host``, without its port and in small letters, is ours."""
        own = self.host.lower()  # as ``host_of`` has it: names know no case (RFC 9110)
        if host in self.names or host == own:
            return True
        if is_loopback(own):
            return is_loopback(host)
        # A name that is not an address could be anybody's; an address cannot be rebound.
        return is_address(host) or host == "localhost"


class Guard:
    """An ASGI app before another.

    Parameters
    ----------
    app : what is guarded.
    reach : where it is reached.
    logins : who knows the sessions; ``None`` where no password is set.
    pages : the visitors of all pages that are held, one for each page.
    """

    def __init__(
        self,
        app: ASGIApp,
        reach: Reach,
        logins: Logins | None = None,
        pages: Callable[[], Iterable[str]] = tuple,
    ) -> None:
        self.app = app
        self.reach = reach
        self.logins = logins
        self.pages = pages
        self._lines: dict[_Socket, str] = {}
        self._ending: set[asyncio.Task[None]] = set()
        if logins is not None:
            logins.tell(self._end_lines)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
            return
        raw = scope.get("headers", [])
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in raw}
        scope = self._as_forwarded(scope, headers)
        names = Counter(name for name, _ in raw)
        # Of two the next one to ask might take the other (RFC 9112, section 3.2).
        is_plain = names[b"host"] == 1 and names[b"origin"] <= 1
        refusal = self.refusal(scope, headers) if is_plain else _NOT_OURS
        if refusal is not None:
            await refuse(refusal, scope, headers, send)
            return
        token = self._token(scope)
        visitor = token or _address(scope)
        if self.logins is None or token:
            seat = scope.get("extensions", {}).get(SEAT)
            if seat is not None:
                seat.know()
        if scope["type"] == "websocket":
            await self._keep_line(scope, receive, send, visitor)
            return
        scope.setdefault("state", {}).update(visitor=visitor, has_session=bool(token))
        if _is_page(scope):
            held = Counter(self.pages())
            if held[visitor] >= OWN_PAGES or held.total() >= PAGES:
                await refuse(Refusal(429, _FULL, 60), scope, headers, send)
                return
        body = _Body(receive, _with_headers(send), most_of(scope))
        await self.app(scope, body.receive, body.send)

    def refusal(self, scope: Scope, headers: dict[str, str]) -> Refusal | None:
        """Why a request is turned away, ``None`` where it is let in."""
        if _head_size(scope) > MAX_HEAD:
            return _LONG_HEAD
        host = host_of(headers.get("host", ""))
        if host is None or not self.reach.has(host):
            return _NOT_OURS
        is_socket = scope["type"] == "websocket"
        changes = is_socket or scope["method"] not in {"GET", "HEAD", "OPTIONS"}
        origin = headers.get("origin")
        if origin is not None and not _is_own(origin, scope, headers):
            return _ELSEWHERE
        if changes and origin is None:
            return Refusal(403, "Requests must come from the studio's own pages.")
        if headers.get("sec-fetch-site") in {"cross-site", "same-site"} and not (
            headers.get("sec-fetch-mode") == "navigate"
            and headers.get("sec-fetch-dest") == "document"
            and not changes
        ):
            return _ELSEWHERE
        if self.logins is not None and scope["path"] != LOGIN_PATH and not self._token(scope):
            return Refusal(401, "Give the password first.")
        if int(headers.get("content-length", "0") or 0) > most_of(scope):
            return _TOO_LARGE
        if is_socket:
            held = Counter(self._lines.values())
            visitor = self._token(scope) or _address(scope)
            if held[visitor] >= OWN_SOCKETS or held.total() >= SOCKETS:
                return Refusal(429, _FULL, 60)
        return None

    def _token(self, scope: Scope) -> str:
        """The token of the session that still runs, ``""`` where there is none."""
        if self.logins is None:
            return ""
        return next(filter(self.logins.is_known, tokens_of(scope)), "")

    def _as_forwarded(self, scope: Scope, headers: dict[str, str]) -> Scope:
        """The request as the proxy got it, where the owner named that proxy.

        Of ``X-Forwarded-For`` the last address counts: the proxy wrote it, the others may be
        anybody's words.
        """
        client = scope.get("client")
        if client is None or plain(client[0]) not in self.reach.proxies:
            return scope
        said = headers.get("x-forwarded-for", "").rpartition(",")[2].strip()
        if is_address(said):
            scope = {**scope, "client": (said, 0)}
        if headers.get("x-forwarded-proto") == "https":
            scope = {**scope, "scheme": "wss" if scope["type"] == "websocket" else "https"}
        return scope

    # --- web sockets ------------------------------------------------------------------------------

    async def _keep_line(self, scope: Scope, receive: Receive, send: Send, visitor: str) -> None:
        line = _Socket(receive, send)
        self._lines[line] = visitor
        timer = None
        if self.logins is not None:
            left_s = self.logins.left_s(visitor)
            timer = asyncio.get_running_loop().call_later(left_s, self._end_lines, visitor)
        try:
            await self.app(scope, line.receive, line.send)
        finally:
            del self._lines[line]
            if timer is not None:
                timer.cancel()

    def _end_lines(self, visitor: str) -> None:
        """End all web sockets of a session."""
        for line in [line for line, whose in self._lines.items() if whose == visitor]:
            task = asyncio.get_running_loop().create_task(line.end())
            self._ending.add(task)
            task.add_done_callback(self._ending.discard)


class _Socket:
    """An open web socket that can be ended from this side."""

    def __init__(self, receive: Receive, send: Send) -> None:
        self._receive, self._send = receive, send
        self._is_over = False

    async def receive(self) -> Message:
        message = await self._receive()
        if message["type"] == "websocket.disconnect":
            self._is_over = True
        return message

    async def send(self, message: Message) -> None:
        if self._is_over:
            return  # whoever would hear it has gone, or may not hear it any more
        self._is_over = message["type"] == "websocket.close"
        await self._send(message)

    async def end(self) -> None:
        if not self._is_over:
            self._is_over = True
            # It may be closed from the other side in the same moment, which is as good.
            with suppress(OSError, RuntimeError):
                close = {"code": 1008, "reason": "The session has ended."}
                await self._send({"type": "websocket.close", **close})


# --- what a request says --------------------------------------------------------------------------

_TOKEN = re.compile(rb"[A-Za-z0-9_-]{43}")


def tokens_of(scope: Scope) -> list[str]:
    """All that could be a session's token among the cookies of a request.

    Other cookies are none of our business, whatever they look like: only ``;`` separates them
    (RFC 6265, section 5.4).  Another server on the same machine may have set one under our name.
    """
    own = COOKIE.encode()
    pairs = [
        pair.strip(b" \t").partition(b"=")
        for name, value in scope.get("headers", [])
        if name == b"cookie"
        for pair in value.split(b";")
    ]
    return [value.decode() for name, _, value in pairs if name == own and _TOKEN.fullmatch(value)]


def most_of(scope: Scope) -> int:
    """The largest body of a request, in bytes."""
    return MAX_AT_LOGIN if scope["path"] == LOGIN_PATH else MAX_BODY


def _head_size(scope: Scope) -> int:
    size = len(scope.get("raw_path", b"")) + len(scope.get("query_string", b""))
    return size + sum(len(name) + len(value) + 4 for name, value in scope.get("headers", []))


def _is_own(origin: str, scope: Scope, headers: dict[str, str]) -> bool:
    scheme = "https" if scope.get("scheme") in {"https", "wss"} else "http"
    asked = origin_of(f"{scheme}://{headers.get('host', '')}")
    return asked is not None and origin_of(origin) == asked


def _address(scope: Scope) -> str:
    client = scope.get("client")
    return neighbourhood(client[0]) if client is not None else ""


#: What lies below is a file or a deed; all else costs a page, also one that says there is none.
_NO_PAGES = (
    LOGIN_PATH,
    LOGOUT_PATH,
    "/own/",
    "/sound/",
    "/built/",
    "/download/",
    "/bring",
    "/_nicegui",
)


def _is_page(scope: Scope) -> bool:
    return not scope["path"].startswith(_NO_PAGES)


# --- what is answered -----------------------------------------------------------------------------


async def refuse(refusal: Refusal, scope: Scope, headers: dict[str, str], send: Send) -> None:
    """Turn a request away; a browser without a session is sent to the login."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": refusal.words})
        return
    to_login = refusal.status == 401 and "text/html" in headers.get("accept", "")
    own = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
    own += [(b"content-type", b"text/plain; charset=utf-8"), (b"cache-control", b"no-store")]
    body = refusal.words.encode()
    own.append((b"content-length", str(len(body)).encode()))
    if refusal.wait_s:
        own.append((b"retry-after", str(refusal.wait_s).encode()))
    if to_login:
        own.append((b"location", LOGIN_PATH.encode()))
    status = 303 if to_login else refusal.status
    await send({"type": "http.response.start", "status": status, "headers": own})
    await send({"type": "http.response.body", "body": body})


class _Body:
    """A request's body up to its largest size; a longer one breaks off and is refused."""

    def __init__(self, receive: Receive, send: Send, most: int) -> None:
        self._receive, self._send = receive, send
        self._left = most
        self._answered_by: str = ""

    async def receive(self) -> Message:
        message = await self._receive()
        if message["type"] == "http.request":
            self._left -= len(message.get("body", b""))
            if self._left < 0:
                return {"type": "http.disconnect"}
        return message

    async def send(self, message: Message) -> None:
        if self._answered_by == "app" or (self._left >= 0 and not self._answered_by):
            self._answered_by = "app"
            await self._send(message)
        elif not self._answered_by:
            # What the app answers to a sender who seems to have left is not what happened.
            self._answered_by = "guard"
            await refuse(_TOO_LARGE, {"type": "http"}, {}, self._send)


def _with_headers(send: Send) -> Send:
    async def send_with(message: Message) -> None:
        if message["type"] == "http.response.start":
            have = {name.lower() for name, _ in message.get("headers", [])}
            extra = [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in have]
            message = {**message, "headers": [*message.get("headers", []), *extra]}
        await send(message)

    return send_with
