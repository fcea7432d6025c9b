"""How do painted pixels become the planes that an encoder takes?

Only the rectangles that changed are converted.  Luma and colour differences follow ITU-R BT.709-6
(items 3.2 to 3.4) with its quantization: 8 bit 16-235 and 16-240, 10 bit 64-940 and 64-960.
Sums are whole numbers, so that every machine gets the same pixels.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from lickwright.video.frames.painter import Area

if TYPE_CHECKING:
    from av import VideoFrame
    from PIL.Image import Image

_KR, _KG, _KB = 0.2126, 0.7152, 0.0722
_SHIFT = 18


def _weights(levels: float, red: float, green: float, blue: float) -> tuple[int, int, int]:
    scale = levels / 255.0 * (1 << _SHIFT)
    return round(red * scale), round(green * scale), round(blue * scale)


class _Coder:
    """The three sums of BT.709 for some number of bits."""

    def __init__(self, bits: int) -> None:
        step = 1 << (bits - 8)
        self.black, self.grey = 16 * step, 128 * step
        self._luma = _weights(219 * step, _KR, _KG, _KB)
        blue, red = 2 * (1 - _KB), 2 * (1 - _KR)
        self._blue = _weights(224 * step, -_KR / blue, -_KG / blue, 0.5)
        self._red = _weights(224 * step, 0.5, -_KG / red, -_KB / red)

    def luma(self, rgb: npt.NDArray[np.int32]) -> npt.NDArray[np.int32]:
        return _sum(rgb, self._luma, self.black, _SHIFT)

    def differences(
        self, rgb: npt.NDArray[np.int32], extra_bits: int
    ) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32]]:
        """Blue and red difference of colours that are sums of ``2**extra_bits`` pixels."""
        shift = _SHIFT + extra_bits
        return _sum(rgb, self._blue, self.grey, shift), _sum(rgb, self._red, self.grey, shift)


def _sum(
    rgb: npt.NDArray[np.int32], weights: tuple[int, int, int], offset: int, shift: int
) -> npt.NDArray[np.int32]:
    red, green, blue = weights
    total = rgb[..., 0] * red + rgb[..., 1] * green + rgb[..., 2] * blue
    result: npt.NDArray[np.int32] = ((total + (1 << (shift - 1))) >> shift) + offset
    return result


class Planes(Protocol):
    """The pixels of the present frame in an encoder's own order."""

    pixel_format: str

    def update(self, image: Image, boxes: Iterable[Area]) -> None:
        """Take over what was painted inside some boxes."""
        ...

    def frame(self) -> VideoFrame:
        """A frame of its own with the present pixels."""
        ...


def _pixels(image: Image, box: Area) -> npt.NDArray[np.uint8]:
    return np.asarray(image.crop(box))


class ArgbPlanes:
    """Eight bits each of alpha, red, green and blue."""

    pixel_format = "argb"

    def __init__(self, width: int, height: int) -> None:
        self._data = np.zeros((height, width, 4), np.uint8)

    def update(self, image: Image, boxes: Iterable[Area]) -> None:
        for box in boxes:
            rgba = _pixels(image, box)
            target = self._data[box.top : box.bottom, box.left : box.right]
            target[..., 0] = rgba[..., 3]
            target[..., 1:] = rgba[..., :3]

    def frame(self) -> VideoFrame:
        from av import VideoFrame

        return VideoFrame.from_ndarray(self._data, format="argb")


class RgbaPlanes:
    """Eight bits each of red, green, blue and alpha."""

    pixel_format = "rgba"

    def __init__(self, width: int, height: int) -> None:
        self._data = np.zeros((height, width, 4), np.uint8)

    def update(self, image: Image, boxes: Iterable[Area]) -> None:
        for box in boxes:
            self._data[box.top : box.bottom, box.left : box.right] = _pixels(image, box)

    def frame(self) -> VideoFrame:
        from av import VideoFrame

        return VideoFrame.from_ndarray(self._data, format="rgba")


class Yuv420Planes:
    """Eight bits of luma, and of colour differences at half the width and height."""

    pixel_format = "yuv420p"

    def __init__(self, width: int, height: int) -> None:
        self._coder = _Coder(8)
        self._data = np.zeros((height * 3 // 2, width), np.uint8)
        quarter = height // 4 * width + height % 4 // 2 * (width // 2)
        colours = self._data[height:].reshape(-1)
        self._luma = self._data[:height]
        self._blue = colours[:quarter].reshape(height // 2, width // 2)
        self._red = colours[quarter:].reshape(height // 2, width // 2)

    def update(self, image: Image, boxes: Iterable[Area]) -> None:
        for box in boxes:
            rgb = _pixels(image, box)[..., :3].astype(np.int32)
            self._luma[box.top : box.bottom, box.left : box.right] = self._coder.luma(rgb)
            fours = rgb[::2, ::2] + rgb[1::2, ::2] + rgb[::2, 1::2] + rgb[1::2, 1::2]
            blue, red = self._coder.differences(fours, 2)
            half = (
                slice(box.top // 2, box.bottom // 2),
                slice(box.left // 2, box.right // 2),
            )
            self._blue[half], self._red[half] = blue, red

    def lay(self, picture: Sequence[npt.NDArray[np.uint8]], left: int, top: int) -> None:
        """Put a picture of the same kind, luma first, with its left upper corner somewhere even."""
        for target, plane, share in zip(
            (self._luma, self._blue, self._red), picture, (1, 2, 2), strict=True
        ):
            high, wide = plane.shape
            y, x = top // share, left // share
            target[y : y + high, x : x + wide] = plane

    def frame(self) -> VideoFrame:
        from av import VideoFrame

        return VideoFrame.from_ndarray(self._data, format="yuv420p")


class Yuva444Planes:
    """Ten bits each of luma, colour differences and alpha."""

    pixel_format = "yuva444p10le"

    def __init__(self, width: int, height: int) -> None:
        from av import VideoFrame

        self._width, self._height = width, height
        self._coder = _Coder(10)
        planes = VideoFrame(width, height, self.pixel_format).planes
        self._planes = [np.zeros((height, plane.line_size // 2), "<u2") for plane in planes]

    def update(self, image: Image, boxes: Iterable[Area]) -> None:
        luma, blue, red, alpha = self._planes
        for box in boxes:
            at = (slice(box.top, box.bottom), slice(box.left, box.right))
            rgba = _pixels(image, box).astype(np.int32)
            luma[at] = self._coder.luma(rgba)
            blue[at], red[at] = self._coder.differences(rgba, 0)
            alpha[at] = (rgba[..., 3] * 1023 + 127) // 255

    def frame(self) -> VideoFrame:
        from av import VideoFrame

        frame = VideoFrame(self._width, self._height, self.pixel_format)
        for plane, data in zip(frame.planes, self._planes, strict=True):
            plane.update(data.tobytes())
        return frame
