"""A metronome in place of a player's own pulse: when its notes were due, whatever was played."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.rhythm.fitted_spread import LEAST_SPREAD_S
from companion.listen.rhythm.pulse import MOVING, Due, Onset

METRONOME_SPREAD = 0.02
"""What is allowed for against a metronome besides the limit in ms: what musicians stray by."""


class Metronome:
    """The pulse of a metronome at the schedule's own tempo, known but for its phase: that comes from the first note.

    After a cut the learner comes in on some beat, so the phase moves by whole beats of `beat_s`.
    """

    def __init__(self, offset_s: float, beat_s: float) -> None:
        self._offset_s, self._beat_s = offset_s, beat_s
        self._loose = False

    def once_more(self, ratio: float) -> Metronome:
        """Return the same metronome before the first note, which tells on which beat the player came in."""
        other = Metronome(self._offset_s, self._beat_s)
        other.cut()
        return other

    def is_like(self, other: object) -> bool:
        """Whether both are metronomes that expect notes at the same moments."""
        return isinstance(other, Metronome) and (self._offset_s, self._loose) == (other._offset_s, other._loose)

    @property
    def ratio(self) -> float:
        """Seconds played for each asked one: 1, for the schedule is at the metronome's tempo."""
        return 1.0

    @property
    def running(self) -> bool:
        """Whether the beat on which the learner came in is known."""
        return not self._loose

    @property
    def settled(self) -> bool:
        """Whether notes can be judged: always, for the tempo of a metronome is known from the first note on."""
        return True

    def cut(self) -> None:
        """Forget on which beat the learner came in: after a stop or a leap it may be another one."""
        self._loose = True

    def begin(self, onset: Onset) -> None:
        """The first note after a cut tells on which beat the learner came in."""
        beats = round((onset.at_s - self._offset_s - onset.place_s) / self._beat_s)
        self._offset_s += beats * self._beat_s
        self._loose = False

    def due(self, onset: Onset, following: Sequence[Onset] = ()) -> Due:
        """When a note is due: a metronome does not follow those that follow."""
        spread_s = max(LEAST_SPREAD_S, METRONOME_SPREAD * max(onset.before_s, onset.after_s))
        return Due(self._offset_s + onset.place_s, 0.0, spread_s, spread_s)

    def heard(self, onset: Onset, due: Due, following: Sequence[Onset] = (), *, moving: float = MOVING) -> None:
        """A metronome is not moved by what is heard."""

    def learn_spread(self, onset: Onset, due: Due, *, later: bool = False) -> None:
        """Nothing is learnt: what is allowed for against a metronome does not go by the player."""
