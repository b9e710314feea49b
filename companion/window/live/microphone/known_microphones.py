"""The microphones that can be played in on, each with the chanter's voice that was learnt by it before."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Protocol

from companion.files.worker import Done, Failed, Worker, fault_line
from companion.hearing.microphone.microphones import Microphones
from companion.hearing.microphone.source import MicrophoneSource
from companion.midi.stream.port_names import port_returned
from companion.window.live.microphone.run_sound import RECORDED_WITHIN_S, is_over
from companion.window.live.microphone.voice_files import read_voice, voice_path, write_voice

KEPT_AGAIN = "learn its notes once more"


class MicrophoneSystem(Protocol):
    """Which microphones there are, and how one is listened to: what `Microphones` is, in a process of its own."""

    names: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Whether it is known by now which there are."""

    @property
    def trouble(self) -> str:
        """The line for the screen, "" while all is well."""

    def refresh(self) -> None:
        """Once a frame: notice which came and went."""

    def listen(self, name: str) -> MicrophoneSource:
        """Listen to the one of that name as soon as it is there."""

    def drop(self, source: MicrophoneSource) -> None:
        """Listen to it no longer."""

    def close(self) -> None:
        """Leave them all."""


class KnownMicrophones:
    """Microphones and the voices that are kept. For the window's thread, which never waits here.

    folder: the data folder. system: makes what knows the microphones, which costs a process of its own: so it is made
    when somebody first asks for one, or for which there are.
    """

    def __init__(self, folder: Path, system: Callable[[], MicrophoneSystem] = Microphones) -> None:
        self._folder = folder
        self._make = system
        self._system: MicrophoneSystem | None = None
        self._reading: list[tuple[MicrophoneSource, Worker[bytes | None]]] = []
        self._writing: list[Worker[None]] = []
        self._leaving: list[tuple[MicrophoneSource, float]] = []
        self._voices: dict[str, bool] = {}
        self._fresh: dict[str, bytes] = {}
        self.forgotten = ""
        self.unwritten = ""

    def look(self) -> None:
        """From now on it is of interest which there are."""
        if self._system is None:
            self._system = self._make()
            self._system.refresh()

    @property
    def names(self) -> tuple[str, ...]:
        """The microphones that there are; none before anybody looked."""
        return self._system.names if self._system else ()

    @property
    def known_by_now(self) -> bool:
        """Whether it is known which there are."""
        return self._system is not None and self._system.known

    @property
    def trouble(self) -> str:
        """The line for the screen about all of them, "" while all is well."""
        return self._system.trouble if self._system else ""

    def refresh(self) -> None:
        """Once a frame: notice which came and went, and what was read and written meanwhile."""
        if self._system:
            self._system.refresh()
        self._see()
        for leaving in tuple(self._leaving):
            source, since_s = leaving
            if self._system and (is_over(source.recording) or time.monotonic() - since_s > RECORDED_WITHIN_S):
                self._leaving.remove(leaving)
                self._system.drop(source)

    def meant(self, wanted: str) -> str | None:
        """The microphone that is meant by a name or a part of one, in any case; None for none and for several."""
        exact = port_returned(wanted, self.names)
        if exact is not None:
            return exact
        fitting = [name for name in self.names if wanted.casefold() in name.casefold()]
        return fitting[0] if len(fitting) == 1 else None

    def listen(self, name: str) -> MicrophoneSource:
        """Listen to the one of that name as soon as it is there, by what was learnt of its chanter before."""
        self.look()
        assert self._system is not None
        source = self._system.listen(name)
        if name in self._fresh:  # its file may not be written yet
            source.use_kept(self._fresh[name])
            return source
        reading = Worker(partial(read_voice, self._folder, name), "voice reader")
        reading.start()
        self._reading.append((source, reading))
        return source

    def release(self, source: MicrophoneSource) -> None:
        """Listen to one no longer, once its sound beside a take is closed well."""
        self._reading = [each for each in self._reading if each[0] is not source]
        if self._system and is_over(source.recording):
            self._system.drop(source)
        else:
            self._leaving.append((source, time.monotonic()))

    def keep(self, source: MicrophoneSource) -> None:
        """Keep what was learnt of the chanter before this microphone, for the next time."""
        if source.learnt_bytes is None:
            return
        self._voices[source.name] = True
        self._fresh[source.name] = source.learnt_bytes
        writing = Worker(partial(write_voice, self._folder, source.name, source.learnt_bytes), "voice writer")
        writing.start()
        self._writing.append(writing)

    def has_voice(self, name: str) -> bool:
        """Whether what was learnt by a microphone is kept."""
        if name not in self._voices:  # the disk is asked once for each
            self._voices[name] = voice_path(self._folder, name).exists()
        return self._voices[name]

    def close(self) -> None:
        """Let all of them go; what is to be kept is on the disk then, or cannot be."""
        for writing in self._writing:
            writing.join()
        self._see()
        if self._system:
            self._system.close()

    def _see(self) -> None:
        for reading in tuple(self._reading):
            source, worker = reading
            match worker.outcome:
                case Done(bytes() as voice):
                    source.use_kept(voice)
                case Failed(error):
                    self.forgotten = fault_line("what was learnt of your chanter cannot be read", error, KEPT_AGAIN)
                    self._voices[source.name] = False
                case Done(None):
                    pass
                case _:
                    continue
            self._reading.remove(reading)
        for writing in tuple(self._writing):
            match writing.outcome:
                case Done():
                    self.unwritten = ""
                case Failed(error):
                    self.unwritten = fault_line("your chanter's sound cannot be kept", error, KEPT_AGAIN)
                case _:
                    continue
            self._writing.remove(writing)
