"""`eightholes sound`: renders a tune into a WAV file."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from companion.commands.shared.options import (
    add_sound_options,
    add_timing_options,
    add_tune_options,
    settings_from,
    timing_from,
    tune_from,
)
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.commands.shared.progress import ProgressLine
from companion.files.lines import one_line
from companion.schedule.build import build_schedule
from companion.sound.renderer import Renderer
from companion.sound.wav import write_wav


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser)
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the WAV file to write")
    add_force_option(parser)
    add_timing_options(parser)
    add_sound_options(parser)


def run(options: argparse.Namespace) -> int:
    """Render the tune asked for. Raises UserError."""
    settings, timing = settings_from(options), timing_from(options)
    check_output_of(options, options.output, tune=options.file)
    schedule = build_schedule(tune_from(options), timing)
    write_wav(options.output, Renderer(schedule, settings), _percent_shown(), force=options.force)
    print(f"{one_line(str(options.output))}: {schedule.duration_s:.1f} s")
    return 0


def _percent_shown() -> Callable[[float], None]:
    """What shows the share done on a terminal: "rendering 12 %"."""
    line = ProgressLine()

    def show(share: float) -> None:
        percent = int(100 * share)
        line.show(f"rendering {percent} %", last=percent == 100)

    return show
