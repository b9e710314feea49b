"""A chanter that sounds F and high G in a room of its own, whose truth is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.learnt import Learnt
from companion.hearing.spectra import Floats
from companion.hearing.voice import RANKS
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

ECHO = RoomEcho(share=0.6, decay_s=0.03)
"""As loud as the chanter and half as loud again, and over by 60 dB in 0.41 s."""

QUIET_S = 0.1


def chanter() -> Learnt:
    """A reed whose harmonics are each softer than the last, in a room."""
    plain = learnt(1000)
    harmonics = np.tile(0.1 / np.arange(1, RANKS + 1) ** 2, (len(plain.voice.pitches), 1))
    ground = np.full(len(plain.grid.bins_hz), 1e-8, np.float32)
    return replace(plain, voice=replace(plain.voice, harmonics=harmonics), ground=ground, echo=ECHO)


def sound(voice: Learnt, notes: Sequence[tuple[Note, float]]) -> Floats:
    """Notes for so many seconds each after QUIET_S of nothing, in a room of early sound and noise that dies away."""
    rate, rng = voice.grid.rate_hz, np.random.default_rng(7)
    parts = [np.zeros(round(QUIET_S * rate))]
    for note, seconds in notes:
        at_s = np.arange(round(seconds * rate)) / rate
        ranks = np.arange(1, 11)[:, np.newaxis]
        waves = np.sqrt(voice.voice.harmonics[note][:10, np.newaxis]) * np.sin(
            2.0 * np.pi * ranks * voice.voice.hz[note] * at_s + ranks
        )
        parts.append(waves.sum(axis=0))
    dry = np.concatenate(parts)
    tail_s = np.arange(round(0.3 * rate)) / rate
    tail = rng.normal(size=len(tail_s)) * np.exp(-0.5 * tail_s / ECHO.decay_s)
    tail[: round(0.003 * rate)] = 0.0
    tail *= np.sqrt(ECHO.share / np.square(tail).sum())
    room = np.concatenate(([np.sqrt(1.0 - ECHO.share)], tail[1:]))
    return np.asarray(np.convolve(dry, room)[: len(dry)], np.float32)
