"""`eightholes sound`: renders a tune, a stretch of it, or one embellishment, into a sound file."""

from __future__ import annotations

import argparse

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
from companion.files.lines import one_line
from companion.schedule.build import build_schedule
from companion.schedule.count_in import CountIn, count_in
from companion.schedule.events import Schedule
from companion.score.model import Tune
from companion.sound.files.sound_file import SOUND_ENDINGS, check_sound_ending, write_sound
from companion.sound.renderer import Renderer
from companion.sound.settings import SoundSettings
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser, default="")
    add_embellishment_options(parser)
    add_stretch_options(parser)
    add_output_options(
        parser, f"the sound file to write; its ending says which kind: {', '.join(SOUND_ENDINGS)} (Opus)"
    )
    add_timing_options(parser)
    add_sound_options(parser)
    parser.add_argument("--count-in", action="store_true", help="with a metronome, count one bar before the tune")


def run(options: argparse.Namespace) -> int:
    """Render what is asked for. Raises UserError."""
    settings, timing = settings_from(options), timing_from(options)
    check_output_of(options, options.output, tune=options.file)
    check_sound_ending(options.output)
    schedule = build_schedule(_tune(options), timing)
    renderer, length_s = Renderer(schedule, settings), schedule.duration_s
    if options.count_in:
        count = _count_asked_for(schedule, settings)
        renderer.seek(count.begins_s, count)
        length_s += count.length_s
    write_sound(options.output, renderer, percent_shown("rendering"), force=options.force)
    print(f"{one_line(str(options.output))}: {length_s:.1f} s")
    return 0


def _count_asked_for(schedule: Schedule, settings: SoundSettings) -> CountIn:
    """The count-in of a tune from its start. Raises UserError where none can be heard."""
    if not settings.metronome_level:
        raise UserError("a count-in is of the metronome's clicks, and that is off", "give --metronome as well")
    count = count_in(schedule, 0.0)
    if count is None:
        what = "there is nothing to count in: a free metre has no bars, and beats so slow cannot be followed"
        raise UserError(what, "leave --count-in away, or choose a faster tempo or a smaller slow-down")
    return count


def _tune(options: argparse.Namespace) -> Tune:
    exercise = exercise_from(options)
    if exercise is None and not options.file:
        raise UserError("it is not clear what is to sound", "give a tune, or --embellishment NAME")
    if exercise and stretch_named(options):
        raise UserError("a stretch is of a tune", "leave --bars, --part and --phrase away")
    return exercise or stretch_from(options, tune_from(options))
