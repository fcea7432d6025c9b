from __future__ import annotations

import av
import numpy as np
import pytest
from PIL import Image

from lickwright.video.frames.painter import Area
from lickwright.video.frames.planes import ArgbPlanes, Yuv420Planes, Yuva444Planes

#: 8-bit code values of full colours: ITU-R BT.709-6, items 3.2 to 3.5, worked out there by hand
#: (Y' = 0.2126 R' + 0.7152 G' + 0.0722 B', quantized to 219 and 224 steps).
CODES = {
    (255, 255, 255): (235, 128, 128),
    (0, 0, 0): (16, 128, 128),
    (255, 0, 0): (63, 102, 240),
    (0, 255, 0): (173, 42, 26),
    (0, 0, 255): (32, 240, 118),
    (255, 255, 0): (219, 16, 138),
}
WHOLE = Area(0, 0, 64, 64)


def noise() -> Image.Image:
    small = np.random.default_rng(3).integers(0, 256, (8, 8, 4), np.uint8)
    return Image.fromarray(small, "RGBA").resize((64, 64), Image.Resampling.NEAREST)


@pytest.mark.parametrize(("colour", "codes"), CODES.items())
def test_full_colours_have_the_codes_of_the_standard(colour, codes):
    planes = Yuv420Planes(64, 64)
    planes.update(Image.new("RGBA", (64, 64), (*colour, 255)), [WHOLE])
    luma, blue, red = (np.frombuffer(plane, np.uint8) for plane in planes.frame().planes)
    assert (luma[0], blue[0], red[0]) == codes
    ten = Yuva444Planes(64, 64)
    ten.update(Image.new("RGBA", (64, 64), (*colour, 255)), [WHOLE])
    values = [np.frombuffer(plane, "<u2")[0] for plane in ten.frame().planes]
    assert np.abs(np.array(values[:3]) - 4 * np.array(codes)).max() <= 2
    assert values[3] == 1023


def test_the_scaler_of_ffmpeg_reads_our_planes_back():
    image = noise()
    planes = Yuv420Planes(64, 64)
    planes.update(image, [WHOLE])
    frame = planes.frame()
    frame.colorspace, frame.color_range = 1, 1
    seen = frame.reformat(
        format="rgb24", src_colorspace="ITU709", src_color_range="MPEG", dst_color_range="JPEG"
    ).to_ndarray()
    # In the middle of each even field, where halved colours are whole.
    fields = np.s_[3::8, 3::8]
    assert np.abs(seen[fields].astype(int) - np.array(image)[fields][..., :3]).max() <= 4


def test_a_part_that_changed_gives_what_the_whole_gives():
    whole, parts = Yuv420Planes(64, 64), Yuv420Planes(64, 64)
    image = noise()
    whole.update(image, [WHOLE])
    parts.update(image, [Area(0, 0, 30, 64), Area(30, 0, 64, 20), Area(30, 20, 64, 64)])
    assert [bytes(plane) for plane in whole.frame().planes] == [
        bytes(plane) for plane in parts.frame().planes
    ]


def test_argb_keeps_every_pixel():
    image = noise()
    planes = ArgbPlanes(64, 64)
    planes.update(image, [WHOLE])
    seen = planes.frame().to_ndarray(format="rgba")
    assert (seen == np.array(image)).all()


def test_a_frame_is_not_changed_by_the_next_one():
    planes = Yuv420Planes(64, 64)
    planes.update(Image.new("RGBA", (64, 64), (255, 255, 255, 255)), [WHOLE])
    first = planes.frame()
    planes.update(Image.new("RGBA", (64, 64), (0, 0, 0, 255)), [WHOLE])
    assert isinstance(first, av.VideoFrame)
    assert np.frombuffer(first.planes[0], np.uint8)[0] == 235
