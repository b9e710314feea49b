"""The player, heard through a real mixer."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import Tempo
from companion.sound.device import Device
from companion.sound.feeder import STALL_S
from companion.sound.mix import to_int16
from companion.sound.player import SilentPlayer
from companion.sound.renderer import Renderer
from companion.sound.settings import FADE_FRAMES, SAMPLE_RATE_HZ, SoundSettings, Voice
from companion.sound.sounding_player import SoundingPlayer, open_player
from tests.companion.sound.hearing import cents, peak_hz
from tests.companion.sound.loudspeaker import LATEST_FRAMES, Loudspeaker, open_loudspeaker, wait_until
from tests.companion.tune_building import notes, tune

SOUND = SoundSettings()
CHANTER_ALONE = replace(SOUND, drones_level=0.0)


def _schedule(text: str = "A gcd:c", slow_down: float = 1.0) -> Schedule:
    return build_schedule(tune(notes(text), tempo=Tempo(Fraction(1, 4), 120.0)), Timing(slow_down=slow_down))


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


@pytest.fixture
def player(speaker: Loudspeaker) -> Iterator[SoundingPlayer]:
    """A player on that loudspeaker, chanter alone."""
    sounding = SoundingPlayer(speaker.device, CHANTER_ALONE)
    yield sounding
    sounding.close()
    assert sounding.trouble == ""


def _steepest(samples: np.ndarray[tuple[int, ...], np.dtype[np.int16]]) -> int:
    return int(np.abs(np.diff(samples[:, 0].astype(int))).max())


def test_the_loudspeaker_gets_what_the_renderer_makes(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """Sample for sample, once the first fade is over: the same renderer makes a file and the live sound."""
    schedule = _schedule()
    player.load(schedule)
    player.play()
    wait_until(lambda: not player.playing)
    speaker.play_on(8_192)
    renderer = Renderer(schedule, CHANTER_ALONE)
    made = to_int16(renderer.render(renderer.frames_left))
    made = made[np.flatnonzero(made.any(axis=1))[0] :]
    heard = speaker.heard()
    if player.underruns == 0:  # a machine too busy to keep up proves nothing either way
        # the player's own fade from silence may swallow the first, faintest samples
        offset = next(i for i in range(FADE_FRAMES) if np.array_equal(heard[500:900], made[500 + i : 900 + i]))
        length = min(len(made) - offset, len(heard))
        assert length > 0.9 * schedule.duration_s * SAMPLE_RATE_HZ
        assert np.array_equal(heard[500:length], made[500 + offset : length + offset])


def test_the_samples_played_are_the_clock(player: SoundingPlayer) -> None:
    """The place grows to the end of the tune and stays there."""
    schedule = _schedule()
    player.load(schedule)
    player.play()
    places = [player.position_s()]
    while player.playing:
        places.append(player.position_s())
        time.sleep(0.001)  # the feeder's thread wants its turn
    assert places == sorted(places)
    assert player.position_s() == schedule.duration_s


def test_a_pause_falls_silent_and_playing_goes_on_there(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """Without a click at either moment."""
    player.load(_schedule("A"), 0.0)
    player.set_loop(Span(0.05, 0.2))
    player.play()
    speaker.play_on(9_600)
    player.pause()
    speaker.falls_silent()
    stood_s = player.position_s()
    player.play()
    assert player.position_s() == stood_s
    speaker.comes_to(240.0)
    heard = speaker.heard()
    if player.underruns == 0:
        assert _steepest(heard) <= 1.1 * _steepest(heard[1_000:4_000])


def test_a_change_of_pace_while_playing_does_not_click(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """The note goes on at its pitch and the place is the same note's.

    It is slow from the start: on a busy machine a quarter of a second is over before the first change.
    """
    player.load(_schedule("A", 8.0))
    player.play()
    wait_until(lambda: player.position_s() > 0.0)
    for slow_down in (32.0, 16.0, 32.0, 8.0):
        speaker.play_on(4_096)
        player.retime(_schedule("A", slow_down))
        assert player.playing
        assert 0.0 < player.position_s() < 0.25 * slow_down
    speaker.play_on(9_600)
    player.close()
    if player.underruns == 0:
        heard = speaker.heard()
        assert _steepest(heard) <= 1.1 * _steepest(heard[1_000:4_000])
        assert abs(cents(peak_hz(heard[:, 0].astype(float), 240.0), 240.0)) < 3.0


def test_a_change_of_level_or_voice_is_heard_without_a_click(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """Softer, then another voice; the tune goes on."""
    player.load(_schedule("A", 8.0))
    player.play()
    speaker.comes_to(240.0)
    loud = np.abs(speaker.heard()[2_000:4_000].astype(int)).max() / 32_767
    player.set_sound(replace(CHANTER_ALONE, chanter_level=0.1))
    speaker.comes_to_peak(0.2 * loud, within=0.05)
    player.set_sound(replace(CHANTER_ALONE, voice=Voice.PIPE))
    speaker.comes_to(480.0)
    assert player.playing


def test_a_seek_goes_to_another_note(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """What is heard is the note there, and the place is shown at once."""
    player.load(_schedule("A e", 16.0))
    player.play()
    speaker.play_on(4_096)
    player.seek(5.0)
    assert 5.0 <= player.position_s() < 6.0
    speaker.comes_to(360.0)


def test_a_loop_stays_within_its_ends(player: SoundingPlayer, speaker: Loudspeaker) -> None:
    """However long it goes on, picture and sound stay in the stretch."""
    player.load(_schedule("A c e a", 2.0))
    player.set_loop(Span(0.5, 1.0))
    player.play()
    for _ in range(12):
        speaker.play_on(4_096)
        assert 0.5 <= player.position_s() <= 1.0
    speaker.comes_to(300.0, 5.0)


def test_many_hands_at_once_do_no_harm(player: SoundingPlayer, speaker: Loudspeaker) -> None:
    """Four threads play, pause, seek, load and loop; the sound goes on and closing works."""
    schedules = [_schedule("A c e a", slow_down) for slow_down in (1.0, 2.0)]
    player.load(schedules[0])

    def fidget(seed: int) -> None:
        for turn in range(40):
            player.play()
            player.seek(0.1 * (seed + turn % 5))
            player.retime(schedules[turn % 2])
            player.set_loop(Span(0.1, 0.4) if turn % 3 else None)
            player.pause()

    threads = [threading.Thread(target=fidget, args=(seed,)) for seed in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    player.set_loop(None)
    player.load(schedules[1])
    player.play()
    speaker.play_on(4_096)
    assert player.playing


def test_a_loudspeaker_that_stalls_is_started_again(speaker: Loudspeaker, player: SoundingPlayer) -> None:
    """The watchdog waits a second, then begins anew, and counts it."""
    assert STALL_S <= 1.0
    player.load(_schedule("A", 32.0))
    player.play()
    wait_until(lambda: len(speaker.heard()) > 0)
    before = player.underruns
    speaker.device.channel(0).pause()
    speaker.falls_silent()
    wait_until(lambda: player.underruns > before)
    wait_until(lambda: bool(speaker.heard()[-LATEST_FRAMES:].any()))


def test_closing_ends_the_thread(speaker: Loudspeaker) -> None:
    """Even while a tune plays; a second time is no mistake."""
    player = SoundingPlayer(speaker.device, SOUND)
    player.load(_schedule("A", 32.0))
    player.play()
    player.close()
    player.close()
    assert "sound feeder" not in {thread.name for thread in threading.enumerate()}


def test_without_a_sound_card_there_is_a_silent_player_and_one_line(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """The line says what and what to do; the sound library's own complaints are kept off the terminal."""
    monkeypatch.setenv("SDL_AUDIODRIVER", "no-such-driver")
    opened = open_player(SOUND)
    assert isinstance(opened.player, SilentPlayer)
    assert opened.device is None
    assert opened.why_silent is not None
    assert opened.why_silent.startswith("no sound (")
    assert "\n" not in opened.why_silent
    opened.close()
    assert capfd.readouterr().err == ""


def test_with_a_sound_card_there_is_a_sounding_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Opened at 48 kHz, and given back when closed."""
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    opened = open_player(SOUND)
    assert isinstance(opened.player, SoundingPlayer)
    assert isinstance(opened.device, Device)
    assert opened.why_silent is None
    opened.close()
