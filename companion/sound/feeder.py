"""Keeps one mixer channel supplied with samples and counts how many have been played."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import numpy as np
import pygame
from numpy.typing import NDArray

from companion.files.worker import Worker, fault_line
from companion.sound.device import OUTPUT_DELAY_S, Channel, make_sound
from companion.sound.settings import SAMPLE_RATE_HZ

# A stream that starts with a short block stalls now and then; this silence is long enough.
OPENING_FRAMES = 4_096
POLL_S = 0.0005
# No block lasts so long: a channel that has not asked for one by then has been stopped or has stalled.
STALL_S = 1.0
START_AGAIN = "close the window and open it again to hear it"


class SampleClock:
    """Tells how many frames have been played, between the moments at which a block is known to have begun.

    Those moments are seen late by up to a poll, so the clock follows them slowly; only a gap moves it at once.
    """

    FOLLOW = 0.1
    GAP_FRAMES = 0.05 * SAMPLE_RATE_HZ

    def __init__(self, clock: Callable[[], float], longest_ahead_frames: int) -> None:
        self._clock = clock
        self._longest_ahead = longest_ahead_frames
        self._anchor: tuple[float, float] | None = None
        self._begun = 0
        self._latest = 0.0
        self._fed = True

    def block_began(self, frame: int) -> None:
        """Note that the block which begins with `frame` has just begun to play."""
        now_s = self._clock()
        told = self._told(now_s)
        error = frame - told
        follow = 1.0 if self._anchor is None or abs(error) > self.GAP_FRAMES else self.FOLLOW
        self._anchor = (now_s, told + follow * error)
        self._begun = frame

    def frames(self) -> float:
        """The frames played up to now: no more than have been supplied, and never fewer than returned before."""
        told = self._told(self._clock())
        if self._fed:
            told = min(told, self._begun + self._longest_ahead)
        self._latest = max(self._latest, told)
        return self._latest

    def heard_at_s(self, frame: int) -> float | None:
        """When a frame is played, on the clock, whether it was already or will be; None before anything is."""
        if self._anchor is None:
            return None
        at_s, played = self._anchor
        return at_s + (frame - played) / SAMPLE_RATE_HZ

    def run_on(self) -> None:
        """Nothing will be supplied any more: from now on time passes as if it were played."""
        if self._anchor is None:
            self._anchor = (self._clock(), 0.0)
        self._fed = False

    def _told(self, now_s: float) -> float:
        if self._anchor is None:
            return 0.0
        at_s, frame = self._anchor
        return frame + (now_s - at_s) * SAMPLE_RATE_HZ


class Feeder:
    """A thread that asks `pull(frames)` for int16 stereo blocks and queues each as soon as the channel has room.

    The channel plays one block while one waits. Its device's tap is told of each. `underruns` counts the times that it
    ran dry, `stalls` the times that the watchdog had to start it again. Whatever `pull` or the channel raises ends the
    sound and is kept in `fault`; the time told by `played` then runs on in silence.
    """

    def __init__(
        self,
        channel: Channel,
        pull: Callable[[int], NDArray[np.int16]],
        block_frames: int,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self.underruns = 0
        self.stalls = 0
        self.played = SampleClock(clock, 2 * block_frames)
        self._channel = channel
        self._pull = pull
        self._block_frames = block_frames
        self._clock = clock
        self._pulled = 0
        self._asked_at_s = 0.0
        self._stop = threading.Event()
        self._worker = Worker(self._run, "sound feeder")

    @property
    def fault(self) -> BaseException | None:
        """What ended the sound, None while it goes on."""
        return self._worker.error

    @property
    def trouble(self) -> str:
        """One line about what ended the sound, and what to do; "" while it goes on."""
        return fault_line("the sound has failed", self.fault, START_AGAIN) if self.fault else ""

    def start(self) -> None:
        """Begin: silence first, then the first block."""
        self._worker.start()
        if self.fault:
            self.played.run_on()

    def close(self) -> None:
        """Stop feeding and silence the channel. Returns when the thread has ended."""
        self._stop.set()
        self._worker.join()
        self._channel.stop()

    def _open_channel(self) -> None:
        self._channel.play(make_sound(np.zeros((OPENING_FRAMES, 2), np.int16)))
        self._channel.queue(self._next_block())
        self._asked_at_s = self._clock()

    def _run(self) -> None:
        try:
            self._open_channel()
            while not self._stop.is_set():
                self._feed()
        except BaseException:
            self.played.run_on()
            raise

    def _feed(self) -> None:
        if not self._channel.is_waiting():
            self._block_wanted()
        elif self._clock() - self._asked_at_s > STALL_S:
            self.stalls += 1
            self._channel.stop()
            self._open_channel()
        else:
            time.sleep(POLL_S)

    def _block_wanted(self) -> None:
        self._asked_at_s = self._clock()
        self.played.block_began(self._pulled - self._block_frames)
        block = self._next_block()
        if not self._channel.is_busy():  # nor was it, if it ran dry while the block was made
            self.underruns += 1
        self._channel.queue(block)

    def _next_block(self) -> pygame.mixer.Sound:
        samples = self._pull(self._block_frames)
        tap, heard_at_s = self._channel.tap, self.played.heard_at_s(self._pulled)
        if tap and heard_at_s is not None:
            tap(samples, heard_at_s + OUTPUT_DELAY_S)
        self._pulled += self._block_frames
        return make_sound(samples)
