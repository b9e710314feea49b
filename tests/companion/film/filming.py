"""A short film of a small tune, and what its pictures show: which holes are closed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pygame
from numpy.typing import NDArray

from companion.film.shooting import FRAMES_PER_S, Camera, write_film
from companion.film.tune_scene import TuneScene
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.core.marks import HoleMark, Picture
from companion.window.paint.draw import Painter, new_surface
from tests.companion.media.decoded import decoded_pictures
from tests.companion.tune_building import notes, tune

SIZE = (640, 360)
ALONE = SoundSettings(drones_level=0.0)
QUICK = Timing(beats_per_minute=120.0)
Pixels = NDArray[np.uint8]


def small_tune() -> Tune:
    """Two seconds: notes of 0.25 s and gracenotes of 40 ms, alone and in a group."""
    return tune(notes("A e g:B a"), notes("c gde:d A e"))


@dataclass(frozen=True, slots=True, eq=False)
class Filmed:
    """A film that was written: its scene, its camera, its file and its pictures, with when each is shown (s)."""

    scene: TuneScene
    camera: Camera
    path: Path
    times_s: tuple[float, ...]
    pictures: tuple[Pixels, ...]
    light: HoleLight

    def at(self, film_s: float) -> int:
        """The rank of the picture that is shown at a moment."""
        return int(np.searchsorted(self.times_s, film_s + 1e-6, "right")) - 1


def filmed(path: Path) -> Filmed:
    """Write a film of the small tune and read it again."""
    camera = Camera(SIZE, Display())
    scene = TuneScene(small_tune(), QUICK, ALONE, camera.canvas)
    write_film(path, scene, camera)
    shown = list(decoded_pictures(path))
    times_s, pictures = zip(*shown, strict=True)
    return Filmed(scene, camera, path, times_s, pictures, hole_light(scene, camera, len(shown)))


def drawn(camera: Camera, picture: Picture) -> Pixels:
    """A picture as the window draws it, shape (height, width, 3)."""
    surface = new_surface((picture.width, picture.height))
    Painter(camera.canvas.display.theme, camera.lettering).paint(surface, picture)
    return np.asarray(pygame.surfarray.array3d(surface).swapaxes(0, 1), np.uint8)


def middle_of(rank: int) -> float:
    """The moment of the film that its picture of that rank shows."""
    return (rank + 0.5) / FRAMES_PER_S


def holes(picture: Picture) -> tuple[HoleMark, ...]:
    """The eight holes, thumb first, as the picture has them."""
    return tuple(mark for mark in picture.moving if isinstance(mark, HoleMark))


def brightness_at(pixels: Pixels, hole: HoleMark) -> float:
    """How light it is in the middle of a hole, 0 to 255."""
    x, y = round(hole.x), round(hole.y)
    return float(pixels[y - 1 : y + 2, x - 1 : x + 2].mean())


@dataclass(frozen=True, slots=True)
class HoleLight:
    """How light each hole is, drawn open and drawn closed."""

    opened: tuple[float, ...]
    closed: tuple[float, ...]

    def closed_in(self, pixels: Pixels, marks: tuple[HoleMark, ...]) -> tuple[bool, ...]:
        """Which holes are closed in a picture, by which of the two each is nearer to."""
        seen = [brightness_at(pixels, mark) for mark in marks]
        return tuple(
            abs(each - closed) < abs(each - opened)
            for each, opened, closed in zip(seen, self.opened, self.closed, strict=True)
        )


def hole_light(scene: TuneScene, camera: Camera, count: int) -> HoleLight:
    """Seen in `count` pictures as they are drawn, before any of them was encoded."""
    light: list[dict[bool, float]] = [{} for _ in range(8)]
    for rank in range(0, count, 3):
        picture = scene.picture(middle_of(rank))
        pixels = drawn(camera, picture)
        for each, mark in zip(light, holes(picture), strict=True):
            each[mark.closed] = brightness_at(pixels, mark)
    return HoleLight(tuple(each[False] for each in light), tuple(each[True] for each in light))
