"""What could not be read of a tune, at its bar: a mark in the lanes, and a sentence while the tune stands near it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from companion.schedule.events import Schedule
from companion.score.model import Tune
from companion.score.problems import Problem, ProblemKind, Severity
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Frame, Label, Mark, Rect, Role, Rule, Style

DASHES = 9
_BEFORE_NOTE = frozenset(
    {
        ProblemKind.BRACE_NOT_CLOSED,
        ProblemKind.GRACENOTE_UNREADABLE,
        ProblemKind.GRACENOTES_WITHOUT_NOTE,
        ProblemKind.GRACENOTES_BEYOND_MEASURE,
    }
)
"""Kinds that stand before the note that they spoil, and so perhaps before the first note of their bar."""


@dataclass(frozen=True, slots=True)
class Unread:
    """What could not be read in the bar of that index, in one sentence."""

    bar: int
    sentence: str


@dataclass(frozen=True, slots=True)
class UnreadAt:
    """When a bar is played in which something could not be read, s of a schedule; from `near_s` on it is told."""

    near_s: float
    start_s: float
    end_s: float
    sentence: str


def unread_bars(tune: Tune, problems: Iterable[Problem]) -> tuple[Unread, ...]:
    """The bars in which music was lost or would sound wrong, by a tune's problems, in order; one sentence each."""
    by_bar: dict[int, list[Problem]] = {}
    for problem in problems:
        if problem.severity is Severity.ERROR and tune.bars:
            by_bar.setdefault(_bar_of(tune, problem), []).append(problem)
    return tuple(Unread(bar, _sentence(tune, bar, by_bar[bar])) for bar in sorted(by_bar))


def _bar_of(tune: Tune, problem: Problem) -> int:
    """The index of the bar that a problem belongs to; the first for what stands in the header."""
    at = problem.place[1:]
    if problem.kind in _BEFORE_NOTE:
        notes = ((rank, note) for rank, bar in enumerate(tune.bars) for note in bar.notes)
        return next((rank for rank, note in notes if note.place[1:] >= at), len(tune.bars) - 1)
    return max((rank for rank, bar in enumerate(tune.bars) if bar.place[1:] <= at), default=0)


def _sentence(tune: Tune, bar: int, problems: Sequence[Problem]) -> str:
    what = problems[0].what.partition(", so ")[0]  # what comes of it has no room, and is heard
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    number = tune.bars[bar].number
    return f"{f'Bar {number}' if number else 'The pick-up'}: {what}{more}."


def unread_at(tune: Tune, schedule: Schedule, unread: Sequence[Unread]) -> tuple[UnreadAt, ...]:
    """When those bars are played, each time through, and when the bars before them begin."""
    if not unread:
        return ()
    sentences = {each.bar: each.sentence for each in unread}
    starts: dict[int, float] = {}
    for played, onset_s in zip(schedule.played, schedule.note_onsets_s, strict=False):
        starts.setdefault(played.turn, onset_s)
    turns = sorted(starts)
    return tuple(
        UnreadAt(
            starts[turns[max(0, i - 1)]],
            starts[turn],
            starts[turns[i + 1]] if i + 1 < len(turns) else schedule.duration_s,
            sentences[tune.order[turn]],
        )
        for i, turn in enumerate(turns)
        if tune.order[turn] in sentences
    )


def sentence_near(unread: Sequence[UnreadAt], now_s: float) -> str:
    """What is told at a moment in or just before such a bar: of that bar first; "" elsewhere."""
    inside = (each.sentence for each in unread if each.start_s <= now_s < each.end_s)
    near = (each.sentence for each in unread if each.near_s <= now_s < each.start_s)
    return next(inside, next(near, ""))


def unread_marks(unread: Iterable[UnreadAt], x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield, for each such bar in sight, a dashed stroke through the lanes at its beginning, and a ringed "?" below."""
    top, bottom = layout.strokes_top, layout.strokes_bottom
    dash = (bottom - top) / (2 * DASHES - 1)
    radius = layout.line * 0.42
    for each in unread:
        x = x_at(each.start_s)
        if not -radius <= x <= layout.width + radius:
            continue
        for rank in range(DASHES):
            y = top + 2 * rank * dash
            yield Rule(x, y, x, y + dash, Role.FAULT, 2.5)
        y = bottom + radius + layout.line * 0.06
        yield Frame(Rect(x - radius, y - radius, 2 * radius, 2 * radius), Role.FAULT, 2.0, radius)
        yield Label(x, y, "?", Style.STRONG, Role.FAULT, Anchor.CENTRE)
