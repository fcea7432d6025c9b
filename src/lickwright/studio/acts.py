"""What a hand sets off, told by name, so that nothing it does is lost while a page is drawn anew.

The browser (``acts.js``) says which thing it was: by its number, which is sure, and by its key and
words, by which its like is known where that very thing was taken away in the meantime.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal
from weakref import WeakKeyDictionary

from nicegui import Client, ui

Kind = Literal["press", "value", "tick", "form"]

#: So many things are remembered before those that went are forgotten.
_MANY = 1000


@dataclass(frozen=True, slots=True)
class _Deed:
    element: ui.element
    act: Callable[[Any], object]


class _Acts:
    """What can be done on one page."""

    def __init__(self) -> None:
        self._by_number: dict[int, _Deed] = {}
        self._by_name: dict[tuple[str, str, str], _Deed] = {}

    def add(self, kind: Kind, words: str, deed: _Deed) -> None:
        element = deed.element
        element.props["data-act"] = str(element.id)
        if len(self._by_number) >= _MANY:
            self._by_number = {n: d for n, d in self._by_number.items() if _stands(d)}
            self._by_name = {name: d for name, d in self._by_name.items() if _stands(d)}
        self._by_number[element.id] = deed
        self._by_name[kind, str(element.props.get("data-key", "")), words.strip()] = deed

    def told(self, said: Mapping[str, Any]) -> object:
        """Do what a hand did; a coroutine is handed on to be awaited."""
        deed = self._by_number.get(int(said["number"]))
        if deed is None or not _stands(deed):
            name = str(said["kind"]), str(said["key"]), str(said["words"])
            deed = self._by_name.get(name)
        if deed is None or not _stands(deed) or "disabled" in deed.element.props:
            return None  # there is no such thing to do any more, and whoever did it sees that
        return deed.act(said["value"])


def _stands(deed: _Deed) -> bool:
    return not deed.element.is_deleted


_PAGES: WeakKeyDictionary[Client, _Acts] = WeakKeyDictionary()


def on(
    kind: Kind, element: ui.element, act: Callable[[Any], object], words: str = ""
) -> ui.element:
    """Let an element set something off.

    Parameters
    ----------
    kind : a press of a button; another value of a box, or tick of one; a form sent, its values
        told in order.
    act : takes the value; a coroutine is awaited.
    words : what the element says, where things of one key say different things.
    """
    client = ui.context.client
    page = _PAGES.get(client)
    if page is None:
        page = _PAGES[client] = _Acts()
        told = page.told
        client.layout.on("lw-act", lambda event: told(event.args))
    page.add(kind, words, _Deed(element, act))
    return element
