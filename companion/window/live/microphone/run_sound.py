"""The sound of one take while it is played, and until its file is whole: from the microphone that it is played on."""

from __future__ import annotations

import contextlib
import threading
import time
from pathlib import Path

from companion.hearing.microphone.source import MicrophoneSource, SoundKept
from companion.midi.takes.reading import sound_beside
from companion.midi.takes.recorder import Recorder

BEFORE_S = 9.0
"""A sound begins with its run, but no longer before the first note than this: what is not played is not recorded. The
microphone's process keeps 10 s (`microphone.recorder.PAST_S`)."""

RECORDED_WITHIN_S = 3.0
"""A file that is not closed so long after its end is taken as it is: its process hangs, or has failed."""


def is_over(kept: SoundKept | None) -> bool:
    """Whether nothing more will be written of a recording; so it is where there never was one."""
    return kept is None or kept.length_s is not None or bool(kept.trouble)


class RunSound:
    """The sound beside one take. `follow` and `end` are for the window's thread; any other may `wait`.

    take: what writes the take, whose name the sound gets once that has a file. from_s: from when on the sound is kept,
    on the clock that stamps the messages. tune_s: the time of the tune at that moment.
    """

    def __init__(self, microphone: MicrophoneSource, take: Recorder, from_s: float, tune_s: float) -> None:
        self._tune_s = tune_s
        self._microphone = microphone
        self._take = take
        self._from_s = from_s
        self._end_s: float | None = None
        self._path: Path | None = None
        self._kept: SoundKept | None = None
        self._left_s: float | None = None
        self._dropped = False
        self._whole = threading.Event()

    @property
    def tune_s(self) -> float:
        """The time of the tune at the first sample."""
        begins_s = self._kept.begins_s if self._kept else None
        return self._tune_s + (begins_s - self._from_s if begins_s is not None else 0.0)

    @property
    def trouble(self) -> str:
        """The line for the screen where no sound, or no more of it, can be kept; "" while all is well."""
        return self._kept.trouble if self._kept else ""

    @property
    def is_whole(self) -> bool:
        """Whether nothing more will be written of it."""
        return self._whole.is_set()

    def follow(self) -> None:
        """Once a frame: begin as soon as the take has a file and the sound of the take before is closed."""
        if self._path is None:
            self._begin()
        elif self._microphone.recording and self._microphone.recording.path == self._path:
            self._kept = self._microphone.recording
        self._see()

    def end(self, at_s: float) -> None:
        """The take is over: so is its sound."""
        self.follow()
        self._end_s, self._left_s = at_s, time.monotonic()
        if self._path:
            self._microphone.end_recording(at_s)
        self._see()

    def drop(self) -> None:
        """Nothing was played: leave no file once it is closed."""
        self._dropped = True
        self._see()

    def wait(self, most_s: float) -> Path | None:
        """The file once it is whole, so many seconds at most; None where there is none. The window's thread must not be
        the one that waits, unless it follows."""
        self._whole.wait(most_s)
        return self._path

    def _begin(self) -> None:
        take = self._take.path
        if take is None or self._dropped or not is_over(self._microphone.recording):
            return
        self._path = sound_beside(take)
        self._microphone.begin_recording(self._path, self._from_s)
        if self._end_s is not None:
            self._microphone.end_recording(self._end_s)
        self._kept = self._microphone.recording

    def _see(self) -> None:
        if self._left_s is not None and not self._whole.is_set():
            too_late = time.monotonic() - self._left_s > RECORDED_WITHIN_S
            if too_late or (self._kept and is_over(self._kept)):
                self._whole.set()
        if self._dropped and self._whole.is_set() and self._path:
            with contextlib.suppress(OSError):  # one that stays is no take
                self._path.unlink(missing_ok=True)
