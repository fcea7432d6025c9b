"""Who may speak to the studio, and what may they send?

One ASGI layer stands before everything, pages and web sockets alike:

* the one ``Host`` must be ours, or another site could have its name resolve to this machine and
  read the answers (DNS rebinding); what a proxy says it forwards is not listened to;
* whatever changes something, and every web socket, must come from a page of this studio
  (``Origin``), and nothing may be fetched into another site's page (Fetch Metadata, W3C);
* a body has a largest size;
* where a password is set, only those who gave it get past the door.

Answers carry the usual headers.  The user interface's library compiles its templates in the
browser, so the content security policy has to allow that; it allows no other place to load from
or send to.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: The most that one request may send, in bytes: a lesson file and what surrounds it.
MAX_BODY = 1_500_000
LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
COOKIE = "lickwright_door"
DOOR = "/door"

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
    """Why a request is turned away: its HTTP status and one sentence."""

    status: int
    words: str


_NOT_OURS = Refusal(421, "This address is not the studio's.")


def is_loopback(host: str) -> bool:
    """Whether a host reaches this machine alone."""
    if host in LOOPBACK:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def host_of(header: str) -> str | None:
    """The name in a ``Host`` header, without its port; ``None`` where it makes no sense."""
    try:
        parts = urlsplit(f"//{header}")
        _ = parts.port
    except ValueError:
        return None
    bare = not (parts.path or parts.query or parts.fragment or parts.username)
    return parts.hostname if bare else None


class Guard:
    """An ASGI app before another.

    Parameters
    ----------
    app : what is guarded.
    host : the address or name that the studio listens on.
    is_known : whether a session's token is good; ``None`` where no password is set.
    """

    def __init__(
        self, app: ASGIApp, host: str, is_known: Callable[[str], bool] | None = None
    ) -> None:
        self.app = app
        self.host = host.lower()  # as ``host_of`` has it: names know no case (RFC 9110)
        self.is_known = is_known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
            return
        headers = {
            name.decode("latin-1"): value.decode("latin-1")
            for name, value in scope.get("headers", [])
        }
        hosts = sum(name == b"host" for name, _ in scope.get("headers", []))
        # Of two the next one to ask might take the other (RFC 9112, section 3.2).
        refusal = self.refusal(scope, headers) if hosts == 1 else _NOT_OURS
        if refusal is not None:
            await _refuse(refusal, scope, headers, send)
            return
        if scope["type"] == "websocket":
            await self.app(scope, receive, send)
            return
        await self.app(scope, _bounded(receive), _with_headers(send))

    def refusal(self, scope: Scope, headers: dict[str, str]) -> Refusal | None:
        """Why a request is turned away, ``None`` where it is let in."""
        host = host_of(headers.get("host", ""))
        if host is None or not self._is_ours(host):
            return _NOT_OURS
        is_socket = scope["type"] == "websocket"
        changes = is_socket or scope["method"] not in {"GET", "HEAD", "OPTIONS"}
        origin = headers.get("origin")
        if origin is not None and not self._is_own(origin, headers):
            return Refusal(403, "Requests from other sites are refused.")
        if changes and origin is None:
            return Refusal(403, "Requests must come from the studio's own pages.")
        if headers.get("sec-fetch-site") in {"cross-site", "same-site"} and not (
            headers.get("sec-fetch-mode") == "navigate"
            and headers.get("sec-fetch-dest") == "document"
            and not changes
        ):
            return Refusal(403, "Requests from other sites are refused.")
        if int(headers.get("content-length", "0") or 0) > MAX_BODY:
            return Refusal(413, "That is larger than a lesson can be.")
        asks = self.is_known is not None and scope["path"] != DOOR
        if asks and self.is_known is not None and not self.is_known(_token(headers)):
            return Refusal(401, "Give the password first.")
        return None

    def _is_ours(self, host: str) -> bool:
        if is_loopback(self.host):
            return is_loopback(host)
        if host == self.host:
            return True
        # A name that is not an address could be anybody's; an address cannot be rebound.
        try:
            ipaddress.ip_address(host)
        except ValueError:
            return host == "localhost"
        return True

    def _is_own(self, origin: str, headers: dict[str, str]) -> bool:
        parts = urlsplit(origin)
        return parts.scheme in {"http", "https"} and parts.netloc == headers.get("host")


def _token(headers: dict[str, str]) -> str:
    cookies: SimpleCookie = SimpleCookie()
    try:
        cookies.load(headers.get("cookie", ""))
    except CookieError:
        return ""
    return cookies[COOKIE].value if COOKIE in cookies else ""


async def _refuse(refusal: Refusal, scope: Scope, headers: dict[str, str], send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": refusal.words})
        return
    to_door = refusal.status == 401 and "text/html" in headers.get("accept", "")
    own = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
    own += [(b"content-type", b"text/plain; charset=utf-8"), (b"cache-control", b"no-store")]
    if to_door:
        own.append((b"location", DOOR.encode()))
    status = 303 if to_door else refusal.status
    await send({"type": "http.response.start", "status": status, "headers": own})
    await send({"type": "http.response.body", "body": refusal.words.encode()})


def _bounded(receive: Receive) -> Receive:
    """The request's body up to its largest size; a longer one breaks off as if the sender left."""
    seen = 0

    async def receive_bounded() -> Message:
        nonlocal seen
        message = await receive()
        if message["type"] == "http.request":
            seen += len(message.get("body", b""))
            if seen > MAX_BODY:
                return {"type": "http.disconnect"}
        return message

    return receive_bounded


def _with_headers(send: Send) -> Send:
    async def send_with(message: Message) -> None:
        if message["type"] == "http.response.start":
            have = {name.lower() for name, _ in message.get("headers", [])}
            extra = [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in have]
            message = {**message, "headers": [*message.get("headers", []), *extra]}
        await send(message)

    return send_with
