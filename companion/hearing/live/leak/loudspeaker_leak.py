"""What our own loudspeaker plays and a microphone hears: how late and how loud it comes, what of it is in a frame."""

from __future__ import annotations

import numpy as np

from companion.hearing.live.frames import FrameStream
from companion.hearing.live.leak.leak_delay import LeakDelay
from companion.hearing.spectra import Floats

KEPT_S = 64.0
"""How long what was played is kept: as long as what is heard may wait, and longer than any delay."""

HELD_S = 1.5
"""What is heard when we play for the first time waits so long at most, until it is known what of it leaks."""

JITTER_S = 0.015
"""Blocks that begin so little before or after the end of the last one go on from it: their times are rounded."""

LONGEST_GAP_S = 1.0
SILENT_POWER = 1e-10
STRONG = 0.03
"""A gain is learnt where a bin of what was played is within 15 dB of its loudest."""

LOUDEST_HALVED_S = 30.0
QUANTILE, BOOST_DB = 0.15, 6.0
STEP_DB = 0.5
"""The gain of a bin is a low quantile of what is heard over what was played, and a little more: whoever plays along
adds to it, a quantile of room's fading lies so far below its mean."""

LEAST_GAIN_DB = -70.0
UNKNOWN_UNTIL = 60
"""A bin's gain is known after so many frames, 150 ms; until then it is that of its neighbours."""

SAME_DELAY_FRAMES = 2
"""Gains are learnt anew where the delay turns out to be another."""

NEAR_FRAMES = 2
"""5 ms: a delay is found to a frame, and where the clocks of two devices drift apart it is known some seconds late."""

TAIL_DB_FRAME = 0.5
TAIL_BELOW_DB = 6.0
"""A room lets what was played fade by this in a frame (60 dB in 0.3 s), from some way below where it stood."""


class LoudspeakerLeak:
    """Follows what leaks from our loudspeaker into the microphone.

    rate_hz: of both. Frames are counted as the microphone's are.
    """

    def __init__(self, rate_hz: float) -> None:
        self._rate_hz = rate_hz
        self._stream = FrameStream(rate_hz)
        self._grid = self._stream.grid
        bins = len(self._grid.bins_hz)
        self._rows = np.zeros((0, bins), np.float32)
        self._next_row: int | None = None  # the frame that the next row of what was played belongs to
        self._next_sample = 0
        self._delay = LeakDelay(self._grid.hop_s)
        self._loudest = np.zeros(bins, np.float32)
        self._gain_db = np.full(bins, LEAST_GAIN_DB, np.float32)
        self._counted = np.zeros(bins, np.intp)
        self._gain_delay: int | None = None
        self._heard = np.zeros((0, bins), np.float32)
        self._tail = np.zeros(bins, np.float32)

    @property
    def delay_s(self) -> float | None:
        """How much later than it was played it is heard; None where that is not known (or nothing leaks)."""
        frames = self._delay.frames
        return None if frames is None else frames * self._grid.hop_s

    def play(self, samples: Floats, at_s: float) -> None:
        """Take in what is played at `at_s`, in s from the microphone's first sample, give or take a constant."""
        at = round(at_s * self._rate_hz)
        gap = at - self._next_sample
        if self._next_row is None or gap > LONGEST_GAP_S * self._rate_hz or -gap > KEPT_S * self._rate_hz:
            self._stream = FrameStream(self._rate_hz)
            self._forget_rows(round(at_s / self._grid.hop_s))
            self._next_sample = at
        elif gap > JITTER_S * self._rate_hz:
            self._add(np.zeros(gap, np.float32))
        elif -gap > JITTER_S * self._rate_hz:
            samples = samples[-gap:]
        self._add(np.nan_to_num(np.asarray(samples, np.float32)))

    def _add(self, samples: Floats) -> None:
        self._next_sample += len(samples)
        _, powers = self._stream.take(samples)
        assert self._next_row is not None
        for row in powers[-len(self._rows) :]:
            self._rows[self._next_row % len(self._rows)] = row
            self._next_row += 1

    def _forget_rows(self, next_row: int) -> None:
        self._rows = np.zeros((round(KEPT_S / self._grid.hop_s), self._rows.shape[1]), np.float32)
        self._next_row = next_row

    def may_be_heard(self, first: int, count: int) -> bool:
        """Whether what was played may be heard in so many frames from `first` on."""
        return self._sounds(first, count) and not (self._delay.frames is None and self._delay.looked_for)

    def is_unclear(self, first: int, count: int) -> bool:
        """Whether what leaks into these frames will be known better in a moment."""
        return self._delay.frames is None and self._delay.compared_s < HELD_S and self._sounds(first, count)

    def _sounds(self, first: int, count: int) -> bool:
        if self._next_row is None or first - self._next_row >= self._delay.before:
            return False
        played = self.played(first - self._delay.before, first + count)
        return bool(played.max(initial=0.0) > SILENT_POWER)

    def played(self, first: int, stop: int) -> Floats:
        """What was played at these frames, shape (frames, bins); zeros where that is not kept, or nothing was."""
        out = np.zeros((stop - first, self._rows.shape[1]), np.float32)
        if self._next_row is None:
            return out
        frames = np.arange(first, stop)
        kept = (frames < self._next_row) & (frames >= self._next_row - len(self._rows))
        out[kept] = self._rows[frames[kept] % len(self._rows)]
        return out

    def compare(self, first: int, powers: Floats) -> None:
        """Learn the delay from frames of the microphone as they come. first: the rank of the first."""
        if self._sounds(first, len(powers)):
            self._learn_delay(first, powers)
        else:
            self._heard = self._heard[:0]

    def expected(self, first: int, count: int) -> Floats | None:
        """What of these frames has leaked, as powers, by what is known of it so far; None where nothing is known."""
        delay = self._delay.frames
        if delay is None or not self._counted.any() or not self._sounds(first, count):
            return None
        return np.asarray(self._gains() * self.played(first - delay, first + count - delay), np.float32)

    def leaked(self, first: int, powers: Floats, ground: Floats) -> Floats | None:
        """What of these frames of the microphone has leaked, as powers; None where nothing has. Gains are learnt.

        first: the rank of the first; frames are to be given in order. ground: what sounds all the time.
        """
        delay = self._delay.frames
        if delay is None or not self._sounds(first, len(powers)):
            self._tail[:] = 0.0
            return None
        if self._gain_delay is None or abs(delay - self._gain_delay) > SAME_DELAY_FRAMES:
            self._gain_db[:], self._counted[:], self._gain_delay = LEAST_GAIN_DB, 0, delay
        played = self.played(first - delay, first + len(powers) - delay)
        self._learn_gain(played, np.maximum(powers - ground, 0.0))
        gain = self._gains()
        out = np.empty_like(powers)
        for at, row in enumerate(self._loudest_near(first - delay, len(powers))):
            self._tail *= np.float32(10.0 ** (-0.1 * TAIL_DB_FRAME))
            out[at] = gain * np.maximum(row, self._tail)
            np.maximum(self._tail, np.float32(10.0 ** (-0.1 * TAIL_BELOW_DB)) * row, out=self._tail)
        return out

    def _loudest_near(self, first: int, count: int) -> Floats:
        """The sound that was played at so many frames from `first` on, or so little before or after as a delay may be
        off."""
        near = self.played(first - NEAR_FRAMES, first + count + NEAR_FRAMES)
        return np.asarray(np.max([near[at : at + count] for at in range(2 * NEAR_FRAMES + 1)], axis=0), np.float32)

    def _learn_delay(self, first: int, powers: Floats) -> None:
        self._heard = np.concatenate((self._heard, powers))
        while len(self._heard) >= self._delay.piece:
            begins = first + len(powers) - len(self._heard)
            piece, self._heard = self._heard[: self._delay.piece], self._heard[self._delay.piece :]
            self._delay.compare(self.played(begins - self._delay.before, begins + len(piece)), piece)

    def _learn_gain(self, played: Floats, heard: Floats) -> None:
        self._loudest *= np.float32(0.5 ** (len(played) * self._grid.hop_s / LOUDEST_HALVED_S))
        np.maximum(self._loudest, played.max(axis=0, initial=0.0), out=self._loudest)
        for row, seen in zip(played, heard, strict=True):
            strong = (row > STRONG * self._loudest) & (row > 0.0)
            if strong.any():
                ratio_db = 10.0 * np.log10(np.maximum(seen[strong], 1e-12) / row[strong])
                below = ratio_db < self._gain_db[strong]
                self._counted[strong] += 1
                step_db = STEP_DB * (1.0 + 400.0 / (10.0 + self._counted[strong]))
                self._gain_db[strong] = np.maximum(
                    self._gain_db[strong] + step_db * (QUANTILE - below), LEAST_GAIN_DB
                ).astype(np.float32)

    def _gains(self) -> Floats:
        """How loud it leaks in each bin, as a factor on power."""
        known = self._counted >= UNKNOWN_UNTIL
        if not known.any():
            return np.zeros(len(known), np.float32)
        at = np.arange(len(known))
        gain_db = np.where(known, self._gain_db, np.interp(at, at[known], self._gain_db[known]))
        return np.asarray(10.0 ** (0.1 * (gain_db + BOOST_DB)), np.float32) * (gain_db > LEAST_GAIN_DB + 1.0)
