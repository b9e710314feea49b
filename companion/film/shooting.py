"""Draws a scene picture by picture, and writes pictures and sound into a film."""

from __future__ import annotations

from math import ceil
from pathlib import Path

from companion.film.scene import Scene
from companion.media.encoding import PictureTrack, film_file
from companion.media.formats import FILM_FORMATS, ending_unknown, format_of
from companion.sound.files.blocks import ToldShare, unheard
from companion.sound.mix import to_int16
from companion.sound.settings import SAMPLE_RATE_HZ
from companion.window.core.display import Display
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas
from companion.window.paint.draw import Painter, new_surface
from companion.window.paint.lettering import Lettering
from companion.window.paint.still import lettering_for

FRAMES_PER_S = 60
"""A gracenote lasts 40 ms at full speed: of 30 pictures a second one would show it, of 60 two or three do. And the
lanes flow without a judder, at half the distance from picture to picture."""

SAMPLES_PER_FRAME = SAMPLE_RATE_HZ // FRAMES_PER_S
FILM_ENDINGS = tuple(each.ending for each in FILM_FORMATS)


def check_film_ending(path: Path) -> None:
    """Refuse, before any work, a name whose ending is none of FILM_ENDINGS. Raises UserError."""
    if format_of(path, FILM_FORMATS) is None:
        raise ending_unknown(path, "a film", FILM_ENDINGS)


class Camera:
    """Draws pictures of one size and display, and hands those to a film that differ from the one before."""

    def __init__(self, size: tuple[int, int], display: Display) -> None:
        self.lettering: Lettering = lettering_for(size, display)
        self.canvas = Canvas(*size, display, self.lettering)
        self._painter = Painter(display.theme, self.lettering)
        self._surface = new_surface(size)
        self._drawn: Picture | None = None

    def shoot(self, picture: Picture, track: PictureTrack) -> None:
        """Add a picture to a film; one that is like the one before is not drawn again."""
        if picture == self._drawn:
            track.hold()
            return
        self._painter.paint(self._surface, picture)
        self._drawn = picture
        track.add(self._surface.get_buffer())


def write_film(path: Path, scene: Scene, camera: Camera, progress: ToldShare = unheard, *, force: bool = False) -> None:
    """Write a scene, laid out for the camera's canvas, into a film, telling `progress` the share done, 0 to 1.

    Each picture shows the middle of its sixtieth of a second, so that it is never more than 9 ms from what is heard.
    The ending of `path` says which kind of film. force: whether a file that stands there is written over. Raises
    UserError for another ending, and where the film cannot be written.
    """
    kind = format_of(path, FILM_FORMATS)
    if kind is None:
        raise ending_unknown(path, "a film", FILM_ENDINGS)
    frames = ceil(scene.length_s * FRAMES_PER_S)
    size = (camera.canvas.width, camera.canvas.height)
    film = film_file(path, kind, SAMPLE_RATE_HZ, size, FRAMES_PER_S, title=scene.title, force=force)
    with film as (pictures, sound):
        for frame in range(frames):
            camera.shoot(scene.picture((frame + 0.5) / FRAMES_PER_S), pictures)
            sound.add(to_int16(scene.renderer.render(SAMPLES_PER_FRAME)))
            progress((frame + 1) / frames)
