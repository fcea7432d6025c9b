"""Start the studio: an address, a guard before it, a browser at it."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from lickwright.errors import LessonError, OutputError
from lickwright.studio.door import VARIABLE, password_from
from lickwright.studio.folder import open_folder
from lickwright.studio.guard import is_loopback

#: The largest message a browser may send over its web socket, in bytes.
MAX_MESSAGE = 1_500_000


def serve(
    folder: Path,
    *,
    host: str = "127.0.0.1",
    port: int = 0,
    opens_browser: bool = True,
    password_file: Path | None = None,
    say: Callable[[str], None] = print,
) -> None:
    """Serve the studio until it is interrupted.

    Parameters
    ----------
    host : the address to listen on.
    port : 0 for any free one.
    say : told the address.

    Raises
    ------
    LessonError
        For an address beyond this machine without a password, a folder that cannot be used.
    OutputError
        When nothing can listen at that address.
    """
    password = password_from(password_file)
    if not is_loopback(host) and not password:
        raise LessonError(
            f"the studio would be open to everybody who can reach {host}",
            mend=f"Set a password in {VARIABLE} or with --password-file, or leave --host out",
        )
    room = open_folder(folder)
    listening = _listen(host, port)
    shown = f"[{host}]" if ":" in host else host
    address = f"http://{shown}:{listening.getsockname()[1]}/"

    import uvicorn

    from lickwright.studio.app import make_app
    from lickwright.studio.workers import stay

    config = uvicorn.Config(
        make_app(room, host, password),
        log_level="warning",
        ws_max_size=MAX_MESSAGE,
        ws_per_message_deflate=False,  # pages go to the same machine or across a room
        timeout_graceful_shutdown=2,
        server_header=False,
        proxy_headers=False,
    )
    server = uvicorn.Server(config)
    stay()
    say(f"The studio is open at {address} (Ctrl+C closes it).")
    if opens_browser:
        import threading
        import webbrowser

        threading.Timer(0.8, webbrowser.open, [address]).start()
    with suppress(KeyboardInterrupt):  # the server has shut down; it only passes the signal on
        asyncio.run(server.serve(sockets=[listening]))


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
