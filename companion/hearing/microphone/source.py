"""One microphone as the window sees it: it brings the messages of a MIDI port, and nothing here waits for it."""

from __future__ import annotations

import base64
import enum
import os
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from fingering.errors import UserError
from fingering.notes import Note

CHANNEL = 0
_MOST_UNFETCHED = 65536
"""Notes kept for a frame that does not come; a chanter plays some 20 a second at most."""

_FULL_SCALE = 32767

Send = Callable[..., None]
"""Hands an order to the process: see `service`."""


class MicrophoneState(enum.Enum):
    """CONNECTING: asked for, not answered yet. WAITING: open, and no chanter was heard yet. LEARNING: what this chanter
    sounds like. HEARING: its notes. LOST: not there, or it does not open; `trouble` says why."""

    CONNECTING = "connecting"
    WAITING = "waiting"
    LEARNING = "learning"
    HEARING = "hearing"
    LOST = "lost"


@dataclass(frozen=True, slots=True)
class SoundKept:
    """A recording. begins_s: when its first sample sounded, on the clock of time.perf_counter, None until that is
    known. length_s: how long it is, once it is over. trouble: why no more of it is kept, "" while all is well."""

    path: Path
    begins_s: float | None = None
    length_s: float | None = None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ScaleHeard:
    """A scale from which a chanter is learnt. known: the notes that were held long enough. wanted: the note to be
    played next, None once all are known. sounding: the one that is heard now. share_held: 0 to 1, how long it has been.
    trouble: what to do where it was not heard as a scale, "" for nothing. done: whether all nine are learnt."""

    known: tuple[Note, ...] = ()
    wanted: Note | None = Note.LOW_G
    sounding: Note | None = None
    share_held: float = 0.0
    trouble: str = ""
    done: bool = False


class MicrophoneSource:
    """One microphone by name, for the main thread; another thread puts in what the process tells.

    share_learnt: 0 to 1, how much of its chanter is learnt. level_db: how loud it is, 0 for the loudest that there can
    be. clipped: whether it is too loud at present. trouble: the line for the screen, "" while all is well.
    learnt_bytes: what was learnt of its chanter, to be kept by its name. recording: the last recording that was begun.
    scale: the scale from which it is learnt, None where it is learnt from what is played.
    lost_s: seconds of sound that the computer did not deliver, of which nothing was heard.
    """

    def __init__(self, number: int, name: str, send: Send, clock: Callable[[], float] = time.perf_counter) -> None:
        self.number = number
        self.name = name
        self.state = MicrophoneState.CONNECTING
        self.last_message_s: float | None = None
        self.share_learnt = 0.0
        self.level_db = float("-inf")
        self.clipped = False
        self.trouble = ""
        self.learnt_bytes: bytes | None = None
        self.recording: SoundKept | None = None
        self.scale: ScaleHeard | None = None
        self.lost_s = 0.0
        self._send = send
        self._clock = clock
        self._kept: bytes | None = None
        self._asked = False
        self._unfetched: deque[tuple[float, Note | None]] = deque(maxlen=_MOST_UNFETCHED)
        self._sounding: Note | None = None

    @property
    def voice(self) -> bytes | None:
        """What its chanter is heard by: learnt of what was played, or kept from before; None while nothing is known."""
        return self.learnt_bytes or self._kept

    def fetch(self) -> Iterator[Timed]:
        """Yield the notes heard since the last call, in order, each stamped with when it began.

        A note that follows another begins before that one is let go, as from a chanter that is played on.
        """
        for _ in range(len(self._unfetched)):
            at_s, note = self._unfetched.popleft()
            self.last_message_s = at_s
            yield from self._change_to(note, at_s)

    def use_kept(self, voice: bytes) -> None:
        """Hear by what was learnt before and kept (`learnt_bytes`), instead of learning anew."""
        self._kept = voice
        if self._asked:
            self._send("keep", self.number, _text(voice))

    def begin_scale(self) -> None:
        """Learn this chanter from a scale that is played now, low G first, each note held for half a second at least.

        `scale` tells how far that is; once it is done, `learnt_bytes` is what was learnt, and it is heard by it.
        """
        self.scale = ScaleHeard()
        self._send("scale", self.number, True)

    def leave_scale(self) -> None:
        """Leave off the scale, done or not."""
        self.scale = None
        self._send("scale", self.number, False)

    def begin_recording(self, path: Path, began_s: float) -> None:
        """Keep what sounds from `began_s` on (time.perf_counter, some seconds ago at most) in a FLAC file.

        The file is made at once under its own name, which must be free; `recording` tells what becomes of it.
        """
        self.recording = SoundKept(path)
        if self.state is MicrophoneState.LOST:
            self.recording = SoundKept(path, trouble=self.trouble)
        self._send("record", self.number, os.fspath(path), began_s)

    def end_recording(self, at_s: float) -> None:
        """Keep what sounds up to `at_s`, and close the file; that is done once `recording` has a length."""
        self._send("stop", self.number, at_s)

    def played_by_us(self, samples: NDArray[np.float32], rate_hz: float, at_s: float) -> None:
        """Tell what our loudspeaker plays: float32 mono, -1 to 1, the first sample at `at_s` (time.perf_counter)."""
        clipped = np.clip(samples * _FULL_SCALE, -_FULL_SCALE, _FULL_SCALE).astype("<i2")
        self._send("played", self.number, at_s, rate_hz, _text(clipped.tobytes()))

    def open(self) -> None:
        """Ask for the microphone, anew where it was lost."""
        self.state, self.trouble, self._asked = MicrophoneState.CONNECTING, "", True
        self._send("open", self.number, self.name)
        if self.voice is not None:
            self._send("keep", self.number, _text(self.voice))

    def lose(self, trouble: str) -> None:
        """It is not there: what sounded ends, and `trouble` says why. Any thread may call."""
        if self.state is not MicrophoneState.LOST:
            self._unfetched.append((self._clock(), None))
        self.trouble, self.state, self._asked = trouble, MicrophoneState.LOST, False
        if self.recording and self.recording.length_s is None and not self.recording.trouble:
            self.recording = replace(self.recording, trouble=trouble)

    def answered(self, answer: list[Any]) -> None:
        """What the process tells of this microphone."""
        match answer:
            case ["heard", _, float(at_s), letter, _]:
                self._unfetched.append((at_s, _note(letter)))
            case ["state", _, str(state), share, level_db, clipped]:
                self.share_learnt, self.level_db, self.clipped = share, level_db, clipped
                self.state = MicrophoneState(state)
            case ["learnt", _, str(voice)]:
                self.learnt_bytes = base64.b64decode(voice)
            case ["scale", _, str(known), wanted, sounding, share_held, str(trouble), bool(done)]:
                if self.scale and not self.scale.done:
                    notes = tuple(map(Note.from_letter, known))
                    self.scale = ScaleHeard(notes, _note(wanted), _note(sounding), share_held, trouble, done)
            case ["not kept", _, what, remedy]:
                self._kept = None
                self.trouble = one_line(str(UserError(what, remedy)))
            case ["overrun", _, float(lost_s)]:
                self.lost_s += lost_s
            case ["recording" | "recorded" | "unrecorded", _, str(path), *what]:
                if self.recording and os.fspath(self.recording.path) == path:
                    self._recorded(answer[0], what)
            case ["refused" | "lost", _, what, remedy]:
                self.lose(one_line(str(UserError(what, remedy))))

    def _recorded(self, kind: str, what: list[Any]) -> None:
        """What the process tells of the recording that was begun last."""
        assert self.recording
        match kind, what:
            case "recording", [float(begins_s)]:
                self.recording = replace(self.recording, begins_s=begins_s)
            case "recorded", [float(length_s)]:
                self.recording = replace(self.recording, length_s=length_s)
            case "unrecorded", [str(what_is_wrong), str(remedy), str(place)]:
                trouble = one_line(str(UserError(what_is_wrong, remedy, place or None)))
                self.recording = replace(self.recording, trouble=trouble)

    def _change_to(self, note: Note | None, at_s: float) -> Iterator[Timed]:
        before, self._sounding = self._sounding, note
        if note == before:
            return
        if note is not None:
            yield Timed(at_s, NoteOn(CHANNEL, DEFAULT_MAP.number(note)))
        if before is not None:
            yield Timed(at_s, NoteOff(CHANNEL, DEFAULT_MAP.number(before)))


def _note(letter: str | None) -> Note | None:
    return None if letter is None else Note.from_letter(letter)


def _text(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")
