"""Learns a chanter in pieces of its sound, and takes drones that sound with it out of these."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from companion.hearing.intake.drones import DroneRemover, SoundingTone, bass_drone
from companion.hearing.learning import Learning, begun, learnt_in_full
from companion.hearing.learnt import Learnt
from companion.hearing.path import NO_PITCH
from companion.hearing.pieces.gathered import SoundPieces
from companion.hearing.spectra import Floats, power_spectra
from companion.hearing.walks.walk import rough_walk
from fingering.notes import Note

NO_FLOOR: Floats = np.zeros(0, np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class LearntPieces:
    """Pieces of a sound, without its drones, and what was learnt of them; None where nothing stands above the
    background. floor: what sounds all the time in them, as `ScaleSpectra` has it. remover: makes what takes the drones
    out of a stretch of the sound; None where there are none."""

    pieces: SoundPieces
    learnt: Learnt | None
    floor: Floats
    remover: Callable[[], DroneRemover] | None = None

    def whole(self, thinned: Iterable[Floats]) -> Iterable[Floats]:
        """The whole sound without its drones, block by block. thinned: all of it, with them; it is gone through only
        where the pieces are not all of it."""
        if self.pieces.are_all:
            return self.pieces.parts
        return thinned if self.remover is None else without_drones(thinned, self.remover())


def learnt_pieces(pieces: SoundPieces, rate_hz: float) -> LearntPieces:
    """Learn a chanter in pieces of a sound, by what is left of them without its drones, if there are any."""
    with np.errstate(all="ignore"):  # of one note that never stops next to nothing is left above the background
        learning = begun(pieces.parts, rate_hz) if pieces.parts else None
        if learning is None:
            return LearntPieces(pieces, None, NO_FLOOR)
        bass_hz = _bass_drone(learning) if learning.learnt.scale.drones else None
        if bass_hz is None:
            return LearntPieces(pieces, learnt_in_full(learning), learning.floor)
        return _learnt_without_drones(pieces, learning, bass_hz)


def _bass_drone(learning: Learning) -> float | None:
    learnt = learning.learnt
    low_a_hz = float(learnt.voice.hz[Note.LOW_A])
    return bass_drone(learning.pieces, learnt.grid.rate_hz, 0.25 * low_a_hz / learnt.scale.bore.value)


def _learnt_without_drones(pieces: SoundPieces, first: Learning, bass_hz: float) -> LearntPieces:
    """What is learnt of the pieces once drones were taken out of them twice.

    first: what was learnt with drones and all, which tells nearly where notes are. What is learnt without them tells it
    better, and goes on being learnt from where they are taken out by it.
    """
    rate_hz = first.learnt.grid.rate_hz

    def remover_by(learnt: Learnt) -> Callable[[], DroneRemover]:
        return partial(DroneRemover, bass_hz, rate_hz, partial(_tones, replace(learnt, ground=first.background)))

    remover = remover_by(first.learnt)
    cleaned = pieces.changed(lambda blocks: without_drones(blocks, remover()))
    learning = begun(cleaned.parts, rate_hz)
    if learning is None:
        return LearntPieces(cleaned, None, NO_FLOOR, remover)
    learning = learning.by(learning.ways())
    better = remover_by(learning.learnt)
    cleaned = pieces.changed(lambda blocks: without_drones(blocks, better()))
    learning = learning.going_on_with(cleaned.parts)
    return LearntPieces(cleaned, learnt_in_full(learning), learning.floor, better)


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
        for each in rough_walk(power_spectra(samples, grid), learnt)
        if each.pitch != NO_PITCH
    ]


def without_drones(thinned: Iterable[Floats], remover: DroneRemover) -> Iterator[Floats]:
    for block in thinned:
        yield remover.take_in(block)
    yield remover.rest()
