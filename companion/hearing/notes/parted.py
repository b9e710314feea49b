"""Parts a high G in a room within which an F was not heard: their spectra hardly differ, their pitches do. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile

import numpy as np

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.intake.runs import runs_of
from companion.hearing.notes.high_g_places import HighGPlaces
from companion.hearing.notes.one_of_two import following
from companion.hearing.notes.short_pitches import LONGEST_S
from companion.hearing.spectra import FrameGrid
from fingering.notes import Note

SHORTEST_WHOLE_S = 0.05
"""A high G, F and high G last longer than this together."""

FEWEST_FRAMES = 5
"""An F that is heard by its pitch alone sounds for 13 ms at least: on trial (eight seeds, seven sources in a room of
0.4 s) as long between high Gs 58 were Fs and 3 were none, 10 ms long 67 and 6."""

FEWEST_FRAMES_OF_LONG = 8
"""Within a longer high G one of 20 ms: on trial (six seeds) echoes of an F before lay in its place for 17 at most."""

ECHO_S = 0.08
"""A high G that ended no longer before is still heard as an F begins. A choice, no source."""

FEWEST_HIGH_FRAMES = 3
MOST_CENTS = 130.0
"""Before and after it a high G sounds, for so many frames at least; what sounds higher is something else."""


def parted(
    notes: Sequence[HeardNote], looks: Mapping[int, float], places: HighGPlaces, grid: FrameGrid, shortest_s: float
) -> tuple[list[HeardNote], list[SureName]]:
    """The notes, with the Fs that were not heard within high Gs; and those Fs, which surely are no high Gs.

    looks: pitches by frame, in cents above F. shortest_s: no part is shorter.
    """
    out: list[HeardNote] = []
    surely: list[SureName] = []
    for rank, note in enumerate(notes):
        left = note
        may_hold_f = note.note is Note.HIGH_G and note.length_s >= SHORTEST_WHOLE_S
        if may_hold_f and not _echoes_high_g(rank, notes):
            for f in _fs_within(note, following(rank, notes), looks, places, grid, shortest_s):
                out += [replace(left, stop_s=f.at_s), f]
                surely.append(SureName(f, frozenset({Note.HIGH_G})))
                left = replace(left, at_s=f.stop_s)
        out.append(left)
    return out, surely


def _echoes_high_g(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether another high G sounded shortly before one: then an F may begin it, under that one's echo."""
    earlier = takewhile(lambda each: notes[rank].at_s - each.stop_s < ECHO_S, reversed(notes[:rank]))
    return any(each.note is Note.HIGH_G for each in earlier)


def _fs_within(
    note: HeardNote,
    before: Note | None,
    looks: Mapping[int, float],
    places: HighGPlaces,
    grid: FrameGrid,
    shortest_s: float,
) -> Iterator[HeardNote]:
    frames = [frame for frame in range(grid.first_frame(note.at_s), grid.first_frame(note.stop_s)) if frame in looks]
    if not frames:
        return
    is_f = np.array([places.is_f(looks[frame], before) for frame in frames])
    place = places.over[Note.F if before in (None, Note.HIGH_G) else before]
    is_high = [max(places.apart_from_high, 0.5 * place) < looks[frame] < MOST_CENTS for frame in frames]
    begins = 0
    for one, other in runs_of(is_f):
        at_s, stop_s = grid.centre_s(frames[one] - 0.5), grid.centre_s(frames[other - 1] + 0.5)
        fewest = FEWEST_FRAMES if note.length_s < LONGEST_S else FEWEST_FRAMES_OF_LONG
        lasts = other - one >= fewest and is_f[one] and min(at_s - note.at_s, note.stop_s - stop_s) >= shortest_s
        if lasts and min(sum(is_high[begins:one]), sum(is_high[other:])) >= FEWEST_HIGH_FRAMES:
            yield HeardNote(at_s, stop_s, Note.F, note.confidence, by_pitch=True)
            begins = other
