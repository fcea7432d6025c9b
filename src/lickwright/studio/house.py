"""The six rooms, in the order of the work."""

from __future__ import annotations

from lickwright.studio import (
    room_carry,
    room_find,
    room_hear,
    room_lesson,
    room_place,
    room_shape,
)
from lickwright.studio.visit import Room

ROOMS = (
    Room("Find", "none", room_find.draw),
    Room("Place", "neck", room_place.draw),
    Room("Shape", "page", room_shape.draw),
    Room("Carry", "page", room_carry.draw),
    Room("Hear", "below", room_hear.draw),
    Room("Lesson", "none", room_lesson.draw),
)
