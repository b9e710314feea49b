"""The live chanter: sounds hole states as they are played, beside the player of a tune.

There are two ways, both mixed with the tune by the device. Streaming is clean: short blocks, each change a cross-fade.
The low-latency way starts an endless tone for each state: about 10 ms sooner, with a small click at each change.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import pygame
from numpy.typing import NDArray

from companion.files.worker import fault_line
from companion.sound.device import DEVICE_FRAMES, LIVE_CHANNELS, Device, make_sound
from companion.sound.feeder import START_AGAIN, Feeder
from companion.sound.mix import LIVE_CEILING, crossfade, limited, to_int16
from companion.sound.settings import FADE_FRAMES, LatencyMode, SoundSettings
from companion.sound.tone import Loop
from companion.sound.voices import Drones, VoiceBank
from fingering.holes import HoleState

HUSH_MS = 10


class LiveVoice(Protocol):
    """What a program needs of a live chanter. Any thread may call; nothing blocks for more than a moment.

    Levels are those of the settings: `chanter_level` is the live chanter's own. Drones sound with the streaming way
    only, so that free play has them; set `drones_level` to 0 where the tune's drones sound already.
    """

    @property
    def underruns(self) -> int:
        """How often the loudspeaker ran out of samples."""

    @property
    def trouble(self) -> str:
        """One line once it cannot be heard any more: why, and what to do; "" while all is well."""

    def sound(self, state: HoleState | None) -> None:
        """Sound `state` from now on (for a note: its state in the chart); None is silence."""

    def set_sound(self, settings: SoundSettings) -> None:
        """Change levels, voice, pitch or tuning from now on."""

    def close(self) -> None:
        """Stop the sound and release the device, which stays open."""


@dataclass(frozen=True, slots=True, eq=False)
class _Air:
    """What sounds from one change to the next: a tone or none, by how much the tune's frame lags it, and drones."""

    loop: Loop | None
    offset: int
    gain: float
    drones: Drones
    drones_gain: float

    def render(self, frame: int, frames: int) -> NDArray[np.float32]:
        """`frames` frames from `frame` on, shape (frames, 2)."""
        out = np.zeros((frames, 2), np.float32)
        if self.drones_gain:
            self.drones.write(out, frame, self.drones_gain)
        if self.loop is not None:
            out += (np.float32(self.gain) * self.loop.cut(frame + self.offset, frames))[:, np.newaxis]
        return out


class StreamingVoice:
    """A live chanter in blocks of 5.3 ms; a change begins with the next block and takes 5 ms."""

    def __init__(self, device: Device, settings: SoundSettings) -> None:
        self._timbre = VoiceBank(settings), settings
        self._state: HoleState | None = None
        self._frame = 0
        self._heard = self._wanted()
        self._air = self._following(None)
        self._feeder = Feeder(device.channel(LIVE_CHANNELS[0]), self._pull, DEVICE_FRAMES)
        self._feeder.start()

    @property
    def underruns(self) -> int:
        """How often the loudspeaker ran out of samples, the watchdog's restarts included."""
        return self._feeder.underruns + self._feeder.stalls

    @property
    def trouble(self) -> str:
        """One line about what ended the sound, "" while it goes on."""
        return self._feeder.trouble

    def sound(self, state: HoleState | None) -> None:
        """Sound `state` from the next block on; None is silence."""
        self._state = state

    def set_sound(self, settings: SoundSettings) -> None:
        """Change levels, voice, pitch or tuning from the next block on."""
        bank, _ = self._timbre
        self._timbre = bank if bank.fits(settings) else VoiceBank(settings), settings  # one step, which no block splits

    def close(self) -> None:
        """Stop the feeder."""
        self._feeder.close()

    def _wanted(self) -> tuple[VoiceBank, SoundSettings, HoleState | None]:
        return *self._timbre, self._state

    def _pull(self, frames: int) -> NDArray[np.int16]:
        wanted = self._wanted()
        if wanted == self._heard:
            block = self._air.render(self._frame, frames)
        else:
            left = self._air.render(self._frame, FADE_FRAMES)
            self._heard = wanted
            self._air = self._following(self._air)
            block = self._air.render(self._frame, frames)
            crossfade(left, block)
        self._frame += frames
        return to_int16(block)

    def _following(self, before: _Air | None) -> _Air:
        """The sound that is now wanted, its tone in phase with the one before."""
        bank, settings, state = self._heard
        gains = limited(settings, LIVE_CEILING)
        loop = None if state is None else bank.chanter.loop(state)
        offset = 0
        if loop is not None and before is not None and before.loop is not None:
            offset = loop.frame_at(before.loop.phase_at(self._frame + before.offset)) - self._frame
        return _Air(loop, offset, gains.chanter, bank.drones, gains.drones)


class LoopedVoice:
    """A live chanter of the low-latency way: a change sounds with the device's next block."""

    underruns = 0

    def __init__(self, device: Device, settings: SoundSettings) -> None:
        self.trouble = ""
        self._lock = threading.Lock()
        self._channels = [device.channel(number) for number in LIVE_CHANNELS]
        self._state: HoleState | None = None
        self._use(settings)

    def sound(self, state: HoleState | None) -> None:
        """Sound `state` at once; None is silence."""
        with self._lock:
            if state != self._state:
                self._state = state
                self._start(state)

    def set_sound(self, settings: SoundSettings) -> None:
        """Change levels, voice, pitch or tuning at once."""
        with self._lock:
            self._use(settings)
            self._start(self._state)

    def close(self) -> None:
        """Stop the sound."""
        with self._lock:
            for channel in self._channels:
                channel.stop()

    def _use(self, settings: SoundSettings) -> None:
        self._bank = VoiceBank(settings)
        self._gain = limited(settings, LIVE_CEILING).chanter
        self._sounds: dict[HoleState, pygame.mixer.Sound] = {}

    def _start(self, state: HoleState | None) -> None:
        if self.trouble:
            return
        try:
            self._change_to(state)
        except (pygame.error, MemoryError) as error:
            self.trouble = fault_line("the sound has failed", error, START_AGAIN)

    def _change_to(self, state: HoleState | None) -> None:
        sounding, resting = self._channels
        if state is None:
            sounding.fade_out(HUSH_MS)
            return
        resting.play(self._made(state), loops=-1)
        sounding.stop()
        self._channels.reverse()

    def _made(self, state: HoleState) -> pygame.mixer.Sound:
        found = self._sounds.get(state)
        if found is None:
            loop = self._bank.chanter.loop(state)
            mono = to_int16(np.float32(self._gain) * loop.cut(0, loop.frames))
            found = self._sounds[state] = make_sound(np.column_stack((mono, mono)))
        return found


def open_live_voice(device: Device, settings: SoundSettings, way: LatencyMode = LatencyMode.STREAMING) -> LiveVoice:
    """Open a live chanter of either way on an opened device."""
    return StreamingVoice(device, settings) if way is LatencyMode.STREAMING else LoopedVoice(device, settings)
