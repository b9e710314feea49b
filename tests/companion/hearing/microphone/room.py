"""A room with a chanter and a microphone: JACK carries real sound in real time from one process into another."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.hearing.kept_voice import voice_to_bytes
from companion.hearing.learning import learn
from companion.hearing.microphone.driver import CLIENT_NAME, JACK_INPUTS
from companion.hearing.microphone.microphones import Microphones
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.hearing.spectra import Thinner
from tests.companion.midi.jack import ROOT
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import plain_take
from tests.referees import require_program

PERIOD = 1024
"""Of the JACK server: with its dummy driver shorter ones lose sound on a busy computer."""

GIVES_UP_S = 15.0
FRAME_S = 0.005
TAKE_S = 4.5
PLAYER = "chanter"


def only_jack(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """No other sound system of this computer than JACK is found."""
    (folder / "alsa.conf").write_text("")
    monkeypatch.setenv("ALSA_CONFIG_PATH", str(folder / "alsa.conf"))
    monkeypatch.setenv("PULSE_SERVER", f"unix:{folder}/none")


class Player:
    """A process that plays into the microphone."""

    def __init__(self) -> None:
        words = [sys.executable, "-m", "tests.companion.hearing.microphone.player", "JACK", PLAYER, "10"]
        pipe, nowhere = subprocess.PIPE, subprocess.DEVNULL
        self._process = subprocess.Popen(words, cwd=ROOT, stdin=pipe, stdout=pipe, stderr=nowhere, text=True)
        self._answer()

    def connect(self) -> None:
        """Have the microphone take what this plays."""
        for channel in (0, 1):
            ends = f"{PLAYER}:playback{channel}", f"{CLIENT_NAME}:capture{channel}"
            subprocess.run([require_program("jack_connect"), *ends], check=True, capture_output=True)

    def play(self, samples: Samples, folder: Path) -> None:
        """Play from now on."""
        path = folder / "played.f32"
        samples.astype(np.float32).tofile(path)
        self._order(f"play {path}")
        self._answer()

    def time_of(self, sample: float) -> float:
        """When a sample was handed to the sound system."""
        self._order("times")
        times = np.array(json.loads(self._answer()))
        return float(np.interp(sample, times[:, 1], times[:, 0]))

    def close(self) -> None:
        """End it."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait()
        self._process.stdout.close()

    def _order(self, text: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(f"{text}\n")
        self._process.stdin.flush()

    def _answer(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline()


@contextlib.contextmanager
def player() -> Iterator[Player]:
    """A player that ends with the block."""
    playing = Player()
    try:
        yield playing
    finally:
        playing.close()


@contextlib.contextmanager
def microphones() -> Iterator[Microphones]:
    """The microphones of this computer, let go with the block."""
    opened = Microphones()
    try:
        yield opened
    finally:
        opened.close()


def until(each: Microphones, done: Callable[[], bool], most_s: float = GIVES_UP_S) -> None:
    """Frames of a window that draws nothing, until something is done."""
    gives_up_s = time.monotonic() + most_s
    while not done():
        assert time.monotonic() < gives_up_s, each.trouble or each.names
        each.refresh()
        time.sleep(FRAME_S)


def opened(each: Microphones, name: str = JACK_INPUTS) -> MicrophoneSource:
    """The microphone of that name, once it is open."""
    source = each.listen(name)
    until(each, lambda: source.state not in (MicrophoneState.CONNECTING, MicrophoneState.LOST))
    return source


def process_of(each: Microphones) -> int:
    """The number of the process that hears."""
    return each._process._child.pid


def some_take() -> TrueRecording:
    """A plain tune on a practice chanter, some seconds of it."""
    return sounding(plain_take(5, TAKE_S), SoundSource.PRACTICE_VOICE, 3)


def voice_of(recording: TrueRecording) -> bytes:
    """What can be learnt of its chanter, as it is kept."""
    thinner = Thinner(recording.rate_hz)
    learnt = learn([np.concatenate((thinner.thin(recording.samples), thinner.rest()))], thinner.rate_hz)
    assert learnt is not None
    return voice_to_bytes(learnt)


def is_alive(number: int) -> bool:
    """Whether a process of that number is there."""
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True
