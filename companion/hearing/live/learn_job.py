"""Learning a voice from what was gathered of a stream: work for whoever has the time, in a thread or a process."""

from __future__ import annotations

from dataclasses import dataclass

from companion.hearing.known_voice import same_chanter, together
from companion.hearing.learning import Learnt, learn
from companion.hearing.spectra import Floats
from companion.hearing.troubles import is_unlike_a_chanter


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
        learnt = learn(self.pieces, self.rate_hz)
        if learnt is None or is_unlike_a_chanter(learnt):
            return None
        if self.known is not None and same_chanter(learnt, self.known):
            return together(learnt, self.known)
        if self.surely and not learnt.scale.is_sure:
            return None
        return learnt
