from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from lickwright.video.frames.painter import Painter, Placed
from lickwright.video.frames.pixels import Drawing, Sprite

SIZE = (40, 30)
GROUND = (200, 190, 180, 0)


def sprite(seed: int, width: int, height: int) -> Sprite:
    pixels = np.random.default_rng(seed).integers(0, 256, (height, width, 4), np.uint8)
    made = Sprite(Drawing(width, height))
    made.develop(Image.fromarray(pixels, "RGBA"))
    return made


SPRITES = [sprite(seed, 3 + 4 * seed, 12 - 2 * seed) for seed in range(5)]
# Each sprite keeps its height in the pile, as panels do.
FRAMES = st.lists(
    st.dictionaries(
        st.integers(0, 4), st.tuples(st.integers(-5, 38), st.integers(-5, 28)), max_size=5
    ),
    min_size=1,
    max_size=5,
)


@given(frames=FRAMES)
@settings(max_examples=80, deadline=None)
def test_painting_what_changed_gives_what_painting_all_gives(frames):
    painter = Painter(*SIZE, GROUND)
    for frame in frames:
        placed = [Placed(SPRITES[which], *frame[which]) for which in sorted(frame)]
        boxes = painter.show(placed)
        anew = Painter(*SIZE, GROUND)
        anew.show(placed)
        assert painter.image.tobytes() == anew.image.tobytes()
        assert all(edge % 2 == 0 for box in boxes for edge in box)


@given(frames=FRAMES)
@settings(max_examples=40, deadline=None)
def test_nothing_outside_the_boxes_changes(frames):
    painter = Painter(*SIZE, GROUND)
    for frame in frames:
        before = np.array(painter.image)
        boxes = painter.show([Placed(SPRITES[which], *frame[which]) for which in sorted(frame)])
        changed = (np.array(painter.image) != before).any(axis=2)
        for box in boxes:
            changed[box.top : box.bottom, box.left : box.right] = False
        assert not changed.any()


def test_a_frame_like_the_last_one_costs_nothing():
    painter = Painter(*SIZE, GROUND)
    placed = [Placed(SPRITES[0], 4, 4)]
    assert painter.show(placed)
    assert painter.show(placed) == []
