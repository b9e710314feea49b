"""Makes one version of a stretch that was played several times: what most of them have stands."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from companion.notate.pulse.counted import CountedNote
from companion.notate.pulse.group_costs import group_cost, is_crossing
from fingering.notes import Note

ODD = 1.5
"""Gracenotes that cost more make no embellishment, or may be a crossing noise."""

Version = tuple[CountedNote, ...]
"""The notes of one version; their starts count from the beginning of the stretch."""


@dataclass(frozen=True, slots=True)
class Differing:
    """A place at which versions differ: from tick `start` to `stop`, what was taken, and the others."""

    start: int
    stop: int
    taken: Version
    others: tuple[Version, ...]


@dataclass(frozen=True, slots=True)
class Voted:
    """One version of several, and where they differed."""

    notes: Version
    differing: tuple[Differing, ...]


def vote(versions: Sequence[Version], ticks: int, more: Sequence[Sequence[Version]] = ()) -> Voted:
    """Return one version of a stretch of so many ticks.

    more: versions of stretches that are much like it, each counted from the same tick; they count half, and only for
    how long notes are.
    """
    notes: list[CountedNote] = []
    differing: list[Differing] = []
    for start, stop in pairwise(_meeting_points(versions, ticks)):
        spans = [_span(version, start, stop) for version in versions]
        before = notes[-1].note if notes else None
        taken = _taken(before, spans, [_span(version, start, stop) for each in more for version in each])
        notes += taken
        others = dict.fromkeys(_content(span) for span in spans)
        others.pop(_content(taken), None)
        if others:
            first_of = {_content(span): span for span in reversed(spans)}
            differing.append(Differing(start, stop, taken, tuple(first_of[other] for other in others)))
    return Voted(tuple(notes), tuple(differing))


def _meeting_points(versions: Sequence[Version], ticks: int) -> Iterator[int]:
    """Yield the ticks at which all versions begin a note, the same one; and both ends."""
    shared = set.intersection(*({(note.start, note.note) for note in version} for version in versions))
    yield from sorted({0, ticks, *(start for start, _ in shared if 0 < start < ticks)})


def _span(version: Version, start: int, stop: int) -> Version:
    return tuple(note for note in version if start <= note.start < stop)


def _content(span: Version) -> tuple[object, ...]:
    return tuple((note.start, note.length, note.sound) for note in span)


def _times(span: Version) -> tuple[object, ...]:
    return tuple((note.start, note.length, note.note) for note in span)


def _taken(before: Note | None, spans: Sequence[Version], alike: Sequence[Version]) -> Version:
    """The span that most versions have; of several, the one that was played nearest to its time."""
    votes = Counter(_content(span) for span in spans)
    times = Counter(_times(span) for span in (*spans, *alike))
    best = max(spans, key=lambda span: (votes[_content(span)] + 0.5 * times[_times(span)], *_quality(before, span)))
    return _averaged(best, [span for span in spans if _content(span) == _content(best)])


def _quality(before: Note | None, span: Version) -> tuple[float, ...]:
    """Which of several versions is likelier meant: one with fewer odd gracenotes, with more others, nearer to its time.

    A learner leaves gracenotes out, or crosses fingers, far oftener than puts a right one in.
    """
    odd, graces = 0, 0
    for note in span:
        _, cost = group_cost(note.graces, note.note, before)
        noise = before is not None and note.graces and is_crossing(before, note.graces[0], note.graces[1:], note.note)
        odd += (cost > ODD) + bool(noise)
        graces += len(note.graces)
        before = note.note
    return -odd, graces, -statistics.fmean(note.off_s**2 for note in span) if span else 0.0


def _averaged(best: Version, alike: Sequence[Version]) -> Version:
    """A span with how far off its notes were played on average."""
    return tuple(replace(note, off_s=statistics.fmean(span[i].off_s for span in alike)) for i, note in enumerate(best))


def shifted(notes: Sequence[CountedNote], by: int) -> Version:
    """Return notes as they stand so many ticks later."""
    return tuple(replace(note, start=note.start + by) for note in notes)
