"""A take played into the window again, as if its player sat there: for a picture of what the window showed then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from companion.midi.stream.line import Timed
from companion.midi.takes.reading import Take
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun


class TakeSource:
    """The messages of a take up to a moment, all at once."""

    def __init__(self, take: Take, until_s: float) -> None:
        self.name = take.heading.source
        self._messages = [timed for timed in take.messages if timed.at_s <= until_s]
        self.last_message_s = self._messages[-1].at_s if self._messages else None
        self._left: Iterator[Timed] = iter(self._messages)

    def fetch(self) -> Iterator[Timed]:
        """What is left."""
        return self._left


def played_until(take: Take, at_s: float, beside: TuneRun | None = None) -> LiveInput:
    """What is played in when a take stands at `at_s`; its own time is the clock. Nothing sounds, nothing is kept.

    beside: a run of the tune that stands at the take's beginning.
    """
    live = LiveInput(None, LiveSound(), lambda: at_s)
    live.gather(beside)
    live.choice.follow(TakeSource(take, at_s), take.heading.known)
    position_s = beside.position_at(at_s) if beside else 0.0
    run = replace(beside, at_s=at_s, position_s=position_s) if beside else None
    for _ in range(1 + len(take.messages)):
        live.gather(run)
        if not live.choice.fetched:
            break
    return live
