"""An account of practice as rows: a name, how it went from day to day as shares, and what that comes to in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from companion.files.lines import one_line
from companion.lesson.progress.account import Account, SkillSeries, TuneSeries

POINTS = 24
"""Days or months that are drawn of one row: as many as the eye takes in."""

NOTHING_YET = "nothing yet"


@dataclass(frozen=True, slots=True)
class ProgressRow:
    """One row; a heading has neither shares nor words. shares: 0 to 1, the latest last."""

    name: str
    shares: tuple[float, ...] = ()
    words: str = ""

    @property
    def is_heading(self) -> bool:
        """Whether it stands above others."""
        return not self.words


def progress_rows(account: Account) -> tuple[ProgressRow, ...]:
    """All rows: embellishments, changes of note to mend, tunes; what there is nothing of is left out."""
    groups = (
        ("Embellishments, how clean of late", map(_skill, account.embellishments)),
        ("Changes of note to mend", map(_change, account.worst)),
        ("Tunes, how fast", map(_tune, account.tunes)),
    )
    return tuple(row for title, rows in groups for row in _group(title, rows))


def _group(title: str, rows: Iterable[ProgressRow]) -> Iterator[ProgressRow]:
    found = tuple(rows)
    if found:
        yield ProgressRow(title)
        yield from found


def _skill(series: SkillSeries) -> ProgressRow:
    points = series.points[-POINTS:]
    even = points[-1].even_share
    again = ", due" if series.due else ""
    words = f"{series.clean_lately} of {series.asked_lately} clean, {100.0 * even:.0f} % even{again}"
    return ProgressRow(series.name, tuple(point.clean_share for point in points), words)


def _change(series: SkillSeries) -> ProgressRow:
    words = f"{series.clean_lately} of {series.asked_lately} clean"
    return ProgressRow(series.name, tuple(point.clean_share for point in series.points[-POINTS:]), words)


def _tune(series: TuneSeries) -> ProgressRow:
    name = one_line(series.title) or "a tune"
    times = "1 take" if series.takes == 1 else f"{series.takes} takes"
    if series.reached is None:
        return ProgressRow(name, (), f"{times}, none all right yet")
    shares = tuple(point.tempo / series.reached for point in series.points[-POINTS:])
    return ProgressRow(name, shares, f"{series.reached:.0f} beats a minute, {times}")
