"""Follows the microphone that is played in on: how loud it is, since when it is there, up to when all of it is told."""

from __future__ import annotations

from collections.abc import Callable

from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.window.live.microphone.level import CalmLevel

TOLD_WITHIN_S = 0.25
"""A note at a microphone is told so long after it began at most; goals and measures: `hearing.live`."""

CAUGHT_UP_WITHIN_S = 8.0
"""What sounded while a chanter was learnt is told afterwards: a minute of it at most, ten times as fast as it was."""

_NOT_THERE = (MicrophoneState.CONNECTING, MicrophoneState.LOST)


def is_there(source: MicrophoneSource) -> bool:
    """Whether a microphone is connected and open, so that it brings sound."""
    return source.state not in _NOT_THERE


class FollowedMicrophone:
    """A microphone that is listened to, looked at once a frame. clock: the one that stamps its messages."""

    def __init__(self, source: MicrophoneSource, clock: Callable[[], float]) -> None:
        self.source = source
        self._clock = clock
        self._level = CalmLevel()
        self._there_since_s: float | None = None
        self._hearing_since_s: float | None = None

    def follow(self) -> None:
        """Once a frame: how loud it is now, and whether it is there and hears."""
        now_s = self._clock()
        self._level.follow(self.source.level_db, now_s, clipped=self.source.clipped)
        self._there_since_s = _since(self._there_since_s, now_s, holds=is_there(self.source))
        hears = self.source.state is MicrophoneState.HEARING
        self._hearing_since_s = _since(self._hearing_since_s, now_s, holds=hears)

    @property
    def level(self) -> int | None:
        """How loud it is, in steps that change seldom; None while it is not there."""
        return self._level.steps if is_there(self.source) else None

    @property
    def too_loud(self) -> bool:
        """Whether it was clipped a moment ago."""
        return self._level.too_loud(self._clock())

    @property
    def there_since_s(self) -> float | None:
        """Since when what it hears is there; None while nothing is."""
        return self._there_since_s

    @property
    def heard_until_s(self) -> float:
        """Up to when all that was played has been told: a moment ago, and at first once its chanter is learnt."""
        now_s = self._clock()
        if self._hearing_since_s is None or now_s - self._hearing_since_s < CAUGHT_UP_WITHIN_S:
            return self.source.last_message_s or float("-inf")
        return now_s - TOLD_WITHIN_S


def _since(before_s: float | None, now_s: float, *, holds: bool) -> float | None:
    """Since when something holds; None where it does not."""
    if not holds:
        return None
    return now_s if before_s is None else before_s
