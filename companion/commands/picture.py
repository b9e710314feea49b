"""Draws one moment of a tune into a PNG file, without a screen: the same scene that the window shows."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from companion.commands.options import add_timing_options, add_tune_options, timing_from, tune_from
from companion.commands.window_options import add_display_options, display_from
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """The command's options."""
    add_tune_options(parser)
    add_timing_options(parser)
    add_display_options(parser)
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the PNG file to write")


def run(options: argparse.Namespace) -> int:
    """Draw, and say where."""
    from companion.window.display import Display
    from companion.window.play_state import first_state, respan
    from companion.window.still import write_still

    tune = tune_from(options)
    state = first_state((tune,), tune, timing_from(options))
    if options.at:
        state = respan(replace(state, position_s=options.at.time_s(tune, state.schedule)))
    if options.output.suffix.lower() != ".png":
        raise UserError(f"'{options.output}' is not a PNG file", "give a name that ends in .png")
    write_still(state, display_from(options, Display()), options.size, options.output)
    print(options.output)
    return 0
