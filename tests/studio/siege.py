"""Strangers who want to fell the studio, from loopback addresses of their own."""

from __future__ import annotations

import http.client
import re
import socket
import subprocess
import time
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote

#: Nothing here goes on longer than this, in seconds.
LONGEST_S = 30.0


def connect(port: int, source: str) -> socket.socket:
    """A connection from an address of ours."""
    return socket.create_connection(("127.0.0.1", port), timeout=10, source_address=(source, 0))


def head(port: int, path: str = "/door") -> bytes:
    return f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n".encode()


def status(said: bytes) -> int:
    """The status of an answer, 0 where there was none."""
    found = re.match(rb"HTTP/1\.1 (\d{3})", said)
    return int(found[1]) if found else 0


def push(port: int, source: str, total: int, *, lines: bool) -> tuple[int, int]:
    """Headers of so many bytes on one connection: one without end, or many lines.

    Returns the status of the answer (0 for none) and how many bytes were taken.
    """
    until, sent, said = time.monotonic() + LONGEST_S, 0, b""
    block = (b"X-Many: " + b"x" * 1000 + b"\r\n") * 64 if lines else b"x" * 65_536
    with connect(port, source) as line:
        with suppress(ConnectionError, TimeoutError):
            line.sendall(head(port) + (b"" if lines else b"X-Long: "))
            while sent < total and time.monotonic() < until:
                line.sendall(block)
                sent += len(block)
            line.sendall(b"\r\n\r\n")
        with suppress(ConnectionError, TimeoutError):
            said = line.recv(4096)
    return status(said), sent


def half_sent(port: int, source: str, count: int) -> list[socket.socket]:
    """So many connections, each with a request that is never finished."""
    lines = []
    for _ in range(count):
        with suppress(OSError):
            line = connect(port, source)
            lines.append(line)
            line.sendall(head(port) + b"X-Half: ")
    return lines


def open_among(lines: list[socket.socket]) -> int:
    """How many the other side still holds open."""
    count = 0
    for line in lines:
        line.setblocking(False)
        try:
            while line.recv(65_536):
                pass
        except BlockingIOError:
            count += 1
        except OSError:
            pass
    return count


def until_closed_s(lines: list[socket.socket], most: int, longest_s: float) -> float:
    """Seconds until no more than so many are open."""
    began = time.monotonic()
    while open_among(lines) > most and time.monotonic() - began < longest_s:
        time.sleep(0.2)
    return time.monotonic() - began


def give_word(port: int, source: str, word: str) -> tuple[int, str, dict[str, str]]:
    """Say a word at the door: the status, the cookie, and all headers."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=20, source_address=(source, 0))
    own = f"http://127.0.0.1:{port}"
    kind = {"Content-Type": "application/x-www-form-urlencoded", "Origin": own}
    line.request("POST", "/door", f"word={quote(word)}", kind)
    answer = line.getresponse()
    answer.read()
    headers = {name.lower(): value for name, value in answer.getheaders()}
    line.close()
    return answer.status, headers.get("set-cookie", "").partition(";")[0], headers


def gets_in(port: int, source: str, word: str) -> bool:
    """Whether the owner can sign in and see the lessons."""
    found, cookie, _ = give_word(port, source, word)
    if found != 303:
        return False
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=20, source_address=(source, 0))
    line.request("GET", "/own/studio.css", headers={"Cookie": cookie})
    found = line.getresponse().status
    line.close()
    return found == 200


def memory_mb(process: subprocess.Popen[str], what: str = "VmRSS") -> float:
    """What the server's process holds (``VmRSS``) or held at most (``VmHWM``), in MB."""
    text = Path(f"/proc/{process.pid}/status").read_text("utf-8")
    found = re.search(rf"{what}:\s+(\d+) kB", text)
    assert found is not None
    return int(found[1]) / 1024


def forget_peak(process: subprocess.Popen[str]) -> None:
    """Let the most that was held be counted anew (Linux)."""
    Path(f"/proc/{process.pid}/clear_refs").write_text("5", "utf-8")
