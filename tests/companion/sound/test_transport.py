"""Play, pause, seek and loop as arithmetic, on clocks that a test turns by hand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import Tempo
from companion.sound.feeder import SampleClock
from companion.sound.player import SilentPlayer
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.sound.transport import Transport
from tests.companion.tune_building import notes, tune


@dataclass
class HandClock:
    """A clock that stands until it is moved."""

    now_s: float = 100.0

    def __call__(self) -> float:
        return self.now_s


def _schedule(slow_down: float = 1.0) -> Schedule:
    four = tune(notes("A gcd:c GdGe:A e"), tempo=Tempo(Fraction(1, 4), 60.0))
    return build_schedule(four, Timing(slow_down=slow_down))


@pytest.fixture
def clock() -> HandClock:
    """The clock of the player below."""
    return HandClock()


@pytest.fixture
def player(clock: HandClock) -> SilentPlayer:
    """A silent player with four quavers of half a second each."""
    silent = SilentPlayer(clock)
    silent.load(_schedule())
    return silent


def test_it_stands_until_it_is_played(player: SilentPlayer, clock: HandClock) -> None:
    """Loading does not start it."""
    clock.now_s += 5.0
    assert player.position_s() == 0.0
    assert not player.playing


def test_it_keeps_the_time_of_the_clock_it_was_given(player: SilentPlayer, clock: HandClock) -> None:
    """Half a second on the clock is half a second of the tune."""
    player.play()
    clock.now_s += 0.5
    assert player.playing
    assert player.position_s() == pytest.approx(0.5)


def test_a_pause_holds_the_place(player: SilentPlayer, clock: HandClock) -> None:
    """The place stands still however long the pause is, and playing goes on from it."""
    player.play()
    clock.now_s += 0.7
    player.pause()
    clock.now_s += 9.0
    assert player.position_s() == pytest.approx(0.7)
    player.play()
    clock.now_s += 0.2
    assert player.position_s() == pytest.approx(0.9)


def test_it_stops_at_the_end_and_begins_anew(player: SilentPlayer, clock: HandClock) -> None:
    """Two seconds long; played again it starts at 0, and a seek after the end does not set it going."""
    player.play()
    clock.now_s += 3.0
    assert player.position_s() == pytest.approx(2.0)
    assert not player.playing
    player.seek(1.0)
    clock.now_s += 0.5
    assert player.position_s() == pytest.approx(1.0)
    player.seek(2.0)
    player.play()
    clock.now_s += 0.25
    assert player.position_s() == pytest.approx(0.25)


@pytest.mark.parametrize(("asked_s", "got_s"), [(-1.0, 0.0), (1.25, 1.25), (99.0, 2.0)])
def test_a_seek_stays_within_the_tune(player: SilentPlayer, asked_s: float, got_s: float) -> None:
    """From 0 to its end."""
    player.seek(asked_s)
    assert player.position_s() == pytest.approx(got_s)


def test_a_loop_goes_round_and_round(player: SilentPlayer, clock: HandClock) -> None:
    """From outside it starts at the loop's start; a thousand rounds do not drift."""
    player.play()
    clock.now_s += 0.2
    player.set_loop(Span(0.5, 1.0))
    assert player.position_s() == pytest.approx(0.5)
    clock.now_s += 1_000 * 0.5 + 0.1
    assert player.position_s() == pytest.approx(0.6)
    assert player.playing


def test_a_loop_around_the_place_does_not_move_it(player: SilentPlayer, clock: HandClock) -> None:
    """Neither setting the loop nor taking it off, after some rounds, makes the place leap."""
    player.play()
    clock.now_s += 0.7
    player.set_loop(Span(0.5, 1.0))
    assert player.position_s() == pytest.approx(0.7)
    clock.now_s += 1.0
    player.set_loop(None)
    assert player.position_s() == pytest.approx(0.7)
    clock.now_s += 0.5
    assert player.position_s() == pytest.approx(1.2)


def test_a_slow_down_keeps_the_note_and_the_loop(player: SilentPlayer, clock: HandClock) -> None:
    """Four times as slow, the place and both ends of the loop are four times as far, and it runs on."""
    player.play()
    player.set_loop(Span(0.5, 1.0))
    clock.now_s += 0.25
    player.retime(_schedule(slow_down=4.0))
    assert player.position_s() == pytest.approx(3.0)
    assert player.loop is not None
    assert (player.loop.start_s, player.loop.end_s) == pytest.approx((2.0, 4.0))
    clock.now_s += 1.5
    assert player.position_s() == pytest.approx(2.5)


def test_another_tune_takes_the_loop_off(player: SilentPlayer, clock: HandClock) -> None:
    """It begins where it is told to, and runs if the one before ran."""
    player.play()
    player.set_loop(Span(0.5, 1.0))
    player.load(_schedule(), 1.5)
    assert player.loop is None
    clock.now_s += 0.25
    assert player.position_s() == pytest.approx(1.75)


def test_without_a_tune_nothing_runs(clock: HandClock) -> None:
    """Every command is taken all the same."""
    player = SilentPlayer(clock)
    player.play()
    player.set_sound(SoundSettings())
    player.seek(3.0)
    player.retime(_schedule())
    player.close()
    assert player.position_s() == 0.0
    assert player.underruns == 0


def test_what_is_heard_lags_what_is_done() -> None:
    """With 40 ms in the queue: a pause is reached 40 ms later, a seek is shown at once and waits for its sound."""
    heard = HandClock(0.0)
    transport = Transport(lambda: heard() + 0.04, heard)
    transport.load(10.0, 0.0)
    transport.play()
    heard.now_s = 1.0
    assert transport.position_s() == pytest.approx(0.96)
    transport.pause()
    heard.now_s = 1.02
    assert transport.position_s() == pytest.approx(0.98)
    heard.now_s = 2.0
    assert transport.position_s() == pytest.approx(1.0)
    transport.play()
    transport.seek(5.0)
    heard.now_s = 2.04
    assert transport.position_s() == pytest.approx(5.0)
    heard.now_s = 2.14
    assert transport.position_s() == pytest.approx(5.1)


def test_the_sample_clock_runs_between_blocks_and_never_ahead_of_supply() -> None:
    """1,000 frames a block: half a block later 500 more; when no block follows it stops two blocks on."""
    clock = HandClock()
    played = SampleClock(clock, longest_ahead_frames=2_000)
    assert played.frames() == 0.0
    for block in range(3):
        played.block_began(1_000 * block)
        clock.now_s += 1_000 / SAMPLE_RATE_HZ
    clock.now_s += 500 / SAMPLE_RATE_HZ
    assert played.frames() == pytest.approx(3_500.0)
    clock.now_s += 9.0
    assert played.frames() == 4_000.0


def test_the_sample_clock_smooths_late_sightings_and_follows_gaps() -> None:
    """A block seen a millisecond late hardly moves it; one that is a second late moves it at once."""
    clock = HandClock()
    played = SampleClock(clock, longest_ahead_frames=4_096)
    played.block_began(0)
    clock.now_s += 1_024 / SAMPLE_RATE_HZ + 0.001
    played.block_began(1_024)
    assert played.frames() == pytest.approx(1_024 + 0.9 * 0.001 * SAMPLE_RATE_HZ)
    clock.now_s += 1.0
    played.block_began(2_048)
    assert played.frames() == pytest.approx(2_048.0)
