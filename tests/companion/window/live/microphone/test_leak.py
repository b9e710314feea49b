"""What the loudspeaker plays is told to the microphone, and headphones are asked for once."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.sound.device import OUTPUT_DELAY_S
from companion.sound.player import SilentPlayer
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.sound.sounding_player import BLOCK_FRAMES, SoundingPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.live.microphone.words import HEADPHONES, HEADPHONES_FOR_S
from companion.window.play.play_screen import PlayScreen
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker, wait_until
from tests.companion.tune_building import notes, tune
from tests.companion.window import scenes
from tests.companion.window.live.microphone.listed import DESK, MicrophoneDesk

pytestmark = pytest.mark.same_everywhere

SOUND = SoundSettings()


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


def test_a_tap_is_told_of_each_block_and_when_it_will_be_heard(speaker: Loudspeaker) -> None:
    """In order, a block's length apart, not before it is handed over and soon after: the queue holds two blocks."""
    told: list[tuple[float, float, np.ndarray[tuple[int, ...], np.dtype[np.int16]]]] = []
    speaker.device.tap = lambda block, at_s: told.append((time.perf_counter(), at_s, block))
    player = SoundingPlayer(speaker.device, SOUND)
    player.load(build_schedule(tune(notes("A gcd:c")), Timing()))
    player.play()
    wait_until(lambda: sum(bool(block.any()) for *_, block in told) > 20)
    player.close()
    speaker.device.tap = None
    ahead_s = np.array([at_s - now_s for now_s, at_s, _ in told])
    apart_s = np.array([after[1] - one[1] for one, after in pairwise(told)])
    assert np.median(apart_s) == pytest.approx(BLOCK_FRAMES / SAMPLE_RATE_HZ, rel=0.1)
    assert 0.0 < np.median(ahead_s) < 2 * BLOCK_FRAMES / SAMPLE_RATE_HZ + OUTPUT_DELAY_S + 0.01


def test_the_microphone_is_told_what_sounds_while_it_is_listened_to(tmp_path: Path, speaker: Loudspeaker) -> None:
    """Mono, and no silence; nobody is told any more once it is let go."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.sound.open_on(speaker.device)
    desk.live.listen_to_microphone(DESK)
    desk.live.gather(None)
    tap = speaker.device.tap
    assert tap is not None
    block = np.full((BLOCK_FRAMES, 2), 8_192, np.int16)
    block[:, 1] = 0
    tap(block, 12.5)
    tap(np.zeros_like(block), 12.6)
    (order,) = [each for each in desk.system.orders if each[0] == "played"]
    assert order[2:4] == (12.5, SAMPLE_RATE_HZ)
    desk.live.listen_to(None)
    desk.live.gather(None)
    assert speaker.device.tap is None
    desk.live.close()


@pytest.mark.parametrize("muted", [False, True])
def test_headphones_are_asked_for_once_when_a_tune_sounds_too(
    tmp_path: Path, speaker: Loudspeaker, muted: bool
) -> None:
    """In one line, for a while; never where nothing sounds."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.sound.open_on(speaker.device)
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    level = 0.0 if muted else 0.5
    state = replace(scenes.state(), playing=True, sound=SoundSettings(chanter_level=level, drones_level=0.0))
    screen = PlayScreen(state, SilentPlayer(desk.clock), choose_tune, live=desk.live)
    said = []
    for _ in range(40):
        screen.listen_in()
        said.append(desk.live.beside(0.0).news)
        desk.clock.now_s += 1.0
    assert said == [HEADPHONES if each < HEADPHONES_FOR_S and not muted else "" for each in range(40)]
    screen.close()


def test_no_headphones_without_a_loudspeaker(tmp_path: Path) -> None:
    """The microphone cannot hear what is silent."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.live.sounds_beside()
    assert desk.live.beside(0.0).news == ""
