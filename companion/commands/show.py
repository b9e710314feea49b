"""`eightholes show`: opens the window on a tune, an embellishment, a crossing or a take."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.commands.shared.crossing_options import add_crossing_options, delay_from, named_from
from companion.commands.shared.library import transposed
from companion.commands.shared.options import (
    add_sound_options,
    add_timing_options,
    add_tune_options,
    settings_from,
    timing_from,
)
from companion.commands.shared.playing_options import add_playing_options, tune_list_of_take, wishes_from
from companion.commands.shared.tune_list import TuneList, tune_list_for
from companion.commands.shared.window_options import add_display_options, display_from
from companion.midi.takes.reading import Take, read_take
from companion.schedule.timing import Timing
from companion.window.play.preferences import Preferences, preferences_path, read_preferences
from fingering.errors import UserError
from fingering.notes import Note

if TYPE_CHECKING:  # the window is loaded by the one command that is asked for
    from companion.window.core.screen import Screen
    from companion.window.play.play_screen import PlayScreen

OPENING_SLOW_DOWN = 2.0
EMBELLISHMENT_SLOW_DOWN = 8.0


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser, default="")
    group = parser.add_argument_group("one embellishment alone, instead of a tune")
    group.add_argument("--embellishment", metavar="NAME", help="its name, like taorluath")
    group.add_argument(
        "--onto", metavar="NOTE", default="A", help="the note it leads onto, as an ABC letter (default: A)"
    )
    group.add_argument("--from", dest="before", metavar="NOTE", default="c", help="the note before it (default: c)")
    add_crossing_options(parser)
    add_timing_options(parser)
    add_display_options(parser)
    parser.add_argument("--full-screen", action="store_true")
    parser.add_argument("--paused", action="store_true", help="do not start playing")
    add_sound_options(parser)
    add_playing_options(parser)


def folder_named(name: str) -> bool:
    """Whether what is to be shown is a folder: then the list of tunes opens there."""
    return os.path.isdir(name)


def _tune_list(options: argparse.Namespace) -> TuneList:
    if options.embellishment is None:
        name = None if folder_named(options.file) else options.file
        return tune_list_for(name or None, options.tune, options.transpose)
    if options.file:
        raise UserError("a tune and --embellishment do not go together", "leave one of them away")
    from companion.score.exercise import embellishment_exercise

    ours = tune_list_for(None, None)
    onto, before = Note.from_letter(options.onto), Note.from_letter(options.before)
    exercise = embellishment_exercise(options.embellishment, onto, before)
    return replace(ours, tunes=(exercise, *ours.tunes), first=exercise)


def _opening_slow_down(options: argparse.Namespace) -> float:
    """How slow what is asked for opens where --slow does not say it."""
    if options.embellishment is not None:
        return EMBELLISHMENT_SLOW_DOWN
    return 1.0 if options.file else OPENING_SLOW_DOWN


def _kept() -> tuple[Preferences, str]:
    """The settings kept last time, and one line if they could not be read."""
    try:
        return read_preferences(preferences_path()), ""
    except UserError as error:
        return Preferences(), str(error)


def _over(options: argparse.Namespace, take: Take | None) -> Callable[[PlayScreen], Screen] | None:
    """The screen that opens over the tune at once, if the options ask for a take, free play, a folder or a crossing."""
    from companion.window.play.free_screen import FreeScreen
    from companion.window.playing_navigation import take_over

    if take:
        return lambda screen: take_over(screen, take)
    if options.free:
        return FreeScreen
    if folder_named(options.file):
        folder = options.file
        return lambda screen: screen.choose_at(folder)
    if not options.crossing:
        if options.late:
            raise UserError("--late needs a crossing", "give --crossing FROM TO")
        return None
    from companion.window.crossing.crossing_state import Delay
    from companion.window.navigation import crossing_over

    named, late = named_from(options), delay_from(options)
    return lambda screen: crossing_over(screen, named, Delay(*late) if late else None)


def run(options: argparse.Namespace) -> int:
    """Open the window and stay until it is closed; returns the exit status. Raises UserError."""
    from companion.window.program import Opening, run_window
    from companion.window.shell import WindowSize

    take = read_take(options.take) if options.take else None
    tune_list = tune_list_of_take(take, options.file or None) if take else _tune_list(options)
    kept, unread = _kept()
    opening = Opening(
        tunes=tune_list.tunes,
        tune=tune_list.first,
        timing=timing_from(options, Timing(slow_down=_opening_slow_down(options), gracing=kept.gracing)),
        sound=settings_from(options, kept.sound),
        display=replace(display_from(options, kept.display), full_screen=options.full_screen),
        size=WindowSize(*options.size),
        at=options.at.time_s if options.at else None,
        playing=not options.paused,
        notice="; ".join(filter(None, (tune_list.notice, unread))),
        wishes=replace(wishes_from(options, kept.live), ear=kept.ear),
        over=_over(options, take),
        refit=transposed,
        book=tune_list.book,
        ours=tune_list.ours,
    )
    run_window(opening)
    return 0
