"""Learning a voice from what was gathered of a stream: work for whoever has the time, in a thread or a process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.hearing.echoes.room import USUAL_ROOM, EchoNeeds
from companion.hearing.known_voice import same_chanter, together
from companion.hearing.learning import learn
from companion.hearing.learnt import Learnt
from companion.hearing.spectra import Floats
from companion.hearing.troubles import is_unlike_a_chanter
from companion.hearing.voice import AudiblePitch

FEW_ENDS = EchoNeeds(ends=1, lags=2, expected=USUAL_ROOM)
"""In six seconds of a tune there are one to four notes' ends after which the next note lasts."""

SURE_OF_ROOM_S = 12.0
"""The stretch of playing after which a room is known: if it had no echo, there is none."""


def named_alike(some: Sequence[AudiblePitch], others: Sequence[AudiblePitch]) -> bool:
    """Return whether pitches, rank by rank, are of the same notes: those of two tunings are, and lie little apart."""
    return [each.note for each in some] == [each.note for each in others]


def as_pitches(learnt: Learnt, pitches: tuple[AudiblePitch, ...]) -> Learnt:
    """Return a voice as one of these pitches, where they are named alike, else as it is: of some notes of a chanter one
    tuning fits best, of more of them another may."""
    if not named_alike(learnt.voice.pitches, pitches):
        return learnt
    return replace(learnt, voice=replace(learnt.voice, pitches=pitches))


@dataclass(frozen=True, slots=True, eq=False)
class LearnJob:
    """Thinned samples to learn from. It can be pickled: call it where it stalls nobody, and give what it returns to
    `LiveHearing.take_in`. surely: a scale must be the only one that fits. known: what is known of the chanter already,
    on the same grid: its notes that are not heard in the samples are kept."""

    pieces: tuple[Floats, ...]
    rate_hz: float
    surely: bool = True
    known: Learnt | None = None

    def __call__(self) -> Learnt | None:
        """What was learnt; None where that is no chanter, or not surely enough."""
        learnt = learn(self.pieces, self.rate_hz, FEW_ENDS)
        if learnt is None or is_unlike_a_chanter(learnt):
            return None
        if self.known is not None:
            known = as_pitches(self.known, learnt.voice.pitches)
            if same_chanter(learnt, known):
                return self._in_the_room_known(together(learnt, known))
        if self.surely and not learnt.scale.is_sure:
            return None
        return learnt

    def _in_the_room_known(self, learnt: Learnt) -> Learnt:
        """A few seconds in which no note rings out for long say nothing of a room: it is as it was."""
        assert self.known is not None
        if learnt.echo is not None or sum(map(len, self.pieces)) > SURE_OF_ROOM_S * self.rate_hz:
            return learnt
        return replace(learnt, echo=self.known.echo)
