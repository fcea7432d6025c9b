"""The six rooms, in the order of the work."""

from __future__ import annotations

from lickwright.studio.rooms import (
    carry as room_carry,
)
from lickwright.studio.rooms import (
    find as room_find,
)
from lickwright.studio.rooms import (
    hear as room_hear,
)
from lickwright.studio.rooms import (
    lesson as room_lesson,
)
from lickwright.studio.rooms import (
    place as room_place,
)
from lickwright.studio.rooms import (
    shape as room_shape,
)
from lickwright.studio.session.tab import Room

ROOMS = (
    Room("Find", "none", room_find.draw),
    Room("Place", "neck", room_place.draw),
    Room("Shape", "page", room_shape.draw),
    Room("Carry", "page", room_carry.draw),
    Room("Hear", "below", room_hear.draw),
    Room("Lesson", "none", room_lesson.draw),
)
