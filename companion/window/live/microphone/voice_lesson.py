"""Learns a chanter's sound by a microphone: its nine notes played once, upward, each held for a moment."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from companion.midi.maps.calibration import SETTLED_S
from companion.window.lanes.trail import Moment
from fingering.chart import chart
from fingering.notes import Note

if TYPE_CHECKING:
    from companion.window.live.input import LiveInput


def notes_held(moments: Sequence[Moment], now_s: float, since_s: float) -> frozenset[Note]:
    """The notes that sounded for SETTLED_S on end, of what was played from `since_s` up to `now_s`."""
    ends = [*moments, Moment(now_s, moments[-1].state)] if moments else []
    return frozenset(
        moment.note
        for moment, after in pairwise(ends)
        if moment.note is not None and min(after.at_s, now_s) - max(moment.at_s, since_s) >= SETTLED_S
    )


class VoiceLesson:
    """What is to be played so that a chanter's sound is learnt, and which of its notes were heard so far."""

    what_to_do = "play the nine notes upward, each held for a moment"
    kept_for = "microphone"

    def __init__(self) -> None:
        self.names = tuple(note.label for note in Note)
        self.states = tuple(chart(note) for note in Note)
        self._heard: frozenset[Note] = frozenset()
        self._since_s = 0.0
        self._learnt = False

    def begin(self, live: LiveInput) -> None:
        """From now on what is played is learnt, and what was learnt before is forgotten unless it is kept."""
        self._since_s = live.clock()
        live.choice.learn_voice()

    def follow(self, live: LiveInput) -> None:
        """Once a frame: which notes were heard."""
        now_s = live.clock()
        self._heard |= notes_held(live.freely(now_s).moments, now_s, self._since_s)
        microphone = live.choice.microphone
        self._learnt = microphone is not None and microphone.learnt_bytes is not None

    def learnt(self) -> tuple[str, ...]:
        """For each note that it was heard, in words; "" for those to come."""
        return tuple("heard" if note in self._heard else "" for note in Note)

    @property
    def finished(self) -> bool:
        """Whether all nine were heard, and the chanter's sound is known by them."""
        return self._learnt and len(self._heard) == len(Note)
