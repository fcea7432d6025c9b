"""What has to be mended or decided at a lesson before all else: a fault, drafts, other versions."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import datetime
from functools import partial

from lickwright.errors import LickwrightError
from lickwright.files import Draft
from lickwright.studio.session.open_lesson import OpenLesson
from lickwright.studio.session.tags import button, tag, words

#: Does something to the lesson, and says where that could not be done.
Attempt = Callable[[Callable[[], Awaitable[None]]], object]


def noticed(lesson: OpenLesson) -> tuple[object, ...]:
    """All that :func:`draw_notices` depends on: where it is the same, there is no news."""
    document = lesson.document
    drafts = tuple(
        # One that is still being written would be news again and again.
        (draft.path, draft.is_held, 0 if draft.is_held else draft.written_s)
        for draft in document.drafts
    )
    return document.fault, drafts, lesson.has_outside_change, document.own_draft


def draw_notices(lesson: OpenLesson, attempt: Attempt) -> None:
    """Say what is to be mended or decided, with a button for each way out."""
    fault = lesson.document.fault
    if fault is not None:
        words(
            "p",
            f"The file as it is now is no lesson: {sentence(fault)} Undo, or mend"
            " its text in Lesson. The last good lesson is shown.",
            "notice",
        )
    for draft in lesson.document.drafts:
        _offer_draft(lesson, draft, attempt)
    if lesson.has_outside_change:
        _offer_theirs(lesson, attempt)


def _offer_draft(lesson: OpenLesson, draft: Draft, attempt: Attempt) -> None:
    name = draft.path.name
    take = partial(attempt, partial(lesson.take_draft, draft))
    with tag("div", "notice", role="alert"):
        if draft.is_held:
            words(
                "p",
                "Another program has this lesson open and keeps edits of its own beside it, in"
                f" {name}.",
            )
        else:
            words(
                "p",
                f"Edits that did not get into the file were left in {name}, {_when(draft)}.",
            )
        if not lesson.document.goes_on_from_here(draft):
            words(
                "p",
                "They do not go on from what the lesson says now; if you take them, that is"
                " saved beside it first.",
            )
        with tag("div", "acts"):
            if draft.is_held:
                button("Take a copy of them", take, data_key=f"take-{name}")
            else:
                drop = partial(attempt, partial(lesson.discard_draft, draft))
                button("Take them", take, "main", data_key=f"take-{name}")
                button("Throw them away", drop, data_key=f"drop-{name}")


def _offer_theirs(lesson: OpenLesson, attempt: Attempt) -> None:
    own = lesson.document.own_draft
    with tag("div", "notice", role="alert"):
        words("p", f"{lesson.name} was changed by another program while it is open here.")
        if own is not None:
            words("p", f"Your edits since then are kept in {own.name} until you choose.")
        words("p", "If you keep what is here, the other version is saved beside it.")
        with tag("div", "acts"):
            take, keep = partial(attempt, lesson.take_theirs), partial(attempt, lesson.keep_mine)
            button("Take the changes from outside", take, "main")
            button("Keep what is here", keep)


def _when(draft: Draft) -> str:
    return datetime.fromtimestamp(draft.written_s).strftime("last on %d %B %Y at %H:%M")


def sentence(error: LickwrightError) -> str:
    """An error in whole sentences."""
    what = f"{error.what[:1].upper()}{error.what[1:]}."
    return f"{what} {error.mend}{'' if error.mend.endswith('?') else '.'}" if error.mend else what
