"""Sound played more slowly: at the same pitch, with every onset where it belongs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.media.slowing import reads_from_s, slowed
from tests.companion.sound.hearing import cents, peak_hz
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take
from tests.hearing.truth import TrueNote

pytestmark = pytest.mark.same_everywhere

WITHIN_CENTS = 5.0
WITHIN_S = 0.015
"""What is wanted of the sound that is heard, slowed: our choice, no source."""

BESIDE_S = 0.006  # half of what is looked at for the pitch at a moment


@cache
def recording(source: SoundSource) -> TrueRecording:
    """A learner's playing, gracenotes and noises of crossings among it."""
    return sounding(learners_take(3, 6.0), source, 5)


def whole(samples: NDArray[np.float32], slow_down: float, block: int = 10_000) -> NDArray[np.float32]:
    """All of a sound, slowed, given in blocks."""
    before = np.zeros(round(-reads_from_s(0.0, slow_down) * RATE_HZ), np.float32)

    def blocks() -> Iterator[NDArray[np.float32]]:
        yield before
        for first in range(0, len(samples), block):
            yield samples[first : first + block]

    return np.concatenate([*slowed(blocks(), RATE_HZ, slow_down, RATE_HZ)])


def unlike(samples: NDArray[np.float32], at_s: float, hz: float) -> float:
    """How unlike a sound around a moment is to itself one period of `hz` later, 0 to 1."""
    period = RATE_HZ / hz
    first, length = round((at_s - BESIDE_S) * RATE_HZ - period / 2), round(2 * BESIDE_S * RATE_HZ)
    lag, part = int(period), period % 1.0
    one = samples[first : first + length].astype(float)
    later = samples[first + lag : first + lag + length + 1].astype(float)
    other = (1.0 - part) * later[:-1] + part * later[1:]
    return float(np.sum((one - other) ** 2) / (np.sum(one**2) + np.sum(other**2) + 1e-12))


def change_s(samples: NDArray[np.float32], about_s: float, reach_s: float, before_hz: float, after_hz: float) -> float:
    """When one pitch gives way to another near a moment: before it the first fits better, after it the second."""
    moments = np.arange(about_s - reach_s, about_s + reach_s, 0.001)
    fits = np.array([unlike(samples, at, before_hz) - unlike(samples, at, after_hz) for at in moments])
    told = np.cumsum(fits)
    return float(moments[int(np.argmin(told))])


def changes(recording: TrueRecording) -> Iterator[tuple[TrueNote, TrueNote]]:
    """Notes of which one gives way to the next without a silence, both longer than 25 ms."""
    for one, after in zip(recording.notes, recording.notes[1:], strict=False):
        touch = abs(one.stop_s - after.onset_s) < 1e-4
        if touch and one.note is not after.note and min(one.length_s, after.length_s) > 0.025:
            yield one, after


@pytest.mark.parametrize("slow_down", [2.0, 4.0])
@pytest.mark.parametrize("source", [SoundSource.PRACTICE_VOICE, SoundSource.PIPE_VOICE])
def test_pitch_stays_and_onsets_are_in_place(source: SoundSource, slow_down: float) -> None:
    """Of all held notes within 5 cents; of nine in ten onsets within 15 ms, and of none beyond twice that."""
    made = recording(source)
    slow = whole(made.samples, slow_down)
    assert len(slow) / RATE_HZ == pytest.approx(slow_down * made.duration_s, abs=0.1)
    held = [each for each in made.notes if each.length_s > 0.2]
    assert held
    for each in held:
        hz = made.notes_hz[each.note]
        first, stop = each.onset_s + 0.04, each.stop_s - 0.04
        as_played = made.samples[round(first * RATE_HZ) : round(stop * RATE_HZ)].astype(float)
        slower = slow[round(first * slow_down * RATE_HZ) : round(stop * slow_down * RATE_HZ)].astype(float)
        assert abs(cents(peak_hz(slower, hz), peak_hz(as_played, hz))) <= WITHIN_CENTS
    off_s = []
    for one, after in changes(made):
        reach_s = 0.8 * min(one.length_s, after.length_s, 0.06)
        pitches = made.notes_hz[one.note], made.notes_hz[after.note]
        as_played_s = change_s(made.samples, after.onset_s, min(reach_s, 0.03), *pitches)
        slower_s = change_s(slow, as_played_s * slow_down, reach_s * slow_down, *pitches)
        off_s.append(abs(slower_s - slow_down * as_played_s))
    assert len(off_s) > 15
    assert np.percentile(off_s, 90) <= WITHIN_S
    assert max(off_s) <= 2 * WITHIN_S


@pytest.mark.parametrize("slow_down", [1.0, 4.0])
def test_blocks_of_any_size_make_the_same_sound(slow_down: float) -> None:
    """A whole sound at once, and a little at a time."""
    samples = recording(SoundSource.PRACTICE_VOICE).samples[: 2 * RATE_HZ]
    assert np.array_equal(whole(samples, slow_down, 777), whole(samples, slow_down, len(samples)))


def test_at_full_speed_a_sound_is_what_it_was() -> None:
    """At its own rate to the sample; at another as long."""
    samples = recording(SoundSource.PRACTICE_VOICE).samples[:RATE_HZ]
    assert np.array_equal(whole(samples, 1.0), samples)
    resampled = np.concatenate([*slowed((samples,), 44_100, 1.0, RATE_HZ)])
    assert len(resampled) == pytest.approx(RATE_HZ / 44_100 * len(samples), abs=64)
