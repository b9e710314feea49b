"""`eightholes picture`: draws one moment of a screen into a PNG file, as the window would show it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from companion.commands.shared.crossing_options import add_crossing_options, delay_from, named_from
from companion.commands.shared.embellishment_options import add_embellishment_options, subject_from
from companion.commands.shared.numbers import finite, whole
from companion.commands.shared.options import add_timing_options, add_tune_options, timing_from, tune_from
from companion.commands.shared.outputs import add_output_options, check_output_of
from companion.commands.shared.window_options import add_display_options, display_from, staff_for
from companion.commands.takes.opening import heard_with_progress, open_take_file
from companion.files.lines import one_line, quoted
from companion.schedule.spans import moment
from companion.schedule.timing import Timing
from companion.score.exercise import exercise_of
from companion.window.core.actions import Action, Seek
from companion.window.live.tune_run import TuneRun
from fingering.errors import UserError

if TYPE_CHECKING:  # the window is loaded by the one command that is asked for
    from companion.window.core.screen import Screen
    from companion.window.embellishments.subject import Subject
    from companion.window.staff.staff_line import StaffSource
    from companion.window.takes.take_screen import TakeScreen

FORMS = "give a tune, or --embellishment NAME, or --crossing FROM TO, or --map, or --take FILE"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser, default="")
    add_timing_options(parser)
    add_display_options(parser)
    add_embellishment_options(parser)
    add_crossing_options(parser)
    group = parser.add_argument_group("maps")
    group.add_argument("--map", action="store_true", help="the map of every change of note, instead of a tune")
    group.add_argument("--tune-map", action="store_true", help="what to drill in the tune, instead of a moment of it")
    group = parser.add_argument_group("takes")
    group.add_argument(
        "--take",
        metavar="FILE",
        type=Path,
        help="as it is played back, or beside TUNE if one is given; a recording of TUNE as it is played back",
    )
    group.add_argument("--free", action="store_true", help="as free play, instead of played back")
    group.add_argument(
        "--second", metavar="S", type=finite, help="where in the take, from its tune's first beat (default: its end)"
    )
    group.add_argument("--finding", metavar="N", type=whole, help="at the Nth thing found in it, counted from 1")
    group.add_argument("--verdict", action="store_true", help="what to mend first, instead of the take")
    add_output_options(parser, "the PNG file to write")


def run(options: argparse.Namespace) -> int:
    """Draw the screen that was asked for into a PNG file and print its path; returns the exit status.

    Raises UserError where there is no such place or take, or the file cannot be written.
    """
    from companion.window.core.display import Display
    from companion.window.paint.still import write_still

    if options.output.suffix.lower() != ".png":
        raise UserError(f"{quoted(str(options.output))} is not a PNG file", "give a name that ends in .png")
    check_output_of(options, options.output, tune=options.file, others=(options.take,))
    display = display_from(options, Display())
    staff = staff_for(display)
    write_still(_screen(options, staff), display, options.size, options.output, force=options.force)
    print(one_line(str(options.output)))
    if staff and staff.trouble:
        print(f"eightholes: {staff.trouble}", file=sys.stderr)
    return 0


def _screen(options: argparse.Namespace, staff: StaffSource | None) -> Screen:
    taken = options.take is not None and not options.file
    named = options.embellishment is not None
    if [bool(options.file), named, taken, options.crossing is not None, options.map].count(True) != 1:
        raise UserError("it is not clear what to draw", FORMS)
    if options.late and not options.crossing:
        raise UserError("--late needs a crossing", "give --crossing FROM TO")
    if options.tune_map and not options.file:
        raise UserError("--tune-map needs a tune", "give its file or its name")
    if options.take:
        return _take_screen(options, staff)
    if options.file:
        return _tune_screen(options, staff)
    if subject := subject_from(options):
        return _embellishment_screen(options, subject)
    from companion.window.navigation import crossing_alone, map_alone

    if options.map:
        return map_alone()
    finger_ms = delay_from(options)
    return crossing_alone(named_from(options), finger_ms, options.slow)


def _tune_screen(options: argparse.Namespace, staff: StaffSource | None) -> Screen:
    from companion.window.navigation import tune_map_over
    from companion.window.program import Opening, play_screen

    tune = tune_from(options)
    at = options.at.time_s if options.at else None
    screen = play_screen(Opening((tune,), tune, timing_from(options), at=at, playing=False), staff=staff)
    return tune_map_over(screen) if options.tune_map else screen


def _embellishment_screen(options: argparse.Namespace, subject: Subject) -> Screen:
    """The embellishment alone, on its first gracenote unless a place is asked for."""
    from companion.window.embellishment_navigation import OPENING, practice_over
    from companion.window.program import Opening, play_screen

    tune = exercise_of(subject.embellishment, subject.before)
    beneath = play_screen(Opening((tune,), tune, playing=False))
    at = options.at.time_s if options.at else lambda tune, schedule: moment(tune, schedule, 1, 2, 1)
    return practice_over(beneath, subject, timing_from(options, OPENING), at, playing=False)


def _take_screen(options: argparse.Namespace, staff: StaffSource | None) -> Screen:
    """The screen of a take: played back, or as the window showed it while it was played, beside a tune or freely."""
    from companion.window.live.replay import played_until
    from companion.window.play.free_screen import FreeScreen
    from companion.window.playing_navigation import take_over
    from companion.window.program import Opening, play_screen

    opened = open_take_file(options.take, options.file or None, options.tune, options.transpose)
    take, tune = opened.take, opened.tunes.first
    by_sound = heard_with_progress(take)
    timing = take.heading.timing or Timing()
    end_s = by_sound.take.end_s if by_sound else take.end_s
    at_s = end_s if options.second is None else options.second
    opening = Opening((tune,), tune, timing, at=lambda tune, schedule: at_s, playing=False)
    begin_s = -take.heading.tune_starts_s
    is_recording = take.sound is not None and take.sound == take.path  # that was not played to the window
    beside = TuneRun(tune, timing, begin_s, begin_s) if options.file and not is_recording else None
    screen = play_screen(opening, played_until(take, at_s, beside), staff=staff)
    if beside:
        return screen
    if options.free and not is_recording:
        return FreeScreen(screen)
    played_back = take_over(screen, take, by_sound)
    played_back.act(Seek(at_s))
    return _reviewed(played_back, options) if options.finding or options.verdict else played_back


def _reviewed(played_back: TakeScreen, options: argparse.Namespace) -> Screen:
    """The take after judging, at the finding that was asked for, or the verdict on it. Raises UserError."""
    from companion.window.core.screen import ScreenResult

    played_back.finish_review()
    review = played_back.state.review
    if review is None or review.verdict is None:
        why = review.refusal if review else "its tune is not here, or has changed since"
        raise UserError(f"this take has no findings: {why}", "leave --finding and --verdict away", str(options.take))
    if options.verdict:
        verdict = played_back.act(Action.VERDICT)
        return verdict if not isinstance(verdict, ScreenResult) else played_back
    if not 1 <= options.finding <= len(review.findings):
        raise UserError(
            f"there is no finding {options.finding}", f"there are {len(review.findings)}", str(options.take)
        )
    played_back.look_at(options.finding - 1)
    return played_back
