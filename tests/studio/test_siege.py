"""Strangers without the password: the studio stays up, small, and open to its owner.

What an answer is called: RFC 9110 and RFC 6585 (431, 429).
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from . import siege
from .conftest import Running, start_studio

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="only Linux has every 127.x.x.x address"
)

PASSWORD = "a long enough word"
OWNER, STRANGER, GUESSER, NEIGHBOUR = (f"127.0.0.{last}" for last in (2, 3, 4, 5))
#: What a siege may add to what the process held before, in MB.
MORE_MB = 40.0


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    studio = start_studio(tmp_path_factory.mktemp("siege"), LICKWRIGHT_PASSWORD=PASSWORD)
    assert siege.gets_in(studio.port, OWNER, PASSWORD)
    yield studio
    studio.end()


@pytest.mark.parametrize("lines", [False, True])
def test_headers_have_a_largest_size(running: Running, lines: bool) -> None:
    before_mb = siege.memory_mb(running.process)
    status, sent = siege.push(running.port, STRANGER, 80_000_000, lines=lines)
    assert status in {431, 0}  # 0: the answer was lost under what was still being sent
    assert sent < 40_000_000
    assert siege.memory_mb(running.process, "VmHWM") < before_mb + MORE_MB
    assert siege.gets_in(running.port, OWNER, PASSWORD)


@pytest.mark.parametrize("size", [33_000, 120_000])
def test_a_head_that_is_a_little_too_long_is_told_so(running: Running, size: int) -> None:
    with siege.connect(running.port, STRANGER) as line:
        long = b"".join(b"X-%d: %b\r\n" % (at, b"x" * 1000) for at in range(size // 1000))
        line.sendall(siege.head(running.port) + long + b"\r\n")
        assert siege.status(line.recv(4096)) == 431


def test_half_sent_requests_are_closed(running: Running) -> None:
    lines = siege.half_sent(running.port, STRANGER, 300)
    try:
        siege.until_closed_s(lines, 100, 5.0)
        assert siege.open_among(lines) <= 100  # those of one address
        assert siege.gets_in(running.port, OWNER, PASSWORD)
        siege.until_closed_s(lines, 0, 15.0)
        assert siege.open_among(lines) == 0  # none of them for ever
    finally:
        for line in lines:
            line.close()


def test_slow_senders_and_silent_ones_are_closed(running: Running) -> None:
    own = f"Origin: http://127.0.0.1:{running.port}\r\n".encode()
    post = siege.head(running.port).replace(b"GET", b"POST") + own
    long = post + b"Content-Type: text/plain\r\nContent-Length: 900\r\n\r\n"
    refused = post.replace(b"/door", b"/bring") + b"Content-Length: 900\r\n\r\n"
    says = {"nothing": b"", "head": siege.head(running.port), "body": long, "refused": refused}
    lines = {name: siege.connect(running.port, STRANGER) for name in says}
    for name, line in lines.items():
        line.sendall(says[name])
    until = time.monotonic() + 25
    while siege.open_among(list(lines.values())) and time.monotonic() < until:
        time.sleep(0.5)
        for name in ("head", "body", "refused"):
            try:
                lines[name].send(b"x")
            except OSError:
                continue
    still = [name for name, line in lines.items() if siege.open_among([line])]
    for line in lines.values():
        line.close()
    assert still == []


def test_a_crowd_does_not_keep_the_owner_out(running: Running) -> None:
    before_mb = siege.memory_mb(running.process)
    lines = [siege.connect(running.port, f"127.0.1.{at % 20 + 1}") for at in range(600)]
    try:
        assert siege.gets_in(running.port, OWNER, PASSWORD)
        siege.until_closed_s(lines, 400, 5.0)
        assert siege.open_among(lines) <= 400  # those of all addresses
    finally:
        for line in lines:
            line.close()
    assert siege.memory_mb(running.process, "VmHWM") < before_mb + MORE_MB


def test_who_guesses_waits_and_nobody_else(running: Running) -> None:
    said = [siege.give_word(running.port, GUESSER, "wrong")[0] for _ in range(6)]
    assert said == [403] * 4 + [429] * 2
    going = threading.Thread(
        target=lambda: [siege.give_word(running.port, GUESSER, "wrong") for _ in range(20)]
    )
    going.start()
    status, cookie, _ = siege.give_word(running.port, OWNER, PASSWORD)
    assert (status, bool(cookie)) == (303, True)
    going.join()
    status, _, headers = siege.give_word(running.port, GUESSER, PASSWORD)
    assert status == 429
    assert 0 < int(headers["retry-after"]) <= 60
    assert siege.give_word(running.port, NEIGHBOUR, "wrong")[0] == 403


def test_a_stranger_sends_a_password_and_no_more(running: Running) -> None:
    own = f"Origin: http://127.0.0.1:{running.port}\r\n".encode()
    post = siege.head(running.port).replace(b"GET", b"POST") + own
    kind = b"Content-Type: application/x-www-form-urlencoded\r\n"
    for sent, wanted in (
        (b"Content-Length: 9000\r\n\r\n" + b"x" * 9000, 413),
        (b"Transfer-Encoding: chunked\r\n\r\n" + (b"1000\r\n" + b"x" * 4096 + b"\r\n") * 3, 413),
    ):
        with siege.connect(running.port, NEIGHBOUR) as line:
            line.sendall(post + kind + sent)
            assert siege.status(line.recv(4096)) == wanted


def test_nonsense_leaves_no_trace_in_the_log(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    running = start_studio(tmp_path / "lessons", LICKWRIGHT_PASSWORD=PASSWORD)
    head = siege.head(running.port)
    chunked = head.replace(b"GET", b"POST") + b"Transfer-Encoding: chunked\r\n\r\n"
    sock = b"Connection: Upgrade\r\nUpgrade: websocket\r\n"
    try:
        for said in (
            b"\x16\x03\x01\x02\x00\x01\x00",
            b"GET / HTTP/9.9\r\n\r\n",
            b"\r\n" * 20_000,
            b"\0" * 4000,
            head + b"Content-Length: x\r\n\r\n",
            head + b"Content-Length: 99999999999999999999\r\n\r\n",
            head + b"Content-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n",
            head + b"Host: twice\r\n\r\n",
            head + sock + b"\r\n",
            head.replace(b"GET", b"POST") + sock + b"\r\n",
            head + sock + b"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: x\r\n\r\n",
            head + b"X-Same: 1\r\n" * 2_000 + sock + b"\r\n",
            chunked + b"zz\r\n",
            head + b"\r\n" + head + b"\r\n\0\0",
            (head + b"\r\n") * 40,
        ):
            with siege.connect(running.port, STRANGER) as line:
                line.settimeout(1.5)
                try:
                    line.sendall(said)
                    while line.recv(65_536):
                        pass
                except OSError:
                    continue
        assert siege.gets_in(running.port, OWNER, PASSWORD)
    finally:
        running.end()
    said = capfd.readouterr().err
    assert "Traceback" not in said
    assert "Invalid HTTP" not in said
