"""What may a connection cost, before and after it is known whose it is?

Uvicorn reads a request as it comes, as long as it takes, from as many as ask.  Here every
connection takes a seat, and there are so many of them: in all, and for one address.  When they are
taken, the oldest whose holder is not known makes room, first among those of the address that holds
the most; the guard says who is known (:meth:`Seat.know`).  A head and a body have a largest size
and a longest time, and who does not read the answer is hung up on.

Encryption begins here too, after the seat is taken, so that an unfinished handshake counts.
"""

from __future__ import annotations

import asyncio
import logging
import ssl
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol

from lickwright.studio.server.address import neighbourhood, plain

#: Below this key of a scope's ``extensions`` the guard finds the seat of a request.
SEAT = "lickwright.seat"
_LOOK_EVERY_S = 0.5
#: What is read and thrown away of somebody who was turned away while still sending, in bytes.
_MAX_DRAINED = 2_000_000


#: What the other side of a connection is at: what it sends, or waits for, or why nobody listens.
Phase = Literal["idle", "head", "body", "answer", "socket", "answered early", "turned away"]


@dataclass(frozen=True, slots=True)
class Limits:
    """What connections may cost; sizes in bytes, times in seconds.

    Parameters
    ----------
    head : the first line and the headers of a request.
    head_s : from a request's first byte to its last header; also a handshake.
    body_s, known_body_s : from there to its last byte, of a stranger and of one who is known.
    answer_s : how long a stranger may take to be answered, and anybody to read on.
    linger_s : how long somebody who was turned away is listened to, so that the answer arrives.
    idle_s : between two requests.
    seats, own_seats : connections in all, and those of one address.
    """

    head: int = 32_768
    head_s: float = 10.0
    body_s: float = 10.0
    known_body_s: float = 60.0
    answer_s: float = 30.0
    linger_s: float = 2.0
    idle_s: float = 15.0
    seats: int = 400
    own_seats: int = 100

    def of(self, phase: Phase, is_known: bool) -> float | None:
        """How long a phase of a connection may take, in seconds; ``None`` for as long as it likes.

        Whoever is known may wait for a long build, fetch a large file, keep a web socket.
        """
        if phase in {"answer", "socket"}:
            return None if is_known else self.answer_s
        if phase == "body":
            return self.known_body_s if is_known else self.body_s
        return {"idle": self.idle_s, "head": self.head_s}.get(phase, self.linger_s)


class Seat:
    """A connection's place, from the first byte of a handshake until it is closed."""

    def __init__(self, gate: Gate, transport: asyncio.Transport) -> None:
        self.gate = gate
        self.transport = transport
        peer = transport.get_extra_info("peername")
        address = str(peer[0]) if isinstance(peer, tuple) else ""
        self.is_proxy = plain(address) in gate.proxies
        self.address = neighbourhood(address)
        self.is_known = False
        self.phase: Phase = "head"
        self._since = asyncio.get_running_loop().time()
        self._unread, self._unread_since = 0, 0.0

    def know(self) -> None:
        """Its holder proved to be one of ours: the seat is nobody else's until it is left."""
        self.is_known = True

    def is_late(self, now: float) -> bool:
        """Whether its holder took too long over something."""
        unread = self.transport.get_write_buffer_size()
        if unread != self._unread or not unread:
            self._unread, self._unread_since = unread, now
        if unread and now - self._unread_since > self.gate.limits.answer_s:
            return True
        lasts_s = self.gate.limits.of(self.phase, self.is_known)
        return lasts_s is not None and now - self._since > lasts_s

    def enter(self, phase: Phase) -> None:
        """The other side begins something else."""
        if phase != self.phase:
            self.phase, self._since = phase, asyncio.get_running_loop().time()

    def leave(self) -> None:
        self.gate.leave(self)


class Gate:
    """All the seats.

    Parameters
    ----------
    tls : what connections are encrypted with, if they are.
    proxies : addresses whose connections are many people's: they count in all alone.
    """

    def __init__(
        self,
        limits: Limits | None = None,
        tls: ssl.SSLContext | None = None,
        proxies: frozenset[str] = frozenset(),
    ) -> None:
        self.limits = limits or Limits(seats=min(Limits().seats, _files() // 2))
        self.tls = tls
        self.proxies = proxies
        self._seats: dict[Seat, None] = {}  # in the order in which they were taken
        self._look: asyncio.TimerHandle | None = None

    def take(self, transport: asyncio.Transport) -> Seat | None:
        """A seat, ``None`` where all are taken by those who are known."""
        seat = Seat(self, transport)
        if not seat.is_proxy:
            own = [each for each in self._seats if each.address == seat.address]
            if len(own) >= self.limits.own_seats and not self._make_room(own):
                return None
        if len(self._seats) >= self.limits.seats:
            strangers = [each for each in self._seats if not each.is_known]
            held = Counter(each.address for each in strangers)
            most = max(held.values(), default=0)
            if not self._make_room([s for s in strangers if held[s.address] == most]):
                return None
        self._seats[seat] = None
        if self._look is None:
            self._look = asyncio.get_running_loop().call_later(_LOOK_EVERY_S, self._look_round)
        return seat

    def _make_room(self, among: list[Seat]) -> bool:
        oldest = next((seat for seat in among if not seat.is_known), None)
        if oldest is None:
            return False
        self._hang_up(oldest)
        return True

    def leave(self, seat: Seat) -> None:
        self._seats.pop(seat, None)

    def _look_round(self) -> None:
        loop = asyncio.get_running_loop()
        now = loop.time()
        for seat in [each for each in self._seats if each.is_late(now)]:
            self._hang_up(seat)
        has_any = bool(self._seats)
        self._look = loop.call_later(_LOOK_EVERY_S, self._look_round) if has_any else None

    def _hang_up(self, seat: Seat) -> None:
        self.leave(seat)
        seat.transport.abort()

    def protocol(self, **given: Any) -> asyncio.Protocol:
        """What speaks at a connection, as uvicorn asks for it."""
        return Attendant(self, **given)


def _files() -> int:
    """How many files, connections among them, this process may hold open."""
    try:
        import resource
    except ImportError:  # a system without such a limit
        return 1_000_000
    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return 1_000_000 if soft == resource.RLIM_INFINITY else soft


#: It keeps quiet: strangers could fill the log with warnings about nonsense that they sent.
_log = logging.getLogger("uvicorn.error.gate")


class Attendant(H11Protocol):
    """Uvicorn's reader of requests, on a seat."""

    def __init__(self, gate: Gate, **given: Any) -> None:
        super().__init__(**given)
        self.gate = gate
        self.seat: Seat | None = None
        self.logger = _log
        self.app = _seated(self.app, lambda: self.seat)
        self.ws_protocol_class = self._socket  # type: ignore[assignment]
        self._is_open = False
        self._early = b""
        self._drained = 0
        self._encrypting: asyncio.Task[None] | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        self.transport = transport
        self.seat = self.gate.take(transport)
        if self.seat is None:
            if self.gate.tls is None:
                transport.write(_answer(503, "Too many connections are open. Try again."))
                transport.close()
            else:
                transport.abort()
            return
        if self.gate.tls is None:
            self._open(transport)
            return
        transport.pause_reading()
        self._encrypting = self.loop.create_task(self._encrypt(transport, self.gate.tls))

    async def _encrypt(self, transport: asyncio.Transport, tls: ssl.SSLContext) -> None:
        try:
            encrypted = await self.loop.start_tls(
                transport,
                self,
                tls,
                server_side=True,
                ssl_handshake_timeout=self.gate.limits.head_s,
                ssl_shutdown_timeout=self.gate.limits.linger_s,
            )
        except OSError:  # what came was no handshake, or none to its end: nobody to tell
            encrypted = None
        if encrypted is None or self.seat is None:
            transport.abort()
            self._leave()
            return
        self._open(encrypted)

    def _open(self, transport: asyncio.Transport) -> None:
        assert self.seat is not None
        self.seat.transport = transport
        self._is_open = True
        super().connection_made(transport)
        early, self._early = self._early, b""
        if early:
            self.data_received(early)

    def connection_lost(self, exc: Exception | None) -> None:
        self._leave()
        if self._is_open:
            super().connection_lost(exc)

    def _leave(self) -> None:
        if self.seat is not None:
            self.seat.leave()
            self.seat = None

    # --- sizes and times --------------------------------------------------------------------------

    def data_received(self, data: bytes) -> None:
        if self.seat is None:
            return
        if not self._is_open:
            self._early += data  # within the turn in which the handshake ended
            return
        if self.seat.phase in {"turned away", "answered early"}:
            self._drained += len(data)
            if self._drained > _MAX_DRAINED:
                self.transport.abort()
                return
        if self.seat.phase != "turned away":
            super().data_received(data)
            self._watch()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        self._watch()

    def _watch(self) -> None:
        """Note what the other side has to do next."""
        if self.seat is None or self.seat.phase in {"turned away", "socket"}:
            return
        state = self.conn.their_state
        if state is h11.IDLE:
            self.seat.enter("head" if self.conn.trailing_data[0] else "idle")
        elif state is h11.SEND_BODY:
            # Its own types do not know that there is no cycle before the first request.
            is_answered = (
                self.cycle is not None  # type: ignore[redundant-expr]
                and self.cycle.response_complete
            )
            self.seat.enter("answered early" if is_answered else "body")
        else:
            self._drained = 0
            self.seat.enter("answer")

    def send_400_response(self, msg: str) -> None:
        """Turn away what is no request, or one without end."""
        if (
            self.cycle is not None  # type: ignore[redundant-expr]
            and not self.cycle.response_complete
        ):
            self.cycle.disconnected = True  # the answer on its way has nobody to go to
            self.cycle.message_event.set()
            if self.cycle.response_started:
                self.transport.abort()
                return
        is_long = len(self.conn.trailing_data[0]) > self.gate.limits.head
        self.transport.write(
            _answer(431, "The headers are too long.") if is_long else _answer(400, msg)
        )
        if self.seat is None or not self.transport.can_write_eof():
            self.transport.close()
            return
        # Closing at once would take the answer back from somebody who is still sending.
        self.transport.write_eof()
        self.seat.enter("turned away")

    # --- web sockets ------------------------------------------------------------------------------

    def _socket(self, **given: Any) -> asyncio.Protocol:
        assert self.seat is not None
        self.seat.enter("socket")
        return _SocketAttendant(self.seat, **given)


class _SocketAttendant(WebSocketsSansIOProtocol):
    """Uvicorn's reader of web sockets, on the seat of the request that asked for one."""

    def __init__(self, seat: Seat, **given: Any) -> None:
        super().__init__(**given)
        self.app = _seated(self.app, lambda: seat)
        self._seat = seat

    def connection_lost(self, exc: Exception | None) -> None:
        self._seat.leave()
        super().connection_lost(exc)


def _seated(app: Any, seat: Callable[[], Seat | None]) -> Any:
    async def run(scope: Any, receive: Any, send: Any) -> None:
        scope.setdefault("extensions", {})[SEAT] = seat()
        await app(scope, receive, send)

    return run


def _answer(status: int, words: str) -> bytes:
    body = words.encode()
    reason = {400: "Bad Request", 431: "Request Header Fields Too Large"}.get(
        status, "Service Unavailable"
    )
    return (
        f"HTTP/1.1 {status} {reason}\r\ncontent-type: text/plain; charset=utf-8\r\n"
        f"content-length: {len(body)}\r\nconnection: close\r\n\r\n"
    ).encode() + body


def configure(gate: Gate, app: Any, max_message: int) -> Config:
    """Uvicorn's settings behind a gate.

    Parameters
    ----------
    app : the guarded studio.
    max_message : the largest message over a web socket, in bytes.
    """
    config = Config(
        app,
        log_level="warning",
        http=gate.protocol,  # type: ignore[arg-type]
        h11_max_incomplete_event_size=gate.limits.head,
        timeout_keep_alive=int(gate.limits.idle_s),
        ws_max_size=max_message,
        ws_per_message_deflate=False,  # pages go to the same machine or across a room
        timeout_graceful_shutdown=2,
        server_header=False,
        proxy_headers=False,
    )
    _log.setLevel(logging.ERROR)  # after uvicorn has set up its logs
    return config
