"""Reminds whoever plays for long to rest the hands: how long they have played, and whether it is time."""

from __future__ import annotations

from dataclasses import dataclass, replace

PLAYED_S = 25.0 * 60.0
"""Hands that have played for so long are to rest. Common practice, no source."""

RESTED_S = 3.0 * 60.0
"""After so long without playing they have rested. Common practice, no source."""

LONGEST_FRAME_S = 1.0
"""The longest time between two frames that counts as playing; a longer one, as of a computer that slept, does not."""

SAID = "25 minutes played: rest your hands (Esc: seen)"


@dataclass(frozen=True, slots=True)
class HandsRest:
    """How long was played, in seconds, since the hands last rested, and for how long they rest now.

    at_s: when it was last told, on the clock that it is told by, None for never.
    """

    played_s: float = 0.0
    resting_s: float = 0.0
    at_s: float | None = None

    @property
    def due(self) -> bool:
        """Whether it is time for a rest."""
        return self.played_s >= PLAYED_S

    def after(self, now_s: float, *, playing: bool) -> HandsRest:
        """What is known at `now_s`, if since the last time something was played or not."""
        passed_s = 0.0 if self.at_s is None else max(0.0, now_s - self.at_s)
        if playing and passed_s <= LONGEST_FRAME_S:
            return HandsRest(self.played_s + passed_s, 0.0, now_s)
        resting_s = self.resting_s + passed_s
        return HandsRest(0.0 if resting_s >= RESTED_S else self.played_s, resting_s, now_s)

    def seen(self) -> HandsRest:
        """The reminder was seen: it comes again after as long."""
        return replace(self, played_s=0.0)
