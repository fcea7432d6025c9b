"""The door: who is asked, who waits, how a session ends, and what is believed on the way.

Cookies: RFC 6265.  Origins: RFC 6454.  ``X-Forwarded-For`` has no standard (common practice): each
proxy adds the address that it was asked from at the end.
"""

from __future__ import annotations

import asyncio
import base64
import http.client
import os
import re
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from lickwright.errors import LessonError
from lickwright.studio.server.address import neighbourhood
from lickwright.studio.server.gate import Gate, Limits
from lickwright.studio.server.guard import COOKIE, OWN_PAGES, OWN_SOCKETS, Guard, Reach
from lickwright.studio.server.login import (
    KEPT_ADDRESSES,
    MOST_LENGTH,
    SESSION_S,
    WITHIN_S,
    WRONG_WORDS,
    Logins,
    password_from,
)
from lickwright.studio.server.serve import serve
from lickwright.studio.server.tls import tls_from

from .conftest import Hand, Running

PASSWORD = "a long enough word"
HOME, AWAY = "192.0.2.1", "198.51.100.7"  # of the blocks for documentation (RFC 5737)


@pytest.fixture
def now() -> list[float]:
    return [1000.0]


@pytest.fixture
def logins(now: list[float]) -> Logins:
    return Logins(PASSWORD, clock=lambda: now[0])


# --- words and addresses --------------------------------------------------------------------------


def test_an_address_that_guesses_waits(logins: Logins, now: list[float]) -> None:
    at_home = logins.open(PASSWORD, HOME)
    assert at_home is not None
    for _ in range(WRONG_WORDS):
        assert logins.wait_s(AWAY) == 0
        assert logins.open("wrong", AWAY) is None
        now[0] += 1
    assert logins.wait_s(AWAY) == WITHIN_S - WRONG_WORDS
    assert logins.open(PASSWORD, AWAY) is None
    assert logins.is_known(at_home)
    assert logins.open(PASSWORD, HOME) is not None
    now[0] += WITHIN_S
    assert logins.wait_s(AWAY) == 0
    assert logins.open(PASSWORD, AWAY) is not None


def test_who_waits_is_not_kept_waiting_by_asking(logins: Logins, now: list[float]) -> None:
    for _ in range(WRONG_WORDS):
        logins.open("wrong", AWAY)
    now[0] += WITHIN_S - 1
    logins.open("wrong", AWAY)
    now[0] += 1
    assert logins.open(PASSWORD, AWAY) is not None


def test_an_address_of_the_sixth_version_counts_by_its_household(logins: Logins) -> None:
    for last in range(WRONG_WORDS):
        logins.open("wrong", f"2001:db8:1:2:aaaa::{last + 1}")
    assert logins.wait_s("2001:db8:1:2:ffff::1")
    assert not logins.wait_s("2001:db8:1:3::1")
    assert neighbourhood("::ffff:192.0.2.1") == HOME
    assert neighbourhood("fe80::1%eth0") == neighbourhood("fe80::2%eth0")


def test_only_so_many_addresses_are_remembered(logins: Logins) -> None:
    for at in range(KEPT_ADDRESSES + 500):
        logins.open("wrong", f"10.{at >> 16}.{at >> 8 & 255}.{at & 255}")
    assert len(logins._wrong) == KEPT_ADDRESSES


@pytest.mark.parametrize("word", ["", "\ud800", "\0", "é" * 400, PASSWORD + " ", PASSWORD[:-1]])
def test_other_words_are_wrong(logins: Logins, word: str) -> None:
    assert logins.open(word, HOME) is None


def test_a_session_ends_after_half_a_day_or_when_it_is_told_to(
    logins: Logins, now: list[float]
) -> None:
    ended: list[str] = []
    logins.tell(ended.append)
    first, second = logins.open(PASSWORD, HOME), logins.open(PASSWORD, HOME)
    assert first is not None
    assert second is not None
    logins.end(first)
    assert (logins.is_known(first), logins.is_known(second), ended) == (False, True, [first])
    now[0] += SESSION_S
    assert not logins.is_known(second)
    assert not logins.is_known("")


def test_a_password_has_a_longest_length(tmp_path: Path) -> None:
    file = tmp_path / "word"
    file.write_text("é" * (MOST_LENGTH + 1), "utf-8")
    with pytest.raises(LessonError, match="too long"):
        password_from(file)


# --- what a request says --------------------------------------------------------------------------


async def _nothing(*_: object) -> None: ...


def scope_of(*cookies: str, client: str = AWAY, **changed: Any) -> dict[str, Any]:
    own = [(b"host", b"192.0.2.9:8080"), *((b"cookie", each.encode()) for each in cookies)]
    made = {"type": "http", "method": "GET", "path": "/own/x", "scheme": "http", "headers": own}
    return made | {"client": (client, 1)} | changed


def headers_of(scope: dict[str, Any]) -> dict[str, str]:
    return {name.decode(): value.decode() for name, value in scope["headers"]}


@pytest.mark.parametrize(
    "others",
    [
        ['prefs={"a":1}; {}'],
        ["a[b]=c; {}"],
        ["{}; =; ;;b@d/=(x); é=ü"],
        ["session=abc", "{}", "x=y"],
        ['quote="never closed; {}'],
        ["lickwright_door=short; {}"],
        ["lickwright_door=" + "A" * 43 + "; {}"],
        ["xlickwright_door=1;{};lickwright_door2=2"],
    ],
)
def test_our_cookie_is_found_among_any(logins: Logins, others: list[str]) -> None:
    guard = Guard(_nothing, Reach("0.0.0.0"), logins)
    token = logins.open(PASSWORD, HOME)
    kept = [each.replace("{}", f"{COOKIE}={token}") for each in others]
    scope = scope_of(*kept)
    assert guard.refusal(scope, headers_of(scope)) is None
    without = scope_of(*[each.replace("{}", "") for each in others])
    refusal = guard.refusal(without, headers_of(without))
    assert refusal is not None
    assert refusal.status == 401


@pytest.mark.parametrize(
    ("scheme", "host", "origin", "is_own"),
    [
        ("http", "192.0.2.9:8080", "http://192.0.2.9:8080", True),
        ("http", "192.0.2.9:8080", "https://192.0.2.9:8080", False),
        ("https", "192.0.2.9:8080", "https://192.0.2.9:8080", True),
        ("https", "192.0.2.9:8080", "http://192.0.2.9:8080", False),
        ("wss", "192.0.2.9:8080", "https://192.0.2.9:8080", True),
        ("ws", "192.0.2.9:8080", "https://192.0.2.9:8080", False),
        ("http", "192.0.2.9", "http://192.0.2.9:80", True),
        ("http", "192.0.2.9", "http://192.0.2.9:8080", False),
        ("https", "192.0.2.9:443", "https://192.0.2.9", True),
        ("http", "192.0.2.9:443", "https://192.0.2.9", False),
        ("http", "192.0.2.9:8080", "http://a@192.0.2.9:8080", False),
        ("http", "192.0.2.9:8080", "http://192.0.2.9:8080/", False),
        ("http", "192.0.2.9:8080", "http://192.0.2.10:8080", False),
        ("http", "192.0.2.9:8080", "http://192.0.2.9:x", False),
    ],
)
def test_an_origin_is_scheme_host_and_port(
    scheme: str, host: str, origin: str, is_own: bool
) -> None:
    guard = Guard(_nothing, Reach("0.0.0.0"))
    kind = "websocket" if scheme.startswith("ws") else "http"
    scope = scope_of(type=kind, method="POST", scheme=scheme)
    refusal = guard.refusal(scope, {"host": host, "origin": origin})
    assert (refusal is None) == is_own


def test_a_name_is_ours_where_the_owner_says_so() -> None:
    plain, named = Reach("127.0.0.1"), Reach("127.0.0.1", ("studio.example",))
    assert not plain.has("studio.example")
    assert named.has("studio.example")
    assert named.has("localhost")
    assert not named.has("other.example")
    assert not named.has("192.0.2.9")


@pytest.mark.parametrize(
    ("client", "said", "seen"),
    [
        ("127.0.0.1", AWAY, (AWAY, "https")),
        ("127.0.0.1", f"{HOME}, {AWAY}", (AWAY, "https")),
        ("::ffff:127.0.0.1", AWAY, (AWAY, "https")),
        ("127.0.0.1", f"{AWAY}, nonsense", ("127.0.0.1", "https")),
        (HOME, AWAY, (HOME, "http")),
    ],
)
def test_a_proxy_is_believed_where_the_owner_named_it(
    client: str, said: str, seen: tuple[str, str]
) -> None:
    found: list[tuple[str, str]] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        found.append((scope["client"][0], scope["scheme"]))

    guard = Guard(app, Reach("0.0.0.0", (), frozenset({"127.0.0.1"})))
    forwarded = [(b"x-forwarded-for", said.encode()), (b"x-forwarded-proto", b"https")]
    scope = scope_of(client=client)
    scope["headers"] += forwarded
    asyncio.run(guard(scope, _nothing, _nothing))
    assert found == [seen]


# --- how much one may hold ------------------------------------------------------------------------


def test_a_visitor_holds_so_many_pages() -> None:
    held = [AWAY] * OWN_PAGES
    said: list[dict[str, Any]] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def send(message: Any) -> None:
        said.append(message)

    guard = Guard(app, Reach("0.0.0.0"), None, lambda: held)

    def status(**asked: Any) -> int:
        said.clear()
        asyncio.run(guard(scope_of(**asked), _nothing, send))
        return int(said[0]["status"])

    assert status(path="/") == 429
    assert (b"retry-after", b"60") in said[0]["headers"]
    assert status(path="/lesson/tide.yaml") == 429
    assert status(path="/nowhere") == 429
    assert status(path="/", client=HOME) == 200
    assert status(path="/own/studio.css") == 200
    held.pop()
    assert status(path="/") == 200


class Line:
    """A web socket that a test holds the other end of."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.closed = asyncio.Event()

    async def receive(self) -> dict[str, Any]:
        await self.closed.wait()
        return {"type": "websocket.disconnect"}

    async def send(self, message: Any) -> None:
        self.said.append(message["type"])
        if message["type"] == "websocket.close":
            self.closed.set()


async def _listens(scope: Any, receive: Any, send: Any) -> None:
    await send({"type": "websocket.accept"})
    while (await receive())["type"] != "websocket.disconnect":
        pass
    await send({"type": "websocket.send", "text": "late"})


def socket_scope(token: str) -> dict[str, Any]:
    scope = scope_of(f"{COOKIE}={token}", type="websocket", scheme="ws")
    scope["headers"].append((b"origin", b"http://192.0.2.9:8080"))
    return scope


@pytest.mark.parametrize("way", ["log out", "half a day"])
def test_sockets_end_with_their_session(
    logins: Logins, now: list[float], monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    token, other = logins.open(PASSWORD, HOME), logins.open(PASSWORD, HOME)
    assert token is not None
    assert other is not None
    if way == "half a day":
        monkeypatch.setattr(logins, "left_s", lambda asked: 0.05 if asked == token else 100.0)

    async def run() -> tuple[Line, Line]:
        guard = Guard(_listens, Reach("0.0.0.0"), logins)
        mine, theirs = Line(), Line()
        tasks = [
            asyncio.create_task(guard(socket_scope(whose), line.receive, line.send))
            for whose, line in ((token, mine), (other, theirs))
        ]
        await asyncio.sleep(0.01)
        if way == "log out":
            logins.end(token)
        await asyncio.wait_for(tasks[0], 5)
        assert not tasks[1].done()
        theirs.closed.set()
        await tasks[1]
        return mine, theirs

    mine, theirs = asyncio.run(run())
    assert mine.said == ["websocket.accept", "websocket.close"]  # and nothing after it
    assert theirs.said == ["websocket.accept"]


def test_a_visitor_holds_so_many_sockets(logins: Logins) -> None:
    tokens = [str(logins.open(PASSWORD, HOME)) for _ in range(2)]

    async def run() -> list[list[str]]:
        guard = Guard(_listens, Reach("0.0.0.0"), logins)
        lines = [Line() for _ in range(OWN_SOCKETS + 2)]
        whose = [tokens[0]] * (OWN_SOCKETS + 1) + [tokens[1]]
        tasks = []
        for token, line in zip(whose, lines, strict=True):
            tasks.append(asyncio.create_task(guard(socket_scope(token), line.receive, line.send)))
            await asyncio.sleep(0)
        for line in lines:
            line.closed.set()
        await asyncio.gather(*tasks)
        return [line.said for line in lines]

    said = asyncio.run(run())
    assert said[:OWN_SOCKETS] == [["websocket.accept"]] * OWN_SOCKETS
    assert said[OWN_SOCKETS:] == [["websocket.close"], ["websocket.accept"]]


class Wire:
    """A connection as the gate sees it."""

    def __init__(self, address: str) -> None:
        self.address, self.is_cut, self.unread = address, False, 0

    def get_extra_info(self, name: str) -> Any:
        return (self.address, 1)

    def get_write_buffer_size(self) -> int:
        return self.unread

    def abort(self) -> None:
        self.is_cut = True


def test_the_oldest_stranger_makes_room_and_who_is_known_keeps_its_seat() -> None:
    async def run() -> None:
        gate = Gate(Limits(seats=6, own_seats=4))
        wires = [Wire(AWAY) for _ in range(5)]
        seats = [gate.take(wire) for wire in wires]  # type: ignore[arg-type]
        assert [wire.is_cut for wire in wires] == [True, False, False, False, False]
        owner = Wire(HOME)
        at_home = gate.take(owner)  # type: ignore[arg-type]
        others = [Wire(HOME), Wire("192.0.2.77")]
        assert all(gate.take(wire) for wire in others)  # type: ignore[arg-type]
        assert wires[1].is_cut  # of the address that holds the most
        assert not owner.is_cut
        for seat in (*seats[2:], at_home):
            assert seat is not None
            seat.know()
        assert gate.take(Wire("192.0.2.78")) is not None  # type: ignore[arg-type]
        assert others[0].is_cut
        assert not any(wire.is_cut for wire in (*wires[2:], owner))

    asyncio.run(run())


def test_a_proxy_holds_seats_for_many() -> None:
    async def run() -> None:
        gate = Gate(Limits(seats=6, own_seats=2), proxies=frozenset({HOME}))
        wires = [Wire(HOME) for _ in range(6)]
        assert all(gate.take(wire) for wire in wires)  # type: ignore[arg-type]
        assert not any(wire.is_cut for wire in wires)

    asyncio.run(run())


def test_who_does_not_read_is_hung_up_on() -> None:
    async def run() -> None:
        gate = Gate(Limits(answer_s=5.0))
        wire = Wire(AWAY)
        seat = gate.take(wire)  # type: ignore[arg-type]
        assert seat is not None
        seat.know()
        seat.enter("answer")
        now = asyncio.get_running_loop().time()
        wire.unread = 1000
        assert not seat.is_late(now)
        assert not seat.is_late(now + 4)
        wire.unread = 900
        assert not seat.is_late(now + 6)
        assert seat.is_late(now + 12)

    asyncio.run(run())


# --- a studio that runs ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two certificates for this machine, each with its key."""
    folder = tmp_path_factory.mktemp("certificates")
    for name in ("a", "b"):
        done = subprocess.run(
            [
                *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt"),
                *("ec_paramgen_curve:P-256", "-nodes", "-days", "2", "-subj", "/CN=localhost"),
                *("-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"),
                *("-keyout", str(folder / f"{name}.key"), "-out", str(folder / f"{name}.pem")),
            ],
            capture_output=True,
            check=False,
        )
        if done.returncode:
            pytest.skip("openssl cannot make a certificate here")
    return folder


@pytest.fixture
def command(tmp_path: Path) -> Iterator[Callable[..., Running]]:
    """Starts studios by the command."""
    running: list[Running] = []

    def start(*options: str) -> Running:
        clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
        process = subprocess.Popen(
            [
                *(sys.executable, "-m", "lickwright", "studio", str(tmp_path / "lessons")),
                *("--no-browser", *options),
            ],
            stdout=subprocess.PIPE,
            text=True,
            env=clean | {"LICKWRIGHT_PASSWORD": PASSWORD},
        )
        assert process.stdout is not None
        found = re.search(r"https?://\S+/", process.stdout.readline())
        assert found
        running.append(Running(tmp_path / "lessons", process, found[0]))
        return running[-1]

    yield start
    for each in running:
        each.end()


def talk(running: Running, tls: ssl.SSLContext | None = None) -> http.client.HTTPConnection:
    if tls is None:
        return http.client.HTTPConnection("127.0.0.1", running.port, timeout=20)
    return http.client.HTTPSConnection("127.0.0.1", running.port, timeout=20, context=tls)


def enter(line: http.client.HTTPConnection, origin: str, **more: str) -> tuple[int, str]:
    kind = {"Content-Type": "application/x-www-form-urlencoded", "Origin": origin}
    more = {name.replace("_", "-"): value for name, value in more.items()}
    line.request("POST", "/door", f"word={quote(PASSWORD)}", kind | more)
    answer = line.getresponse()
    answer.read()
    return answer.status, answer.headers.get("set-cookie", "")


def test_it_speaks_encrypted(command: Callable[..., Running], made: Path) -> None:
    running = command("--cert", str(made / "a.pem"), "--key", str(made / "a.key"))
    own = running.address.rstrip("/")
    assert own.startswith("https://")
    tls = ssl.create_default_context(cafile=made / "a.pem")
    line = talk(running, tls)
    assert enter(line, own.replace("https", "http"))[0] == 403
    status, cookie = enter(line, own)
    assert status == 303
    assert "; Secure" in cookie
    line.request("GET", "/own/studio.js", headers={"Cookie": cookie.partition(";")[0]})
    answer = line.getresponse()
    assert (answer.status, len(answer.read()) > 1000) == (200, True)
    line.request("GET", "/own/x" + "y" * 40_000)
    assert line.getresponse().status == 431
    plain = talk(running)
    with pytest.raises((http.client.HTTPException, OSError)):
        enter(plain, own)
    _upgrade(tls.wrap_socket(_dial(running), server_hostname="localhost"), own, cookie)
    # A handshake that is never finished does not stay open.
    half = _dial(running)
    half.sendall(b"\x16\x03\x01")
    half.settimeout(20)
    assert half.recv(1) == b""
    half.close()
    assert enter(talk(running, tls), own)[0] == 303


def _dial(running: Running) -> socket.socket:
    return socket.create_connection(("127.0.0.1", running.port), timeout=20)


def _upgrade(line: socket.socket, origin: str, cookie: str) -> socket.socket:
    """A web socket to the studio (RFC 6455, section 1.3)."""
    key = base64.b64encode(os.urandom(16)).decode()
    line.sendall(
        "GET /_nicegui_ws/socket.io/?EIO=4&transport=websocket HTTP/1.1\r\n"
        f"Host: {origin.partition('//')[2]}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"
        f"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: {key}\r\nOrigin: {origin}\r\n"
        f"Cookie: {cookie.partition(';')[0]}\r\n\r\n".encode()
    )
    assert line.recv(4096).startswith(b"HTTP/1.1 101")
    return line


def test_logging_out_ends_session_and_sockets(command: Callable[..., Running]) -> None:
    running = command()
    own = running.address.rstrip("/")
    line = talk(running)
    _, cookie = enter(line, own)
    mine = {"Cookie": cookie.partition(";")[0]}
    wire = _upgrade(_dial(running), own, cookie)
    line.request("POST", "/leave", headers=mine)  # no page of ours
    answer = line.getresponse()
    answer.read()
    assert answer.status == 403
    line.request("POST", "/leave", headers=mine | {"Origin": own})
    answer = line.getresponse()
    answer.read()
    assert (answer.status, answer.headers["location"]) == (303, "/door")
    assert 'lickwright_door=""' in answer.headers["set-cookie"]
    line.request("GET", "/own/studio.js", headers=mine)
    answer = line.getresponse()
    answer.read()
    assert answer.status == 401
    said, until = b"", time.monotonic() + 10
    while b"\x03\xf0" not in said and time.monotonic() < until:  # close, 1008
        said += wire.recv(4096)
    assert b"The session has ended." in said
    wire.close()
    with pytest.raises(AssertionError):
        _upgrade(_dial(running), own, cookie)


def test_a_proxy_stands_before_it(command: Callable[..., Running]) -> None:
    running = command("--also-host", "Studio.example", "--proxy", "127.0.0.1")
    line = talk(running)
    through = {"Host": "studio.example", "X_Forwarded_Proto": "https"}
    status, cookie = enter(line, "https://studio.example", X_Forwarded_For=HOME, **through)
    assert status == 303
    assert "; Secure" in cookie
    assert enter(line, "http://studio.example", X_Forwarded_For=HOME, **through)[0] == 403
    assert enter(line, "https://other.example", **through | {"Host": "other.example"})[0] == 421
    wrong = {"Content-Type": "application/x-www-form-urlencoded"}
    wrong |= {name.replace("_", "-"): value for name, value in through.items()}
    wrong |= {"Origin": "https://studio.example", "X-Forwarded-For": f"{HOME}, {AWAY}"}
    said = []
    for _ in range(WRONG_WORDS + 1):
        line.request("POST", "/door", "word=wrong", wrong)
        answer = line.getresponse()
        answer.read()
        said.append(answer.status)
    assert said == [403] * (WRONG_WORDS - 1) + [429] * 2
    assert enter(line, "https://studio.example", X_Forwarded_For=HOME, **through)[0] == 303


def test_pages_that_nobody_looks_at_are_bounded(studio: Callable[..., Running]) -> None:
    line = talk(studio())
    said = []
    for _ in range(OWN_PAGES + 3):
        line.request("GET", "/")
        answer = line.getresponse()
        answer.read()
        said.append(answer.status)
    assert said == [200] * OWN_PAGES + [429] * 3


def test_a_button_logs_out(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> None:
    running = studio(tide.parent, LICKWRIGHT_PASSWORD=PASSWORD)
    owner = hand()
    page = owner.page
    page.goto(running.address)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Come in").click()
    page.locator("body[data-ready]").wait_for()
    assert page.get_by_role("button", name="Log out").count() == 1
    owner.open(f"{running.address}lesson/tide.yaml")
    page.get_by_role("button", name="Log out").click()
    page.get_by_label("Password").wait_for()
    page.goto(running.address)
    page.get_by_label("Password").wait_for()


def test_without_a_password_there_is_nothing_to_leave(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> None:
    running = studio(tide.parent)
    owner = hand()
    owner.open(running.address)
    assert owner.page.get_by_role("button", name="Log out").count() == 0


# --- what is refused before it begins -------------------------------------------------------------


def test_a_certificate_that_is_none_is_told(made: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.pem"
    broken.write_text("-----BEGIN CERTIFICATE-----\nnonsense\n", "utf-8")
    locked = tmp_path / "locked.key"
    subprocess.run(
        [
            *("openssl", "ec", "-in", str(made / "a.key"), "-aes256", "-passout", "pass:word"),
            *("-out", str(locked)),
        ],
        check=True,
        capture_output=True,
    )
    cert, key = made / "a.pem", made / "a.key"
    for one, other, said in (
        (cert, None, "belong together"),
        (None, key, "belong together"),
        (tmp_path / "none.pem", key, "cannot be read"),
        (cert, tmp_path, "cannot be read"),
        (broken, key, "no PEM file"),
        (cert, cert, "no PEM file"),
        (cert, locked, "no PEM file"),
        (cert, made / "b.key", "do not belong together"),
    ):
        with pytest.raises(LessonError, match=said):
            tls_from(one, other)
    assert tls_from(None, None) is None
    assert tls_from(cert, key) is not None


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"also_hosts": ["studio.example"]}, "everybody who can reach studio.example"),
        ({"proxies": ["127.0.0.1"]}, "everybody who can reach"),
        ({"also_hosts": ["studio.example:80"]}, "no name of a host"),
        ({"also_hosts": ["https://studio.example"]}, "no name of a host"),
        ({"also_hosts": ["*"]}, "no name of a host"),
        ({"also_hosts": [""]}, "no name of a host"),
        ({"proxies": ["studio.example"]}, "no address"),
    ],
)
def test_names_and_proxies_are_meant(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, given: dict[str, Any], said: str
) -> None:
    monkeypatch.delenv("LICKWRIGHT_PASSWORD", raising=False)
    with pytest.raises(LessonError, match=said):
        serve(tmp_path / "lessons", opens_browser=False, **given)
    assert not (tmp_path / "lessons").exists()
