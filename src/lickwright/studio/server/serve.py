"""Start the studio: an address, a gate and a guard before it, a browser at it."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from lickwright.errors import LessonError, OutputError
from lickwright.studio.server.address import host_of, is_address, is_loopback, plain
from lickwright.studio.server.folder import open_folder
from lickwright.studio.server.guard import Reach
from lickwright.studio.server.login import VARIABLE, password_from
from lickwright.studio.server.tls import tls_from

#: The largest message a browser may send over its web socket, in bytes.
MAX_MESSAGE = 1_500_000


def serve(
    folder: Path,
    *,
    host: str = "127.0.0.1",
    port: int = 0,
    opens_browser: bool = True,
    password_file: Path | None = None,
    cert: Path | None = None,
    key: Path | None = None,
    also_hosts: Sequence[str] = (),
    proxies: Sequence[str] = (),
    say: Callable[[str], None] = print,
) -> None:
    """Serve the studio until it is interrupted.

    Parameters
    ----------
    host : the address to listen on.
    port : 0 for any free one.
    cert, key : a certificate and its private key, for an encrypted connection.
    also_hosts : other names under which it is reached.
    proxies : addresses of proxies whose word is taken for whom they speak for.
    say : told the address.

    Raises
    ------
    LessonError
        For an address or a name beyond this machine without a password, a name or a certificate
        that is none, a folder that cannot be used.
    OutputError
        When nothing can listen at that address.
    """
    password = password_from(password_file)
    reach = reach_of(host, also_hosts, proxies)
    if not password and (not is_loopback(host) or reach.names or reach.proxies):
        who = host if not is_loopback(host) else next(iter((*reach.names, *reach.proxies)))
        raise LessonError(
            f"the studio would be open to everybody who can reach {who}",
            mend=f"Set a password in {VARIABLE} or with --password-file, or leave --host,"
            " --also-host and --proxy out",
        )
    tls = tls_from(cert, key)
    room = open_folder(folder)
    listening = _listen(host, port)
    shown = f"[{host}]" if ":" in host else host
    scheme = "http" if tls is None else "https"
    address = f"{scheme}://{shown}:{listening.getsockname()[1]}/"

    import uvicorn

    from lickwright.studio.server.app import make_app
    from lickwright.studio.server.gate import Gate, configure
    from lickwright.studio.work.workers import stay

    gate = Gate(tls=tls, proxies=reach.proxies)
    server = uvicorn.Server(configure(gate, make_app(room, reach, password), MAX_MESSAGE))
    stay()
    say(f"The studio is open at {address} (Ctrl+C closes it).")
    if opens_browser:
        import threading
        import webbrowser

        threading.Timer(0.8, webbrowser.open, [address]).start()
    with suppress(KeyboardInterrupt):  # the server has shut down; it only passes the signal on
        asyncio.run(server.serve(sockets=[listening]))


def reach_of(host: str, also_hosts: Sequence[str], proxies: Sequence[str]) -> Reach:
    """Where the studio is reached.

    Raises
    ------
    LessonError
        For another name that is none, or a proxy that is not given by its address.
    """
    for name in also_hosts:
        if host_of(name) != name.lower() or "*" in name:
            raise LessonError(
                f"{name!r} is no name of a host",
                mend="Give --also-host a name alone, as studio.example, without port and path",
            )
    for proxy in proxies:
        if not is_address(proxy):
            raise LessonError(
                f"{proxy!r} is no address", mend="Give --proxy an address, as 127.0.0.1"
            )
    return Reach(host, tuple(name.lower() for name in also_hosts), frozenset(map(plain, proxies)))


def _listen(host: str, port: int) -> socket.socket:
    try:
        family, kind, proto, _, where = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        listening = socket.socket(family, kind, proto)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(where)
        listening.listen()  # so that whoever comes before the app is up waits instead of failing
    except OSError as error:
        raise OutputError(
            f"nothing can listen at {host}, port {port} ({(error.strerror or '').lower()})",
            mend="Choose another --port or --host",
        ) from error
    return listening
