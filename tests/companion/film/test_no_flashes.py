"""A film does not flash, though gracenotes come and go at 40 ms: each of its pictures is measured."""

from __future__ import annotations

import numpy as np
import pygame
import pytest

from companion.film.scene import Scene
from companion.film.shooting import FRAMES_PER_S
from companion.film.take_scene import TakeScene
from companion.film.tune_scene import TuneScene
from companion.schedule.timing import Timing
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.core.screen import Canvas
from companion.window.core.theme import THEMES, Theme
from companion.window.paint.draw import Painter, new_surface
from companion.window.paint.still import lettering_for
from tests.companion.tune_building import notes, tune
from tests.companion.window.flashes import FIELD, FlashMeter, luminance
from tests.companion.window.flashes import SIZE as FIELD_OF
from tests.companion.window.takes.reviewing import MANY_SLIPS, reviewed

pytestmark = pytest.mark.same_everywhere

SIZE = (480, 270)
SCALED = (FIELD[0] * SIZE[0] // FIELD_OF[0], FIELD[1] * SIZE[0] // FIELD_OF[0])
"""The field of WCAG's definition, in a picture that fills the width of the same screen."""


def canvas(theme: Theme) -> Canvas:
    """What the small films are laid out for."""
    display = Display(theme=theme)
    return Canvas(*SIZE, display, lettering_for(SIZE, display))


def flashing_px(scene: Scene, on: Canvas, from_s: float, to_s: float) -> int:
    """The largest area that flashes more than three times a second in a stretch of a film."""
    lettering = lettering_for(SIZE, on.display)
    painter, surface, meter = Painter(on.display.theme, lettering), new_surface(SIZE), FlashMeter(FRAMES_PER_S, SCALED)
    for frame in range(round(from_s * FRAMES_PER_S), round(to_s * FRAMES_PER_S)):
        painter.paint(surface, scene.picture((frame + 0.5) / FRAMES_PER_S))
        meter.see(luminance(np.asarray(pygame.surfarray.array3d(surface), np.uint8)))
    return meter.worst_px


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_a_tune_full_of_embellishments_does_not_flash(theme: Theme) -> None:
    """Doublings, a taorluath and a crunluath at full speed, four notes a second, from the count on."""
    on = canvas(theme)
    busy = tune(notes("A gde:d GdGe:A GdGeAfA:e"), notes("gBd:B gcd:c gef:e GdG:A"))
    scene = TuneScene(busy, Timing(beats_per_minute=120.0), SoundSettings(), on)
    assert flashing_px(scene, on, 1.5, scene.length_s - 2.0) < SCALED[0] * SCALED[1] // 4


def test_a_take_full_of_findings_does_not_flash() -> None:
    """At full speed, with a sentence for each finding that has time for one."""
    on = canvas(THEMES[0])
    scene = TakeScene(reviewed(MANY_SLIPS).state, SoundSettings(), on)
    assert flashing_px(scene, on, 4.0, 6.0) < SCALED[0] * SCALED[1] // 4
