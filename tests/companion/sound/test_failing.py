"""A sound that fails does so in words, and the tune runs on; any thread may call a player."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, cast

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import Tempo
from companion.sound.device import DEVICE_FRAMES, TUNE_CHANNEL, Channel, Device, make_sound
from companion.sound.feeder import Feeder, SampleClock
from companion.sound.live import LoopedVoice, StreamingVoice
from companion.sound.player import Player, SilentPlayer
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.sound.sounding_player import SoundingPlayer
from fingering.chart import chart
from fingering.notes import Note
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker, wait_until
from tests.companion.tune_building import notes, tune
from tests.companion.window.players import Clock

ROOT = Path(__file__).parents[3]
ERRORS = (MemoryError(), RuntimeError("what nobody foresaw"), OSError(5, "Input/output error"), SystemExit(1))
LOW_A = chart(Note.LOW_A)
AGAIN = "close the window and open it again to hear it"


class BreakingChannel:
    """A channel of the mixer that takes so many blocks, and then raises whatever is asked of it."""

    def __init__(self, channel: Channel, blocks: int) -> None:
        self._channel = channel
        self._blocks = blocks

    def __getattr__(self, name: str) -> Any:
        if self._blocks <= 0 and name != "stop":
            raise pygame.error("the device is lost")
        self._blocks -= name in ("queue", "play")
        return getattr(self._channel, name)


class BreakingDevice(Device):
    """A loudspeaker that is lost after so many blocks."""

    def __init__(self, blocks: int) -> None:
        super().__init__()
        self._blocks = blocks

    def channel(self, number: int) -> Channel:
        """A channel that breaks."""
        return cast("Channel", BreakingChannel(super().channel(number), self._blocks))


def schedule(slow_down: float = 1.0) -> Schedule:
    """Four notes, one second."""
    return build_schedule(tune(notes("A c e a"), tempo=Tempo(Fraction(1, 4), 120.0)), Timing(slow_down=slow_down))


Opened = Callable[[Device], SoundingPlayer]


@pytest.fixture
def sounding(speaker: Loudspeaker) -> Iterator[Opened]:
    """Opens players, which are closed before their device whatever a test finds."""
    opened: list[SoundingPlayer] = []

    def open_on(device: Device) -> SoundingPlayer:
        opened.append(SoundingPlayer(device, SoundSettings()))
        return opened[-1]

    yield open_on
    for each in opened:
        each.close()


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


CLOSED_UNDER_FEEDERS = """
import time
import numpy as np
from companion.sound.device import Device
from companion.sound.feeder import Feeder
for turn in range(40):
    device = Device()
    feeders = [Feeder(device.channel(each), lambda frames: np.zeros((frames, 2), np.int16), 256) for each in range(3)]
    for feeder in feeders:
        feeder.start()
    time.sleep(0.02 + 0.0007 * (turn % 13))
    device.close()
    for feeder in feeders:
        feeder.close()
    print(*{feeder.trouble for feeder in feeders} - {""}, sep="|")
"""


def test_a_loudspeaker_that_is_closed_under_feeders_is_told() -> None:
    """In a process of its own: where nothing guards the mixer's calls, one of the first turns ends it by SIGSEGV."""
    environment = {**os.environ, "SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    command = [sys.executable, "-c", CLOSED_UNDER_FEEDERS]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    told = {line for line in done.stdout.splitlines() if line}
    assert told == {f"the sound has failed (error: the loudspeaker was closed); {AGAIN}"}


def test_a_feeder_of_a_loudspeaker_that_is_closed_leaves_the_next_one_alone(speaker: Loudspeaker) -> None:
    """Though it is the same mixer, opened again at once; to close the feeder does not silence what sounds there."""
    left = Feeder(speaker.device.channel(TUNE_CHANNEL), lambda frames: np.zeros((frames, 2), np.int16), DEVICE_FRAMES)
    left.start()
    wait_until(lambda: left.played.frames() > 0)
    speaker.device.close()
    another = Device()
    channel = another.channel(TUNE_CHANNEL)
    try:
        wait_until(lambda: left.fault is not None)
        assert left.trouble == f"the sound has failed (error: the loudspeaker was closed); {AGAIN}"
        channel.play(make_sound(np.zeros((DEVICE_FRAMES, 2), np.int16)), loops=-1)
        left.close()
        assert channel.is_busy()
    finally:
        left.close()
        another.close()


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
@pytest.mark.parametrize("block", [0, 1, 5])
def test_a_renderer_that_raises_is_told(speaker: Loudspeaker, error: BaseException, block: int) -> None:
    """At the first block or later; the time that was played goes on, closing works, and twice."""
    asked: list[int] = []

    def pull(frames: int) -> NDArray[np.int16]:
        asked.append(frames)
        if len(asked) > block:
            raise error
        return np.zeros((frames, 2), np.int16)

    feeder = Feeder(speaker.device.channel(TUNE_CHANNEL), pull, DEVICE_FRAMES)
    feeder.start()
    wait_until(lambda: feeder.fault is not None)
    assert feeder.fault is error
    assert feeder.trouble.startswith("the sound has failed (")
    assert feeder.trouble.endswith(f"); {AGAIN}")
    before = feeder.played.frames()
    wait_until(lambda: feeder.played.frames() > before + 10 * DEVICE_FRAMES)
    feeder.close()
    feeder.close()


def test_a_clock_without_supply_runs_on_without_a_jump() -> None:
    """Fed, it waits for its next block; once it is told that there is none, it goes on from where it was."""
    clock = Clock()
    played = SampleClock(clock, 2 * DEVICE_FRAMES)
    played.block_began(0)
    clock.now_s = 10.0
    assert played.frames() == 2 * DEVICE_FRAMES
    clock.now_s = 0.001
    played.block_began(round(0.001 * SAMPLE_RATE_HZ))
    played.run_on()
    clock.now_s = 20.0
    assert played.frames() == pytest.approx(20.0 * SAMPLE_RATE_HZ, abs=1.0)


@pytest.mark.parametrize("blocks", [0, 1, 2, 20])
def test_a_lost_loudspeaker_costs_the_sound_and_not_the_tune(sounding: Opened, blocks: int) -> None:
    """The place goes on, forward only, to the end, and the player stops there; every key does what it did."""
    player = sounding(BreakingDevice(blocks))
    player.load(schedule(), 0.5)
    player.play()
    wait_until(lambda: bool(player.trouble))
    assert player.trouble == f"the sound has failed (error: the device is lost); {AGAIN}"
    places = [player.position_s()]

    def at_the_end() -> bool:
        places.append(player.position_s())
        return not player.playing

    wait_until(at_the_end)
    assert places == sorted(places)
    assert player.position_s() == schedule().duration_s
    player.play()
    player.seek(0.5)
    wait_until(lambda: 0.5 < player.position_s() < 1.0)
    player.pause()
    stood_s = player.position_s()
    player.retime(schedule(4.0))
    player.set_sound(SoundSettings(drones_level=0.0))
    assert player.position_s() == pytest.approx(4.0 * stood_s, abs=0.3)
    player.set_loop(Span(0.1, 0.2))
    player.play()
    wait_until(lambda: 0.1 < player.position_s() < 0.2)


def test_a_live_chanter_that_fails_is_told(speaker: Loudspeaker) -> None:
    """Both ways; who plays is not held up, and closing works."""
    for make in (StreamingVoice, LoopedVoice):
        voice = make(BreakingDevice(2 if make is StreamingVoice else 0), SoundSettings())
        voice.sound(LOW_A)
        wait_until(lambda told=voice: bool(told.trouble))  # type: ignore[misc]
        assert voice.trouble == f"the sound has failed (error: the device is lost); {AGAIN}"
        voice.sound(None)
        voice.set_sound(SoundSettings(drones_level=0.0))
        voice.close()


def fidget(player: Player, seed: int, failed: list[BaseException]) -> None:
    """Call everything that a player offers, in an order by chance."""
    chance = random.Random(seed)
    shorter, longer = schedule(), schedule(2.0)
    calls: list[Callable[[], object]] = [
        player.play,
        player.pause,
        player.position_s,
        lambda: (player.playing, player.loop, player.underruns, player.trouble),
        lambda: player.seek(chance.uniform(0.0, 2.0)),
        lambda: player.load(shorter, 0.5),
        lambda: player.retime(longer),
        lambda: player.set_loop(Span(0.1, 0.4)),
        lambda: player.set_loop(None),
        lambda: player.set_sound(SoundSettings(chanter_level=chance.choice((0.1, 0.5)))),
    ]
    try:
        for _ in range(60):
            chance.choice(calls)()
    except BaseException as error:
        failed.append(error)


@pytest.mark.parametrize("kind", ["silent", "sounding"])
def test_any_thread_may_call_a_player(speaker: Loudspeaker, sounding: Opened, kind: str) -> None:
    """Six at once: none raises, and whatever came last, tune, loop and settings go together."""
    player: Player = SilentPlayer() if kind == "silent" else sounding(speaker.device)
    player.load(schedule())
    failed: list[BaseException] = []
    threads = [threading.Thread(target=fidget, args=(player, seed, failed)) for seed in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert player.trouble == ""
    player.load(schedule(), 0.5)
    player.play()
    player.seek(0.75)
    wait_until(lambda: player.position_s() > 0.75)
    wait_until(lambda: not player.playing)
    assert player.position_s() == schedule().duration_s


def test_two_threads_leave_the_sound_and_the_time_of_one_tune(speaker: Loudspeaker, sounding: Opened) -> None:
    """One changes the tune, the other the sound: what is heard is the note of the tune that came last (E, 360 Hz)."""
    player = sounding(speaker.device)
    player.load(schedule())
    tunes = (schedule(), schedule(8.0))

    def change_sound() -> None:
        for turn in range(60):
            player.set_sound(SoundSettings(chanter_level=0.1 + 0.4 * (turn % 2), drones_level=0.0))

    other = threading.Thread(target=change_sound)
    other.start()
    for turn in range(60):
        player.load(tunes[turn % 2])
    other.join()
    player.seek(4.5)
    player.play()
    speaker.comes_to(360.0)
