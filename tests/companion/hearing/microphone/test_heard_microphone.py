"""What becomes of the samples of a microphone in the process that owns it, here without waiting for them to sound."""

from __future__ import annotations

import base64
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from companion.hearing.kept_voice import voice_from_bytes
from companion.hearing.microphone.heard_microphone import HeardMicrophone
from companion.hearing.microphone.source import MicrophoneSource, ScaleHeard
from companion.sound.settings import Voice
from fingering.chart import chart
from fingering.notes import Note
from tests.hearing.recording import RATE_HZ, Samples
from tests.hearing.sources.tuned import draw_chanter
from tests.hearing.sources.voice import voice_samples
from tests.hearing.truth import SoundingState

pytestmark = pytest.mark.same_everywhere

BLOCK = RATE_HZ // 100
HELD_S = 0.6
GIVES_UP_S = 60.0


class Microphone:
    """Both ends of a microphone, without a process between them, and a clock on which samples are handed over."""

    def __init__(self) -> None:
        self.told: list[list[Any]] = []
        self.source = MicrophoneSource(1, "microphone", self._order)
        self.heard = HeardMicrophone(self._tell)
        self._frames = 0

    def hear(self, samples: Samples) -> None:
        """Samples are handed over, each block as it ends."""
        for first in range(0, len(samples), BLOCK):
            block = samples[first : first + BLOCK]
            self._frames += len(block)
            self.heard.take([(self._frames / RATE_HZ, block)], 0)

    def hear_until(self, done: Callable[[], bool]) -> None:
        """Silence, until something is done in another thread."""
        gives_up_s = time.monotonic() + GIVES_UP_S
        while not done():
            assert time.monotonic() < gives_up_s
            self.hear(np.zeros(BLOCK, np.float32))
            time.sleep(0.005)

    def _order(self, kind: str, number: int, *what: Any) -> None:
        getattr(self.heard, {"scale": "hear_scale"}.get(kind, kind))(*what)

    def _tell(self, kind: str, *what: Any) -> None:
        self.told.append([kind, 1, *what])
        self.source.answered(self.told[-1])


@pytest.fixture
def microphone() -> Microphone:
    """A microphone that was opened at second 0 of its clock."""
    return Microphone()


def scale_played(seed: int) -> Samples:
    """The nine notes upward on a practice chanter drawn by lot."""
    segments = tuple(SoundingState(0.2 + HELD_S * note, 0.2 + HELD_S * (note + 1), chart(note)) for note in Note)
    chanter = draw_chanter(seed, 0.5)
    return 0.3 * voice_samples(chanter, Voice.PRACTICE, segments, 0.4 + HELD_S * len(Note))


def test_a_scale_is_a_calibration(microphone: Microphone) -> None:
    """The next note is wanted after each that was held; all nine are known after it, and what is played is heard."""
    source, samples = microphone.source, scale_played(4)
    source.begin_scale()
    assert source.scale == ScaleHeard()
    half = round((0.2 + 4.5 * HELD_S) * RATE_HZ)
    microphone.hear(samples[:half])
    assert source.scale.known == tuple(Note)[:4]
    assert source.scale.wanted is Note.D
    assert source.scale.sounding is Note.D
    assert 0.0 < source.scale.share_held <= 1.0
    microphone.hear(samples[half:])
    microphone.hear_until(lambda: source.scale is not None and source.scale.done)
    assert source.scale.known == tuple(Note)
    assert source.scale.wanted is None
    assert source.learnt_bytes is not None
    assert min(voice_from_bytes(source.learnt_bytes).heard) > 0
    began_s = microphone._frames / RATE_HZ
    list(source.fetch())
    microphone.hear(samples[: 2 * RATE_HZ])
    onsets_s = [each.at_s - began_s for each in source.fetch()]
    assert [min(abs(at_s - 0.2 - HELD_S * note) for at_s in onsets_s) < 0.03 for note in range(3)] == [True] * 3


def test_a_kept_voice_that_is_damaged_is_told(microphone: Microphone) -> None:
    """In one line; the chanter is learnt from what is played, as if there were none."""
    microphone.source._asked = True
    microphone.source.use_kept(b"nothing that was kept")
    assert "; " in microphone.source.trouble
    assert microphone.source.trouble.count("\n") == 0
    microphone.hear(np.zeros(RATE_HZ // 2, np.float32))
    assert microphone.told[-1][:3] == ["state", 1, "waiting"]


def test_what_found_no_room_is_counted(microphone: Microphone) -> None:
    """Two tenths of a second, and their time passes; of an hour no more than a moment does."""
    microphone.hear(np.zeros(RATE_HZ, np.float32))
    microphone.heard.take([(1.01, np.zeros(BLOCK, np.float32))], RATE_HZ // 5)
    assert microphone.source.lost_s == pytest.approx(0.2)
    began_s = time.monotonic()
    microphone.heard.take([(1.22, np.zeros(BLOCK, np.float32))], 3600 * RATE_HZ)
    assert time.monotonic() - began_s < 5.0
    assert microphone.source.lost_s == pytest.approx(3600.2)


@pytest.mark.parametrize(("peak", "clipped"), [(0.9, False), (3.0, True)])
def test_what_is_too_loud_is_told(microphone: Microphone, peak: float, clipped: bool) -> None:
    """And told no longer once it is softer: by the samples that stand at the loudest there can be."""
    tone = np.sin(np.arange(RATE_HZ) * (2.0 * np.pi * 470.0 / RATE_HZ)).astype(np.float32)
    microphone.hear(np.clip(peak * tone, -1.0, 1.0))
    assert microphone.source.clipped is clipped
    assert -6.0 < microphone.source.level_db < 0.1
    microphone.hear(0.1 * tone)
    assert not microphone.source.clipped
    assert microphone.source.level_db == pytest.approx(-23.0, abs=0.2)


def test_what_our_loudspeaker_plays_is_handed_on_at_its_time(
    microphone: Microphone, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At another rate and as 16 bits it arrives as the sound it was, counted from the first sample heard."""
    microphone.hear(np.zeros(RATE_HZ, np.float32))
    handed: list[tuple[Samples, float]] = []
    monkeypatch.setattr(microphone.heard._hearing, "leak", lambda samples, at_s: handed.append((samples, at_s)))
    tone = 0.5 * np.sin(np.arange(44_100) * (2.0 * np.pi * 440.0 / 44_100)).astype(np.float32)
    microphone.source.played_by_us(tone, 44_100.0, 0.25)
    ((samples, at_s),) = handed
    assert at_s == pytest.approx(0.25, abs=1e-3)
    expected = 0.5 * np.sin(np.arange(RATE_HZ) * (2.0 * np.pi * 440.0 / RATE_HZ))
    assert samples[: RATE_HZ - 10] == pytest.approx(expected[: RATE_HZ - 10], abs=1e-3)


def test_voices_go_between_processes_as_text(microphone: Microphone) -> None:
    """What was learnt goes back the same way that it came."""
    assert base64.b64encode(b"\x00\xff").decode() == "AP8="
    microphone.source.answered(["learnt", 1, "AP8="])
    assert microphone.source.learnt_bytes == b"\x00\xff"
