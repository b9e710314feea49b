"""`eightholes lesson TUNE`: takes a tune apart into its phrases, for people or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from typing import Any

from companion.commands.shared.options import add_tune_options, tune_from
from companion.lesson.model.phrases import FoundPhrase, Likeness, PhraseDifference
from companion.lesson.model.steps import Lesson
from companion.lesson.phrases import plan_of


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser)
    parser.add_argument(
        "--json", action="store_true", help="print JSON: plan, phrases (name, bars, ends, like, differs), steps"
    )


def run(options: argparse.Namespace) -> int:
    """Print the lesson of a tune. Raises UserError."""
    tune = tune_from(options)
    lesson = Lesson(tune, plan_of(tune), ())
    print(json.dumps(lesson_to_data(lesson), ensure_ascii=False, indent=1) if options.json else as_text(lesson))
    return 0


def lesson_to_data(lesson: Lesson) -> dict[str, Any]:
    """A lesson as JSON: its plan on one line, its phrases, its steps. Bars are those numbers that `read` gives them."""
    return {
        "plan": lesson.plan.line,
        "phrases": [_phrase(phrase, lesson) for phrase in lesson.plan.phrases],
        "steps": [],
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


def _end(phrase: FoundPhrase) -> str:
    return "at home" if phrase.is_home else "open"


def _likeness(phrase: FoundPhrase) -> str:
    if phrase.likeness is None:
        return ""
    if phrase.likeness is Likeness.SAME:
        return f"; {phrase.like} again"
    return f"; {phrase.likeness.value} as {phrase.like}" if phrase.is_variant else f"; has the rhythm of {phrase.like}"
