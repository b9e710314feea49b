"""Draws every change of note as a list, what to drill first at the top."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from companion.schedule.tune_use import NotePair
from companion.window.core.actions import Pick
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.list_view import scroll_marks
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Rect, Role, Style, Target, Wash
from companion.window.core.screen import Canvas
from companion.window.core.wording import wrapped
from companion.window.crossing.about_lines import Wording, lines_about, lines_needed
from companion.window.crossing.change_facts import PAIRS, ChangeFacts, Changes
from companion.window.crossing.noise_marks import (
    LEAST_ROW_PX,
    STROKES_SHARE,
    key_above,
    kind_of,
    level_marks,
    level_width,
    noise_mark,
)

ENOUGH_ROWS = 6  # to compare; where fewer would be seen, the reasons above them give way
_KEPT = 8
_TITLE = "The hardest changes"
_ORDER = "The hardest first; of those as hard, what our tunes ask for most."


def hardest_picture(changes: Changes, chosen: NotePair, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The picture of the list, scrolled so that the chosen pair's row is in sight; above it why that one is hard."""
    measure, page = canvas.measure, canvas.page
    footer = footer_of(hints, page, measure)
    key, key_y = key_above(footer, measure)
    row_height = max(LEAST_ROW_PX[canvas.display.print], page.line * 1.5)
    bottom = key_y - page.line * 0.3
    header, top = _header(changes, chosen, canvas, bottom - ENOUGH_ROWS * row_height)
    seen = max(1, int((bottom - top) // row_height))
    order = changes.drill_order
    rank = order.index(chosen)
    first = min(max(0, rank - seen // 2), max(0, len(order) - seen))
    columns = _columns(changes, footer.width, row_height, measure)
    keys, key_targets = hint_marks(hints, footer, measure)
    shown = range(first, min(first + seen, len(order)))
    area = Rect(footer.x, top, footer.width, len(shown) * row_height)
    marks: list[Mark] = [*header, *key, *keys, *scroll_marks(area, page.margin, shown, len(order))]
    targets = []
    for row, pair in enumerate(order[first : first + seen]):
        rect = Rect(footer.x, top + row * row_height, footer.width, row_height)
        targets.append(Target(rect, Pick(PAIRS.index(pair))))
        marks += columns.marks(changes.by_pair[pair], rect, pair == chosen)
    return Picture(canvas.width, canvas.height, tuple(marks), (), (*targets, *key_targets))


def _header(changes: Changes, chosen: NotePair, canvas: Canvas, lowest: float) -> tuple[list[Mark], float]:
    """The marks of the title, the order of the list and why the chosen pair is hard; and the y where rows begin.

    Each reason has a line of its own where that ends above `lowest`, else they are one sentence.
    """
    page, measure = canvas.page, canvas.measure
    order = wrapped(_ORDER, Style.TEXT, page.inner, measure)
    facts = changes.by_pair[chosen]

    def ends(wording: Wording) -> float:
        lines = len(order) + lines_needed(changes, facts, wording, page.inner, measure) + 1.3
        return page.top + page.title_height + page.line * lines

    wording = Wording.EACH_REASON if ends(Wording.EACH_REASON) <= lowest else Wording.REASONS
    texts = [(text, Style.TEXT, Role.QUIET) for text in order]
    texts.append((f"{facts.named}, {facts.hardness.level.label}", Style.STRONG, Role.INK))
    texts += [(text, Style.TEXT, Role.INK) for text in lines_about(facts, wording, page.inner, measure)]
    marks: list[Mark] = [Label(page.margin, page.title_y, _TITLE, Style.LARGE)]
    marks += [
        Label(page.margin, page.below_title(rank), text, style, role) for rank, (text, style, role) in enumerate(texts)
    ]
    return marks, ends(wording)


class _Columns:
    """Where the words of a row stand: as wide as the widest of all.

    The reasons stand in a column of their own where all have room, else what is heard is told in full, or in brief.
    """

    def __init__(self, rows: Sequence[ChangeFacts], width: float, row_height: float, measure: Measure) -> None:
        gap = measure.height(Style.TEXT)
        self._measure = measure
        self._radius = min(row_height * 0.36, gap * 0.6)
        self._stroke = gap * STROKES_SHARE

        def widest(words: Sequence[str]) -> float:
            return max(measure.width(text, Style.STRONG) for text in words) + gap

        self._level_x = gap * 0.9
        self._name_x = self._level_x + level_width(self._stroke) + gap * 0.7
        self._shape_x = self._name_x + widest([str(row.named) for row in rows])
        self._noise_x = self._shape_x + self._radius * 2 + gap * 0.4
        self._reasons_x = self._noise_x + widest([row.phrases[-1] for row in rows])
        self._right = width - gap * 0.5
        room = self._right - widest([_often(row.times) for row in rows]) - self._noise_x
        reasons = max(measure.width(row.reasons_in_brief, Style.TEXT) for row in rows)
        self._reasons_fit = reasons <= room - (self._reasons_x - self._noise_x)
        self._phrases_fit = widest([row.phrases[0] for row in rows]) <= room

    def marks(self, row: ChangeFacts, rect: Rect, chosen: bool) -> Iterator[Mark]:
        """One row in its place."""
        y = rect.y + rect.height / 2
        style = Style.STRONG if chosen else Style.TEXT
        if chosen:
            yield Wash(rect, Role.WASH, 6.0)
            yield Label(rect.x + rect.height * 0.08, y, "›", Style.STRONG, Role.GUIDE)
        yield from level_marks(row.hardness.level, rect.x + self._level_x, y, self._stroke)
        yield Label(rect.x + self._name_x, y, str(row.named), style)
        yield noise_mark(kind_of(row.hardness.noise), rect.x + self._shape_x + self._radius, y, self._radius)
        brief = self._reasons_fit or not self._phrases_fit
        yield Label(rect.x + self._noise_x, y, row.phrases[-1 if brief else 0], style)
        yield Label(rect.x + self._right, y, _often(row.times), Style.TEXT, Role.QUIET, Anchor.RIGHT)
        if self._reasons_fit and row.demands:
            yield Label(rect.x + self._reasons_x, y, row.reasons_in_brief, Style.TEXT, Role.QUIET)


@lru_cache(maxsize=_KEPT)
def _columns(changes: Changes, width: float, row_height: float, measure: Measure) -> _Columns:
    """The columns of the list, kept: they are as wide as the widest of 72 rows."""
    return _Columns(tuple(changes.by_pair.values()), width, row_height, measure)


def _often(times: int) -> str:
    """How often our tunes ask for it."""
    return "never" if not times else "once" if times == 1 else f"{times} times"
