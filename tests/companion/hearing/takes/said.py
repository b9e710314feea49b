"""Evidence made by hand: what a sound said, without the sound."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from companion.hearing.heard import NAMES, SILENCE, HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from companion.hearing.takes.reading.counted import CountedEvidence
from companion.hearing.telling import changes_packed, moments_packed
from companion.hearing.voice import AudiblePitch
from fingering.notes import Note
from tests.companion.listen.playing import asked_of

HOP_S = 0.0025
BEGINS_S = 0.5
PITCHES = tuple(AudiblePitch(note, 0.0) for note in Note)
CLEAR_NATS = 4.0
"""By how much a moment of a note is less likely to be another, as in a good room."""


def as_asked(music: str) -> tuple[HeardNote, ...]:
    """All that a tune asks for, from half a second on, without a fault."""
    return tuple(
        HeardNote(round(BEGINS_S + each.start_s, 4), round(BEGINS_S + each.end_s, 4), each.note)
        for each in asked_of(music).tokens
    )


def costs_of_notes(notes: Sequence[HeardNote], stop_s: float, nats: float = CLEAR_NATS) -> Floats:
    """Costs of moments from 0 s on, by name, in which these notes are likelier by so much, and silence elsewhere."""
    costs = np.full((round(stop_s / HOP_S), NAMES), nats, np.float32)
    names = np.full(len(costs), SILENCE)
    for each in notes:
        names[round(each.at_s / HOP_S) : round(each.stop_s / HOP_S)] = each.note
    costs[np.arange(len(costs)), names] = 0.0
    return costs


def counted(costs: Floats, changing: Floats | None = None) -> CountedEvidence:
    """Evidence that counts for all that it says. changing: 0 everywhere for None."""
    return CountedEvidence(
        evidence_of(costs), costs, np.zeros(len(costs), np.float32) if changing is None else changing
    )


def change_costs(notes: Sequence[HeardNote], stop_s: float) -> Floats:
    """What a change of note costs, as in a room where these begin: nothing within 5 ms of that, else 12 nats."""
    costs = np.full(round(stop_s / HOP_S), 12.0, np.float32)
    for each in notes:
        at = round(each.at_s / HOP_S)
        costs[max(0, at - 1) : at + 2] = 0.0
    return costs


def evidence_of(costs: Floats, changing: Floats | None = None) -> SoundEvidence:
    """The evidence of moments from 0 s on. changing: what a change of note costs at each, None where that is not
    known."""
    changes = [] if changing is None else [changes_packed(changing)]
    return SoundEvidence.of([moments_packed(costs, PITCHES)], 0.5 * HOP_S, HOP_S, changes)
