"""`eightholes write TAKE`: writes down what was played, in a take or a recording, as a tune in ABC."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from companion.commands.shared.numbers import finite
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.commands.shared.progress import ProgressLine, percent_shown
from companion.files.lines import one_line, quoted
from companion.files.writing import write_whole
from companion.hearing.takes.endings import is_recording
from companion.hearing.takes.recordings import hear_recording
from companion.midi.takes.reading import Take, read_take
from companion.notate.doubts import commented
from companion.notate.from_sound import notate_heard
from companion.notate.notating import Given, NotatedTune, notate
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, Timing
from companion.score.abc.header.fields import read_meter
from companion.score.model import Meter
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    low, high = BEATS_PER_MINUTE_RANGE
    parser.add_argument("take", metavar="TAKE", help="a take of ours, any Standard MIDI File, or a recording")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, help="the .abc file to write (default: print it)")
    parser.add_argument(
        "--meter", metavar="M", help="the metre that it is in, as ABC has it: 6/8, 2/4, C| (default: found)"
    )
    parser.add_argument(
        "--tempo",
        metavar="N",
        type=finite,
        help=f"about how many beats a minute it has, {low:g} to {high:g} (default: found)",
    )
    parser.add_argument("--title", metavar="T", help="the tune's title (default: the one that the take asked for)")
    add_force_option(parser)


def run(options: argparse.Namespace) -> int:
    """Write the tune down. Raises UserError for a take in which too little was played, or which cannot be read."""
    if options.output:
        check_output_of(options, options.output, others=[options.take])
    meter = None if options.meter is None else _meter(options.meter)
    Timing(beats_per_minute=options.tempo)  # a tempo out of reach is no fault of the take
    given = Given(meter, options.tempo)
    written = _of_sound(options, given) if is_recording(options.take) else _of_take(options, given)
    text = commented(written.tune, written.doubts)
    if options.output:
        write_whole(options.output, text.encode("utf-8"), force=options.force)
        for doubt in written.doubts:
            print(f"unsure: {doubt.words}", file=sys.stderr)
    else:
        print(text, end="")
    return 0


def _of_take(options: argparse.Namespace, given: Given) -> NotatedTune:
    take = read_take(options.take)
    title = options.title if options.title is not None else _title(take)
    return _written(options, lambda: notate(take.performance, given, title=title, remarks=(_take_remark(take),)))


def _of_sound(options: argparse.Namespace, given: Given) -> NotatedTune:
    heard = hear_recording(options.take, percent_shown("hearing")).heard
    path = Path(options.take)
    title = options.title if options.title is not None else one_line(path.stem)
    return _written(options, lambda: notate_heard(heard, given, title=title, remarks=(_sound_remark(path),)))


def _written(options: argparse.Namespace, write: Callable[[], NotatedTune]) -> NotatedTune:
    """What is written down, with a line while that lasts. Raises UserError, with the file's name."""
    line = ProgressLine()
    line.show("writing down what was played")
    try:
        return write()
    except UserError as error:
        raise UserError(error.what, error.remedy, one_line(options.take)) from None
    finally:
        line.clear()


def _meter(text: str) -> Meter:
    """Raises UserError for what is no metre, and for one that no tune of the pipes is counted in."""
    meter = read_meter(text)
    if meter is None or not meter.beats:
        raise UserError(f"{quoted(text)} is no metre", "write one as 2/4, 3/4, 4/4, C|, 6/8 or 9/8")
    if (meter.beats, meter.unit) not in _METRES:
        raise UserError(
            f"takes cannot be written down in {quoted(text)}", "give 2/4, 3/4, 4/4, C, C|, 6/8, 9/8 or 12/8"
        )
    return meter


_METRES = {(2, 4), (3, 4), (4, 4), (2, 2), (6, 8), (9, 8), (12, 8)}


def _title(take: Take) -> str:
    return one_line(take.heading.tune.title) if take.heading.tune else "Free play"


def _take_remark(take: Take) -> str:
    """Where the tune comes from, as a field N: has it."""
    return f"written down from a take of {take.heading.began.astimezone():%Y-%m-%d %H:%M}"


def _sound_remark(path: Path) -> str:
    return f"written down from the recording {one_line(path.name)}"
