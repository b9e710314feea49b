"""Plays a schedule through the loudspeaker, or opens a silent player where there is none.

The program's main must call `sys.setswitchinterval(0.0005)` and sleep a little every frame: with Python's usual 5 ms a
busy draw loop starves the feeder's thread.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.schedule.count_in import CountIn, count_in
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Going, Repeat
from companion.schedule.spans import Span
from companion.sound.device import DEVICE_FRAMES, OUTPUT_DELAY_S, TUNE_CHANNEL, Device
from companion.sound.feeder import Feeder
from companion.sound.mix import crossfade, to_int16
from companion.sound.player import Moved, Player, SilentPlayer, retime, rewrite, rounds_of, same
from companion.sound.recorded_line import RecordedSound
from companion.sound.renderer import Renderer
from companion.sound.settings import FADE_FRAMES, SAMPLE_RATE_HZ, SoundSettings
from companion.sound.transport import Transport
from fingering.errors import UserError

# Four of the device's blocks: 21 ms in which a busy window may keep the feeder waiting.
BLOCK_FRAMES = 4 * DEVICE_FRAMES


class SoundingPlayer:
    """A player through the loudspeaker. The samples that have been played are its clock.

    Renderers are made by the caller's thread, one after the other, and handed over under another lock; the feeder's
    thread renders. One that is taken out fades into the next, or into silence. The tune runs on where the feeder fails.
    """

    def __init__(self, device: Device, settings: SoundSettings) -> None:
        self._settings = settings
        self._making = threading.Lock()
        self._lock = threading.Lock()
        self._schedule: Schedule | None = None
        self._repeat: Repeat | None = None
        self._recorded: RecordedSound | None = None
        self._renderer: Renderer | None = None
        self._sounding: Renderer | None = None
        self._leaving: Renderer | None = None
        self._changed = False
        self._pulled_frames = 0
        self._feeder = Feeder(device.channel(TUNE_CHANNEL), self._pull, BLOCK_FRAMES)
        self._transport = Transport(self._next_s, self._heard_s, self._count_at)
        self._feeder.start()

    def _next_s(self) -> float:
        """When what is done now will be heard: after all that waits in the queue, which a fault has emptied."""
        return self._heard_s() if self._feeder.fault else self._pulled_frames / SAMPLE_RATE_HZ

    def _heard_s(self) -> float:
        return self._feeder.played.frames() / SAMPLE_RATE_HZ - OUTPUT_DELAY_S

    @property
    def playing(self) -> bool:
        """Whether the tune runs; it stops by itself at its end."""
        with self._lock:
            return self._transport.playing

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, None for none."""
        with self._lock:
            return self._transport.loop

    @property
    def going(self) -> Going | None:
        """The round that is heard now, None where nothing is repeated."""
        with self._lock:
            return self._transport.going

    @property
    def count(self) -> CountIn | None:
        """The count-in that is heard now, None while there is none."""
        with self._lock:
            return self._transport.count

    @property
    def underruns(self) -> int:
        """How often the loudspeaker ran out of samples, the watchdog's restarts included."""
        return self._feeder.underruns + self._feeder.stalls

    @property
    def trouble(self) -> str:
        """One line about what ended the sound, "" while it goes on."""
        return self._feeder.trouble

    def position_s(self) -> float:
        """The moment of the schedule that is heard now."""
        with self._lock:
            return self._transport.position_s()

    def load(self, schedule: Schedule, at_s: float = 0.0, recorded: RecordedSound | None = None) -> None:
        """Load another tune, at `at_s`, without a loop; it plays if the one before did."""
        with self._making:
            self._recorded = recorded
            renderer = self._made(schedule)
            renderer.make_ready(at_s)
            with self._lock:
                running = self._transport.playing
                self._schedule, self._repeat = schedule, None
                self._transport.load(schedule.duration_s, at_s)
                self._replace(renderer, running)

    def retime(self, schedule: Schedule) -> None:
        """Load the same performance at another pace: place and loop stay at the same notes."""
        with self._making:
            self._recorded = None
            renderer = self._made(schedule)
            with self._lock:
                running = self._transport.playing
                old, self._schedule = self._schedule or schedule, schedule
                self._repeat = retime(self._transport, self._repeat, old, schedule)
                self._replace(renderer, running)

    def rewrite(self, schedule: Schedule, moved: Moved, repeat: Repeat | None) -> None:
        """Load the same tune as it was written anew, and go on in it without a stop."""
        with self._making:
            self._recorded = None
            renderer = self._made(schedule)
            with self._lock:
                running = self._transport.playing
                self._schedule, self._repeat = schedule, repeat
                rewrite(self._transport, schedule, moved, repeat)
                self._replace(renderer, running)

    def set_sound(self, settings: SoundSettings) -> None:
        """Change levels, voice, pitch or tuning from the next block on."""
        with self._making:
            self._settings = settings
            if self._schedule is not None:
                renderer = self._made(self._schedule)
                with self._lock:
                    if not settings.metronome_level:
                        self._transport.count_anew()
                    self._replace(renderer, self._transport.playing)

    def play(self) -> None:
        """Play on; after the end, from the start."""
        with self._making:
            # Another renderer, since what sounded may still be fading when the silence of a count-in begins.
            fresh = self._made(self._schedule) if self._schedule is not None else None
            if fresh is not None:
                fresh.make_ready(self._place_s())
            with self._lock:
                if fresh is not None and not self._transport.playing:
                    self._transport.play()
                    self._replace(fresh, running=True)

    def _place_s(self) -> float:
        with self._lock:
            return self._transport.next_place_s()

    def pause(self) -> None:
        """Stop, keeping the place."""
        with self._lock:
            self._transport.pause()
            self._sound(None)

    def seek(self, at_s: float) -> None:
        """Go to `at_s`."""
        with self._lock:
            self._transport.seek(at_s)
            self._follow_transport()

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over; None plays on to the end."""
        self.repeat(Repeat((span,)) if span else None)

    def repeat(self, repeat: Repeat | None) -> None:
        """Play stretches over and over, round by round; None plays on to the end."""
        with self._lock:
            if same(repeat, self._repeat):
                return
            before = self._transport.next_place_s(), self._transport.next_turn()
            self._repeat = repeat
            self._transport.repeat(rounds_of(repeat, self._schedule))
            if self._renderer is not None:
                self._renderer.repeat(self._transport.rounds, self._transport.next_rank())
            if (self._transport.next_place_s(), self._transport.next_turn()) != before:
                self._follow_transport()

    def close(self) -> None:
        """Stop the feeder. The device stays open."""
        self._feeder.close()

    def _count_at(self, place_s: float) -> CountIn | None:
        return count_in(self._schedule, place_s) if self._schedule and self._settings.metronome_level else None

    def _made(self, schedule: Schedule) -> Renderer:
        """A renderer with the settings in force. For a caller that holds `_making`."""
        bank = self._renderer.bank if self._renderer else None
        return Renderer(schedule, self._settings, bank=bank, recorded=self._recorded)

    def _replace(self, renderer: Renderer, running: bool) -> None:
        """Let `renderer` take over where the transport stands."""
        before, self._renderer = self._renderer, renderer
        renderer.repeat(self._transport.rounds, self._transport.next_rank())
        renderer.seek(self._transport.next_place_s(), self._transport.next_count())
        if before is not None:
            renderer.follow(before)
        self._sound(renderer if running else None)

    def _follow_transport(self) -> None:
        if self._renderer is not None:
            self._renderer.repeat(self._transport.rounds, self._transport.next_rank())
            self._renderer.seek(self._transport.next_place_s(), self._transport.next_count())
            self._sound(self._renderer if self._transport.playing else None)

    def _sound(self, renderer: Renderer | None) -> None:
        """From the next block on `renderer` sounds; what has been heard last fades out."""
        if renderer is self._sounding:
            return
        if not self._changed:
            self._leaving, self._changed = self._sounding, True
        self._sounding = renderer
        if self._leaving is renderer:
            self._leaving, self._changed = None, False

    def _pull(self, frames: int) -> NDArray[np.int16]:
        with self._lock:
            block = self._rendered(frames)
            self._pulled_frames += frames
        return to_int16(block)

    def _rendered(self, frames: int) -> NDArray[np.float32]:
        block = self._sounding.render(frames) if self._sounding else np.zeros((frames, 2), np.float32)
        if self._changed:
            old = self._leaving.render(FADE_FRAMES) if self._leaving else np.zeros((FADE_FRAMES, 2), np.float32)
            crossfade(old, block)
            self._leaving, self._changed = None, False
        if self._sounding is not None and self._sounding.finished:
            self._sounding = None
        return block


@dataclass(frozen=True, slots=True)
class OpenedPlayer:
    """A player, and one line about why it is silent, None if it is not."""

    player: Player
    device: Device | None
    why_silent: str | None

    def close(self) -> None:
        """Stop the player, then give the device back."""
        self.player.close()
        if self.device is not None:
            self.device.close()


def open_player(settings: SoundSettings, clock: Callable[[], float] = time.perf_counter) -> OpenedPlayer:
    """A sounding player; where no sound is to be had, a silent one on `clock`, with the reason."""
    try:
        device = Device()
    except UserError as error:
        return OpenedPlayer(SilentPlayer(clock), None, str(error))
    return OpenedPlayer(SoundingPlayer(device, settings), device, None)
