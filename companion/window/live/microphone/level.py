"""How loud a microphone is, in few steps that change seldom."""

from __future__ import annotations

from companion.window.lanes.played_in import LEVEL_STEPS

EVERY_S = 0.5
"""The level that is shown changes no more often: twice a second is calm, and no flashing (WCAG 2.2, 2.3.1)."""

SOFTEST_DB, STEP_DB = -54.0, 9.0
"""Below the first no step is lit; the last one begins 9 dB below what is clipped (common practice, no source)."""

CLIPPED_FOR_S = 4.0
"""How long after it was too loud for the last time that can still be read."""


def steps_of(level_db: float) -> int:
    """How many of LEVEL_STEPS a level lights; dB below full scale."""
    return max(0, min(LEVEL_STEPS, int((level_db - SOFTEST_DB) // STEP_DB) + 1))


class CalmLevel:
    """The loudest of the last half second as steps, and whether it was too loud lately. For one thread."""

    def __init__(self) -> None:
        self.steps = 0
        self._loudest_db = float("-inf")
        self._since_s = float("-inf")
        self._clipped_s = float("-inf")

    def follow(self, level_db: float, now_s: float, *, clipped: bool) -> None:
        """Once a frame: how loud it is now."""
        self._loudest_db = max(self._loudest_db, level_db)
        if clipped:
            self._clipped_s = now_s
        if now_s - self._since_s >= EVERY_S:
            self.steps = 0 if self._loudest_db == float("-inf") else steps_of(self._loudest_db)
            self._loudest_db, self._since_s = float("-inf"), now_s

    def too_loud(self, now_s: float) -> bool:
        """Whether it was clipped a moment ago."""
        return now_s - self._clipped_s < CLIPPED_FOR_S
