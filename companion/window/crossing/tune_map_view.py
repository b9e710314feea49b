"""Draws the movements of a tune as a list, those that most need drill first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.schedule.events import EventKind, Schedule
from companion.schedule.transitions import TuneTransition, bars_in_words
from companion.window.core.actions import Pick
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.list_view import scroll_marks
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Rect, Role, Style, Target, Wash
from companion.window.core.page import Page
from companion.window.core.screen import Canvas
from companion.window.core.wording import capital, fitted, wrapped
from companion.window.crossing.noise_marks import (
    LEAST_ROW_PX,
    STROKES_SHARE,
    key_above,
    kind_of,
    level_marks,
    level_width,
    noise_mark,
)
from fingering.crossings.hardness import Hardness, hardness
from fingering.crossings.teaching import teach
from fingering.crossings.telling import noise_phrases
from fingering.notes import Note, Tuning

MOST_BARS = 6
_TITLE = "This tune's changes"
_ORDER = ", the worst first"


@dataclass(frozen=True, slots=True)
class DrillRow:
    """One movement of a tune in words. `inside`: the embellishment that it is part of, "" for none."""

    hardness: Hardness
    noise: str
    name: str
    inside: str
    count: str
    bars: str


@dataclass(frozen=True, slots=True)
class TuneCrossings:
    """A tune's own movements in words, and the sentence that teaches the first of them."""

    title: str
    rows: tuple[DrillRow, ...]
    sentence: str


def by_notes(found: Sequence[TuneTransition]) -> tuple[TuneTransition, ...]:
    """The movements of a tune, each pair of notes once: gracenotes are fingered from the note that they lead onto, and
    the worst way stands for all, with the places of all. What most needs drill, all ways together, comes first."""
    ways: dict[tuple[Note, Note], list[TuneTransition]] = {}
    for each in found:
        ways.setdefault((each.start, each.end), []).append(each)
    pairs = sorted(ways.values(), key=lambda pair: -sum(each.expected for each in pair))
    return tuple(replace(pair[0], events=tuple(sorted(at for each in pair for at in each.events))) for pair in pairs)


def tune_crossings(title: str, schedule: Schedule, found: Sequence[TuneTransition], tuning: Tuning) -> TuneCrossings:
    """The list of a tune's movements in words. `found` must not be empty."""
    worst = found[0]
    sentence = f"{worst.start.label} to {worst.end.label}: {teach(worst.transition, tuning).sentence}."
    return TuneCrossings(title, tuple(_row(schedule, each, tuning) for each in found), capital(sentence))


def _row(schedule: Schedule, each: TuneTransition, tuning: Tuning) -> DrillRow:
    hard = hardness(each.transition, tuning)
    return DrillRow(
        hard,
        noise_phrases(each.transition, hard.noise)[-1],
        f"{each.start.label} to {each.end.label}",
        _inside(schedule, each.events),
        "once" if each.count == 1 else f"{each.count} times",
        bars_in_words((schedule.played[schedule.events[index].played].bar.number for index in each.events), MOST_BARS),
    )


def _inside(schedule: Schedule, events: Sequence[int]) -> str:
    """The embellishment that a movement is part of: the most frequent, followed by "…" where there are others."""
    names: Counter[str] = Counter()
    for index in events:
        old, new = schedule.events[index - 1], schedule.events[index]
        embellishment = schedule.embellishments[new.played]
        if EventKind.GRACENOTE in (old.kind, new.kind) and embellishment is not None:
            onto = embellishment.onto.label
            named = f" {onto} " in f" {embellishment.name} "
            names[embellishment.name if named else f"{embellishment.name} on {onto}"] += 1
    if not names:
        return ""
    name, count = names.most_common(1)[0]
    return f"in {name}" if count == len(events) else f"in {name} …"


def drill_picture(drill: TuneCrossings, chosen: int, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The picture of the list; a long one is scrolled so that the chosen row is in sight."""
    page, measure = canvas.page, canvas.measure
    footer = footer_of(hints, page, measure)
    legend, legend_y = key_above(footer, measure)
    header, top = _header(drill, page, measure)
    row_height = max(LEAST_ROW_PX[canvas.display.print], page.line * 1.5)
    seen = max(1, int((legend_y - page.line * 0.3 - top) // row_height))
    first = min(max(0, chosen - seen // 2), max(0, len(drill.rows) - seen))
    ranks = range(first, min(first + seen, len(drill.rows)))
    columns = Columns(drill.rows, footer.width, row_height, measure)
    keys, key_targets = hint_marks(hints, footer, measure)
    area = Rect(footer.x, top, footer.width, len(ranks) * row_height)
    marks: list[Mark] = [*header, *keys, *scroll_marks(area, page.margin, ranks, len(drill.rows))]
    targets = []
    for rank in ranks:
        rect = Rect(footer.x, top + (rank - first) * row_height, footer.width, row_height)
        targets.append(Target(rect, Pick(rank)))
        marks += columns.marks(drill.rows[rank], rect, rank == chosen)
    marks += legend
    return Picture(canvas.width, canvas.height, tuple(marks), (), (*targets, *key_targets))


def _header(drill: TuneCrossings, page: Page, measure: Measure) -> tuple[list[Mark], float]:
    """The marks of title, tune and lesson of the worst movement; and the y where they end."""
    lesson = wrapped(drill.sentence, Style.TEXT, page.inner, measure)
    title = fitted(drill.title, Style.STRONG, page.inner - measure.width(_ORDER, Style.STRONG), measure)
    marks: list[Mark] = [
        Label(page.margin, page.title_y, _TITLE, Style.LARGE),
        Label(page.margin, page.below_title(), f"{title}{_ORDER}", Style.STRONG),
        *(Label(page.margin, page.below_title(1 + rank), text) for rank, text in enumerate(lesson)),
    ]
    return marks, page.top + page.title_height + page.line * (1.3 + len(lesson))


class Columns:
    """Where the words of a row stand: as wide as the widest of all rows, those left away for which no room is."""

    def __init__(self, rows: Sequence[DrillRow], width: float, row_height: float, measure: Measure) -> None:
        gap = measure.height(Style.TEXT)
        self._measure = measure
        self._radius = min(row_height * 0.36, gap * 0.6)
        self._stroke = gap * STROKES_SHARE

        def widest(words: Sequence[str]) -> float:
            return max(measure.width(text, Style.STRONG) for text in words) + gap

        self._level_x = gap * 0.9
        self._name_x = self._level_x + level_width(self._stroke) + gap * 0.7
        self._shape_x = self._name_x + widest([row.name for row in rows])
        self._noise_x = self._shape_x + self._radius * 2 + gap * 0.4
        self._count_x = self._noise_x + widest([row.noise for row in rows])
        self._inside_x = self._count_x + widest([row.count for row in rows])
        self._bars_right = width - gap * 0.5

    def marks(self, row: DrillRow, rect: Rect, chosen: bool) -> Iterator[Mark]:
        """One row in its place."""
        y = rect.y + rect.height / 2
        style = Style.STRONG if chosen else Style.TEXT
        if chosen:
            yield Wash(rect, Role.WASH, 6.0)
            yield Label(rect.x + rect.height * 0.08, y, "›", Style.STRONG, Role.GUIDE)
        yield from level_marks(row.hardness.level, rect.x + self._level_x, y, self._stroke)
        yield Label(rect.x + self._name_x, y, row.name, style)
        yield noise_mark(kind_of(row.hardness.noise), rect.x + self._shape_x + self._radius, y, self._radius)
        yield Label(rect.x + self._noise_x, y, row.noise, style)
        yield Label(rect.x + self._count_x, y, row.count, style, Role.QUIET)
        room = self._bars_right - self._inside_x
        for words in (row.bars, row.bars.partition(",")[0] + " …"):
            if self._measure.width(words, Style.TEXT) <= room:
                yield Label(rect.x + self._bars_right, y, words, Style.TEXT, Role.QUIET, Anchor.RIGHT)
                room -= self._measure.width(words, Style.TEXT) + self._measure.height(Style.TEXT)
                break
        if row.inside and self._measure.width(row.inside, style) <= room:
            yield Label(rect.x + self._inside_x, y, row.inside, style, Role.QUIET)
