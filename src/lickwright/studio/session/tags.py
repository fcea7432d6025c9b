"""Plain HTML elements with words, names and actions: what every room is made of.

Native elements bring their keyboard and their meaning with them, and take nothing but our own
style sheet.  Words are always text; only what our own pictures and our own Markdown made may go
in as markup, through :func:`markup`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from nicegui import ui

from lickwright.drawing import escape_xml
from lickwright.studio.session import acts

#: What a hand sets off; a coroutine is awaited.
Act = Callable[[], object]
ActOn = Callable[[str], object]

#: What a box holds at first.  As an attribute (Vue writes those with ``^``) it is only the first
#: value; as a property it would be put back, over what is being typed, whenever a page is drawn.
_FIRST_VALUE = "^value"


def tag(name: str, classes: str = "", **attributes: Any) -> ui.element:
    """An element to be filled inside a ``with``."""
    element = ui.element(name)
    _set(element, classes, attributes)
    return element


def words(name: str, text: str, classes: str = "", **attributes: Any) -> ui.html:
    """An element that holds one piece of text."""
    element = ui.html(escape_xml(text), tag=name, sanitize=False)
    _set(element, classes, attributes)
    return element


def markup(svg_or_html: str, classes: str = "", name: str = "div", **attributes: Any) -> ui.html:
    """An element that holds markup of our own making."""
    element = ui.html(svg_or_html, tag=name, sanitize=False)
    _set(element, classes, attributes)
    return element


def set_words(element: ui.html, text: str) -> None:
    """Other text in an element of :func:`words`."""
    element.set_content(escape_xml(text))


def _set(element: ui.element, classes: str, attributes: Mapping[str, Any]) -> None:
    if classes:
        element.classes(classes)
    for name, value in attributes.items():
        if value is None or value is False:
            continue
        element.props[name.rstrip("_").replace("_", "-")] = "" if value is True else str(value)


def button(text: str, act: Act, classes: str = "", **attributes: Any) -> ui.html:
    """A button; ``key`` names it, so that focus comes back to it when its room is drawn anew."""
    attributes.setdefault("data_key", text)
    element = words("button", text, f"act {classes}".strip(), type="button", **attributes)
    acts.on("press", element, lambda _: act(), attributes.get("aria_label") or text)
    return element


def link(text: str, href: str, classes: str = "", **attributes: Any) -> ui.html:
    return words("a", text, classes, href=href, **attributes)


def form(key: str, act: Callable[[list[str]], object], classes: str = "fields") -> ui.element:
    """A form to be filled inside a ``with``; the action takes the values of its boxes in order."""
    element = tag("form", classes, data_key=key)
    acts.on("form", element, act)
    return element


def field(
    label: str,
    value: str,
    act: ActOn,
    *,
    hint: str = "",
    choices: Iterable[str] = (),
    classes: str = "",
    **attributes: Any,
) -> ui.element:
    """A line of text with its label; the action comes when it is left or Enter is struck."""
    box_id = f"f{ui.context.client.next_element_id}"
    with tag("div", f"field {classes}".strip()):
        words("label", label, for_=box_id)
        list_id = f"{box_id}-list"
        choices = list(choices)
        hint_id = f"{box_id}-hint"
        element = tag(
            "input",
            id=box_id,
            type=attributes.pop("type", "text"),
            autocomplete="off",
            spellcheck="false",
            data_key=attributes.pop("data_key", label),
            list=list_id if choices else None,
            aria_describedby=hint_id if hint else None,
            **{_FIRST_VALUE: value} | attributes,
        )
        acts.on("value", element, lambda value: act(str(value)))
        if choices:
            with tag("datalist", id=list_id):
                for choice in choices:
                    tag("option", value=choice)
        if hint:
            words("span", hint, "hint", id=hint_id)
    return element


def select(
    label: str,
    value: str,
    options: Iterable[str] | Mapping[str, str],
    act: ActOn,
    classes: str = "",
    **attributes: Any,
) -> ui.element:
    """A choice of one among several."""
    named = options if isinstance(options, Mapping) else {option: option for option in options}
    box_id = f"f{ui.context.client.next_element_id}"
    with tag("div", f"field {classes}".strip()):
        words("label", label, for_=box_id)
        element = tag("select", id=box_id, data_key=attributes.pop("data_key", label), **attributes)
        with element:
            for option, text in named.items():
                words("option", text, value=option, selected=option == value)
        acts.on("value", element, lambda value: act(str(value)))
    return element


def tick(label: str, on: bool, act: Callable[[bool], object], **attributes: Any) -> ui.element:
    """A yes or no."""
    box_id = f"f{ui.context.client.next_element_id}"
    with tag("div", "tick"):
        element = tag(
            "input",
            id=box_id,
            type="checkbox",
            checked=on,
            data_key=attributes.pop("data_key", label),
            **attributes,
        )
        acts.on("tick", element, lambda on: act(bool(on)))
        words("label", label, for_=box_id)
    return element


def writing(label: str, value: str, act: ActOn, rows: int = 5, **attributes: Any) -> ui.element:
    """Several lines of text; the action follows the typing at a short distance."""
    box_id = f"f{ui.context.client.next_element_id}"
    with tag("div", "field long"):
        words("label", label, for_=box_id)
        element = words(
            "textarea",
            value,
            id=box_id,
            rows=rows,
            data_key=attributes.pop("data_key", label),
            **attributes,
        )
        acts.on("value", element, lambda value: act(str(value)))
    return element
