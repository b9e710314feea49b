"""Nothing in a class flashes: every frame of a session is measured by the definition of W3C's WCAG 2.2, 2.3.1.

"Three Flashes or Below Threshold", and the definition of "general flash and red flash thresholds" in
https://www.w3.org/TR/WCAG22/ (here from memory): a general flash is a pair of opposing changes in relative luminance of
10 % or more of the maximum relative luminance, where the relative luminance of the darker image is below 0.80. More
than three of them within any one-second period fail where the combined area of flashes that occur concurrently is more
than 25 % of any 10 degree visual field: at 1024 x 768 that field is a rectangle of 341 x 256 pixels anywhere on the
screen, and a quarter of it 21,824 pixels.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt
import pygame
import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.screen import Canvas
from companion.window.core.theme import THEMES, Theme
from companion.window.paint.draw import Painter, new_surface
from tests.companion.window.classroom.class_scene import ClassStage, fast
from tests.companion.window.lettered import lettering_for

pytestmark = pytest.mark.same_everywhere

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


def luminance(surface: pygame.Surface) -> Luminance:
    """The relative luminance of each pixel."""
    pixels = pygame.surfarray.array3d(surface)
    weights = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
    return np.asarray(_LINEAR[pixels] @ weights, dtype=np.float32)


class FlashMeter:
    """Counts for each pixel the opposing changes of 10 % or more, as frames come in."""

    def __init__(self) -> None:
        self._first: Luminance | None = None
        self._changes: list[npt.NDArray[np.bool_]] = []
        self.worst_px = 0

    def see(self, frame: Luminance) -> None:
        """One frame more."""
        if self._first is None:
            self._first = frame
            self._extreme, self._rising = frame.copy(), np.zeros(frame.shape, dtype=np.int8)
            return
        away = frame - self._extreme
        darker = np.minimum(frame, self._extreme) < DARKER_BELOW
        turned = (np.abs(away) >= CHANGE) & darker & (np.sign(away) != self._rising)
        further = (np.sign(away) == self._rising) & (self._rising != 0)
        self._extreme = np.where(turned | further, frame, self._extreme)
        self._rising = np.where(turned, np.sign(away), self._rising).astype(np.int8)
        self._changes.append(turned)
        self._changes = self._changes[-FRAMES_PER_S:]
        if turned.any():
            self._measure()

    def _measure(self) -> None:
        """Pairs of opposing changes within the last second: more than three of them are seven changes or more."""
        changes = np.sum(self._changes, axis=0, dtype=np.int16)
        flashing: npt.NDArray[np.bool_] = np.asarray(changes >= 2 * MOST_FLASHES + 1)
        if flashing.any():
            self.worst_px = max(self.worst_px, largest_within(flashing))


def largest_within(flashing: npt.NDArray[np.bool_]) -> int:
    """The most pixels that flash in any rectangle of FIELD's size."""
    sums = np.zeros((flashing.shape[0] + 1, flashing.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = flashing.cumsum(0).cumsum(1)
    wide, high = FIELD
    whole = sums[wide:, high:] - sums[:-wide, high:] - sums[wide:, :-high] + sums[:-wide, :-high]
    return int(whole.max())


def measured(frames: Iterable[Luminance]) -> int:
    """The largest area that flashes more than three times a second."""
    meter = FlashMeter()
    for frame in frames:
        meter.see(frame)
    return meter.worst_px


def blinking(times_a_second: float, low: float, high: float, wide: int = 341) -> Sequence[Luminance]:
    """A second and a half of a rectangle that blinks."""
    frames = []
    for rank in range(FRAMES_PER_S * 3 // 2):
        frame = np.full(SIZE, 0.5, dtype=np.float32)
        frame[:wide, :256] = high if int(rank * 2 * times_a_second / FRAMES_PER_S) % 2 else low
        frames.append(frame)
    return frames


def test_the_meter_tells_a_flash_from_none() -> None:
    """Four a second of the whole field are too many; three, or too faint, or too light ones, or small ones are not."""
    assert MOST_PX == 21_824
    assert measured(blinking(5.0, 0.2, 0.6)) > MOST_PX
    assert measured(blinking(2.5, 0.2, 0.6)) == 0
    assert measured(blinking(5.0, 0.2, 0.29)) == 0
    assert measured(blinking(5.0, 0.81, 0.99)) == 0
    assert 0 < measured(blinking(5.0, 0.2, 0.6, wide=80)) < MOST_PX


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_nothing_flashes_while_four_play_fast(theme: Theme) -> None:
    """The tune half as fast again, four who play along, led on, words asked for and put away, hidden and shown."""
    stage, meter = ClassStage(4, fast()), FlashMeter()
    display = stage.screen.projected(Display(theme=theme))
    measure = lettering_for(SIZE, display)
    painter, surface = Painter(display.theme, measure), new_surface(SIZE)
    frames = 0

    def look() -> None:
        nonlocal frames
        painter.paint(surface, stage.screen.picture(Canvas(*SIZE, display, measure)))
        meter.see(luminance(surface))
        frames += 1

    stage.run(2.5, (0.0, 0.03, 0.06, 0.1), look)
    for action in (Action.CHOOSE, Action.CHOOSE, Action.TEMPO_DOWN, Action.PHRASE_ON, Action.HIDE, Action.HIDE):
        stage.screen.act(action)
        stage.run(0.2, (), look)
    assert frames > 100
    assert meter.worst_px < MOST_PX
