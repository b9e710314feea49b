"""The tempo of a take: its middle and extremes, where it ran or dragged, and stretches played at another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from companion.listen.model.asked import Asked
from companion.listen.model.words import beat_words
from companion.listen.rhythm.tempo_passage import TempoPassage, bars_of, passage_of

WINDOW_NOTES = 8
"""Tempo is taken over so many notes: about a bar, short enough to tell where it changed, long enough not to jitter."""

STEADY = 0.1
"""A tempo whose extremes lie no further apart than this, as a share of it, is steady: players slow by a tenth over a
phrase."""

UNSTEADY = 0.13
"""A tempo whose extremes lie this far apart, as a share of it, is told: players who keep it within 1 % reach 0.05,
those who let it go by 15 % reach 0.137 and more (simulated players)."""

TREND = 0.12
"""A tempo is told as well if it differs by this share between the first third and the last."""

ANOTHER_TEMPO = 1.3
"""A stretch this many times slower or faster than the rest is another tempo, not a wandering one."""

SAME_TEMPO = 1.15
"""A stretch at another tempo is one only if, right before and after it, the tempo is within this factor of the
rest's."""

STRETCH_NOTES = 4
"""A stretch at another tempo has this many notes more than a window: one note held too long slows every window that it
is in."""

PAUSE = 2.6
"""A note so many times longer than its tempo gives it was a stop, whether or not the sound went on."""


@dataclass(frozen=True, slots=True)
class TempoStretch:
    """Played notes `first` to `last` were played at another tempo, `qpm`, than the rest."""

    first: int
    last: int
    qpm: float


@dataclass(frozen=True, slots=True)
class TempoHeard:
    """Crotchets a minute over a take: in the middle, the slowest and fastest WINDOW_NOTES notes, the first third and
    the last. Stretches at another tempo are told by themselves and have no part in the rest.

    beat: what the tune counts, in shares of a whole note. slowest, fastest: the played notes where it was so. passage:
    the one that went at a tempo of its own, where there is one.
    """

    qpm: float
    slowest_qpm: float
    fastest_qpm: float
    beat: Fraction
    first_qpm: float
    last_qpm: float
    slowest: int
    fastest: int
    stretches: tuple[TempoStretch, ...] = ()
    passage: TempoPassage | None = None

    @property
    def wander(self) -> float:
        """How far the extremes lie apart, as a share of the tempo."""
        return (self.fastest_qpm - self.slowest_qpm) / self.qpm

    @property
    def trend(self) -> float:
        """How much faster the last third was than the first, as a share of the tempo; below 0 it was slower."""
        return (self.last_qpm - self.first_qpm) / self.qpm

    @property
    def is_steady(self) -> bool:
        """Whether there is nothing to say against it."""
        return self.wander <= STEADY and not self.stretches

    def in_beats(self, qpm: float) -> float:
        """Crotchets a minute as beats a minute."""
        return qpm * float(Fraction(1, 4) / self.beat)


def pace_words(pace: TempoHeard) -> str:
    """ "84 crotchets a minute, between 80 and 88", by what the tune counts; "throughout" where it hardly moved."""
    middle, slowest, fastest = (f"{pace.in_beats(each):.0f}" for each in (pace.qpm, pace.slowest_qpm, pace.fastest_qpm))
    range_words = f", between {slowest} and {fastest}" if slowest != fastest else " throughout"
    return f"{middle} {beat_words(pace.beat)} a minute{range_words}"


@dataclass(frozen=True, slots=True)
class _Window:
    """The tempo over some notes: crotchets a minute around a played note."""

    played: int
    qpm: float


def pace_of(
    asked: Asked,
    moments: Sequence[tuple[int, float]],
    *,
    beat: Fraction = Fraction(1, 4),
    breaks_s: Sequence[float] = (),
) -> TempoHeard | None:
    """Tempo from beats (played note, s); None from too few. breaks_s: moments at which the tune did not go on, so that
    the time around them is no tempo."""
    windows = list(_windows(_intervals(asked, moments, breaks_s)))
    if not windows:
        return None
    middle = median(each.qpm for each in windows)
    stretches, rest = _stretches(windows, middle)
    middle = median(each.qpm for each in rest)
    by_tempo = sorted((each for each in rest if 0.67 < each.qpm / middle < 1.5), key=lambda each: each.qpm)
    trim = len(by_tempo) // 20
    slowest, fastest = by_tempo[trim], by_tempo[len(by_tempo) - 1 - trim]
    third = max(1, len(rest) // 3)
    bars = bars_of([each.turn for each in asked.schedule.played])
    around = [(each.played, each.qpm) for each in windows]
    return TempoHeard(
        middle,
        slowest.qpm,
        fastest.qpm,
        beat,
        median(each.qpm for each in rest[:third]),
        median(each.qpm for each in rest[-third:]),
        slowest.played,
        fastest.played,
        stretches,
        None if stretches else passage_of(around, bars, WINDOW_NOTES // 2),
    )


def _intervals(
    asked: Asked, moments: Sequence[tuple[int, float]], breaks_s: Sequence[float]
) -> list[tuple[int, float, float]]:
    """From note to note: the played note, crotchets and seconds; leaps, breaks and long pauses left out."""
    crotchets = [4.0 * float(each.note.duration) for each in asked.schedule.played]
    found = []
    for (one, one_s), (two, two_s) in pairwise(moments):
        broken = any(one_s <= at_s <= two_s for at_s in breaks_s)
        if two == one + 1 and crotchets[one] > 0.0 and two_s > one_s and not broken:
            found.append((one, crotchets[one], two_s - one_s))
    usual = median(lasted_s / long for _, long, lasted_s in found) if found else 0.0
    return [each for each in found if each[2] / each[1] < PAUSE * usual]


def _windows(intervals: Sequence[tuple[int, float, float]]) -> Iterator[_Window]:
    for first in range(len(intervals) - WINDOW_NOTES + 1):
        held = intervals[first : first + WINDOW_NOTES]
        lasted_s = sum(each[2] for each in held)
        yield _Window(held[WINDOW_NOTES // 2][0], 60.0 * sum(each[1] for each in held) / lasted_s)


def _stretches(windows: Sequence[_Window], middle: float) -> tuple[tuple[TempoStretch, ...], Sequence[_Window]]:
    """Stretches at another tempo that began and ended at once, and the windows that lie in none."""
    found: list[TempoStretch] = []
    taken: set[int] = set()
    for first, stop in _odd_runs(windows, middle):
        near = [rank for rank in (first - WINDOW_NOTES, stop - 1 + WINDOW_NOTES) if 0 <= rank < len(windows)]
        sharp = near and all(_times(windows[rank].qpm, middle) < SAME_TEMPO for rank in near)
        if stop - first > WINDOW_NOTES + STRETCH_NOTES and sharp:
            inner = windows[first + WINDOW_NOTES // 2 : stop - WINDOW_NOTES // 2]
            tempo = median(each.qpm for each in inner)
            found.append(TempoStretch(windows[first].played, windows[stop - 1].played, tempo))
            taken.update(range(first - WINDOW_NOTES, stop + WINDOW_NOTES))
    rest = [each for rank, each in enumerate(windows) if rank not in taken]
    return (tuple(found), rest) if rest else ((), windows)


def _odd_runs(windows: Sequence[_Window], middle: float) -> Iterator[tuple[int, int]]:
    """Ranks first to stop - 1 of windows in a row that are all far slower, or all far faster, than the middle."""
    first = 0
    sides = [_side(each.qpm, middle) for each in windows]
    for rank in range(1, len(windows) + 1):
        if rank == len(windows) or sides[rank] != sides[first]:
            if sides[first]:
                yield first, rank
            first = rank


def _side(qpm: float, middle: float) -> int:
    return 0 if _times(qpm, middle) < ANOTHER_TEMPO else 1 if qpm > middle else -1


def _times(qpm: float, middle: float) -> float:
    return max(qpm / middle, middle / qpm)
