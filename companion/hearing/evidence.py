"""What a sound said for each note at each moment, kept small: by it other readings of what was heard are weighed."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats
from companion.hearing.voice import AudiblePitch
from fingering.notes import Note

SILENCE = len(Note)
NAMES = len(Note) + 1
"""The nine notes, low G first, and silence last."""

STEP_NATS = 0.25
MOST_NATS = 255 * STEP_NATS
"""A byte for each name and moment: finer than any limit that is set to it; what costs more was not there anyway."""

MOST_BYTES = 80_000_000
"""More than the four hours of sound that are read at most can hold."""


@dataclass(frozen=True, slots=True)
class SoundEvidence:
    """How much less likely each name is than the likeliest one, for each moment, in nats.

    begins_s: the middle of the first moment, on the clock of the notes that were heard. hop_s: from one moment to the
    next. packed: a byte for each moment and name (STEP_NATS each), compressed.
    """

    begins_s: float
    hop_s: float
    packed: bytes

    @classmethod
    def of(cls, rows: Sequence[bytes], begins_s: float, hop_s: float) -> SoundEvidence:
        """The evidence of moments that `moments_packed` made, in order."""
        return cls(begins_s, hop_s, zlib.compress(b"".join(rows), 1))

    def moved(self, by_s: float) -> SoundEvidence:
        """The evidence on another clock."""
        return replace(self, begins_s=self.begins_s + by_s)

    def costs(self) -> Floats:
        """What each moment costs as each name, shape (moments, NAMES): 0 for the likeliest. Raises ValueError as
        `unpacked` does."""
        return self.unpacked().astype(np.float32) * np.float32(STEP_NATS)

    def unpacked(self) -> NDArray[np.uint8]:
        """The bytes, shape (moments, NAMES). Raises ValueError for what is not packed evidence."""
        unpacking = zlib.decompressobj()
        try:
            found = unpacking.decompress(self.packed, MOST_BYTES)
        except zlib.error as error:
            raise ValueError(str(error)) from error
        if not unpacking.eof:
            raise ValueError(f"more than {MOST_BYTES} bytes, or not all of them")
        return np.frombuffer(found, np.uint8).reshape(-1, NAMES)

    def moment(self, at_s: float) -> int:
        """The first moment that counts to what begins at a time."""
        return max(0, round((at_s - self.begins_s) / self.hop_s + 0.5))

    def edge_s(self, moment: int) -> float:
        """When what begins with a moment begins: between it and the one before."""
        return self.begins_s + (moment - 0.5) * self.hop_s


def moments_packed(costs: Floats, pitches: Sequence[AudiblePitch]) -> bytes:
    """Moments as bytes. costs: shape (moments, pitches and silence), as `learning.frame_costs` gives them; a name costs
    what the cheapest of its fingerings does."""
    by_name = np.full((len(costs), NAMES), np.inf, np.float32)
    for rank, pitch in enumerate(pitches):
        np.minimum(by_name[:, pitch.note], costs[:, rank], out=by_name[:, pitch.note])
    by_name[:, SILENCE] = costs[:, -1]
    more = by_name - by_name.min(axis=1, keepdims=True)
    return np.minimum(np.rint(more / STEP_NATS), 255.0).astype(np.uint8).tobytes()
