"""An account as calm tables for a terminal, with small bars."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from companion.files.lines import one_line
from companion.lesson.progress.account import Account, SkillPoint, SkillSeries, TuneSeries

BARS = "▁▂▃▄▅▆▇█"
POINTS = 12
"""Days or months in a row of small bars: what the eye takes in at once."""

MOST_ROWS = 12
"""Rows of a table: of the embellishments played most often; the JSON has all."""

_WIDEST = 32


def account_text(account: Account) -> str:
    """All of it, the sentence for today last."""
    lines = [_heading(account)]
    if account.embellishments:
        rows = islice(account.embellishments, MOST_ROWS)
        lines += ["", *_table("Embellishments", ("clean", "even", "over days"), map(_embellishment, rows))]
    if account.worst:
        lines += ["", *_table("Crossings to mend", ("clean", "over days"), map(_crossing, account.worst))]
    if account.tunes:
        rows_of_tunes = islice(account.tunes, MOST_ROWS)
        lines += ["", *_table("Tempo reached", ("now", "best", "over days"), map(_tune, rows_of_tunes))]
    return "\n".join((*lines, "", f"Today: {account.today}"))


def _heading(account: Account) -> str:
    name = one_line(account.learner) or "You"
    takes = f"{account.takes} take{'' if account.takes == 1 else 's'}"
    days = f"{account.days} day{'' if account.days == 1 else 's'}"
    return f"{name}, {account.day:%Y-%m-%d}: {takes} on {days}"


def _table(title: str, columns: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A table with its columns as wide as what is in them; all but the first and the last stand to the right."""
    cells = [(title, *columns), *((_cut(row[0]), *row[1:]) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(columns) + 1)]
    for first, *middle, last in cells:
        told = (f"{cell:>{width}}" for cell, width in zip(middle, widths[1:-1], strict=True))
        yield "  ".join((f"{first:<{widths[0]}}", *told, last)).rstrip()


def _cut(text: str) -> str:
    return text if len(text) <= _WIDEST else f"{text[: _WIDEST - 1]}…"


def _embellishment(series: SkillSeries) -> tuple[str, str, str, str]:
    points = series.points[-POINTS:]
    even = sum(each.asked - each.uneven for each in points) / sum(each.asked for each in points)
    return series.name, _percent(series.lately), _percent(even), _shares(points)


def _crossing(series: SkillSeries) -> tuple[str, str, str]:
    return series.name, _percent(series.lately), _shares(series.points[-POINTS:])


def _tune(series: TuneSeries) -> tuple[str, str, str, str]:
    tempos = [point.tempo for point in series.points[-POINTS:]]
    if not tempos or series.reached is None:
        return one_line(series.title), "-", "-", ""
    low = min(tempos)
    bars = "".join(_bar((tempo - low) / (series.reached - low) if series.reached > low else 1.0) for tempo in tempos)
    return one_line(series.title), f"{tempos[-1]:.0f}", f"{series.reached:.0f}", bars


def _shares(points: Iterable[SkillPoint]) -> str:
    return "".join(_bar(point.clean_share) for point in points)


def _bar(share: float) -> str:
    """A small bar, the lowest for 0 and the highest for 1."""
    return BARS[min(len(BARS) - 1, int(share * len(BARS)))]


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"
