"""The real window, a real microphone of a JACK server, and another process that plays a chanter's sound into it."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest

from companion.files.folders import OVERRIDE
from companion.hearing.microphone.driver import JACK_INPUTS
from companion.listen.model.played import Sounded
from companion.midi.maps.memory import read_memory
from companion.midi.ports.driver import Backend
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.timing import Timing
from companion.window.core.actions import Action
from companion.window.lanes.played_in import Light
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.microphone.voice_files import write_voice
from companion.window.live.sound import LiveSound
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.program import Opening, play_screen
from companion.window.shell import Shell, WindowSize
from tests.companion.hearing.microphone.room import PERIOD, only_jack, player, some_take, voice_of
from tests.companion.midi.jack import jack_server
from tests.companion.window import scenes

pytestmark = pytest.mark.same_everywhere

GIVES_UP_S = 30.0


@pytest.fixture(autouse=True)
def _window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The window draws into memory, and a JACK server is all the sound there is."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    only_jack(monkeypatch, tmp_path)
    interval_s = sys.getswitchinterval()
    sys.setswitchinterval(0.0005)
    pygame.display.quit()
    with jack_server(PERIOD):
        yield
    pygame.display.quit()
    sys.setswitchinterval(interval_s)


def test_a_chanter_played_before_a_microphone_is_followed_kept_and_remembered(tmp_path: Path) -> None:
    """Chosen from the list, it is heard by a voice that is kept; what is played beside the tune moves the fingers, and
    a take with its sound is left when the window closes."""
    recording = some_take()
    write_voice(tmp_path, JACK_INPUTS, voice_of(recording))
    opening = Opening((scenes.tune(),), scenes.tune(), Timing(slow_down=8.0), size=WindowSize(800, 600), playing=False)
    live = LiveInput(tmp_path / "takes", LiveSound())
    screen = play_screen(opening, live)
    shell = Shell(screen, opening.display, opening.size)

    def run_until(done: Callable[[], bool]) -> None:
        gives_up_s = time.monotonic() + GIVES_UP_S
        while not done():
            assert time.monotonic() < gives_up_s, live.freely(live.clock())
            screen.listen_in()
            assert shell.frame()
            time.sleep(0.001)

    live.open(Instruments(tmp_path, Backend.JACK), None)
    listed = InstrumentScreen(screen)
    run_until(lambda: listed.row_count() > 3)
    listed.choose(0)
    microphone = live.choice.microphone
    assert microphone is not None
    run_until(lambda: live.freely(live.clock()).words == f"listening to {JACK_INPUTS}")
    assert live.freely(live.clock()).light is Light.QUIET
    with player() as chanter:
        chanter.connect()
        screen.act(Action.PLAY)
        run_until(lambda: screen.state.playing)
        chanter.play(recording.samples, tmp_path)
        began_s = time.monotonic()
        run_until(lambda: time.monotonic() - began_s > recording.duration_s + 0.5)
        assert live.beside(screen.position_s()).light is Light.ARRIVING
        pygame.event.post(pygame.event.Event(pygame.QUIT))
        shell.run(screen.listen_in)
    takes = [read_take(each.path) for each in list_takes(tmp_path / "takes").takes]
    assert takes
    assert all(take.sound for take in takes)
    heard = [each.note for take in takes for each in take.events if isinstance(each, Sounded) and each.note is not None]
    assert len(heard) > 0.8 * len(recording.notes)
    assert {each.note for each in recording.notes} <= set(heard)
    assert np.ptp([take.heading.sound_starts_s or 0.0 for take in takes]) < 10.0
    assert read_memory(tmp_path).last_microphone == JACK_INPUTS
