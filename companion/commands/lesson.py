"""`eightholes lesson TUNE...`: takes tunes apart into phrases and steps, for people, as JSON, or as a page."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from companion.commands.shared.library import sound_tune
from companion.commands.shared.options import add_reading_options
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.files.lines import quoted
from companion.files.writing import write_whole
from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.phrases import FoundPhrase, Likeness, PhraseDifference
from companion.lesson.model.steps import Lesson
from companion.lesson.saved import find_lesson
from companion.lesson.steps.data import steps_to_data
from companion.lesson.steps.words import done_words, wants_words
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.add_argument("files", metavar="TUNE", nargs="+", help="a file of tunes, or a tune of ours")
    add_reading_options(parser)
    parser.add_argument(
        "--json",
        action="store_true",
        help="print JSON: plan, phrases (name, bars, ends, like, differs), steps; of several tunes a list of lessons",
    )
    parser.add_argument("--learner", metavar="NAME", help="for somebody of whom it is kept what they know already")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write a page to take home: no scripts")
    add_force_option(parser)


def run(options: argparse.Namespace) -> int:
    """Print the lessons of tunes, or write them as a page. Raises UserError."""
    if options.html:
        for file in options.files:
            check_output_of(options, options.html, tune=file)
    known = NOTHING_KNOWN if options.learner is None else _known(options.learner)
    lessons = [_lesson(file, options, known) for file in options.files]
    if options.html:
        _write_page(options.html, lessons, force=options.force)
    if options.json:
        data = [lesson_to_data(lesson) for lesson in lessons]
        print(json.dumps(data[0] if len(data) == 1 else {"lessons": data}, ensure_ascii=False, indent=1))
    elif not options.html:
        print("\n\n".join(map(as_text, lessons)))
    return 0


def _known(learner: str) -> Known:
    """What a learner knows by now. Raises UserError for somebody of whom nothing is kept."""
    from companion.lesson.progress.book import ProgressBook  # fsrs takes 0.1 s to load

    book = ProgressBook.at_home()
    try:
        if learner not in ("", *book.learners()):
            raise UserError(f"nothing is kept of {quoted(learner)}", "'eightholes log --list' names those who are")
        return book.known(learner, datetime.now().astimezone())
    finally:
        book.close()


def _lesson(file: str, options: argparse.Namespace, known: Known) -> Lesson:
    """The lesson of one tune, as a teacher saved it, if one did; what cannot be read of that is said."""
    found = find_lesson(sound_tune(file, options.tune, options.transpose), known)
    if found.trouble:
        print(f"eightholes: {found.trouble}", file=sys.stderr)
    return found.lesson


def _write_page(path: Path, lessons: Sequence[Lesson], *, force: bool) -> None:
    from companion.commands.judge import paper_colours
    from companion.lesson.page.page import lesson_page  # jinja2 takes 0.1 s to load

    write_whole(path, lesson_page(lessons, paper_colours()).encode("utf-8", "backslashreplace"), force=force)


def lesson_to_data(lesson: Lesson) -> dict[str, Any]:
    """A lesson as JSON: its plan on one line, its phrases, its steps. Bars are those numbers that `read` gives them."""
    return {
        "plan": lesson.plan.line,
        "phrases": [_phrase(phrase, lesson) for phrase in lesson.plan.phrases],
        "steps": steps_to_data(lesson),
    }


def _phrase(phrase: FoundPhrase, lesson: Lesson) -> dict[str, Any]:
    return {
        "name": phrase.name,
        "bars": list(phrase.numbers(lesson.tune)),
        "ends": phrase.end.value,
        "like": phrase.like or None,
        "differs": [_difference(each) for each in phrase.differences],
    }


def _difference(difference: PhraseDifference) -> dict[str, Any]:
    return {
        "bar": difference.bar,
        "like_bar": difference.like_bar,
        "here": difference.here,
        "there": difference.there,
    }


def as_text(lesson: Lesson) -> str:
    """A lesson for people: the plan, then part by part what each phrase is."""
    return "\n".join(_lines(lesson))


def _lines(lesson: Lesson) -> Iterator[str]:
    tune, plan = lesson.tune, lesson.plan
    yield tune.title or "(no title)"
    yield f"  {plan.line}"
    width = max(len(phrase.name) for phrase in plan.phrases)
    for part, ranks in zip(tune.parts, plan.parts, strict=True):
        yield f"  Part {part.label}"
        for rank in ranks:
            phrase = plan.phrases[rank]
            first, last = phrase.numbers(tune)
            bars = f"bar {first}" if first == last else f"bars {first} to {last}"
            yield f"    {phrase.name:<{width}}  {bars}, ends {_end(phrase)}{_likeness(phrase)}"
            yield from (f"    {'':<{width}}    {difference.words}" for difference in phrase.differences)
    yield "  Steps"
    for number, step in enumerate(lesson.steps, start=1):
        yield f"    {number:>2}. {wants_words(step)} Done: {done_words(step)}."


def _end(phrase: FoundPhrase) -> str:
    return "at home" if phrase.is_home else "open"


def _likeness(phrase: FoundPhrase) -> str:
    if phrase.likeness is None:
        return ""
    if phrase.likeness is Likeness.SAME:
        return f"; {phrase.like} again"
    return f"; {phrase.likeness.value} as {phrase.like}" if phrase.is_variant else f"; has the rhythm of {phrase.like}"
