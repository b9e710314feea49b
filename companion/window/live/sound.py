"""Lets what is played in be heard: from the loudspeaker at its own level, and from a synthesiser at a MIDI out port."""

from __future__ import annotations

import threading

from companion.listen.model.played import Fingered, Sounded
from companion.midi.ports.outlet import Outlet
from companion.sound.device import Device, Tap
from companion.sound.live import LiveVoice, open_live_voice
from companion.sound.settings import LatencyMode, SoundSettings
from fingering.errors import UserError
from fingering.holes import HoleState


class LiveSound:
    """The live chanter and the MIDI out port, either of which may be missing. `sound` may be called from any thread.

    `trouble` is the line for the screen once the out port has failed.
    """

    def __init__(self) -> None:
        self.trouble = ""
        self._lock = threading.Lock()
        self._device: Device | None = None
        self._outlet: Outlet | None = None
        self._voice: LiveVoice | None = None
        self._set: tuple[SoundSettings, LatencyMode] | None = None
        self._tap: Tap | None = None

    @property
    def unheard(self) -> str:
        """One line once the loudspeaker sounds no more what is played in, "" while it does."""
        return self._voice.trouble if self._voice else ""

    def open_on(self, device: Device) -> None:
        """A loudspeaker was opened."""
        self._device = device
        device.tap = self._tap
        wanted, self._set = self._set, None
        if wanted:
            self.use(*wanted)

    @property
    def has_loudspeaker(self) -> bool:
        """Whether there is one."""
        return self._device is not None

    def tell(self, tap: Tap | None) -> None:
        """From now on this is told of what the loudspeaker plays of a tune; None for nobody."""
        self._tap = tap
        if self._device:
            self._device.tap = tap

    def feed(self, outlet: Outlet) -> None:
        """From now on sound through a MIDI out port as well."""
        self._outlet = outlet

    def use(self, settings: SoundSettings, way: LatencyMode) -> None:
        """Sound at the settings' chanter level, from now on. A level of 0 keeps nothing open but the out port."""
        before, self._set = self._set, (settings, way)
        if before == self._set or self._device is None:
            return
        if self._voice and settings.chanter_level and before and before[1] is way:
            self._voice.set_sound(settings)
            return
        self._exchange(None)
        if settings.chanter_level:
            self._exchange(open_live_voice(self._device, settings, way))

    def sound(self, state: HoleState | None) -> None:
        """From now on sound this hole state; None is silence."""
        with self._lock:
            if self._voice:
                self._voice.sound(state)
            if self._outlet:
                self._send(self._outlet, state)

    def close(self) -> None:
        """Fall silent everywhere and let go of the device, which stays open, and of the out port."""
        self._exchange(None)
        with self._lock:
            self._drop_outlet()

    def _exchange(self, voice: LiveVoice | None) -> None:
        """The lock is held for the exchange alone: opening and closing take longer than a sound may wait."""
        with self._lock:
            before, self._voice = self._voice, voice
        if before:
            before.close()

    def _send(self, outlet: Outlet, state: HoleState | None) -> None:
        try:
            outlet.play(Sounded(0.0, None) if state is None else Fingered(0.0, state))
        except UserError as error:
            self.trouble = str(error)
            self._drop_outlet()

    def _drop_outlet(self) -> None:
        outlet, self._outlet = self._outlet, None
        try:
            if outlet:
                outlet.close()
        except UserError as error:
            self.trouble = self.trouble or str(error)
