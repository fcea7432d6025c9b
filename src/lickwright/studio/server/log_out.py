"""A button to log out, for whoever came in with a password."""

from __future__ import annotations

from nicegui import ui

from lickwright.studio.server.guard import LOGOUT_PATH
from lickwright.studio.session.tags import markup

_FORM = (
    f'<form method="post" action="{LOGOUT_PATH}"><button class="act slim">Log out</button></form>'
)


def draw_log_out() -> None:
    """The button, at a page whose visitor gave the password."""
    if ui.context.client.request.scope["state"].get("has_session"):
        markup(_FORM)
