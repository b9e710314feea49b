"""Drones taken out of a sound, held against the notes that were put over them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import pytest

from companion.hearing.hear import hear_samples
from companion.hearing.intake.drones import DroneRemover, SoundingTone, bass_drone
from companion.hearing.intake.runs import Floats
from tests.hearing.conditions.condition import CONDITIONS, recorded
from tests.hearing.measures import score_of
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import some_takes
from tests.hearing.truth import NoteClass

RATE_HZ = 16_000
BASS_HZ = 118.0
SECONDS = 16.0

pytestmark = pytest.mark.same_everywhere

AT_S = np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ


def harmonics(hz: float, count: int) -> Floats:
    """So many harmonics of a pitch, each an eighth softer than the one before."""
    return np.asarray(
        sum(0.875**rank * np.sin(2.0 * np.pi * rank * hz * AT_S + rank) for rank in range(1, count + 1)), np.float32
    )


def drones() -> Floats:
    """A bass drone and two tenors that beat once in four seconds."""
    return harmonics(BASS_HZ, 12) + harmonics(2.0 * BASS_HZ - 0.125, 6) + harmonics(2.0 * BASS_HZ + 0.125, 6)


def playing() -> tuple[Floats, list[SoundingTone]]:
    """Half a second of low A and of E by turns, then a second and a half of low A, all at a pipe chanter's pitch."""
    out = np.zeros(len(AT_S), np.float32)
    tones = []
    begin_s = 0.0
    while begin_s < SECONDS:
        for hz, length_s in ((4.0 * BASS_HZ, 0.5), (6.0 * BASS_HZ, 0.5), (4.0 * BASS_HZ, 1.5), (7.0 * BASS_HZ, 1.5)):
            sounds = (begin_s <= AT_S) & (begin_s + length_s > AT_S)
            out[sounds] += harmonics(hz, 3)[sounds]
            powers = tuple(0.875 ** (2 * rank) for rank in range(1, 4))
            tones.append(SoundingTone(begin_s, begin_s + length_s, hz, powers))
            begin_s += length_s
    return out, tones


def within(tones: list[SoundingTone], begin_s: float, stop_s: float) -> list[SoundingTone]:
    """The tones of a stretch, on its own clock."""
    return [
        SoundingTone(each.begin_s - begin_s, each.stop_s - begin_s, each.hz, each.harmonics)
        for each in tones
        if each.begin_s < stop_s and each.stop_s > begin_s
    ]


def _next(stretches: Iterator[list[SoundingTone]], _: Floats) -> list[SoundingTone]:
    return next(stretches)


def power_db(samples: Floats) -> float:
    """The mean power."""
    return float(10.0 * np.log10(np.mean(np.square(samples))))


def test_notes_are_left_and_drones_are_not() -> None:
    """Though low A has its every harmonic where a drone has one: what is left of the drones, with what the
    notes lost, is 9 dB softer. In blocks of any length as in one."""
    notes, tones = playing()
    cleaned = []
    for length in (len(AT_S), 7_001):
        stretches = iter([within(tones, 0.0, 12.0), within(tones, 8.0, SECONDS)])
        remover = DroneRemover(BASS_HZ, RATE_HZ, partial(_next, stretches))
        parts = np.split(notes + drones(), range(length, len(AT_S), length))
        cleaned.append(np.concatenate([*(remover.take_in(part) for part in parts), remover.rest()]))
    assert len(cleaned[0]) == len(AT_S)
    assert np.array_equal(cleaned[0], cleaned[1])
    assert power_db(cleaned[0] - notes) < power_db(drones()) - 9.0


def test_a_bass_drone_is_found() -> None:
    """Within a cent, though the chanter's low A is 8 cents sharp of it."""
    notes, _ = playing()
    found = bass_drone([notes + drones()], RATE_HZ, BASS_HZ * 2.0 ** (8.0 / 1200.0))
    assert found is not None
    assert abs(1200.0 * np.log2(found / BASS_HZ)) < 1.0


@pytest.mark.parametrize("low_a", [2.0, 4.0])
def test_one_note_that_never_stops_is_no_drone(low_a: float) -> None:
    """Low A of a practice chanter and of a pipe chanter has too few of a bass drone's harmonics."""
    note = harmonics(low_a * BASS_HZ, 6) + np.random.default_rng(1).normal(0.0, 1e-3, len(AT_S)).astype(np.float32)
    assert bass_drone([note.astype(np.float32)], RATE_HZ, BASS_HZ) is None
    assert bass_drone([], RATE_HZ, BASS_HZ) is None


def test_a_blown_bore_is_heard_under_drones() -> None:
    """Every note of it; with its drones in the background 0.95 of the gracenotes were."""
    take = some_takes(2, 31, 10.0)[1]
    condition = next(each for each in CONDITIONS if each.name == "drones")
    recording = recorded(sounding(take, SoundSource.BORE, 63), condition, 63)
    found = hear_samples(recording.samples, recording.rate_hz)
    score = score_of(recording.notes, [(each.at_s, each.stop_s, each.note) for each in found.notes])
    assert found.drones
    assert score.f1(NoteClass.MELODY) == 1.0
    assert score.f1(NoteClass.GRACENOTE) >= 0.99
