"""Parts runs of F and high G in a room anew where how loud each is tells another way, and says where an F was surely no
high G. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.intake.runs import runs_of
from companion.hearing.learnt import Learnt
from companion.hearing.notes.joining import joined, touch
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.notes.runs.near_runs import STEP_FRAMES, NearRun
from companion.hearing.notes.runs.run_fit import likeliest, sure_nats
from companion.hearing.notes.runs.run_model import Names, RunModel, model_of
from companion.hearing.spectra import FrameGrid
from fingering.notes import Note

MOST_LEAK, MOST_LEAK_TO_PART = 10.0**-1.5, 10.0**-1.8
"""Where more of a high G seems to sound with an F alone (-15 dB), levels do not tell that there was none; where more of
either does with the other (-18 dB), not which sounded."""

GAIN_NATS = 15.0
"""A run is parted anew where that is likelier by so much."""

SURE_NATS = 13.0
"""An F is surely no high G where that is likelier by so much than 15 ms of one at any moment. On trial (10 seeds, seven
sources in rooms of 0.4 s) seven gracenotes that were not played were found missing so by 9 nats, and six that
were; by 13 three and one."""

LONGEST_S = 0.2
"""A longer note that leads to another is surely named by its spectrum."""

AS_HEARD_S, MOST_CHANGED = 0.03, 0.3
"""As a run begins the note before it still sounds: of so much of it no more than that share is named anew."""

SAME_S = 0.016
"""A change that was heard so near to one that was found is that one, and was where it was heard."""


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """A run with its steps as they were heard."""

    run: NearRun
    heard: Names


def parted_by_levels(
    notes: Sequence[HeardNote], runs: Sequence[NearRun], learnt: Learnt
) -> tuple[tuple[HeardNote, ...], tuple[SureName, ...]]:
    """The notes, with F and high G where they were likelier; and those parts of Fs that surely are no high G."""
    if learnt.echo is None:
        return tuple(notes), ()
    parts = [*_parts(notes, runs, learnt.grid)]
    model = model_of([(each.run, each.heard) for each in parts], learnt.echo, STEP_FRAMES * learnt.grid.hop_s)
    high_g = NEAR_NOTES.index(Note.HIGH_G)
    if model is None or model.leak[high_g] > MOST_LEAK:
        return tuple(notes), ()
    out, sure = list(notes), list[SureName]()
    for part in parts:
        names = _parted(part, model, learnt.grid) if model.leak.max() <= MOST_LEAK_TO_PART else part.heard
        if names is not part.heard:
            out = _with_parts(out, _named(part.run, names, learnt.grid))
        surely = (sure_nats(model, part.run, names) >= SURE_NATS) & (names == NEAR_NOTES.index(Note.F))
        sure += [
            SureName(HeardNote(*_span(part.run, first, stop, learnt.grid), Note.F), frozenset({Note.HIGH_G}))
            for first, stop in runs_of(surely)
            if surely[first]
        ]
    return tuple(joined(out)), tuple(sure)


def _parts(notes: Sequence[HeardNote], runs: Sequence[NearRun], grid: FrameGrid) -> Iterator[_Part]:
    """The runs as they were heard, but for a short note that leads to another: that may be a high G that is played on
    it, which lies nearer to F."""
    rank = 0
    for run in runs:
        begins_s = grid.centre_s(run.first)
        stop_s = grid.centre_s(run.stop - STEP_FRAMES)
        while rank < len(notes) and notes[rank].stop_s <= begins_s:
            rank += 1
        within = []
        for each in notes[rank:]:
            if each.at_s >= stop_s:
                break
            within.append(each)
        if not within or any(each.note not in NEAR_NOTES for each in within):
            continue
        last, after = within[-1], notes[rank + len(within)] if rank + len(within) < len(notes) else None
        leads = after is not None and touch(last, after) and last.length_s < LONGEST_S and after.at_s <= stop_s + SAME_S
        if leads:
            within.pop()
        until_s = last.at_s if leads else stop_s
        middles_s = np.array([grid.centre_s(run.first + STEP_FRAMES * step) for step in range(len(run.levels))])
        count = int(np.searchsorted(middles_s, until_s))
        if within and count:
            begun = np.searchsorted([each.at_s for each in within], middles_s[:count], side="right") - 1
            heard = np.array([NEAR_NOTES.index(each.note) for each in within])[np.maximum(begun, 0)]
            yield _Part(replace(run, levels=run.levels[:count]), heard)


def _parted(part: _Part, model: RunModel, grid: FrameGrid) -> Names:
    """How a run is parted: as it was heard, the same array, unless another way is likelier by far."""
    heard = part.heard
    if not np.diff(heard).any():
        return heard
    step_s = STEP_FRAMES * grid.hop_s
    found = likeliest(model, part.run, heard)
    beginning = round(AS_HEARD_S / step_s) - (part.run.first - part.run.begins) // STEP_FRAMES
    if beginning > 0 and (found[:beginning] != heard[:beginning]).mean() > MOST_CHANGED:
        return heard
    as_before = _with_changes_heard(found, heard, round(SAME_S / step_s))
    if _in_order(as_before) != _in_order(found) or _in_order(found) == _in_order(heard):
        return heard
    cost, heard_cost = model.costs(part.run, np.stack((as_before, heard)))
    return as_before if heard_cost - cost >= GAIN_NATS else heard


def _in_order(names: Names) -> list[int]:
    return [int(names[first]) for first, _ in runs_of(names == 0)]


def _with_changes_heard(found: Names, heard: Names, steps: int) -> Names:
    """The names, with each change where one like it was heard beside it."""
    out = found.copy()
    changes = np.flatnonzero(np.diff(heard)) + 1
    for at in np.flatnonzero(np.diff(found)) + 1:
        near = [each for each in changes if abs(each - at) <= steps and heard[each] == found[at]]
        if near:
            to = min(near, key=lambda each: abs(each - at))
            out[min(at, to) : max(at, to)] = found[at - 1] if to > at else found[at]
    return out


def _span(run: NearRun, first: int, stop: int, grid: FrameGrid) -> tuple[float, float]:
    """When some steps of a run begin and stop."""
    begins, stops = (grid.centre_s(run.first + STEP_FRAMES * each - 0.5 * STEP_FRAMES) for each in (first, stop))
    return begins, stops


def _named(run: NearRun, names: Names, grid: FrameGrid) -> list[HeardNote]:
    return [
        HeardNote(*_span(run, first, stop, grid), NEAR_NOTES[names[first]], by_pitch=True)
        for first, stop in runs_of(names == 0)
    ]


def _with_parts(notes: Sequence[HeardNote], parts: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes, with these in place of what was heard meanwhile; they begin and stop where that did."""
    first_s, last_s = parts[0].at_s, parts[-1].stop_s
    out: list[HeardNote] = []
    for note in notes:
        if note.note not in NEAR_NOTES or note.stop_s <= first_s or note.at_s >= last_s:
            out.append(note)
            continue
        if note.at_s < first_s:
            out.append(replace(note, stop_s=first_s))
        for each in parts:
            at_s, stop_s = max(each.at_s, note.at_s), min(each.stop_s, note.stop_s)
            if at_s < stop_s:
                out.append(replace(each, at_s=at_s, stop_s=stop_s))
        if note.stop_s > last_s:
            out.append(replace(note, at_s=last_s))
    return out
