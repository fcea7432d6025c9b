"""The six rooms, in the order of the work, and what each hears."""

from __future__ import annotations

from lickwright.studio.rooms import carry, find, hear, lesson, place, place_acts, shape, shape_acts
from lickwright.studio.session.tab import Room

ROOMS = (
    Room(
        "Find",
        "none",
        find.draw,
        {
            "bass": lambda tab, value: find.look(tab, {"over": str(value)}),
            "pair": lambda tab, value: find.look(tab, {"chosen": int(value)}),
        },
    ),
    Room(
        "Place",
        "neck",
        place.draw,
        {
            "browse": lambda tab, value: place_acts.browse(tab, str(value)),
            "drop": lambda tab, value: place_acts.drop(tab, int(value[0]), str(value[1])),
        },
    ),
    Room(
        "Shape",
        "page",
        shape.draw,
        {"deed": lambda tab, value: shape_acts.change_note(tab, str(value))},
        follows_note=True,
    ),
    Room("Carry", "page", carry.draw),
    Room("Hear", "below", hear.draw),
    Room("Lesson", "none", lesson.draw),
)
