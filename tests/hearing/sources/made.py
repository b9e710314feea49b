"""Makes a take sound from any of the sources."""

from __future__ import annotations

import enum

import numpy as np

from companion.sound.settings import Voice
from tests.hearing.recording import RATE_HZ, Samples, TrueRecording
from tests.hearing.sources.bore import bore_samples
from tests.hearing.sources.gm import Reed, gm_samples
from tests.hearing.sources.tuned import TunedChanter, draw_chanter
from tests.hearing.sources.voice import voice_samples
from tests.hearing.takes import SoundingTake
from tests.hearing.truth import SoundingState

PEAK = 0.5
"""The greatest sample of a dry recording."""


class SoundSource(enum.Enum):
    """What sounds: our two voices, the blown bore, four sampled reeds."""

    PRACTICE_VOICE = "practice voice"
    PIPE_VOICE = "pipe voice"
    BORE = "blown bore"
    GM_BAGPIPE = "GM bagpipe"
    GM_OBOE = "GM oboe"
    GM_CLARINET = "GM clarinet"
    GM_SHANAI = "GM shanai"

    @property
    def octave(self) -> float:
        """1 at the pipe chanter's pitch, 0.5 at the practice chanter's."""
        return 0.5 if self in _LOW else 1.0


_LOW = (SoundSource.PRACTICE_VOICE, SoundSource.BORE, SoundSource.GM_CLARINET)
_VOICES = {SoundSource.PRACTICE_VOICE: Voice.PRACTICE, SoundSource.PIPE_VOICE: Voice.PIPE}
_REEDS = {
    SoundSource.GM_BAGPIPE: Reed.BAGPIPE,
    SoundSource.GM_OBOE: Reed.OBOE,
    SoundSource.GM_CLARINET: Reed.CLARINET,
    SoundSource.GM_SHANAI: Reed.SHANAI,
}


def sounding(take: SoundingTake, source: SoundSource, seed: int) -> TrueRecording:
    """A take on a chanter drawn by lot: dry, mono, at 48 kHz, its greatest sample 0.5."""
    return sounding_on(draw_chanter(seed, source.octave), take, source)


def sounding_on(chanter: TunedChanter, take: SoundingTake, source: SoundSource) -> TrueRecording:
    """A take on this chanter, otherwise as `sounding`."""
    samples, segments = _made(take, source, chanter)
    scaled = samples * np.float32(PEAK / max(1e-9, float(np.max(np.abs(samples)))))
    return TrueRecording(scaled, RATE_HZ, segments, chanter.nominal_low_a_hz, chanter.low_a_hz, chanter.notes_hz)


def _made(take: SoundingTake, source: SoundSource, chanter: TunedChanter) -> tuple[Samples, tuple[SoundingState, ...]]:
    if source in _VOICES:
        return voice_samples(chanter, _VOICES[source], take.segments, take.duration_s), take.segments
    if source is SoundSource.BORE:
        return bore_samples(chanter, take.segments, take.duration_s), take.segments
    return gm_samples(chanter, _REEDS[source], take.segments, take.duration_s)
