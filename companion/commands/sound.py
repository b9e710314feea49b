"""`eightholes sound`: renders a tune into a WAV file."""

from __future__ import annotations

import argparse
import sys
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
from companion.files.lines import one_line
from companion.schedule.build import build_schedule
from companion.sound.renderer import Renderer
from companion.sound.wav import write_wav


def configure(parser: argparse.ArgumentParser) -> None:
    """Fill in the parser of the command."""
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
    write_wav(options.output, Renderer(schedule, settings), _Progress(), force=options.force)
    print(f"{one_line(str(options.output))}: {schedule.duration_s:.1f} s")
    return 0


class _Progress:
    """A line on a terminal that says how far a long rendering has come; nothing where nobody watches."""

    def __init__(self) -> None:
        self._watched = sys.stderr is not None and sys.stderr.isatty()
        self._percent = -1

    def __call__(self, share: float) -> None:
        percent = int(100 * share)
        if self._watched and percent != self._percent:
            self._percent = percent
            print(f"\rrendering {percent} %", end="\n" if percent == 100 else "", file=sys.stderr, flush=True)
