"""Silences that were heard in a sound and are none: a note sounds on that is nearly as likely. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from companion.hearing.heard import SILENCE, HeardNote, SoundEvidence
from companion.hearing.notes.joining import TOUCHING_S, joined
from companion.hearing.spectra import Floats
from fingering.notes import Note

LEAST_STOP_NATS, LEAST_STOP_IN_ROOM_NATS = 4.0, 7.0
"""By how much less likely than silence each note is in a true stop, in the mean of its moments. On trial under drones
(seeds 1303, 2001, 2002) a bore's low G, taken for background, was 0.2 to 2.7 where it sounded, and the likeliest note
5.2 and more where none did; in rooms (seeds 1501, 1502) a note and its echo that cancel each other were 5.2 at most, a
stop 10.1 and more."""

UNSURE = 0.5

PIECE_S = 0.1
"""The time over which it is weighed whether a note sounds on after the last one."""

LONE_S, ALONE_S = 0.15, 0.1
"""Under talk a note shorter than the one, with silence for the other on both sides, is no chanter's."""


def stops_weighed(notes: Sequence[HeardNote], evidence: SoundEvidence, costs: Floats, least: float) -> list[HeardNote]:
    """The notes, with the likeliest one in each silence between two in which one is less than `least` nats less likely
    than silence. In `costs` (shape (moments, NAMES)) that note then costs no more than silence there."""
    out = [*notes[:1]]
    for before, after in pairwise(notes):
        if after.at_s - before.stop_s > TOUCHING_S:
            begin, stop = evidence.moment(before.stop_s), evidence.moment(after.at_s)
            part = costs[begin:stop]
            more = (part[:, :SILENCE] - part[:, SILENCE:]).mean(axis=0) if len(part) else np.full(SILENCE, np.inf)
            likeliest = int(more.argmin())
            if more[likeliest] < least:
                part[:, likeliest] = np.minimum(part[:, likeliest], part[:, SILENCE])
                out.append(HeardNote(before.stop_s, after.at_s, Note(likeliest), UNSURE))
        out.append(after)
    return list(joined(out))


def without_unheard_stops(notes: Sequence[HeardNote], evidence: SoundEvidence, costs: Floats) -> Floats:
    """Costs of moments by name, in which silence costs no less than the note that was heard: in a room a note and its
    echo may cancel each other for half a second, which what goes on as it was is not heard for."""
    out = costs.copy()
    for each in notes:
        begin, stop = evidence.moment(each.at_s), evidence.moment(each.stop_s)
        out[begin:stop, SILENCE] = np.maximum(out[begin:stop, SILENCE], out[begin:stop, each.note])
    return out


def with_the_last(notes: Sequence[HeardNote], evidence: SoundEvidence, costs: Floats, least: float) -> list[HeardNote]:
    """The notes, with one that sounds on after the last of them, weighed as in `stops_weighed`: a tune may end on the
    low G that was taken for background."""
    out = list(notes)
    for note in notes[-1:]:
        begin = evidence.moment(note.stop_s)
        piece = round(PIECE_S / evidence.hop_s)
        likeliest = None
        for at in range(begin, len(costs) - piece + 1, piece):
            part = costs[at : at + piece]
            more = (part[:, :SILENCE] - part[:, SILENCE:]).mean(axis=0)
            likeliest = int(more.argmin()) if likeliest is None else likeliest
            if more[likeliest] >= least:
                break
            part[:, likeliest] = np.minimum(part[:, likeliest], part[:, SILENCE])
            out.append(HeardNote(out[-1].stop_s, evidence.edge_s(at + piece), Note(likeliest), UNSURE))
    return list(joined(out))


def without_lone(notes: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes without short ones that nothing sounds beside."""
    edges = [-ALONE_S, *(each.stop_s for each in notes)]
    begins = [*(each.at_s for each in notes[1:]), float("inf")]
    return [
        each
        for each, before_s, after_s in zip(notes, edges, begins, strict=False)
        if each.length_s >= LONE_S or each.at_s - before_s < ALONE_S or after_s - each.stop_s < ALONE_S
    ]
