"""Takes as a page that a learner can send to a teacher: lanes and lists, no scripts, nothing fetched, prints well."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.listen.judgement import Judgement
from companion.listen.model.played import Fingered
from companion.listen.report.class_table import COLUMNS, Result, cells
from companion.listen.report.page_lanes import LanePicture, picture_of
from companion.listen.report.page_lines import PageLine, TakeLanes, lines_of
from companion.listen.report.page_style import Palette
from companion.listen.report.templating import templates_of
from companion.listen.report.text import clock_words, own_setting_words, share_words
from companion.listen.rhythm.pace import pace_words
from companion.listen.verdict.shares import named_shares
from companion.listen.verdict.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Row:
    """A take in the table of all: what stands beside its name, or why nothing does."""

    name: str
    cells: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Heard:
    """A finding in the list of a take; `number` and `line` are counted from 1."""

    number: int
    line: int
    clock: str
    text: str


@dataclass(frozen=True, slots=True)
class JudgedTake:
    """A take that was judged. rank: its place on the page, counted from 1; numbers: names and what is told of them."""

    rank: int
    name: str
    strictness: str
    numbers: tuple[tuple[str, str], ...]
    verdict: Verdict
    heard: tuple[Heard, ...]
    told_fingers: bool
    pictures: tuple[LanePicture, ...]


def page_of(results: Sequence[Result], palette: Palette) -> str:
    """The page for one take or several, of one tune, at least one of them judged."""
    title = next(each.judgement.verdict.title for each in results if each.judgement) or "A take"
    judged = ((rank, each.name, each.judgement) for rank, each in enumerate(results, start=1) if each.judgement)
    return (
        templates_of(__package__)
        .get_template("page.html")
        .render(
            title=title,
            palette=palette,
            columns=COLUMNS,
            rows=[Row(each.name, cells(each.judgement) if each.judgement else (), each.reason) for each in results],
            sections=[_judged_take(rank, name, judgement) for rank, name, judgement in judged],
        )
    )


def _judged_take(rank: int, name: str, judgement: Judgement) -> JudgedTake:
    lanes = TakeLanes.of(judgement)
    lines = list(lines_of(judgement, lanes))
    return JudgedTake(
        rank,
        name,
        judgement.strictness.value,
        tuple(_numbers(judgement)),
        judgement.verdict,
        tuple(_heard(judgement, lines)),
        any(isinstance(event, Fingered) for event in judgement.events),
        tuple(picture_of(judgement, lanes, line) for line in lines),
    )


def _numbers(judgement: Judgement) -> Iterator[tuple[str, str]]:
    verdict = judgement.verdict
    if verdict.pace is not None:
        yield "Tempo", pace_words(verdict.pace)
    yield from ((name, share_words(share)) for name, share in named_shares(verdict) if share.of)
    if judgement.setting:
        yield "Setting", own_setting_words(judgement)


def _heard(judgement: Judgement, lines: Sequence[PageLine]) -> Iterator[Heard]:
    for place, line in enumerate(lines, start=1):
        for number in line.findings:
            finding = judgement.findings[number]
            yield Heard(number + 1, place, clock_words(finding.at_s), finding.text)
