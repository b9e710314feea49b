"""The live chanter, heard through a real mixer: both ways of sounding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from companion.sound.live import LiveVoice, StreamingVoice, open_live_voice
from companion.sound.mix import LIVE_CEILING, TUNE_CEILING
from companion.sound.settings import LatencyMode, SoundSettings, Voice
from fingering.chart import chart
from fingering.notes import Note
from tests.companion.sound.hearing import energy
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker

CHANTER_ALONE = SoundSettings(drones_level=0.0)
SECOND = 48_000


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


@pytest.fixture(params=list(LatencyMode), ids=lambda way: way.value)
def voice(request: pytest.FixtureRequest, speaker: Loudspeaker) -> Iterator[LiveVoice]:
    """A live chanter of either sort."""
    live = open_live_voice(speaker.device, CHANTER_ALONE, request.param)
    yield live
    live.close()


def test_what_is_fingered_is_heard(voice: LiveVoice, speaker: Loudspeaker) -> None:
    """E, then C, at 360 and 300 Hz: 3/2 and 5/4 of 240 (Macpherson 1998), and then nothing."""
    voice.sound(chart(Note.E))
    speaker.comes_to(360.0)
    voice.sound(chart(Note.C))
    speaker.comes_to(300.0)
    voice.sound(None)
    speaker.falls_silent()


def test_the_same_state_again_goes_on(voice: LiveVoice, speaker: Loudspeaker) -> None:
    """A hundred messages that say nothing new make no break."""
    for _ in range(100):
        voice.sound(chart(Note.LOW_A))
    speaker.comes_to(240.0)


def test_a_new_sound_is_taken_up_while_playing(voice: LiveVoice, speaker: Loudspeaker) -> None:
    """Another voice an octave higher, and half as loud."""
    voice.sound(chart(Note.LOW_A))
    voice.set_sound(replace(CHANTER_ALONE, voice=Voice.PIPE, chanter_level=0.25))
    speaker.comes_to_peak(0.97 * 0.25 * LIVE_CEILING, within=0.02)
    speaker.comes_to(480.0)


def test_closing_falls_silent(voice: LiveVoice, speaker: Loudspeaker) -> None:
    """No note is stuck on."""
    voice.sound(chart(Note.D))
    speaker.play_on(SECOND // 8)
    voice.close()
    speaker.falls_silent()


def test_streaming_changes_without_a_click(speaker: Loudspeaker) -> None:
    """Above 17 kHz, where no harmonic is, every stretch with a change stays below -60 dB of its energy."""
    voice = StreamingVoice(speaker.device, CHANTER_ALONE)
    for note in (Note.LOW_A, Note.C, Note.E, Note.HIGH_A, Note.LOW_G, Note.F):
        voice.sound(chart(note))
        speaker.play_on(4_096)
    heard = speaker.heard_sounding()[1_024:, 0].astype(float)
    underruns = voice.underruns
    voice.close()
    if underruns == 0:  # a machine too busy to keep up proves nothing either way
        for start in range(0, len(heard) - 2_048, 512):
            piece = heard[start : start + 1_024]
            assert energy(piece, 17_000.0, 24_000.0) < 1e-6 * energy(piece, 0.0, 24_000.0)


def test_free_play_has_its_drones(speaker: Loudspeaker) -> None:
    """Streaming with a drones' level sounds them also while nobody plays."""
    voice = StreamingVoice(speaker.device, SoundSettings(drones_level=0.5))
    speaker.comes_to(120.0)
    voice.close()


def test_a_tune_and_a_live_chanter_together_stay_below_full_scale() -> None:
    """Their ceilings add up to less than 1, so the mixer never clips."""
    assert TUNE_CEILING + LIVE_CEILING < 1.0
