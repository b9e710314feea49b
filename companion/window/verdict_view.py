"""The verdict as a picture: what to mend first and its drills, then what went well.

Where there is little room only the thing that is marked tells its drill; what comes after them gives way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.listen.report import times_words
from companion.listen.verdict import Matter, Verdict
from companion.window.actions import Pick
from companion.window.hints import Hint, hint_marks, hint_rows
from companion.window.layout import footer_row_height
from companion.window.marks import Label, Mark, Measure, Picture, Rect, Role, Style, Target, Wash
from companion.window.screen import Canvas
from companion.window.wording import wrapped

TITLE = "What to mend first"
NOTHING = "Nothing to mend"
INDENT_LINES = 2.4
GAP_LINES = 0.3


def verdict_picture(verdict: Verdict, rank: int, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The page; `rank` is the thing to mend that is marked."""
    measure = canvas.measure
    line = measure.height(Style.TEXT)
    margin = max(14.0, canvas.width * 0.026)
    width = canvas.width - 2 * margin
    foot = hint_rows(hints, width, measure) * footer_row_height(measure)
    footer = Rect(margin, round(canvas.height - foot - margin * 0.4), width, foot)
    marks, targets = hint_marks(hints, footer, measure)
    title = TITLE if verdict.matters else NOTHING
    marks.append(Label(margin, margin * 0.35 + measure.height(Style.LARGE) * 0.46, title, Style.LARGE))
    y = margin * 0.35 + measure.height(Style.LARGE) + line * 0.4
    bottom = footer.y - line * 0.6
    for words in wrapped(counts(verdict), Style.TEXT, width, measure):
        marks.append(Label(margin, y, words, Style.TEXT, Role.QUIET))
        y += line
    y += line * 0.2
    said = [_said(matter, width - INDENT_LINES * line, measure) for matter in verdict.first]
    if sum(map(_height, said)) * line > bottom - y:
        said = [each if place == rank else replace(each, drill=()) for place, each in enumerate(said)]
    for place, each in enumerate(said):
        rect = Rect(margin, y, width, (_height(each) - GAP_LINES) * line)
        targets.append(Target(rect, Pick(place)))
        marks += _said_marks(each, place, rect, line, marked=place == rank)
        y = rect.bottom + GAP_LINES * line
    _rest(verdict, Rect(margin, y + line * 0.1, width, bottom - y - line * 0.1), canvas, marks)
    return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))


def counts(verdict: Verdict) -> str:
    """The shares with their counts, and the tempo: never a bare score."""
    words = [
        f"notes {verdict.notes.right} of {verdict.notes.of}",
        f"gracenotes {verdict.gracenotes.right} of {verdict.gracenotes.of}",
        f"clean movements {verdict.movements.right} of {verdict.movements.of}",
    ]
    if verdict.pace:
        pace = verdict.pace
        words.append(f"{pace.qpm:.0f} crotchets a minute, between {pace.slowest_qpm:.0f} and {pace.fastest_qpm:.0f}")
    return ", ".join(words)


@dataclass(frozen=True, slots=True)
class _Said:
    """One thing to mend, in lines: what was heard, and its drill."""

    heard: tuple[str, ...]
    drill: tuple[str, ...]


def _said(matter: Matter, width: float, measure: Measure) -> _Said:
    times = f" ({times_words(matter.count)})" if matter.count > 1 else ""
    heard = wrapped(matter.findings[0].text + times, Style.STRONG, width, measure)
    return _Said(tuple(heard), tuple(wrapped(matter.drill.text, Style.TEXT, width, measure)))


def _height(said: _Said) -> float:
    """In lines, the gap below included."""
    return len(said.heard) + len(said.drill) + 0.6 + GAP_LINES


def _said_marks(said: _Said, place: int, rect: Rect, line: float, *, marked: bool) -> Iterator[Mark]:
    if marked:
        yield Wash(rect, Role.WASH, 6.0)
    y = rect.y + line * 0.8
    yield Label(rect.x + line * 0.4, y, f"{place + 1}", Style.STRONG, Role.GUIDE)
    for words in said.heard:
        yield Label(rect.x + 1.6 * line, y, words, Style.STRONG)
        y += line
    for words in said.drill:
        yield Label(rect.x + 1.6 * line, y, words, Style.TEXT, Role.QUIET)
        y += line


def _rest(verdict: Verdict, area: Rect, canvas: Canvas, marks: list[Mark]) -> None:
    """What went well, then what was not judged, each under its heading: as many lines as have room."""
    line = canvas.measure.height(Style.TEXT)
    y = area.y + line * 0.5
    for heading, sentences in (("What went well", verdict.went_well), ("Not judged", verdict.not_judged)):
        lines = [
            part for each in sentences for part in wrapped(each, Style.TEXT, area.width - 1.6 * line, canvas.measure)
        ]
        room = int((area.bottom - y + line * 0.5) // line) - 1
        if not lines or room < 1:
            continue
        marks.append(Label(area.x, y, heading, Style.STRONG))
        for text in lines[:room]:
            y += line
            marks.append(Label(area.x + 1.6 * line, y, text))
        y += line * 1.3
