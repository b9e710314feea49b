"""Microphones that a test has at hand: real sources, whose process's answers the test gives."""

from __future__ import annotations

import base64
from collections.abc import Callable
from pathlib import Path
from typing import Any

from companion.hearing.microphone.source import MicrophoneSource
from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import Ports
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.microphone.known_microphones import KnownMicrophones
from companion.window.live.sound import LiveSound
from fingering.notes import Note
from tests.companion.window.players import Clock

DESK, HEAD = "Desk microphone", "Headset of a very long name: analogue, mono, the left one"


class ListedMicrophones:
    """The microphones of these names are there; `orders` are what their process was told."""

    def __init__(self, names: tuple[str, ...], clock: Callable[[], float]) -> None:
        self.names = names
        self.known = True
        self.trouble = ""
        self.orders: list[tuple[Any, ...]] = []
        self.sources: list[MicrophoneSource] = []
        self._clock = clock

    def refresh(self) -> None:
        """They neither come nor go."""

    def listen(self, name: str) -> MicrophoneSource:
        """Listen to one, which is asked for at once."""
        source = MicrophoneSource(len(self.sources), name, self.send, self._clock)
        self.sources.append(source)
        source.open()
        return source

    def send(self, *order: Any) -> None:
        """What its process is told."""
        self.orders.append(order)

    def drop(self, source: MicrophoneSource) -> None:
        """Listen to one no longer."""
        self.orders.append(("close", source.number))

    def close(self) -> None:
        """Leave them."""


class WithoutPorts(Instruments):
    """Instruments of a computer that has no MIDI at all, nothing being wrong with that."""

    def _opened(self, backend: Backend) -> Ports | None:
        return None


class MicrophoneDesk:
    """What is played in on a microphone; its clock and all that the microphone's process tells are moved by a test."""

    def __init__(
        self,
        folder: Path,
        *,
        takes: bool = False,
        names: tuple[str, ...] = (DESK, HEAD),
        sound: LiveSound | None = None,
    ) -> None:
        self.clock = Clock(100.0)
        self.system = ListedMicrophones(names, self.clock)
        known = KnownMicrophones(folder, lambda: self.system)
        self.live = LiveInput(folder / "takes" if takes else None, sound or LiveSound(), self.clock)
        self.instruments = WithoutPorts(folder, Backend.SYSTEM, self.clock, known)
        self.live.open(self.instruments, None)

    @property
    def source(self) -> MicrophoneSource:
        """The microphone that is listened to."""
        source = self.live.choice.microphone
        assert source is not None
        return source

    def answer(self, kind: str, *rest: Any) -> None:
        """What its process tells."""
        self.source.answered([kind, self.source.number, *rest])

    def state(self, state: str, share: float = 1.0, level_db: float = -20.0, *, clipped: bool = False) -> None:
        """How it stands with the microphone."""
        self.answer("state", state, share, level_db, clipped)

    def hears(self, note: Note | None, at_s: float | None = None) -> None:
        """A note, or silence, is told; it began at `at_s`, None for now."""
        self.answer("heard", self.clock() if at_s is None else at_s, None if note is None else note.letter, 0.99)

    def learns(self, voice: bytes) -> None:
        """What was learnt is told."""
        self.answer("learnt", base64.b64encode(voice).decode())

    def scale(self, known: int, trouble: str = "", *, done: bool = False) -> None:
        """How far a scale that is played has been heard."""
        letters = "".join(note.letter for note in Note)
        wanted = letters[known] if known < len(letters) else None
        self.answer("scale", letters[:known], wanted, None, 0.0, trouble, done)
