"""One browser tab at one lesson: what it looks at, and how it hears of every change.

A tab holds no music of its own.  Whatever a hand changes goes into the lesson file through the
desk; the desk tells every tab at that lesson, and each draws what the file says now.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from lickwright.errors import LickwrightError
from lickwright.lesson.file import ExampleEntry
from lickwright.studio.server.leave import draw_leave
from lickwright.studio.session import acts
from lickwright.studio.session.tags import button, markup, set_words, tag, words
from lickwright.studio.work.preview import Order, Proof, pull
from lickwright.studio.work.workers import Newest

if TYPE_CHECKING:
    from lickwright.files import Draft
    from lickwright.lesson.edit import LessonDocument
    from lickwright.lesson.file import Lesson
    from lickwright.studio.session.open_lesson import Desk
    from lickwright.studio.work.slow import RenderedSound

#: A line of music on a wide screen and on a narrow one, in mm of the page.
WIDE_MM, NARROW_MM = 190.0, 92.0
NARROW_PX = 700
_A_FRAME_S = 0.02


@dataclass(frozen=True, slots=True)
class Room:
    """A room: its name, what draws it, and its stand.

    ``stand`` : ``"page"`` shows the page above the room, ``"neck"`` the neck first, ``"below"``
    the page below the room, ``"none"`` neither.
    """

    name: str
    stand: str
    draw: Callable[[Visit], None]


@dataclass(slots=True)
class Findings:
    """What Find is looking at; not part of any lesson."""

    first: str = "F"
    second: str = "Am"
    over: str = "D"
    chord: str = "Dm9"
    chosen: int = 0


@dataclass(slots=True)
class Listening:
    """How Hear plays; not part of any lesson."""

    tempo: float = 0.0
    first_bar: int = 0
    last_bar: int = 0
    loop: bool = True
    backing: bool = True
    click: bool = False
    lead: bool = True
    ready: str = ""


@dataclass
class Visit:
    """The state of one tab."""

    desk: Desk
    rooms: tuple[Room, ...]
    room: int = 0
    example: int = 0
    note: int | None = None
    width_mm: float = WIDE_MM
    proof: Proof = field(default_factory=Proof)
    finding: Findings = field(default_factory=Findings)
    listening: Listening = field(default_factory=Listening)
    notes_of: dict[str, Any] = field(default_factory=dict)
    keep: Callable[[RenderedSound], str] = field(default=lambda sound: "")
    has_missed: bool = False

    def __post_init__(self) -> None:
        self._newest = Newest(self.desk.workers.proofs)
        self._shown: Order | None = None
        self._strip_of: tuple[tuple[str, ...], int] | None = None
        self._room_of = -1
        self._notice_of: tuple[object, ...] = (None, (), False, None)

    # --- what it looks at -------------------------------------------------------------------------

    @property
    def document(self) -> LessonDocument:
        return self.desk.document

    @property
    def lesson(self) -> Lesson:
        """The lesson as it last made sense."""
        lesson = self.desk.document.lesson
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

    def order(self) -> Order:
        return Order(self.desk.text, self.desk.name, self.example, self.width_mm)

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
                    draw_leave()
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
                self._stand = tag("div", "stand")
                with self._stand:
                    self._music = markup(
                        "",
                        "music",
                        id="music",
                        tabindex="0",
                        role="group",
                        aria_label="The page. Left and right choose a note; up and down move it by"
                        " a fret; s takes it to another string; 1 to 4 pin a finger, 0 frees it;"
                        " d and u set its stroke.",
                        data_key="music",
                    )
                    self.board = tag("div", "board")
                    self._necks = markup(
                        "", "necks", id="necks", tabindex="0", role="group", aria_label="Necks"
                    )
                    self._faults = tag("ul", "faults", aria_label="Findings")
                self._room = tag("div", "room")
        acts.refuse(lambda error: self.tell(_sentence(error)))
        acts.hear("note", lambda value: self.choose_note(int(value), from_page=True))
        acts.hear("deed", lambda value: self.deed(str(value)))
        acts.hear("undo", lambda value: self.undo(str(value)))
        acts.hear("room", lambda value: self.enter(int(value) - 1))
        acts.hear("browse", lambda value: self.browse(str(value)))
        acts.hear("drop", lambda value: self.drop(int(value[0]), str(value[1])))
        acts.hear("bass", lambda value: self.find(over=str(value)))
        acts.hear("pair", lambda value: self.find(chosen=int(value)))
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
        set_words(self._state, self.desk.state())

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
        self._stand.set_visibility(here.stand != "none")
        if here.stand == "neck":
            self._stand.classes("neck-first")
        else:
            self._stand.classes(remove="neck-first")
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
        order = self.order()
        if self.rooms[self.room].stand == "none" or order == self._shown:
            if room:
                self.draw_room()
            return
        proof = await self._newest.do(pull, order)
        if proof is None:  # a newer one is on its way
            return
        is_other = self._shown is None or self._shown.index != order.index
        self._shown = order
        self.proof = proof
        self._put_up(proof, is_other)
        await asyncio.sleep(_A_FRAME_S)  # the page goes out before what stands below it
        self._draw_faults()
        if room:
            self.draw_room()

    def _put_up(self, proof: Proof, is_other: bool) -> None:
        # Where the music became impossible, the last page that was possible stays to be mended.
        if proof.systems or is_other:
            systems = "".join(f'<div class="system">{svg}</div>' for svg in proof.systems)
            self._music.set_content(f'<div class="systems">{systems}</div>')
            self._necks.set_content(
                "".join(
                    f'<figure><div class="neck-box">{neck.svg}</div></figure>'
                    for neck in proof.necks
                )
            )
        if not proof.systems and not is_other:
            return
        facts = {
            "heads": [[h.system, h.note, h.tab, h.x, h.y] for h in proof.heads],
            "notes": [[n.onset, n.end, f"{n.string}/{n.fret}"] for n in proof.notes],
            "faults": [[f.note, f.severity] for f in proof.faults if f.note is not None],
            "necks": [
                [chord.onset, chord.end, neck.places]
                for chord, neck in zip(proof.chords, proof.necks, strict=True)
            ],
        }
        self.js(f"lickwright.show({json.dumps(facts)})")

    def _draw_faults(self) -> None:
        self._faults.clear()
        with self._faults:
            for fault in self.proof.faults:
                with tag("li", fault.severity):
                    words("strong", fault.severity.capitalize())
                    words("span", f"{fault.what}. {fault.mend}.")
                    if fault.note is not None:
                        button(
                            f"Go to note {fault.note + 1}",
                            partial(self.choose_note, fault.note),
                            "slim",
                        )

    # --- what a hand does -------------------------------------------------------------------------

    def tell(self, message: str) -> None:
        """Say what went wrong, or nothing."""
        set_words(self._alert, message)

    async def edit(self, act: Callable[[LessonDocument], Any], *, quiet: bool = False) -> bool:
        """Change the lesson; whether that could be done.

        ``quiet`` leaves this tab's room as it is, so that typing goes on.
        """
        return await self._done(lambda: self.desk.change(act), quiet)

    async def put(self, *keys_then_value: Any, quiet: bool = False) -> bool:
        """Set one key of the lesson, named by its path; ``None`` or ``""`` takes it out."""
        *keys, value = keys_then_value
        if isinstance(value, str) and not value.strip():
            value = None
        return await self._done(lambda: self.desk.put(keys, value, join=quiet), quiet)

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
            self.tell(_sentence(error))
            self.draw_state()
            self.draw_notice()
            return False
        self.tell("")
        await self.desk.tell(self, quiet)
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
        if self.rooms[self.room].name == "Shape":
            self.draw_room()

    async def deed(self, deed: str) -> None:
        """A key struck on a note of the page."""
        from lickwright.studio.rooms import shaping

        await shaping.deed(self, deed)

    async def browse(self, way: str) -> None:
        """An arrow key on the neck."""
        from lickwright.studio.rooms import placing

        await placing.browse(self, way)

    async def drop(self, example: int, key: str) -> None:
        """A triad of an example was dragged along the neck and let go."""
        from lickwright.studio.rooms import placing

        await placing.drop(self, example, key)

    async def find(self, **changed: Any) -> None:
        """Look at other triads, another bass, another chord."""
        from lickwright.studio.rooms import find as room_find

        await room_find.look(self, changed)

    def draw_notice(self) -> None:
        """What has to be mended or decided before all else, so far as it is news."""
        fault = self.document.fault
        drafts = tuple(
            # One that is still being written would be news again and again.
            (draft.path, draft.is_held, 0 if draft.is_held else draft.written_s)
            for draft in self.document.drafts
        )
        now = (fault, drafts, self.desk.has_outside_change, self.document.own_draft)
        if now == self._notice_of:
            return
        self._notice_of = now
        self._notice.clear()
        with self._notice:
            if fault is not None:
                words(
                    "p",
                    f"The file as it is now is no lesson: {_sentence(fault)} Undo, or mend"
                    " its text in Lesson. The last good lesson is shown.",
                    "notice",
                )
            for draft in self.document.drafts:
                self._offer_draft(draft)
            if self.desk.has_outside_change:
                self._offer_theirs()

    def _offer_draft(self, draft: Draft) -> None:
        name, desk = draft.path.name, self.desk
        take = partial(self._done, partial(desk.take_draft, draft))
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
            if not self.document.goes_on_from_here(draft):
                words(
                    "p",
                    "They do not go on from what the lesson says now; if you take them, that is"
                    " saved beside it first.",
                )
            with tag("div", "acts"):
                if draft.is_held:
                    button("Take a copy of them", take, data_key=f"take-{name}")
                else:
                    drop = partial(self._done, partial(desk.discard_draft, draft))
                    button("Take them", take, "main", data_key=f"take-{name}")
                    button("Throw them away", drop, data_key=f"drop-{name}")

    def _offer_theirs(self) -> None:
        own = self.document.own_draft
        with tag("div", "notice", role="alert"):
            words("p", f"{self.desk.name} was changed by another program while it is open here.")
            if own is not None:
                words("p", f"Your edits since then are kept in {own.name} until you choose.")
            words("p", "If you keep what is here, the other version is saved beside it.")
            with tag("div", "acts"):
                button(
                    "Take the changes from outside",
                    lambda: self._done(self.desk.take_theirs),
                    "main",
                )
                button("Keep what is here", lambda: self._done(self.desk.keep_mine))


def _when(draft: Draft) -> str:
    return datetime.fromtimestamp(draft.written_s).strftime("last on %d %B %Y at %H:%M")


def _sentence(error: LickwrightError) -> str:
    what = f"{error.what[:1].upper()}{error.what[1:]}."
    return f"{what} {error.mend}{'' if error.mend.endswith('?') else '.'}" if error.mend else what


async def watch(visit: Visit) -> None:
    """Look now and then at what others did to the file."""
    await visit.desk.look()
    for other in visit.desk.visits:
        other.draw_notice()
