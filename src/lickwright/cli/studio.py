"""The command that opens the studio."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def register(app: typer.Typer) -> None:
    """Add this room's command."""
    app.command()(studio)


def studio(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="where lessons are")] = Path(),
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help="0 for any free one")
    ] = 0,
    host: Annotated[
        str, typer.Option("--host", metavar="ADDR", help="beyond this machine only with a password")
    ] = "127.0.0.1",
    no_browser: Annotated[bool, typer.Option("--no-browser", help="open no browser")] = False,
    password_file: Annotated[
        Path | None,
        typer.Option("--password-file", metavar="FILE", help="its first line is the password"),
    ] = None,
    cert: Annotated[
        Path | None,
        typer.Option("--cert", metavar="FILE", help="a certificate (PEM): connections by https"),
    ] = None,
    key: Annotated[
        Path | None, typer.Option("--key", metavar="FILE", help="the certificate's key (PEM)")
    ] = None,
    also_host: Annotated[
        list[str] | None,
        typer.Option("--also-host", metavar="NAME", help="another name it is reached by"),
    ] = None,
    proxy: Annotated[
        list[str] | None,
        typer.Option("--proxy", metavar="ADDR", help="a proxy that says for whom it asks"),
    ] = None,
) -> None:
    """Open the studio on a folder of lessons, in the browser."""
    from lickwright.studio.server.serve import serve

    serve(
        folder,
        host=host,
        port=port,
        opens_browser=not no_browser,
        password_file=password_file,
        cert=cert,
        key=key,
        also_hosts=also_host or (),
        proxies=proxy or (),
        say=typer.echo,
    )
