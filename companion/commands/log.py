"""`eightholes log`: what a learner has played, what has got better, and one thing to do today."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import datetime
from pathlib import Path

from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.commands.shared.progress import Progress
from companion.files.folders import takes_folder
from companion.files.lines import one_line
from companion.files.writing import write_whole
from companion.lesson.progress.account_data import account_to_data
from companion.lesson.progress.account_text import account_text
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.carrying import carried_to_text, read_carried
from companion.lesson.progress.earlier import files_to_take_in, take_in_earlier
from companion.lesson.progress.names import DEFAULT_LEARNER, checked_name
from companion.midi.takes.own_settings import OwnSettings
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.add_argument("--learner", metavar="NAME", help="of whom (default: whoever never said a name)")
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    action = parser.add_mutually_exclusive_group()
    action.add_argument("--list", action="store_true", help="print the names of all learners instead")
    action.add_argument("--export", metavar="FILE", type=Path, help="write all of the learner into one JSON file")
    action.add_argument(
        "--import",
        dest="carried",
        metavar="FILE",
        type=Path,
        help="add what such a file holds to what is here, under the name in it or the one that --learner gives",
    )
    action.add_argument(
        "--delete", action="store_true", help="delete the learner for good; the files of takes stay where they are"
    )
    add_force_option(parser)


def run(options: argparse.Namespace) -> int:
    """Do what was asked for. Raises UserError where there is no such learner, or nothing can be kept."""
    name = checked_name(options.learner or DEFAULT_LEARNER)
    if options.export:
        check_output_of(options, options.export)
    book = ProgressBook.at_home()
    try:
        if book.trouble and not book.is_kept and _needs_the_file(options):
            raise book.trouble
        if book.trouble:
            print(f"eightholes: {one_line(str(book.trouble))}", file=sys.stderr)
        _do(options, book, name)
    finally:
        book.close()
    return 0


def _needs_the_file(options: argparse.Namespace) -> bool:
    return bool(options.export or options.carried or options.delete)


def _do(options: argparse.Namespace, book: ProgressBook, name: str) -> None:
    now = datetime.now().astimezone()
    if options.list:
        _print_names(book.learners(), as_json=options.json)
    elif options.export:
        write_whole(options.export, carried_to_text(book.carried(name)).encode(), force=options.force)
    elif options.carried:
        count = book.carry_in(read_carried(options.carried), now, learner=options.learner)
        print(f"{count} take{'' if count == 1 else 's'} taken in")
    elif options.delete:
        book.delete(name)
    else:
        if name == DEFAULT_LEARNER and book.is_kept:
            _take_in_earlier(book, name, now)
        account = book.account(name, now)
        if not account.takes and name not in (*book.learners(), DEFAULT_LEARNER):
            raise UserError(f"nothing is kept of '{one_line(name)}'", "'eightholes log --list' names those who are")
        print(json.dumps(account_to_data(account), indent=1) if options.json else account_text(account))


def _print_names(names: tuple[str, ...], *, as_json: bool) -> None:
    if as_json:
        print(json.dumps(names))
        return
    for name in names or ("nobody yet",):
        print(name or "(without a name)")


def _take_in_earlier(book: ProgressBook, name: str, now: datetime) -> None:
    """Hear the takes that were kept before: whoever played them then said no name."""
    files = files_to_take_in(book, takes_folder(), now)
    progress = Progress("heard", len(files))
    earlier = take_in_earlier(book, name, files, OwnSettings.at_home(), now, step=progress.step)
    progress.end()
    if earlier.without_tune:
        count = earlier.without_tune
        told = "take is of a tune that is" if count == 1 else "takes are of tunes that are"
        print(f"eightholes: {count} {told} no longer where it was; left out", file=sys.stderr)
