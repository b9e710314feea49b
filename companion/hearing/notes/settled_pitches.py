"""Names Fs and high Gs that follow each other in a room by their pitch, look by look. Pure.

An echo of the one hides the other's pitch for a while, never the other way round: what sounds at the pitch of the one
after it sounded at the other's has begun; and what has sounded at one pitch for longer than any echo is louder than a
note is that. On trial (five seeds, seven sources in a room of 0.4 s) a high G on F looked like F for 40 ms after it
began in 8 of 100 looks, for 60 ms in none of 900; an F after high G like that in 3 and 0.5 of 100, and in none of 750.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.notes.high_g_places import HighGPlaces
from companion.hearing.notes.joining import joined
from companion.hearing.notes.one_of_two import following, nearly_touch
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.spectra import FrameGrid
from fingering.notes import Note

GRACENOTE_S = 0.08
"""A high G that ends no later is played on the note that follows. A choice, no source."""

ECHO_FRAMES = 20
"""An echo is no longer louder than the note that sounds after so many frames (50 ms)."""

FEWEST_FROM_BEGINNING, FEWEST_LATER, FEWEST_OWN = 38, 28, 3
"""How many frames in a row lie in the other's place at least, from a note's beginning or after so many in its own, for
the other one to sound there: on trial (four seeds) 90 frames more were named right and none wrong, with 8 for the
second 415 and 539."""

FEWEST_BEGUN, OWN_ECHO_S = 4, 0.12
"""A note has surely begun, and is no echo, where it lies in its own place for this many frames in a row and none of its
name ended less than 120 ms before it."""

MOST_BETWEEN = 3
"""The most frames in a row within a run that may lie in neither place: one pitch goes over into the other meanwhile."""


@dataclass(frozen=True, slots=True)
class _Run:
    """Frames in a row, from `first` up to but not with `stop`, that lie in the place of a note."""

    name: Note
    first: int
    stop: int


def settled_pitches(
    notes: Sequence[HeardNote], looks: Mapping[int, float], places: HighGPlaces, grid: FrameGrid, shortest_s: float
) -> tuple[list[HeardNote], list[SureName]]:
    """The notes, of which Fs and high Gs are the other one where that is settled by their pitch; and what of them
    surely is so.

    looks: pitches by frame, in cents above F. shortest_s: no part is shorter.
    """
    out: list[HeardNote] = []
    sure: list[SureName] = []
    for rank, note in enumerate(notes):
        left: HeardNote | None = note
        runs = _runs(note, following(rank, notes), looks, places, grid) if note.note in NEAR_NOTES else []
        for run in _of_other(note, runs, grid):
            if left is None:
                break
            part = _part(left, run, grid, shortest_s)
            if part.at_s > left.at_s:
                out.append(replace(left, stop_s=part.at_s))
            out.append(part)
            settled = replace(part, at_s=_edge_s(run.first + ECHO_FRAMES, grid), stop_s=_edge_s(run.stop, grid))
            sure.append(SureName(settled, frozenset({note.note})))
            left = replace(left, at_s=part.stop_s) if part.stop_s < left.stop_s else None
        out += [left] if left is not None else []
    return [*joined(out)], sure


def _part(note: HeardNote, run: _Run, grid: FrameGrid, shortest_s: float) -> HeardNote:
    """What of a note is the other one, all of it but for what is not too short before and after."""
    at_s, stop_s = _edge_s(run.first, grid), _edge_s(run.stop, grid)
    return replace(
        note,
        at_s=at_s if at_s - note.at_s >= shortest_s else note.at_s,
        stop_s=stop_s if note.stop_s - stop_s >= shortest_s else note.stop_s,
        note=run.name,
        others=note.others - set(NEAR_NOTES),
        by_pitch=True,
    )


def begun_after_other(
    notes: Sequence[HeardNote], looks: Mapping[int, float], places: HighGPlaces, grid: FrameGrid
) -> tuple[list[HeardNote], list[SureName]]:
    """The notes, of which Fs and high Gs are none of the other that touch one of those before, and lie in their own
    place while no echo of one of their own can: it ended long before. And what of them surely is so."""
    out: list[HeardNote] = []
    sure: list[SureName] = []
    for rank, note in enumerate(notes):
        out.append(note)
        if rank and note.note in NEAR_NOTES and _follows_other_alone(rank, notes):
            runs = _runs(note, following(rank, notes), looks, places, grid)
            own = next(
                (each for each in runs if each.name is note.note and each.stop - each.first >= FEWEST_BEGUN), None
            )
            if own is not None:
                others = frozenset(NEAR_NOTES) - {note.note}
                out[-1] = replace(note, others=note.others - others)
                part = replace(out[-1], at_s=_edge_s(own.first, grid), stop_s=_edge_s(own.stop, grid))
                sure.append(SureName(part, others))
    return out, sure


def _follows_other_alone(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether a note touches the other one at its beginning, and none of its own name ended shortly before."""
    note, before = notes[rank], notes[rank - 1]
    if before.note not in NEAR_NOTES or before.note is note.note or not nearly_touch(before, note):
        return False
    earlier = takewhile(lambda each: note.at_s - each.stop_s < OWN_ECHO_S, reversed(notes[:rank]))
    return all(each.note is not note.note for each in earlier)


def _runs(
    note: HeardNote, after: Note | None, looks: Mapping[int, float], places: HighGPlaces, grid: FrameGrid
) -> list[_Run]:
    """The runs of frames within a note that lie in one of the places, in order."""
    stop = grid.first_frame(note.stop_s)
    last = stop - round(GRACENOTE_S / grid.hop_s)
    runs: list[_Run] = []
    for frame in range(grid.first_frame(note.at_s), stop):
        name = _placed(looks.get(frame, math.nan), after if frame >= last else None, places)
        if name is None:
            continue
        if runs and runs[-1].name is name and frame - runs[-1].stop <= MOST_BETWEEN:
            runs[-1] = replace(runs[-1], stop=frame + 1)
        else:
            runs.append(_Run(name, frame, frame + 1))
    return runs


def _placed(cents: float, after: Note | None, places: HighGPlaces) -> Note | None:
    """The note in whose place a pitch lies; None for neither. after: the note that one may be played on, beside F."""
    if places.is_f(cents, after):
        return Note.F
    is_high = any(places.is_high_g(cents, each) for each in (None, after)) or (
        cents > places.apart and places.is_near(cents, places.plain)
    )
    return Note.HIGH_G if is_high else None


def _of_other(note: HeardNote, runs: Sequence[_Run], grid: FrameGrid) -> Iterator[_Run]:
    """Yield those of a note's runs in which the other one sounds, the first from the note's beginning on."""
    lasting = [each for each in runs if each.stop - each.first >= FEWEST_OWN]
    for rank, each in enumerate(lasting):
        if each.name is not note.note and each.stop - each.first >= (FEWEST_LATER if rank else FEWEST_FROM_BEGINNING):
            yield each if rank else replace(each, first=grid.first_frame(note.at_s))


def _edge_s(frame: int, grid: FrameGrid) -> float:
    return grid.centre_s(frame - 0.5)
