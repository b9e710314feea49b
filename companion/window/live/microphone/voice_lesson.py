"""Learns a chanter's sound by a microphone: its nine notes played once, upward, each held for a moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.hearing.microphone.source import ScaleHeard
from fingering.chart import chart
from fingering.notes import Note

if TYPE_CHECKING:
    from companion.window.live.input import LiveInput

WHAT_TO_DO = "play the nine notes upward, each held for a moment"
ONE_MOMENT = "one moment: what they sound like is learnt now"


class VoiceLesson:
    """What is to be played so that a chanter's sound is learnt, and which of its notes were heard so far."""

    kept_for = "microphone"

    def __init__(self) -> None:
        self.names = tuple(note.label for note in Note)
        self.states = tuple(chart(note) for note in Note)
        self._scale = ScaleHeard()

    @property
    def what_to_do(self) -> str:
        """What is to be played; where what was played is no scale, what to do instead."""
        return self._scale.trouble or (WHAT_TO_DO if self._scale.wanted is not None else ONE_MOMENT)

    @property
    def finished(self) -> bool:
        """Whether all nine are learnt."""
        return self._scale.done

    def begin(self, live: LiveInput) -> None:
        """From now on the scale is listened for."""
        if live.choice.microphone:
            live.choice.microphone.begin_scale()

    def follow(self, live: LiveInput) -> None:
        """Once a frame: which notes were heard."""
        microphone = live.choice.microphone
        if microphone and microphone.scale:
            self._scale = microphone.scale

    def learnt(self) -> tuple[str, ...]:
        """For each note that it was heard, in words; "" for those to come."""
        return tuple("heard" if note in self._scale.known else "" for note in Note)

    def end(self, live: LiveInput) -> None:
        """The scale is listened for no longer."""
        if live.choice.microphone:
            live.choice.microphone.leave_scale()
