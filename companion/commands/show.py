"""`eightholes show`: opens the window on a tune, an embellishment, a crossing or a take."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.commands.shared.crossing_options import add_crossing_options, delay_from, named_from
from companion.commands.shared.embellishment_options import add_embellishment_options, subject_from
from companion.commands.shared.library import transposed
from companion.commands.shared.options import (
    add_sound_options,
    add_timing_options,
    add_tune_options,
    settings_from,
    timing_from,
)
from companion.commands.shared.playing_options import add_playing_options, wishes_from
from companion.commands.shared.tune_list import tune_list_for
from companion.commands.shared.window_options import add_display_options, display_from
from companion.commands.takes.opening import open_take_file
from companion.schedule.timing import Timing
from companion.window.play.settings.preferences import Preferences, preferences_path, read_preferences
from fingering.errors import UserError

if TYPE_CHECKING:  # the window is loaded by the one command that is asked for
    from companion.midi.takes.reading import Take
    from companion.window.core.screen import Screen
    from companion.window.embellishments.subject import Subject
    from companion.window.play.play_screen import PlayScreen

OPENING_SLOW_DOWN = 2.0


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser, default="")
    add_embellishment_options(parser)
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


def _opening_slow_down(options: argparse.Namespace) -> float:
    """How slow a tune opens where --slow does not say it."""
    return 1.0 if options.file else OPENING_SLOW_DOWN


def _kept() -> tuple[Preferences, str]:
    """The settings kept last time, and one line if they could not be read."""
    try:
        return read_preferences(preferences_path()), ""
    except UserError as error:
        return Preferences(), str(error)


def over(
    options: argparse.Namespace, take: Take | None, subject: Subject | None
) -> Callable[[PlayScreen], Screen] | None:
    """The screen that opens over the tune at once, if the options ask for something else than a tune."""
    if take:
        from companion.window.playing_navigation import reviewed_over

        return lambda screen: reviewed_over(screen, take)
    if subject:
        from companion.window.embellishment_navigation import OPENING, practice_over

        timing, at_s = timing_from(options, OPENING), options.at.time_s if options.at else None
        return lambda screen: practice_over(screen, subject, timing, at_s, playing=not options.paused)
    if options.free:
        from companion.window.play.free_screen import FreeScreen

        return FreeScreen
    if options.classroom:
        from companion.window.class_navigation import class_over

        return class_over
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
    from companion.window.paint.quick_pygame import load_pygame

    load_pygame()
    from companion.window.program import Opening, run_window
    from companion.window.shell import WindowSize

    subject = subject_from(options)
    named = None if folder_named(options.file) else options.file or None
    opened = open_take_file(options.take, named, options.tune, options.transpose) if options.take else None
    take = opened.take if opened else None
    tune_list = opened.tunes if opened else tune_list_for(named, options.tune, options.transpose)
    kept, unread = _kept()
    opening = Opening(
        tunes=tune_list.tunes,
        tune=tune_list.first,
        timing=timing_from(options, Timing(slow_down=_opening_slow_down(options), gracing=kept.gracing)),
        sound=settings_from(options, kept.sound),
        display=replace(display_from(options, kept.display), full_screen=options.full_screen),
        size=WindowSize(*options.size),
        at=options.at.time_s if options.at and not subject else None,
        playing=not options.paused and not subject,
        notice="; ".join(filter(None, (tune_list.notice, unread))),
        wishes=replace(wishes_from(options, kept.live), ear=kept.ear, rest=kept.rest),
        over=over(options, take, subject),
        refit=transposed,
        book=tune_list.book,
        ours=tune_list.ours,
    )
    run_window(opening)
    return 0
