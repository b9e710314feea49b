"""The clock of a microphone: when each sample sounded, though a computer hands samples over in its own time."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from companion.hearing.microphone.sample_clock import FILLED_S, MicrophoneClock

pytestmark = pytest.mark.same_everywhere

RATE_HZ = 48_000
PERIOD = 480
BEGAN_S = 1234.5


@dataclass(frozen=True, slots=True)
class HandedOver:
    """A block: when it was handed over, and when its last sample truly sounded."""

    at_s: float
    true_s: float


def handed_over(seconds: float, stray: float = 0.0, loss_at_s: float = 1e9) -> Iterator[HandedOver]:
    """Blocks of 10 ms from a sound card whose clock strays, handed over by a busy computer.

    Each comes 0.3 to some ms late, at times 20 to 200 ms; none before the one before it. 50 ms are lost at `loss_at_s`.
    """
    dice = random.Random(5)
    last_s = 0.0
    for block in range(1, round(seconds * RATE_HZ / PERIOD) + 1):
        true_s = BEGAN_S + block * PERIOD / (RATE_HZ * (1.0 + stray))
        if true_s - BEGAN_S > loss_at_s:
            true_s += 0.05
        late_s = 0.0003 + dice.expovariate(1 / 0.0007) + (dice.uniform(0.02, 0.2) if dice.random() < 0.005 else 0.0)
        last_s = max(last_s, true_s + late_s)
        yield HandedOver(last_s, true_s)


@pytest.mark.parametrize(("stray", "seconds"), [(80e-6, 1800), (-80e-6, 200)])
def test_half_an_hour_has_neither_jitter_nor_drift(stray: float, seconds: int) -> None:
    """From a second on all times are right within a ms and a half, though the card's clock strays by 144 ms in all."""
    clock = MicrophoneClock(RATE_HZ)
    worst_s, before_s = 0.0, 0.0
    for block in handed_over(seconds, stray):
        assert clock.take(block.at_s, PERIOD) == 0
        told_s = clock.time_of(clock.total)
        if block.true_s - BEGAN_S > 1.0:
            worst_s = max(worst_s, abs(told_s - block.true_s - 0.0003))
            assert abs(told_s - before_s - PERIOD / RATE_HZ) < 0.001
        before_s = told_s
    assert worst_s < 0.0015
    assert clock.total == seconds * RATE_HZ


def test_lost_samples_are_filled_in() -> None:
    """50 ms that were never handed over are missed within two seconds, and the times after them are right again."""
    clock = MicrophoneClock(RATE_HZ)
    filled, told_s, true_s = 0, 0.0, 0.0
    for block in handed_over(20.0, loss_at_s=10.0):
        missing = clock.take(block.at_s, PERIOD)
        filled += missing
        if missing:
            assert block.true_s - BEGAN_S - 10.0 < 2.0
        told_s, true_s = clock.time_of(clock.total), block.true_s
    assert filled / RATE_HZ == pytest.approx(0.05, abs=0.001)
    assert told_s - 0.0003 == pytest.approx(true_s, abs=0.001)


@pytest.mark.parametrize("held_up_s", [0.1, 0.5])
def test_a_computer_that_is_held_up_loses_nothing(held_up_s: float) -> None:
    """What waited comes at once afterwards: nothing is filled in, and the times stay."""
    clock = MicrophoneClock(RATE_HZ)
    for block in range(1, 1000):
        true_s = BEGAN_S + block * PERIOD / RATE_HZ
        held_s = BEGAN_S + 5.0 + held_up_s if 5.0 < true_s - BEGAN_S < 5.0 + held_up_s else 0.0
        assert clock.take(max(true_s, held_s), PERIOD) == 0
        assert clock.time_of(clock.total) == pytest.approx(true_s, abs=1e-4)


def test_a_computer_under_load_for_seconds_loses_nothing() -> None:
    """Nothing comes in time for two seconds, but each block is late by something else: that is no loss."""
    clock, dice = MicrophoneClock(RATE_HZ), random.Random(3)
    held_until_s = 0.0
    for block in range(1, 2000):
        true_s = BEGAN_S + block * PERIOD / RATE_HZ
        if 8.0 < true_s - BEGAN_S < 10.0 and true_s > held_until_s:
            held_until_s = true_s + dice.uniform(0.05, 0.3)
        late_s = 0.01 if 8.0 < true_s - BEGAN_S < 10.0 else 0.0
        assert clock.take(max(true_s + late_s, held_until_s), PERIOD) == 0
    assert clock.time_of(clock.total) == pytest.approx(BEGAN_S + 1999 * PERIOD / RATE_HZ, abs=1e-3)


def test_small_losses_are_filled_in_once_they_add_up() -> None:
    """Each of 8 ms moves the times; the third makes more than is left open, and all of it is filled in."""
    clock = MicrophoneClock(RATE_HZ)
    filled = 0
    for block in range(1, 2001):
        lost_s = 0.008 * min(3, block // 500)
        true_s = BEGAN_S + lost_s + block * PERIOD / RATE_HZ
        filled += clock.take(true_s, PERIOD)
        if block % 500 > 130:
            assert clock.time_of(clock.total) == pytest.approx(true_s, abs=2e-4)
    assert filled / RATE_HZ == pytest.approx(0.024, abs=1e-4)
    assert FILLED_S < 0.024


def test_a_late_beginning_is_made_good() -> None:
    """The first blocks come 300 ms late, as systems begin: later times do not depend on it, and nothing is missing."""
    clock = MicrophoneClock(RATE_HZ)
    for block in range(1, 600):
        true_s = BEGAN_S + block * PERIOD / RATE_HZ
        assert clock.take(true_s + (0.3 if block < 60 else 0.0), PERIOD) == 0
    assert clock.time_of(clock.total) == pytest.approx(BEGAN_S + 599 * PERIOD / RATE_HZ, abs=1e-4)


def test_times_and_samples_lead_to_each_other() -> None:
    """Also once the line is tilted, and before the first sample and after the last one."""
    clock = MicrophoneClock(RATE_HZ)
    for block in handed_over(40.0, 80e-6):
        clock.take(block.at_s, PERIOD)
    for sample in (-48_000.0, 0.0, 1e6, 1e8):
        assert clock.sample_at(clock.time_of(sample)) == pytest.approx(sample, abs=0.01)
