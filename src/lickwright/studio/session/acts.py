"""What a hand sets off: nothing it does is lost while a page is drawn anew or its wire breaks.

The browser (``acts.js``) says which thing it was: by its number, which is sure, and by its key and
words, by which its like is known where that very thing was taken away in the meantime.  It tells
what it was not answered again (``wire.js``), so each deed has its turn here, and has it once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from inspect import isawaitable
from typing import Any, Literal
from weakref import WeakKeyDictionary

from nicegui import Client, ui

from lickwright.errors import LickwrightError

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
        self._hears: dict[str, Callable[[Any], object]] = {"act": self.told}
        self._heard: dict[str, int] = {}
        self.refuse: Callable[[LickwrightError], None] | None = None

    def hear(self, deed: str, act: Callable[[Any], object]) -> None:
        self._hears[deed] = act

    def said(self, said: Mapping[str, Any], client: Client) -> object:
        """Take a deed whose turn it is, and answer up to which all have come, or ask again."""
        # A page that the browser kept counts anew where it is shown again: it has another name.
        page, number = str(said["from"]), int(said["number"])
        due = self._heard.get(page, 0) + 1
        if number > due:
            client.run_javascript("lickwrightWire.again()")  # those before it were lost
            return None
        if number == due:
            self._heard[page] = number
        client.run_javascript(f"lickwrightWire.heard({self._heard.get(page, 0)})")
        return self._done(str(said["deed"]), said["value"]) if number == due else None

    async def _done(self, deed: str, value: Any) -> None:
        """Do it; what cannot be done is said on the page."""
        try:
            result = self._hears[deed](value)
            if isawaitable(result):
                await result
        except LickwrightError as error:
            if self.refuse is None:
                raise
            self.refuse(error)

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


def _page() -> _Acts:
    """What can be done on the page that is being laid out."""
    client = ui.context.client
    page = _PAGES.get(client)
    if page is None:
        page = _PAGES[client] = _Acts()
        said = page.said
        client.layout.on("lw-said", lambda event: said(event.args, event.client))
    return page


def refuse(say: Callable[[LickwrightError], None]) -> None:
    """Let the page that is being laid out say why something cannot be done."""
    _page().refuse = say


def hear(deed: str, act: Callable[[Any], object]) -> None:
    """Let something on the page as a whole set something off: a key, a place on a picture.

    Parameters
    ----------
    deed : the name under which the browser tells it.
    act : takes what was told; a coroutine is awaited.
    """
    _page().hear(deed, act)


def on(
    kind: Kind, element: ui.element, act: Callable[[Any], object], words: str = ""
) -> ui.element:
    """Let an element set something off.

    Parameters
    ----------
    kind : a press of a button; another value of a box, or tick of one; a form sent, its values
        told in request.
    act : takes the value; a coroutine is awaited.
    words : what the element says, where things of one key say different things.
    """
    _page().add(kind, words, _Deed(element, act))
    return element
