"""The options of the commands that draw: place in the tune, size and look of the window."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from companion.schedule.events import Schedule
from companion.schedule.spans import moment
from companion.score.model import Tune
from companion.window.core.display import Display, Hand, Notation, Print, Viewpoint
from companion.window.core.theme import THEMES
from fingering.errors import UserError

if TYPE_CHECKING:  # what engraves is loaded by those who show a staff
    from companion.window.staff.drawing import StaffAtOnce

_SIZE_RANGE = (320, 8192)
_MOST_PIXELS = 7680 * 4320
"""The largest screens made; this takes 0.8 GB and some ten seconds to draw, a square of 8192 four times of both."""


@dataclass(frozen=True, slots=True)
class At:
    """A place in a tune: written bar, note in it and gracenote onto that, from 1; None: first note, no gracenote."""

    bar: int
    note: int | None = None
    gracenote: int | None = None

    def time_s(self, tune: Tune, schedule: Schedule) -> float:
        """When that place is first played, in seconds of the schedule. Raises UserError where it is not there."""
        return moment(tune, schedule, self.bar, self.note, self.gracenote)


def _usage_error(reader: Callable[[str], object]) -> Callable[[str], object]:
    """Wrap a reader for argparse, which prints only the type of a ValueError: pass on a UserError's words."""

    def read(text: str) -> object:
        try:
            return reader(text)
        except UserError as error:
            raise argparse.ArgumentTypeError(str(error)) from None

    return read


def read_at(text: str) -> At:
    """Read BAR[.NOTE[.GRACENOTE]]. Raises UserError."""
    if not re.fullmatch(r"\d{1,9}(\.\d{1,9}){0,2}", text):
        raise UserError(f"'{text}' is no place in a tune", "write BAR, BAR.NOTE or BAR.NOTE.GRACENOTE, like 3.2.1")
    return At(*map(int, text.split(".")))


def read_size(text: str) -> tuple[int, int]:
    """Read WIDTHxHEIGHT in pixels. Raises UserError."""
    found = re.fullmatch(r"(\d{1,9})x(\d{1,9})", text)
    size = (int(found[1]), int(found[2])) if found else (0, 0)
    low, high = _SIZE_RANGE
    if not all(low <= side <= high for side in size):
        raise UserError(f"'{text}' is no size", f"write WIDTHxHEIGHT in pixels, {low} to {high} each, like 1280x720")
    if size[0] * size[1] > _MOST_PIXELS:
        raise UserError(f"'{text}' is too large", f"choose a size of no more than {_MOST_PIXELS:,} pixels")
    return size


def add_display_options(parser: argparse.ArgumentParser) -> None:
    """Add --at, --size and all of `add_look_options`."""
    parser.add_argument("--at", metavar="BAR[.NOTE[.GRACENOTE]]", type=_usage_error(read_at), help="where in the tune")
    parser.add_argument(
        "--size", metavar="WxH", type=_usage_error(read_size), default=(1280, 720), help="in pixels (default: 1280x720)"
    )
    add_look_options(parser)


def add_look_options(parser: argparse.ArgumentParser) -> None:
    """Add --theme, --onlooker, --right-hand-above, --big-print and --no-staff."""
    parser.add_argument("--theme", choices=[theme.name for theme in THEMES])
    parser.add_argument("--onlooker", action="store_true", help="seen by one who stands before the player")
    parser.add_argument("--right-hand-above", action="store_true", help="for players who hold the right hand above")
    parser.add_argument("--big-print", action="store_true", help="larger words, for a projector")
    parser.add_argument("--no-staff", action="store_true", help="the lanes alone, without the tune on a staff")


def display_from(options: argparse.Namespace, kept: Display) -> Display:
    """The display that the options ask for; the rest as it was `kept`."""
    theme = next((theme for theme in THEMES if theme.name == options.theme), kept.theme)
    return replace(
        kept,
        theme=theme,
        viewpoint=Viewpoint.ONLOOKER if options.onlooker else kept.viewpoint,
        upper_hand=Hand.RIGHT if options.right_hand_above else kept.upper_hand,
        print=Print.BIG if options.big_print else kept.print,
        notation=Notation.NONE if options.no_staff else kept.notation,
    )


def staff_for(display: Display) -> StaffAtOnce | None:
    """Who engraves the staff of pictures that are made without a window; None where no staff is shown."""
    if display.notation is not Notation.STAFF:
        return None
    from companion.window.paint.lettering import ending_fonts
    from companion.window.staff.drawing import StaffAtOnce

    return StaffAtOnce(ending_fonts())
