"""`eightholes film`: writes a tune, a stretch of it, an embellishment or a take as a film with its sound."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from companion.commands.shared.embellishment_options import add_embellishment_options, exercise_from
from companion.commands.shared.options import (
    add_sound_options,
    add_timing_options,
    add_tune_options,
    settings_from,
    timing_from,
    tune_from,
)
from companion.commands.shared.outputs import add_output_options, check_output_of
from companion.commands.shared.progress import percent_shown
from companion.commands.shared.stretch_options import add_stretch_options, stretch_from, stretch_named
from companion.commands.shared.window_options import add_look_options, display_from, read_size, staff_for
from companion.commands.takes.opening import heard_with_progress, open_take_file
from companion.files.lines import one_line
from companion.schedule.timing import Timing
from companion.score.model import Tune
from fingering.errors import UserError

if TYPE_CHECKING:  # the window is loaded by the one command that is asked for
    from companion.film.scene import Scene
    from companion.window.core.screen import Canvas
    from companion.window.staff.staff_line import StaffSource

SIZES = ("1280x720", "1920x1080")
FORMS = "give a tune, or --embellishment NAME, or --take FILE"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser, default="")
    add_stretch_options(parser)
    add_timing_options(parser)
    parser.add_argument("--size", choices=SIZES, default=SIZES[0], help=f"in pixels (default: {SIZES[0]})")
    add_look_options(parser)
    add_embellishment_options(parser)
    parser.add_argument(
        "--take", metavar="FILE", type=Path, help="a take with what was found in it; TUNE then says where its tune is"
    )
    add_sound_options(parser)
    add_output_options(parser, "the film to write, .mp4 or .webm")


def run(options: argparse.Namespace) -> int:
    """Write the film that was asked for and print its path and length; returns the exit status. Raises UserError."""
    from companion.film.shooting import Camera, check_film_ending, write_film
    from companion.window.core.display import Display

    check_output_of(options, options.output, tune=options.file, others=(options.take,))
    check_film_ending(options.output)
    camera = Camera(read_size(options.size), display_from(options, Display()))
    staff = staff_for(camera.canvas.display)
    scene = (_take_scene if options.take else _tune_scene)(options, camera.canvas, staff)
    write_film(options.output, scene, camera, percent_shown("filming"), force=options.force)
    print(f"{one_line(str(options.output))}: {scene.length_s:.1f} s")
    if staff and staff.trouble:
        print(f"eightholes: {staff.trouble}", file=sys.stderr)
    return 0


def _tune_scene(options: argparse.Namespace, canvas: Canvas, staff: StaffSource | None) -> Scene:
    from companion.film.tune_scene import TuneScene

    timing, sound = timing_from(options), settings_from(options)
    return TuneScene(_tune(options), timing, sound, canvas, staff)


def _tune(options: argparse.Namespace) -> Tune:
    exercise = exercise_from(options)
    if exercise is None and not options.file:
        raise UserError("it is not clear what to film", FORMS)
    if exercise and stretch_named(options):
        raise UserError("a stretch is of a tune", "leave --bars, --part and --phrase away")
    return exercise or stretch_from(options, tune_from(options))


def _take_scene(options: argparse.Namespace, canvas: Canvas, staff: StaffSource | None) -> Scene:
    """The take as its review plays it back, judged. Raises UserError."""
    from companion.film.take_scene import TakeScene
    from companion.window.playing_navigation import take_over
    from companion.window.program import Opening, play_screen

    if stretch_named(options) or options.embellishment or options.tempo is not None or options.crisp:
        what = "a take is filmed whole and as it was played"
        raise UserError(what, "with --take, of these options give only --slow", str(options.take))
    opened = open_take_file(options.take, options.file or None, options.tune, options.transpose)
    take, tunes = opened.take, opened.tunes
    by_sound = heard_with_progress(take)
    opening = Opening(tunes.tunes, tunes.first, take.heading.timing or Timing(), playing=False)
    review = take_over(play_screen(opening), take, by_sound)
    review.finish_review()
    slow_down = timing_from(options).slow_down
    return TakeScene(replace(review.state, take_slow_down=slow_down), settings_from(options), canvas, staff)
