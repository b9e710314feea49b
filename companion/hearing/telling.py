"""From the likeliest way through a sound to notes that can be told: what is too short, what is not sure. Pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from companion.hearing.heard import LEAST_CHANGE_NATS, NAMES, SILENCE, STEP_NATS, HeardNote
from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.as_played import as_played
from companion.hearing.path import NO_PITCH, WINDOW_FRAMES, HeardStretch, Likely
from companion.hearing.spectra import Floats
from companion.hearing.voice import AudiblePitch
from companion.hearing.walks.walk import change_costs
from fingering.notes import Note

SURE_NATS = 6.0
"""By how much a note must cost less than what else might have sounded, to be half as unsure."""

OTHERS_NATS = 3.0
"""What costs at most so much more could as well have sounded."""

SHORT_S = 0.08
LONGEST_FALSE_S = 0.1
"""What lasts longer is no false fingering that a gracenote makes or a crossing leaves."""

AS_LIKELY_NATS = 8.0
"""What a false fingering of high G is likelier by before anything is heard, and what a glide into F and out of it
costs."""

ALIKE_CENTS = 50.0
"""A gracenote's pitch is not surer than this: a false fingering lies elsewhere on each chanter, by some 15 to 25 cents
(the acoustic model's ensembles), and 30 ms of it are heard, as they settle, by as much."""


def notes_told(stretches: Sequence[HeardStretch], learnt: Learnt) -> tuple[HeardNote, ...]:
    """The notes of a way, in order of time: pitches of one name in a row are one note."""
    named = _as_notes(as_played(_sounding_on(stretches, learnt), learnt.voice), learnt)
    lasting = _without_short(named, round(learnt.shortest_s / learnt.grid.hop_s), learnt)
    return tuple(_notes(lasting, learnt))


def maybe_told(likely: Sequence[Likely], notes: Sequence[HeardNote], learnt: Learnt) -> tuple[HeardNote, ...]:
    """Short notes that may have sounded within those told, and were not heard apart from them."""
    grid = learnt.grid
    starts = [each.at_s for each in notes]
    told = []
    for each in likely:
        begin_s, stop_s = grid.centre_s(each.first - 0.5), grid.centre_s(each.first + WINDOW_FRAMES - 0.5)
        rank = bisect_right(starts, begin_s) - 1
        note = learnt.voice.pitches[each.pitch].note
        if rank >= 0 and notes[rank].stop_s >= stop_s and notes[rank].note is not note:
            told.append(HeardNote(begin_s, stop_s, note, round(float(0.5 / (1.0 + np.exp(-each.nats / SURE_NATS))), 3)))
    return tuple(told)


def _name(pitch: int, learnt: Learnt) -> Note | None:
    return None if pitch == NO_PITCH else learnt.voice.pitches[pitch].note


def _sounding_on(stretches: Sequence[HeardStretch], learnt: Learnt) -> list[HeardStretch]:
    """The stretches where a short silence between two notes is the pitch that it is likest to: a chanter never stops
    between notes, but a veiled false fingering may be too soft to be known, and in a room a note may be as soft for a
    moment as it and its own echo weaken each other."""
    out = list(stretches)
    most = round(SHORT_S / learnt.grid.hop_s)
    _, entering = change_costs(learnt.voice.pitches)
    for rank in range(1, len(out) - 1):
        before, each, after = out[rank - 1 : rank + 2]
        if each.pitch != NO_PITCH or each.stop - each.first > most or NO_PITCH in (before.pitch, after.pitch):
            continue
        beside = {before.pitch, after.pitch}
        names = {_name(pitch, learnt) for pitch in beside}
        fits = [pitch for pitch, named in enumerate(learnt.voice.pitches) if pitch in beside or named.note not in names]
        out[rank] = replace(each, pitch=min(fits, key=lambda pitch: each.costs[pitch] + entering[pitch]))
    return out


def _as_notes(stretches: Sequence[HeardStretch], learnt: Learnt) -> list[HeardStretch]:
    """The stretches where a false fingering that lies near another note, as some of high G lie near F, is that note
    where it lasts too long, where its own note stands beside it, which leaves no such fingering, or where the other was
    not heard for long enough to be known, if it is likely besides."""
    cents = 1200.0 * np.log2(learnt.voice.hz)
    out = list(stretches)
    for rank, each in enumerate(stretches):
        near = [note for note in Note if abs(cents[note] - cents[each.pitch]) < ALIKE_CENTS]
        if each.pitch < len(Note) or not near:
            continue
        other = min(near, key=lambda pitch: each.costs[pitch])
        beside = [stretches[at].pitch for at in (rank - 1, rank + 1) if 0 <= at < len(stretches)]
        more = each.costs[other] - each.costs[each.pitch]
        if (
            (each.stop - each.first) * learnt.grid.hop_s > LONGEST_FALSE_S
            or (more < AS_LIKELY_NATS and learnt.voice.pitches[each.pitch].note in beside)
            or (more < 0.0 and learnt.heard[other] < ENOUGH_TO_SEE)
        ):
            out[rank] = replace(each, pitch=other)
    return out


def _without_short(stretches: list[HeardStretch], least: int, learnt: Learnt) -> list[HeardStretch]:
    """Gives what is shorter than `least` frames to that of its neighbours as which it costs less; joins what is then
    one pitch."""
    out: list[HeardStretch] = []
    for rank, each in enumerate(stretches):
        after = stretches[rank + 1] if rank + 1 < len(stretches) else None
        if out and each.pitch == out[-1].pitch:
            out[-1] = _joined(out[-1], each, each.pitch)
        elif each.stop - each.first < least and (out or after):
            neighbours = [side.pitch for side in (out[-1] if out else None, after) if side is not None]
            cheapest = min(neighbours, key=lambda pitch: each.costs[pitch])
            if out and cheapest == out[-1].pitch:
                out[-1] = _joined(out[-1], each, cheapest)
            elif after is not None:
                stretches[rank + 1] = _joined(each, after, after.pitch)
        else:
            out.append(each)
    return out


def _joined(one: HeardStretch, other: HeardStretch, pitch: int) -> HeardStretch:
    costs = tuple(np.add(one.costs, other.costs).tolist())
    return HeardStretch(pitch, one.first, other.stop, costs)


def _notes(stretches: Sequence[HeardStretch], learnt: Learnt) -> Iterator[HeardNote]:
    grid = learnt.grid
    held: list[HeardStretch] = []
    for each in [*stretches, None]:
        if held and (each is None or _name(each.pitch, learnt) is not _name(held[-1].pitch, learnt)):
            note = _name(held[0].pitch, learnt)
            if note is not None:
                margin, others = _margin(held, note, learnt)
                begin_s, stop_s = grid.centre_s(held[0].first - 0.5), grid.centre_s(held[-1].stop - 0.5)
                confidence = round(float(1.0 - 0.5 * np.exp(-max(0.0, margin) / SURE_NATS)), 3)
                yield HeardNote(begin_s, stop_s, note, confidence, others)
            held = []
        if each is not None:
            held.append(each)


def _margin(held: Sequence[HeardStretch], note: Note, learnt: Learnt) -> tuple[float, frozenset[Note]]:
    """By how much a note costs less than all else that might have sounded then, and what could as well have."""
    costs = np.sum([each.costs for each in held], axis=0)
    own = sum(each.costs[each.pitch] for each in held)
    by_name: dict[Note | None, float] = {None: float(costs[-1])}
    for pitch, each in enumerate(learnt.voice.pitches):
        by_name[each.note] = min(by_name.get(each.note, np.inf), float(costs[pitch]))
    others = {name: cost - own for name, cost in by_name.items() if name is not note}
    near = frozenset(name for name, more in others.items() if name is not None and more < OTHERS_NATS)
    return min(others.values()), near | _alike(held, note, learnt)


def _alike(held: Sequence[HeardStretch], note: Note, learnt: Learnt) -> frozenset[Note]:
    """Of a short note, the notes that have a fingering of nearly its pitch: F, and high G lifted over a low note."""
    if (held[-1].stop - held[0].first) * learnt.grid.hop_s > SHORT_S:
        return frozenset()
    cents = 1200.0 * np.log2(learnt.voice.hz)
    mine = [cents[each.pitch] for each in held]
    return frozenset(
        pitch.note
        for rank, pitch in enumerate(learnt.voice.pitches)
        if pitch.note is not note and any(abs(cents[rank] - own) < ALIKE_CENTS for own in mine)
    )


def moments_packed(costs: Floats, pitches: Sequence[AudiblePitch]) -> bytes:
    """Moments as bytes. costs: shape (moments, pitches and silence), as `frame_costs` gives them; a name costs
    what the cheapest of its fingerings does."""
    by_name = np.full((len(costs), NAMES), np.inf, np.float32)
    for rank, pitch in enumerate(pitches):
        np.minimum(by_name[:, pitch.note], costs[:, rank], out=by_name[:, pitch.note])
    by_name[:, SILENCE] = costs[:, -1]
    more = by_name - by_name.min(axis=1, keepdims=True)
    packed: bytes = np.minimum(np.rint(more / STEP_NATS), 255.0).astype(np.uint8).tobytes()
    return packed


def changes_packed(costs: Floats) -> bytes:
    """The costs of a change at each moment, as `RoomCosts.changing` has them, as bytes."""
    packed: bytes = np.clip(np.rint((costs - LEAST_CHANGE_NATS) / STEP_NATS), 0.0, 255.0).astype(np.uint8).tobytes()
    return packed
