"""Says in few plain words how it stands with a microphone that is listened to."""

from __future__ import annotations

from collections.abc import Iterator

from companion.files.lines import one_line
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState

HEADPHONES = "headphones, please: or the microphone hears the loudspeaker"
HEADPHONES_FOR_S = 12.0
"""Long enough to read one line twice over, beside all else that is to be looked at."""

TOO_LOUD = "too loud: step back, or turn it down"
_SHARE_STEPS = 10


def state_words(microphone: MicrophoneSource) -> str:
    """What the microphone does."""
    name = one_line(microphone.name)
    match microphone.state:
        case MicrophoneState.WAITING if microphone.share_learnt < 1.0:
            return "play a few notes: your chanter is learnt"
        case MicrophoneState.LEARNING:
            share = int(microphone.share_learnt * _SHARE_STEPS) / _SHARE_STEPS  # in whole tenths, or it would flicker
            return f"learning your chanter, {share:.0%}: play on"
        case MicrophoneState.WAITING | MicrophoneState.HEARING:
            return f"listening to {name}"
    return f"waiting for {name}"


def fault_words(microphone: MicrophoneSource, *, can_be_heard: bool, too_loud: bool) -> Iterator[str]:
    """What is wrong with it, the worst first.

    can_be_heard: whether it is connected, or was; one that never was is only waited for.
    """
    if microphone.trouble and (can_be_heard or microphone.state is not MicrophoneState.LOST):
        yield microphone.trouble
    if too_loud:
        yield TOO_LOUD


class SaidOnce:
    """A line that is said once, for a while, from when it first holds."""

    def __init__(self, line: str, seconds: float) -> None:
        self._line = line
        self._seconds = seconds
        self._since_s: float | None = None

    def hold(self, now_s: float) -> None:
        """Note that the line holds at a time; the first such call begins the while for which it is said."""
        if self._since_s is None:
            self._since_s = now_s

    def said(self, now_s: float) -> str:
        """The line while it is said, else ""."""
        return self._line if self._since_s is not None and now_s - self._since_s < self._seconds else ""
