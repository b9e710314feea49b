"""The options that name one embellishment between two notes, instead of a tune, for all commands that take it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from companion.score.exercise import exercise_of
from companion.score.model import Tune
from fingering.errors import UserError
from fingering.notes import Note

if TYPE_CHECKING:  # the window's folders are loaded by the commands that are asked for
    from companion.window.embellishments.subject import Subject


def add_embellishment_options(parser: argparse.ArgumentParser) -> None:
    """Add --embellishment NAME, --onto NOTE and --from NOTE."""
    group = parser.add_argument_group("one embellishment alone, instead of a tune")
    group.add_argument("--embellishment", metavar="NAME", help="its name, like taorluath")
    group.add_argument(
        "--onto", metavar="NOTE", default="A", help="the note it leads onto, as an ABC letter (default: A)"
    )
    group.add_argument("--from", dest="before", metavar="NOTE", default="c", help="the note before it (default: c)")


def add_strip_options(parser: argparse.ArgumentParser) -> None:
    """Add --strip NAME..., --onto NOTE and --from NOTE."""
    group = parser.add_argument_group("a page of embellishments, instead of tunes")
    group.add_argument("--strip", metavar="EMBELLISHMENT", nargs="+", help="their names, like taorluath 'throw on D'")
    group.add_argument("--onto", metavar="NOTE", help="the note that all lead onto, as an ABC letter (default: A)")
    group.add_argument("--from", dest="before", metavar="NOTE", help="the note before them (default: c)")


def subjects_from(options: argparse.Namespace) -> tuple[Subject, ...]:
    """The embellishments that --strip names, each onto and from usual notes where no note is asked for. Raises
    UserError."""
    from companion.window.embellishments.subject import usual_subject

    onto = Note.from_letter(options.onto) if options.onto else None
    before = Note.from_letter(options.before) if options.before else None
    return tuple(usual_subject(name, onto, before) for name in options.strip)


def subject_from(options: argparse.Namespace) -> Subject | None:
    """The embellishment that the options name, None where they name none. Raises UserError, also beside a tune."""
    from companion.window.embellishments.subject import named_subject

    if options.embellishment is None:
        return None
    if options.file:
        raise UserError("a tune and --embellishment do not go together", "leave one of them away")
    return named_subject(options.embellishment, Note.from_letter(options.onto), Note.from_letter(options.before))


def exercise_from(options: argparse.Namespace) -> Tune | None:
    """The exercise of that embellishment; None where none is named. Raises UserError as `subject_from`."""
    subject = subject_from(options)
    return exercise_of(subject.embellishment, subject.before) if subject else None
