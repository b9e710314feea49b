"""The options that name a stretch of a tune by its bars, a part or a phrase, for all commands that take one."""

from __future__ import annotations

import argparse
import re

from companion.commands.shared.numbers import whole
from companion.score.excerpt import bars_of, part_of, phrase_of
from companion.score.model import Tune
from fingering.errors import UserError


def read_bars(text: str) -> tuple[int, int]:
    """Read FIRST-LAST, or one bar's number, as argparse wants it."""
    found = re.fullmatch(r"(\d{1,9})(?:-(\d{1,9}))?", text)
    first, last = (int(found[1]), int(found[2] or found[1])) if found else (1, 0)
    if last < first:
        raise argparse.ArgumentTypeError(f"'{text}' are no bars: write FIRST-LAST, like 1-4, or one number")
    return first, last


def add_stretch_options(parser: argparse.ArgumentParser) -> None:
    """Add --bars, --part and --phrase; none of them means the whole tune."""
    group = parser.add_argument_group("a stretch of the tune, each as it is numbered in the window")
    group.add_argument("--bars", metavar="FIRST-LAST", type=read_bars, help="only these bars, like 1-4")
    group.add_argument("--part", metavar="PART", help="only this part, once")
    group.add_argument("--phrase", metavar="N", type=whole, help="only this phrase of the part")


def stretch_named(options: argparse.Namespace) -> bool:
    """Whether the options name a stretch."""
    return options.bars is not None or options.part is not None or options.phrase is not None


def stretch_from(options: argparse.Namespace, tune: Tune) -> Tune:
    """The stretch of a tune that the options name, as a tune that plays only that. Raises UserError."""
    if options.bars is not None and (options.part is not None or options.phrase is not None):
        raise UserError("--bars names a stretch, and so does --part or --phrase", "leave one of them away")
    if options.bars is not None:
        return bars_of(tune, *options.bars)
    if options.phrase is not None:
        return phrase_of(tune, options.part, options.phrase)
    return part_of(tune, options.part) if options.part is not None else tune
