"""What is played in, heard through a real mixer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.midi.maps.touch import Touch
from companion.midi.ports.outlet import Outlet
from companion.sound.settings import LatencyMode, SoundSettings, live_settings
from companion.window.live.input import LiveInput
from companion.window.live.played_keys import PlayedKeys
from companion.window.live.sound import LiveSound
from fingering.chart import chart
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker

QUARTER = 12_000  # frames
LAYOUT = KeyLayout.for_upper_hand(UpperHand.LEFT)
CAPS = ("",) * 8


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


@pytest.mark.parametrize("way", LatencyMode)
def test_fingers_on_the_keys_are_heard_and_never_stick(speaker: Loudspeaker, way: LatencyMode) -> None:
    """E on the practice chanter is 360 Hz (3/2 of 240, Macpherson 1998); closing the window ends it with keys held."""
    live = LiveInput(None, LiveSound())
    live.sound.open_on(speaker.device)
    live.sound.use(live_settings(SoundSettings(), 0.5, drones=False), way)
    keys = PlayedKeys(LAYOUT, Touch.CLOSED, CAPS, live.sound.sound)
    live.play_keys(keys)
    for finger, scancode in enumerate(LAYOUT.scancodes):
        if chart(Note.E) >> finger & 1:
            keys.move(scancode, down=True)
    speaker.comes_to(360.0)
    live.close()
    speaker.falls_silent()


def test_at_level_nought_nothing_is_heard(speaker: Loudspeaker) -> None:
    """For an instrument that makes its own sound; turned up again, it is heard at once."""
    sound = LiveSound()
    sound.open_on(speaker.device)
    for level in (0.0, 0.5, 0.0):
        sound.use(live_settings(SoundSettings(), level, drones=True), LatencyMode.STREAMING)
        sound.sound(chart(Note.E))
        if level:
            speaker.comes_to(360.0)
        else:
            speaker.play_on(QUARTER)
            speaker.falls_silent()
    sound.close()


def test_what_is_set_before_the_loudspeaker_opens_holds_when_it_does(speaker: Loudspeaker) -> None:
    """The first frame does not wait for the sound."""
    sound = LiveSound()
    sound.use(live_settings(SoundSettings(), 0.5, drones=False), LatencyMode.STREAMING)
    sound.open_on(speaker.device)
    sound.sound(chart(Note.E))
    speaker.comes_to(360.0)
    sound.close()


def test_drones_sound_in_free_play_only() -> None:
    """Beside a tune its own drones sound already."""
    settings = SoundSettings(drones_level=0.25, metronome_level=0.5)
    assert live_settings(settings, 0.5, drones=False).drones_level == 0.0
    assert live_settings(settings, 0.5, drones=True).drones_level == 0.25
    assert live_settings(settings, 0.5, drones=True).metronome_level == 0.0


class Cut:
    """A cable that is pulled after so many messages."""

    def __init__(self, messages: int) -> None:
        self.left = messages
        self.closed = False

    def send(self, data: bytes) -> None:
        """One message, while there is a cable."""
        self.left -= 1
        if self.left < 0:
            raise UserError("the MIDI out port failed", "connect the synthesiser again")

    def close(self) -> None:
        """The port was let go."""
        self.closed = True


def test_an_out_port_that_fails_costs_one_line(speaker: Loudspeaker) -> None:
    """The loudspeaker sounds on, and nobody sends to the port any more."""
    cable = Cut(2)
    sound = LiveSound()
    sound.open_on(speaker.device)
    sound.use(live_settings(SoundSettings(), 0.5, drones=False), LatencyMode.STREAMING)
    sound.feed(Outlet(cable))  # type: ignore[arg-type]  # a handle by its two methods
    for note in (Note.LOW_A, Note.B, Note.C, Note.E):
        sound.sound(chart(note))
    assert sound.trouble == "the MIDI out port failed; connect the synthesiser again"
    assert cable.closed
    speaker.comes_to(360.0)
    sound.close()
