"""Lessons as a page to take home: plan, new embellishments with their pictures, steps; no scripts, nothing fetched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.lesson.model.phrases import FoundPhrase, PhraseEnd
from companion.lesson.model.steps import Lesson, StepKind
from companion.lesson.page.care import CARE
from companion.lesson.page.new_embellishments import NewEmbellishment, new_embellishment
from companion.lesson.steps.words import done_words, wants_words
from companion.listen.model.words import bars_words
from companion.listen.report.page_style import Palette
from companion.listen.report.templating import templates_of

_ENDS = {PhraseEnd.OPEN: "asks", PhraseEnd.HOME: "answers"}


@dataclass(frozen=True, slots=True)
class PhraseRow:
    """A phrase in the table of all: its name, its bars, whether it asks or answers, and what it is to another."""

    name: str
    bars: str
    ends: str
    about: str


@dataclass(frozen=True, slots=True)
class LessonSection:
    """One lesson on the page. embellishments: each with the bar where it first comes. steps: what each wants, and what
    counts as done."""

    title: str
    about: str
    plan: str
    phrases: tuple[PhraseRow, ...]
    embellishments: tuple[tuple[NewEmbellishment, str], ...]
    steps: tuple[tuple[str, str], ...]


def lesson_page(lessons: Sequence[Lesson], palette: Palette) -> str:
    """The page of one lesson or of several."""
    sections = [_section(lesson) for lesson in lessons]
    title = sections[0].title if len(sections) == 1 else f"{len(sections)} lessons"
    page = templates_of(__package__, "companion.listen.report").get_template("lesson.html")
    return page.render(title=title, palette=palette, sections=sections, care=CARE)


def _section(lesson: Lesson) -> LessonSection:
    tune = lesson.tune
    about = ", ".join(each for each in (tune.composer, tune.rhythm, tune.meter.text) if each)
    return LessonSection(
        tune.title or "A tune",
        about,
        lesson.plan.line,
        tuple(_phrases(lesson)),
        tuple(_embellishments(lesson)),
        tuple((wants_words(step), done_words(step)) for step in lesson.steps),
    )


def _phrases(lesson: Lesson) -> Iterator[PhraseRow]:
    """Yield each different phrase once, where it first comes."""
    seen: set[str] = set()
    for phrase in lesson.plan.phrases:
        if phrase.name not in seen:
            seen.add(phrase.name)
            first, last = phrase.numbers(lesson.tune)
            yield PhraseRow(phrase.name, bars_words(range(first, last + 1)), _ENDS[phrase.end], _about(phrase))


def _about(phrase: FoundPhrase) -> str:
    if not phrase.like or phrase.likeness is None:
        return ""
    differs = "; ".join(each.words for each in phrase.differences)
    return f"{phrase.likeness.value} as {phrase.like}{f': {differs}' if differs else ''}"


def _embellishments(lesson: Lesson) -> Iterator[tuple[NewEmbellishment, str]]:
    """Yield what is drilled in the lesson, in its order, with where it first comes."""
    for step in lesson.steps:
        if step.kind is StepKind.EMBELLISHMENT and step.skill is not None:
            yield new_embellishment(lesson.tune, step.skill), bars_words([step.bars[0]])
