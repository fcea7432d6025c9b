"""The way out: a button that ends the session where one was begun with a password."""

from __future__ import annotations

from nicegui import ui

from lickwright.studio.server.guard import LEAVE
from lickwright.studio.session.tags import markup

_LEAVE = f'<form method="post" action="{LEAVE}"><button class="act slim">Log out</button></form>'


def draw_leave() -> None:
    """The button, at a page whose visitor gave the password."""
    if ui.context.client.request.scope["state"].get("has_session"):
        markup(_LEAVE)
