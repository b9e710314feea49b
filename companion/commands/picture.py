"""Draws one moment of a screen into a PNG file, without a screen: the same scene that the window shows."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from companion.commands.crossing_options import add_crossing_options, delay_from, named_from
from companion.commands.options import add_timing_options, add_tune_options, timing_from, tune_from
from companion.commands.window_options import add_display_options, display_from
from fingering.errors import UserError

if TYPE_CHECKING:  # the window is loaded by the one command that is asked for
    from companion.window.screen import Screen

FORMS = "give a tune, or --crossing FROM TO, or --map"


def configure(parser: argparse.ArgumentParser) -> None:
    """The command's options."""
    add_tune_options(parser, default="")
    add_timing_options(parser)
    add_display_options(parser)
    add_crossing_options(parser)
    group = parser.add_argument_group("maps")
    group.add_argument("--map", action="store_true", help="all pairs of notes by difficulty, instead of a tune")
    group.add_argument("--tune-map", action="store_true", help="what to drill in the tune, instead of a moment of it")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the PNG file to write")
    parser.set_defaults(slow=None)  # a tune is drawn at full speed, a crossing as slow as it opens


def run(options: argparse.Namespace) -> int:
    """Draw, and say where."""
    from companion.window.display import Display
    from companion.window.still import write_still

    if options.output.suffix.lower() != ".png":
        raise UserError(f"'{options.output}' is not a PNG file", "give a name that ends in .png")
    write_still(_screen(options), display_from(options, Display()), options.size, options.output)
    print(options.output)
    return 0


def _screen(options: argparse.Namespace) -> Screen:
    if [bool(options.file), options.crossing is not None, options.map].count(True) != 1:
        raise UserError("it is not clear what to draw", FORMS)
    if options.late and not options.crossing:
        raise UserError("--late needs a crossing", "give --crossing FROM TO")
    if options.tune_map and not options.file:
        raise UserError("--tune-map needs a tune", "give its file or its name")
    if options.file:
        return _tune_screen(options)
    from companion.window.doors import crossing_alone, map_alone

    if options.map:
        return map_alone()
    finger_ms = delay_from(options)
    return crossing_alone(named_from(options), finger_ms, options.slow)


def _tune_screen(options: argparse.Namespace) -> Screen:
    from companion.window.doors import tune_map_over
    from companion.window.program import Opening, play_screen

    options.slow = options.slow or 1.0
    tune = tune_from(options)
    at = options.at.time_s if options.at else None
    screen = play_screen(Opening((tune,), tune, timing_from(options), at=at, playing=False))
    return tune_map_over(screen) if options.tune_map else screen
