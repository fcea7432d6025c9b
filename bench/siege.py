"""Can strangers without the password fell a studio, and does its owner get in meanwhile?

Starts a studio with a password and attacks it from loopback addresses of its own (Linux); prints
for each attack the most that the server's process held, and how long the owner, at another
address, took to sign in and fetch a file while it went on.

    python bench/siege.py
"""

from __future__ import annotations

import socket
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

PASSWORD = "a long enough word"
OWNER, STRANGER = "127.0.0.2", "127.0.0.3"
BOUND_MB = 400.0


def main() -> int:
    from tests.studio import siege
    from tests.studio.conftest import start_studio

    held: list[socket.socket] = []

    def endless(port: int) -> str:
        status, sent = siege.push(port, STRANGER, 1_200_000_000, lines=False)
        return f"answered {status or 'nothing'} after {sent / 1e6:.1f} MB"

    def many(port: int) -> str:
        status, sent = siege.push(port, STRANGER, 300_000_000, lines=True)
        return f"answered {status or 'nothing'} after {sent / 1e6:.1f} MB"

    def half(port: int) -> str:
        held.extend(siege.half_sent(port, STRANGER, 900))
        time.sleep(1)
        return f"{siege.open_among(held)} of {len(held)} still open"

    def slow(port: int) -> str:
        lines = [siege.connect(port, STRANGER) for _ in range(90)]
        began = time.monotonic()
        for line in lines:
            line.sendall(siege.head(port))
        while siege.open_among(lines) and time.monotonic() - began < siege.LONGEST_S:
            time.sleep(1)
            for line in lines:
                try:
                    line.send(b"X")
                except OSError:
                    continue
        return f"a byte a second: the last was closed after {time.monotonic() - began:.0f} s"

    def thousand(port: int) -> str:
        for at in range(1000):
            try:
                held.append(siege.connect(port, f"127.0.1.{at % 20 + 1}"))
            except OSError:
                continue
        time.sleep(1)
        return f"{siege.open_among(held)} of {len(held)} open, from 20 addresses"

    def words(port: int) -> str:
        until, said = time.monotonic() + 5, {}
        while time.monotonic() < until:
            status = siege.give_word(port, STRANGER, "wrong")[0]
            said[status] = said.get(status, 0) + 1
        return ", ".join(f"{count} x {status}" for status, count in sorted(said.items()))

    attacks: list[tuple[str, Callable[[int], str]]] = [
        ("a header without end", endless),
        ("300 MB of headers", many),
        ("900 half-sent requests", half),
        ("90 slow senders", slow),
        ("1,000 connections", thousand),
        ("wrong passwords for 5 s", words),
    ]
    is_well = True
    with tempfile.TemporaryDirectory() as folder:
        running = start_studio(Path(folder), LICKWRIGHT_PASSWORD=PASSWORD)
        try:
            is_in = siege.gets_in(running.port, OWNER, PASSWORD)
            print(f"at rest: {siege.memory_mb(running.process):.0f} MB; the owner gets in: {is_in}")
            for name, attack in attacks:
                siege.forget_peak(running.process)
                told, going = begin(attack, running.port)
                tries_s, is_in = [], True
                while going.is_alive() or not tries_s:
                    began = time.monotonic()
                    is_in &= siege.gets_in(running.port, OWNER, PASSWORD)
                    tries_s.append(time.monotonic() - began)
                    going.join(0.3)
                peak_mb = siege.memory_mb(running.process, "VmHWM")
                print(
                    f"{name}: {told[0] if told else 'broke off'}; at most {peak_mb:.0f} MB;"
                    f" the owner gets in: {is_in}, {len(tries_s)} tries,"
                    f" the slowest {max(tries_s):.2f} s"
                )
                is_well &= is_in and bool(told) and peak_mb < BOUND_MB
                for line in held:
                    line.close()
                held.clear()
        finally:
            running.end()
    print(f"bound: {BOUND_MB:.0f} MB, the owner always: {'held' if is_well else 'BROKEN'}")
    return 0 if is_well else 1


def begin(attack: Callable[[int], str], port: int) -> tuple[list[str], threading.Thread]:
    """Attack meanwhile; the list is told how it went."""
    told: list[str] = []
    going = threading.Thread(target=lambda: told.append(attack(port)))
    going.start()
    return told, going


if __name__ == "__main__":
    raise SystemExit(main())
