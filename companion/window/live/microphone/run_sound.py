"""The sound of one take while it is played, and until its file is whole: from the microphone that it is played on."""

from __future__ import annotations

import contextlib
import threading
import time
from functools import partial
from pathlib import Path

from companion.files.worker import RUNNING, Worker
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState, SoundKept
from companion.midi.takes.reading import Take, sound_beside, voice_beside
from companion.midi.takes.recorder import Recorder
from companion.window.live.microphone.voice_files import keep_voice_beside

BEFORE_S = 9.0
"""A sound begins with its run, but no longer before the first note than this: what is not played is not recorded. The
microphone's process keeps 10 s (`microphone.recorder.PAST_S`)."""

RECORDED_WITHIN_S = 3.0
"""A file that is not closed so long after its end is taken as it is: its process hangs, or has failed."""


LEARNT_SHARE = 0.1
"""A chanter sounded in a run that was learnt from by this much more of what is needed: nearly half a second of it
(`live_hearing.FIRST_TONAL_S`)."""


def is_over(kept: SoundKept | None) -> bool:
    """Whether nothing more will be written of a recording; so it is where there never was one."""
    return kept is None or kept.length_s is not None or bool(kept.trouble)


class RunSound:
    """The sound beside one take. All but `wait` is for the window's thread.

    recorder: what writes the take, whose name the sound gets once that has a file. from_s: from when on the sound is
    kept, on the clock that stamps the messages. voice: by which its chanter was heard, once it is over; None where that
    was still being learnt. is_untold: whether one sounded that was, so that none of its notes were told.
    """

    def __init__(self, microphone: MicrophoneSource, recorder: Recorder, from_s: float) -> None:
        self._microphone = microphone
        self._recorder = recorder
        self._from_s = from_s
        self._end_s: float | None = None
        self._ended_s: float | None = None
        self._path: Path | None = None
        self.voice: bytes | None = None
        self.is_untold = False
        self._learnt, self._learnt_before = 0.0, microphone.share_learnt
        self._kept: SoundKept | None = None
        self._settled = self._empty = False
        self._take: Take | None = None
        self._whole = threading.Event()
        self._kept_voice: bytes | None = None
        self._keeping: Worker[None] | None = None

    @property
    def trouble(self) -> str:
        """The line for the screen where no sound, or no more of it, can be kept; "" while all is well."""
        return self._kept.trouble if self._kept else ""

    @property
    def is_whole(self) -> bool:
        """Whether nothing more will be written of it, nor of its take."""
        return self._whole.is_set()

    @property
    def sounded_untold(self) -> bool:
        """Whether a chanter sounds, or sounded, that is still being learnt, so that no note of it was told by now."""
        if self._ended_s is not None:
            return self.is_untold
        return self._learnt >= LEARNT_SHARE and self._microphone.state is MicrophoneState.LEARNING

    def follow(self) -> None:
        """Once a frame: begin as soon as the take has a file and the sound of the take before is closed."""
        share = self._microphone.share_learnt
        if self._ended_s is None:
            self._learnt += max(0.0, share - self._learnt_before)
            self._learnt_before = share
        if self._path is None:
            self._begin()
        elif self._microphone.recording and self._microphone.recording.path == self._path:
            self._kept = self._microphone.recording
        self._see()
        self._keep_known_voice()

    def _keep_known_voice(self) -> None:
        """Keep what the chanter is heard by beside the take as soon as it is known, and not only at its end: then it is
        there as well where the program, or the computer, is ended meanwhile."""
        voice, busy = self._microphone.voice, self._keeping is not None and self._keeping.outcome is RUNNING
        if self._path is None or self._ended_s is not None or busy or voice in (None, self._kept_voice):
            return
        assert voice is not None
        self._kept_voice = voice
        self._keeping = Worker(partial(keep_voice_beside, self._path, voice), "voice writer")
        self._keeping.start()

    def end_voice(self, take: Path | None) -> None:
        """Keep beside the take that has ended what it was heard by, whatever was kept before. For another thread."""
        if self._keeping:
            self._keeping.join()
        if self.voice is not None and take:
            keep_voice_beside(take, self.voice)

    def end(self, at_s: float) -> None:
        """The take is over: so is its sound."""
        self.follow()
        self.voice = self._microphone.voice
        self.is_untold = self.sounded_untold
        self._end_s, self._ended_s = at_s, time.monotonic()
        if self._path:
            self._microphone.end_recording(at_s)

    def settle(self, take: Take | None) -> None:
        """Nothing more is written of the take; None where it could not be ended well."""
        self._take, self._settled = take, True
        self._see()

    def drop(self) -> None:
        """Nothing was played, and there is no take: no sound is left either."""
        self._empty = self._settled = True
        self._see()

    def wait(self, most_s: float) -> Take | None:
        """The take, once it and its sound are whole, so many seconds at most; None where there is none."""
        self._whole.wait(most_s)
        return self._take

    def _begin(self) -> None:
        take = self._recorder.path
        if take is None or self._settled or not is_over(self._microphone.recording):
            return
        self._path = sound_beside(take)
        self._microphone.begin_recording(self._path, self._from_s)
        if self._end_s is not None:
            self._microphone.end_recording(self._end_s)
        self._kept = self._microphone.recording

    def _see(self) -> None:
        if self._ended_s is None or not self._settled or self._whole.is_set():
            return
        too_late = time.monotonic() - self._ended_s > RECORDED_WITHIN_S
        if too_late or self._path is None or is_over(self._kept):
            for path in (self._path, voice_beside(self._path)) if self._path and self._empty else ():
                with contextlib.suppress(OSError):  # one that stays is no take
                    path.unlink(missing_ok=True)
            self._whole.set()
