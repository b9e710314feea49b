"""Learns a chanter that sounds with drones, and takes the drones out of its sound."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from companion.hearing.intake.drones import DroneRemover, SoundingTone, bass_drone
from companion.hearing.learning import learn
from companion.hearing.learnt import Learnt
from companion.hearing.path import NO_PITCH
from companion.hearing.spectra import Floats, power_spectra
from companion.hearing.walks.walk import walk
from fingering.notes import Note

DRONE_ROUNDS = 2
"""How often drones are taken out: first by notes that were heard with them, then by what is heard without them."""


def first_learnt(pieces: list[Floats], rate_hz: float) -> Learnt | None:
    with np.errstate(all="ignore"):  # of one note that never stops next to nothing is left above the background
        return learn(pieces, rate_hz) if pieces else None


def drones_taken_out(
    pieces: list[Floats], first: Learnt
) -> tuple[list[Floats], Learnt | None, Callable[[], DroneRemover] | None]:
    """The pieces of a sound without drones, what is learnt of them, and what takes drones out, made anew for each
    stretch; all as it was, and None, where there are no drones.

    first: what was learnt of the pieces with drones and all. What is learnt without them tells better where notes are.
    """
    rate_hz, low_a_hz = first.grid.rate_hz, float(first.voice.hz[Note.LOW_A])
    bass_hz = bass_drone(pieces, rate_hz, 0.25 * low_a_hz / first.scale.bore.value)
    if bass_hz is None:
        return pieces, first, None
    learnt: Learnt | None = first
    for _ in range(DRONE_ROUNDS):
        if learnt is not None:
            tones = partial(_tones, replace(learnt, ground=first.ground))
            remover = partial(DroneRemover, bass_hz, rate_hz, tones)
            cleaned = [np.concatenate(list(without_drones((each,), remover()))) for each in pieces]
            learnt = first_learnt(cleaned, rate_hz)
    return cleaned, learnt, remover


def _tones(learnt: Learnt, samples: Floats) -> list[SoundingTone]:
    """The notes that a voice most likely sounds in samples."""
    grid, voice = learnt.grid, learnt.voice
    return [
        SoundingTone(
            grid.centre_s(each.first - 0.5),
            grid.centre_s(each.stop - 0.5),
            float(voice.hz[each.pitch]),
            tuple(voice.harmonics[each.pitch].tolist()),
        )
        for each in walk(power_spectra(samples, grid), learnt)
        if each.pitch != NO_PITCH
    ]


def without_drones(thinned: Iterable[Floats], remover: DroneRemover) -> Iterator[Floats]:
    for block in thinned:
        yield remover.take_in(block)
    yield remover.rest()
