"""Flashes, measured by the definition of W3C's WCAG 2.2, 2.3.1.

"Three Flashes or Below Threshold", and the definition of "general flash and red flash thresholds" in
https://www.w3.org/TR/WCAG22/ (here from memory): a general flash is a pair of opposing changes in relative luminance of
10 % or more of the maximum relative luminance, where the relative luminance of the darker image is below 0.80. More
than three of them within any one-second period fail where the combined area of flashes that occur concurrently is more
than 25 % of any 10 degree visual field: at 1024 x 768 that field is a rectangle of 341 x 256 pixels anywhere on the
screen, and a quarter of it 21,824 pixels.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

SIZE = (1024, 768)
FRAMES_PER_S = 30
FIELD = (341, 256)
MOST_PX = FIELD[0] * FIELD[1] // 4
CHANGE, DARKER_BELOW, MOST_FLASHES = 0.1, 0.8, 3
Luminance = npt.NDArray[np.float32]

_LINEAR = np.array(
    [each / 255 / 12.92 if each / 255 <= 0.04045 else ((each / 255 + 0.055) / 1.055) ** 2.4 for each in range(256)],
    dtype=np.float32,
)
"""WCAG 2.2, relative luminance."""


def luminance(pixels: npt.NDArray[np.uint8]) -> Luminance:
    """The relative luminance of each pixel: shape (width, height, 3), red, green and blue."""
    red, green, blue = (weight * _LINEAR for weight in (np.float32(0.2126), np.float32(0.7152), np.float32(0.0722)))
    return np.asarray(red[pixels[..., 0]] + green[pixels[..., 1]] + blue[pixels[..., 2]], dtype=np.float32)


class FlashMeter:
    """Counts for each pixel the opposing changes of 10 % or more, as frames come in, so many a second.

    field: the width and height in pixels of ten degrees of the visual field, as large as the frames are shown.
    """

    def __init__(self, frames_per_s: int = FRAMES_PER_S, field: tuple[int, int] = FIELD) -> None:
        self._frames_per_s, self._field = frames_per_s, field
        self._first: Luminance | None = None
        self._changes: deque[npt.NDArray[np.bool_]] = deque()
        self.worst_px = 0

    def see(self, frame: Luminance) -> None:
        """One frame more."""
        if self._first is None:
            self._first = frame
            self._extreme, self._rising = frame.copy(), np.zeros(frame.shape, dtype=np.int8)
            self._within_s = np.zeros(frame.shape, dtype=np.int16)
            return
        away = frame - self._extreme
        direction = np.sign(away).astype(np.int8)
        darker = np.minimum(frame, self._extreme) < DARKER_BELOW
        turned = (np.abs(away) >= CHANGE) & darker & (direction != self._rising)
        further = (direction == self._rising) & (self._rising != 0)
        np.copyto(self._extreme, frame, where=turned | further)
        np.copyto(self._rising, direction, where=turned)
        self._changes.append(turned)
        self._within_s += turned
        if len(self._changes) > self._frames_per_s:
            self._within_s -= self._changes.popleft()
        if turned.any():
            self._measure()

    def _measure(self) -> None:
        """Pairs of opposing changes within the last second: more than three of them are seven changes or more."""
        flashing: npt.NDArray[np.bool_] = np.asarray(self._within_s >= 2 * MOST_FLASHES + 1)
        if flashing.any():
            self.worst_px = max(self.worst_px, largest_within(flashing, self._field))


def largest_within(flashing: npt.NDArray[np.bool_], field: tuple[int, int]) -> int:
    """The most pixels that flash in any rectangle of the field's size."""
    sums = np.zeros((flashing.shape[0] + 1, flashing.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = flashing.cumsum(0).cumsum(1)
    wide, high = field
    whole = sums[wide:, high:] - sums[:-wide, high:] - sums[wide:, :-high] + sums[:-wide, :-high]
    return int(whole.max())


def measured(frames: Iterable[Luminance]) -> int:
    """The largest area that flashes more than three times a second."""
    meter = FlashMeter()
    for frame in frames:
        meter.see(frame)
    return meter.worst_px
