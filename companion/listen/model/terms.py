"""The terms of a take: how its learner was asked to play the tune."""

from __future__ import annotations

from dataclasses import dataclass

from companion.schedule.pace import beats_heard, times_slower
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Timing
from companion.score.model import Tune


@dataclass(frozen=True, slots=True)
class TakeTerms:
    """How a learner was asked to play a tune. How strictly a teacher listens is the teacher's choice and no part of it.

    times_slower: than the tune's own tempo. gracenotes_slowed: how many times longer than at speed gracenotes were
    shown. metronome_bpm: beats a minute of the metronome that kept the time, None for the learner's own pulse.
    stretch: what of the tune, None for all of it.
    """

    times_slower: float = 1.0
    gracenotes_slowed: float = 1.0
    metronome_bpm: float | None = None
    stretch: Stretch | None = None

    @classmethod
    def of(cls, tune: Tune, timing: Timing, *, metronome: bool, stretch: Stretch | None = None) -> TakeTerms:
        """The terms of playing along with a tune that runs in that timing, its metronome sounding or not."""
        return cls(
            times_slower=times_slower(tune, timing),
            gracenotes_slowed=timing.gracenotes_slowed,
            metronome_bpm=beats_heard(tune, timing) if metronome else None,
            stretch=stretch,
        )

    @property
    def schedule_slowed(self) -> float:
        """How many times slower than the schedule the tune was asked for: 1 with a metronome, for then the schedule is
        at its tempo; otherwise the schedule is at the tune's own."""
        return self.times_slower if self.metronome_bpm is None else 1.0


AT_SPEED = TakeTerms()
"""All of a tune at its own tempo, without a metronome."""
