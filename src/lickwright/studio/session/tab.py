"""One browser tab at one lesson: what it looks at, and how it hears of every change.

A tab holds no music of its own.  Whatever a hand changes goes into the lesson file through the
open lesson, which tells every tab at it; each draws what the file says now.  What a room needs to
remember it keeps in a state of its own type, which the tab holds for it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Literal, TypeVar

from lickwright.errors import LickwrightError
from lickwright.lesson.edit import LessonDocument
from lickwright.lesson.file import ExampleEntry, Lesson
from lickwright.studio.server.log_out import draw_log_out
from lickwright.studio.session import acts
from lickwright.studio.session.notices import draw_notices, noticed, sentence
from lickwright.studio.session.open_lesson import OpenLesson
from lickwright.studio.session.stand import Stand
from lickwright.studio.session.tags import button, set_words, tag, words
from lickwright.studio.work.preview import ExampleRequest, Preview, previewed
from lickwright.studio.work.sounding import RenderedSound
from lickwright.studio.work.workers import Newest

S = TypeVar("S")

#: A line of music on a wide screen and on a narrow one, in mm of the page.
WIDE_MM, NARROW_MM = 190.0, 92.0
NARROW_PX = 700
_A_FRAME_S = 0.02


@dataclass(frozen=True, slots=True)
class Room:
    """A room: how it is drawn, and what it hears.

    Parameters
    ----------
    stand : ``"page"`` shows the page above the room, ``"neck"`` the neck first, ``"below"`` the
        page below the room, ``"none"`` neither.
    hears : what a key or a place on a picture sets off, by the name under which the browser
        tells it; it comes to its room from wherever it was struck.
    follows_note : whether it is drawn anew when another note is chosen.
    """

    name: str
    stand: Literal["page", "neck", "below", "none"]
    draw: Callable[[Tab], None]
    hears: Mapping[str, Callable[[Tab, Any], object]] = field(default_factory=dict)
    follows_note: bool = False


@dataclass(eq=False)  # two tabs that look at the same are two all the same
class Tab:
    """One tab.

    Parameters
    ----------
    keep : the address below which the browser finds a sound.
    """

    open_lesson: OpenLesson
    rooms: tuple[Room, ...]
    keep: Callable[[RenderedSound], str]
    room: int = 0
    example: int = 0
    note: int | None = None
    width_mm: float = WIDE_MM
    preview: Preview = field(default_factory=Preview)
    has_missed: bool = False

    def __post_init__(self) -> None:
        self._newest = Newest(self.open_lesson.workers.previews)
        self._shown: ExampleRequest | None = None
        self._strip_of: tuple[tuple[str, ...], int] | None = None
        self._room_of = -1
        self._notice_of: tuple[object, ...] = (None, (), False, None)
        self._states: dict[type, object] = {}

    def state(self, kind: type[S]) -> S:
        """The state of a room, held by its type; as it is at first where there is none yet."""
        held = self._states.get(kind)
        if not isinstance(held, kind):
            held = self._states[kind] = kind()
        return held

    def remember(self, state: object) -> None:
        """Hold another state in place of the one of its type."""
        self._states[type(state)] = state

    # --- what it looks at -------------------------------------------------------------------------

    @property
    def document(self) -> LessonDocument:
        return self.open_lesson.document

    @property
    def lesson(self) -> Lesson:
        """The lesson as it last made sense."""
        lesson = self.open_lesson.document.lesson
        assert lesson is not None, "a tab is opened at a lesson that makes sense"
        return lesson

    def settle(self) -> None:
        """Look at the last example where the one at hand is gone."""
        self.example = min(self.example, len(self.lesson.examples) - 1)

    @property
    def entry(self) -> ExampleEntry:
        return self.lesson.examples[self.example]

    @property
    def raw(self) -> dict[str, Any]:
        """The example as the file has it."""
        return dict(self.lesson.raw["examples"][self.example])

    def request(self) -> ExampleRequest:
        """The example at hand, as a worker is asked for it."""
        return ExampleRequest(
            self.open_lesson.text, self.open_lesson.name, self.example, self.width_mm
        )

    # --- drawing ----------------------------------------------------------------------------------

    def build(self) -> None:
        """Lay the whole page out, once."""
        with tag("div", "desk"):
            with tag("header", "top"):
                with tag("div", "name"):
                    with tag("p", "label"):
                        words("a", "All lessons", href="/")
                    self._title = words("h1", "")
                with tag("div", "acts"):
                    self._state = words("span", "", "state", role="status")
                    self._undo = button(
                        "Undo", lambda: self.undo("undo"), "slim", aria_keyshortcuts="Control+Z"
                    )
                    self._redo = button(
                        "Redo",
                        lambda: self.undo("redo"),
                        "slim",
                        aria_keyshortcuts="Control+Shift+Z",
                    )
                    draw_log_out()
            with tag("nav", aria_label="Rooms"), tag("ul", "rooms"):
                self._nav = []
                for at, room in enumerate(self.rooms):
                    with tag("li"):
                        self._nav.append(
                            button(
                                room.name,
                                partial(self.enter, at),
                                "",
                                aria_keyshortcuts=f"Alt+{at + 1}",
                                data_key=f"room-{at}",
                            )
                        )
                        self._nav[-1].classes(remove="act")
            self._notice = tag("div")
            self._alert = words("p", "", "alert", role="alert")
            with tag("main", id="room"):
                self._strip = tag("div", "strip", role="group", aria_label="Examples")
                self.stand = Stand()
                self._room = tag("div", "room")
        acts.refuse(lambda error: self.tell(sentence(error)))
        acts.hear("note", lambda value: self.choose_note(int(value), from_page=True))
        acts.hear("undo", lambda value: self.undo(str(value)))
        acts.hear("room", lambda value: self.enter(int(value) - 1))
        for room in self.rooms:
            for deed, act in room.hears.items():
                acts.hear(deed, partial(act, self))
        self.draw()
        self.draw_room()
        self.draw_notice()

    def draw(self) -> None:
        """Draw what stands above the stand from the file, so far as it is news."""
        self.draw_state()
        set_words(self._title, self.lesson.entry.lesson)
        for item, can in (
            (self._undo, self.document.can_undo),
            (self._redo, self.document.can_redo),
        ):
            if can == ("disabled" in item.props):
                if can:
                    del item.props["disabled"]
                else:
                    item.props["disabled"] = ""
                item.update()
        names = tuple(example.name for example in self.lesson.examples)
        if (names, self.example) != self._strip_of:
            self._strip_of = (names, self.example)
            self._draw_strip()
        if self.room != self._room_of:
            self._room_of = self.room
            self._arrange()

    def draw_state(self) -> None:
        """Say where the text stands."""
        set_words(self._state, self.open_lesson.state())

    def _draw_strip(self) -> None:
        self._strip.clear()
        with self._strip:
            words("span", "Example", "label")
            for at, example in enumerate(self.lesson.examples):
                button(
                    f"{at + 1} {example.name}",
                    partial(self.look_at, at),
                    "slim",
                    aria_pressed=str(at == self.example).lower(),
                    data_key=f"example-{at}",
                )

    def _arrange(self) -> None:
        """Put up what this room has: its name marked, its stand where it wants it."""
        here = self.rooms[self.room]
        for at, item in enumerate(self._nav):
            if at == self.room:
                item.props["aria-current"] = "page"
            else:
                item.props.pop("aria-current", None)
            item.update()
        self._strip.set_visibility(here.stand != "none")
        self.stand.box.set_visibility(here.stand != "none")
        if here.stand == "neck":
            self.stand.box.classes("neck-first")
        else:
            self.stand.box.classes(remove="neck-first")
        # What is played is controlled above the page, so that the line that runs stays in sight.
        self._room.move(target_index=1 if here.stand == "below" else 2)

    def draw_room(self) -> None:
        self._room.clear()
        with self._room:
            self.rooms[self.room].draw(self)

    @property
    def is_here(self) -> bool:
        """Whether the tab is connected: not left, and its connection not broken."""
        return bool(self._room.client.has_socket_connection)

    def js(self, code: str) -> None:
        """Run a line in this tab, if it is still there."""
        if self.is_here:
            self._room.client.run_javascript(code)

    async def catch_up(self) -> None:
        """Draw what changed while the connection was broken."""
        if self.has_missed:
            self.has_missed = False
            self.draw_notice()
            self.draw()
            await self.show()

    async def show(self, *, room: bool = True) -> None:
        """Put the example on the stand as the file says it now, then draw the room beside it.

        ``room`` : whether the room is drawn anew where the page did not change.
        """
        request = self.request()
        if self.rooms[self.room].stand == "none" or request == self._shown:
            if room:
                self.draw_room()
            return
        preview = await self._newest.do(previewed, request)
        if preview is None:  # a newer one is on its way
            return
        is_other = self._shown is None or self._shown.index != request.index
        self._shown = request
        self.preview = preview
        told = self.stand.put_up(preview, is_other=is_other)
        if told:
            self.js(told)
        await asyncio.sleep(_A_FRAME_S)  # the page goes out before what stands below it
        self.stand.draw_faults(preview, self.choose_note)
        if room:
            self.draw_room()

    # --- what a hand does -------------------------------------------------------------------------

    def tell(self, message: str) -> None:
        """Say what went wrong, or nothing."""
        set_words(self._alert, message)

    async def edit(self, act: Callable[[LessonDocument], Any], *, quiet: bool = False) -> bool:
        """Change the lesson; whether that could be done.

        ``quiet`` leaves this tab's room as it is, so that typing goes on.
        """
        return await self._done(lambda: self.open_lesson.change(act), quiet)

    async def put(self, *keys_then_value: Any, quiet: bool = False) -> bool:
        """Set one key of the lesson, named by its path; ``None`` or ``""`` takes it out."""
        *keys, value = keys_then_value
        if isinstance(value, str) and not value.strip():
            value = None
        return await self._done(lambda: self.open_lesson.put(keys, value, join=quiet), quiet)

    async def put_here(self, key: str, value: Any, *, quiet: bool = False) -> bool:
        """Set one key of the example at hand."""
        return await self.put("examples", self.example, key, value, quiet=quiet)

    async def remake(self, changed: Mapping[str, Any], gone: Iterable[str] = ()) -> bool:
        """Set several keys of the example at hand, and take others out, in one step."""
        entry = {key: value for key, value in self.raw.items() if key not in set(gone)}
        return await self.put("examples", self.example, {**entry, **changed})

    async def _done(self, act: Callable[[], Awaitable[None]], quiet: bool = False) -> bool:
        try:
            await act()
        except LickwrightError as error:
            self.tell(sentence(error))
            self.draw_state()
            self.draw_notice()
            return False
        self.tell("")
        await self.open_lesson.tell(self, quiet)
        return True

    async def undo(self, way: str) -> None:
        await self.edit(lambda d: d.undo() if way == "undo" else d.redo())

    async def enter(self, at: int) -> None:
        """Go to a room."""
        if 0 <= at < len(self.rooms):
            self.room = at
            self.tell("")
            self.js("lickwright.stop()")
            self.draw()
            if self.rooms[at].stand != "none":
                self.draw_room()
            await self.show()

    async def go_to(self, name: str) -> None:
        """Go to the room of a name."""
        await self.enter([room.name for room in self.rooms].index(name))

    async def look_at(self, at: int) -> None:
        """Put another example on the stand; the last, where that one went meanwhile."""
        self.example, self.note = at, None
        self.settle()
        self.tell("")
        self.js("lickwright.stop(); lickwright.choose(null)")
        self.draw()
        await self.show()

    async def choose_note(self, note: int, *, from_page: bool = False) -> None:
        self.note = note
        if not from_page:
            self.js(f"lickwright.choose({note})")
        if self.rooms[self.room].follows_note:
            self.draw_room()

    def draw_notice(self) -> None:
        """What has to be mended or decided before all else, so far as it is news."""
        now = noticed(self.open_lesson)
        if now == self._notice_of:
            return
        self._notice_of = now
        self._notice.clear()
        with self._notice:
            draw_notices(self.open_lesson, self._done)


async def watch(tab: Tab) -> None:
    """Look now and then at what others did to the file."""
    await tab.open_lesson.look()
    for other in tab.open_lesson.tabs:
        other.draw_notice()
