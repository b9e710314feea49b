"""How fast films are written, beside PyAV alone encoding the same raw pictures with the same settings.

Run: python3 -m tests.bench film
"""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

from companion.commands.shared.tune_list import bundled_tunes
from companion.film.shooting import FRAMES_PER_S, Camera, write_film
from companion.film.tune_scene import TuneScene
from companion.media.formats import FILM_FORMATS, format_of
from companion.schedule.timing import Timing
from companion.score.excerpt import bars_of
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.paint.draw import Painter, new_surface

GOAL = 2.0
"""Times real time, at 1280x720 on two processors."""

FILMS = (("x.mp4", (1280, 720)), ("x.webm", (1280, 720)), ("x.mp4", (1920, 1080)))
RAW_S = 2.0
"""Of raw pictures for the peer, which are held in memory: 440 MB at 1280x720. From the middle, where all moves."""


@dataclass(frozen=True, slots=True)
class Timed:
    """Seconds of film, and what they took: on the clock, and of all processors together."""

    film_s: float
    took_s: float
    worked_s: float

    @property
    def times(self) -> float:
        """How many times faster than real time."""
        return self.film_s / self.took_s


def scene(camera: Camera) -> TuneScene:
    """Two bars of the first of our tunes, at half its speed."""
    return TuneScene(bars_of(bundled_tunes()[0], 1, 2), Timing(slow_down=2.0), SoundSettings(), camera.canvas)


def ours(path: Path, size: tuple[int, int]) -> Timed:
    """A whole film: drawn, its sound rendered, encoded, written."""
    camera = Camera(size, Display())
    filmed = scene(camera)
    began_s, worked_s = time.perf_counter(), time.process_time()
    write_film(path, filmed, camera, force=True)
    return Timed(filmed.length_s, time.perf_counter() - began_s, time.process_time() - worked_s)


def raw_pictures(size: tuple[int, int]) -> list[npt.NDArray[np.uint8]]:
    """The pictures of RAW_S of the film, drawn and not encoded."""
    camera = Camera(size, Display())
    filmed, surface = scene(camera), new_surface(size)
    painter = Painter(camera.canvas.display.theme, camera.lettering)
    kept = []
    for frame in range(round(RAW_S * FRAMES_PER_S)):
        painter.paint(surface, filmed.picture(filmed.length_s / 2 + frame / FRAMES_PER_S))
        pixels = np.frombuffer(surface.get_buffer().raw, np.uint8)
        kept.append(pixels.reshape(size[1], size[0], 4))
    return kept


def peer(path: Path, size: tuple[int, int]) -> Timed:
    """PyAV alone, from pictures that are drawn already, without sound."""
    kind, pictures = format_of(path, FILM_FORMATS), raw_pictures(size)
    assert kind is not None
    assert kind.pictures is not None
    began_s, worked_s = time.perf_counter(), time.process_time()
    with av.open(str(path), "w", format=kind.container) as container:
        stream = container.add_stream(kind.pictures.encoder, rate=FRAMES_PER_S, options=dict(kind.pictures.options))
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
        for pixels in pictures:
            container.mux(stream.encode(av.VideoFrame.from_ndarray(pixels, format="bgra")))
        container.mux(stream.encode(None))
    return Timed(RAW_S, time.perf_counter() - began_s, time.process_time() - worked_s)


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        for name, size in FILMS:
            path = Path(folder) / name
            film = ours(path, size)
            size_kb = path.stat().st_size / film.film_s / 1000.0
            what = f"film {size[0]}x{size[1]} {path.suffix[1:]}, {FRAMES_PER_S} pictures a second, with sound"
            goal = f" (goal >= {GOAL:g})" if name == "x.mp4" and size[1] == 720 else ""
            work_ms = 1000.0 * film.worked_s / film.film_s / FRAMES_PER_S
            print(f"{what}: {film.times:.1f} times real time{goal}, {size_kb:.0f} kB a second")
            most = 2.0 * 1000.0 / FRAMES_PER_S / work_ms
            print(f"  {work_ms:.1f} ms of a processor a picture: at most {most:.1f} times where two of them are free")
            alone = peer(path, size)
            alone_ms = 1000.0 * alone.worked_s / RAW_S / FRAMES_PER_S
            print(
                f"  PyAV alone, of raw pictures: {alone.times:.1f} times, {alone_ms:.1f} ms of a processor; "
                f"ours takes {film.took_s / film.film_s / (alone.took_s / RAW_S):.1f} times as long"
            )


if __name__ == "__main__":
    main()
