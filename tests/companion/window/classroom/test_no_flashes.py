"""Nothing in a class flashes: every frame of a session is measured."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pygame
import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.screen import Canvas
from companion.window.core.theme import THEMES, Theme
from companion.window.paint.draw import Painter, new_surface
from tests.companion.window.classroom.class_scene import ClassStage, fast
from tests.companion.window.flashes import FRAMES_PER_S, MOST_PX, SIZE, FlashMeter, Luminance, luminance, measured
from tests.companion.window.lettered import lettering_for

pytestmark = pytest.mark.same_everywhere


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
        meter.see(luminance(pygame.surfarray.array3d(surface)))
        frames += 1

    stage.run(2.5, (0.0, 0.03, 0.06, 0.1), look)
    for action in (Action.CHOOSE, Action.CHOOSE, Action.TEMPO_DOWN, Action.PHRASE_ON, Action.HIDE, Action.HIDE):
        stage.screen.act(action)
        stage.run(0.2, (), look)
    assert frames > 100
    assert meter.worst_px < MOST_PX
