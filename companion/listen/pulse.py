"""The learner's own pulse: where the next melody note was due, by what was played before it.

A Kalman filter of two numbers, when a place of the tune is due and how many seconds one asked second takes, with a
spread that it learns. A note far off is not believed at once; when the next one agrees with it, the pulse has moved.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from statistics import median

SPREAD = 0.03
"""What a player's notes stray by, as a share of the interval, until it is learnt: 2 % for musicians, 4 % for others
(tapping, Repp 2005, from memory)."""

METRONOME_SPREAD = 0.02
"""What is allowed for against a metronome besides the limit in ms: what musicians stray by."""

LEAST_SPREAD, MOST_SPREAD = 0.012, 0.15
LEAST_SPREAD_S = 0.004
SPREAD_MEMORY = 24.0
"""Notes over which the spread is learnt."""

TEMPO_WANDER = 0.01
"""How much tempo wanders in one second of the tune, as a share: a player slows by a tenth over a phrase."""

USUAL_SHARE = 0.3
"""How much a note strays with the player's usual interval; the rest goes with the longer of the intervals beside it."""

FIRST_TEMPO_SPREAD = 0.05
"""How far the tempo taken from the first notes may be from the true one, as a share."""

OUTLIER = 3.0
"""A note this many standard deviations off does not move the pulse, unless the next one agrees with it."""

CLIPPED = 2.0
CLIPPED_MEAN = 0.92
"""Off times count for the spread up to this many standard deviations, so that faults do not; what the square of such a
clipped normal number is on the average (integrated)."""

STRANGER_NOTES = 2.0
"""A player not heard for long may stray further: twice as far at the first note, half as much again after so many."""

FIRST_NOTES = 5
"""Notes from which the first pulse is taken."""


@dataclass(frozen=True, slots=True)
class Due:
    """When a note was due, and the standard deviation of what could be expected: of the note by itself (`noise_s`), and
    with what is not known of the pulse added (`spread_s`). All in seconds."""

    at_s: float
    spread_s: float
    noise_s: float


class Pulse:
    """Follows melody onsets: `due` asks, `heard` tells. Places and lengths are seconds of the tune as asked for."""

    def __init__(self, ratio: float) -> None:
        self.ratio = ratio
        self._place_s: float | None = None
        self._due_s = 0.0
        self._variance = (0.0, 0.0, (FIRST_TEMPO_SPREAD * ratio) ** 2)
        self._spread = SPREAD
        self._interval_s = 0.5 * ratio
        self._notes = 0
        self._rival_s: float | None = None

    @property
    def running(self) -> bool:
        """Whether a note has been heard since the last cut."""
        return self._place_s is not None

    def cut(self) -> None:
        """What follows stands on its own: the pulse keeps its tempo and forgets its phase."""
        self._place_s = None
        self._rival_s = None

    def due(self, place_s: float, length_s: float) -> Due:
        """When the note at `place_s`, `length_s` long as asked for, is due. Only while running.

        What is next to a long note strays more than what is among short ones: spread goes with the interval.
        """
        assert self._place_s is not None
        step_s = place_s - self._place_s
        noise_s = self._noise_s(max(step_s, length_s))
        strange = 1.0 + STRANGER_NOTES / (STRANGER_NOTES + self._notes)
        spread_s = strange * math.sqrt(self._ahead(step_s)[0] + noise_s**2)
        return Due(self._due_s + self.ratio * step_s, spread_s, noise_s)

    def rival_due_s(self, place_s: float) -> float | None:
        """When it would be due if the last note, far off, had moved the pulse with it."""
        if self._rival_s is None or self._place_s is None:
            return None
        return self._rival_s + self.ratio * (place_s - self._place_s)

    def heard(self, place_s: float, length_s: float, at_s: float, *, unsure_s: float = 0.0) -> None:
        """Take in the onset of the note at `place_s`, `length_s` long; `unsure_s` adds to what it may stray by."""
        self._notes += 1
        if self._place_s is None:
            self._anchor(place_s, at_s)
            return
        step_s = place_s - self._place_s
        due = self.due(place_s, length_s)
        off_s, spread_s = at_s - due.at_s, math.hypot(due.spread_s, unsure_s)
        limit_s = OUTLIER * spread_s
        rival_s = self.rival_due_s(place_s)
        if not unsure_s:
            self._learn_spread(off_s, spread_s)
        if abs(off_s) <= limit_s:
            self._update(step_s, place_s, off_s, spread_s)
            self._rival_s = None
        elif rival_s is not None and abs(at_s - rival_s) < limit_s:
            self._anchor(place_s, at_s)
        else:
            self._pass_by(step_s, place_s)
            self._rival_s = at_s

    def _anchor(self, place_s: float, at_s: float) -> None:
        self._place_s, self._due_s, self._rival_s = place_s, at_s, None
        self._variance = (self._noise_s(self._interval_s / self.ratio) ** 2, 0.0, self._variance[2])

    def _ahead(self, step_s: float) -> tuple[float, float, float]:
        at, cross, tempo = self._variance
        at += 2.0 * step_s * cross + step_s**2 * tempo + (0.5 * self._spread * self.ratio * step_s) ** 2
        cross += step_s * tempo
        return at, cross, tempo + (TEMPO_WANDER * self.ratio) ** 2 * max(step_s, 0.0)

    def _noise_s(self, step_s: float) -> float:
        interval_s = USUAL_SHARE * self._interval_s + (1.0 - USUAL_SHARE) * self.ratio * max(step_s, 0.0)
        return max(LEAST_SPREAD_S, 0.8 * self._spread * interval_s)

    def _update(self, step_s: float, place_s: float, off_s: float, spread_s: float) -> None:
        at, cross, tempo = self._ahead(step_s)
        gain, tempo_gain = at / spread_s**2, cross / spread_s**2
        self._due_s += self.ratio * step_s + gain * off_s
        self.ratio = max(1e-3, self.ratio + tempo_gain * off_s)
        self._variance = ((1.0 - gain) * at, (1.0 - gain) * cross, tempo - tempo_gain * cross)
        self._place_s = place_s
        self._interval_s += 0.1 * (self.ratio * step_s - self._interval_s)

    def _pass_by(self, step_s: float, place_s: float) -> None:
        """Go on as if nothing had been heard."""
        self._variance = self._ahead(step_s)
        self._due_s += self.ratio * step_s
        self._place_s = place_s

    def _learn_spread(self, off_s: float, spread_s: float) -> None:
        surprise = min((off_s / spread_s) ** 2, CLIPPED**2) / CLIPPED_MEAN
        changed = self._spread * math.sqrt(1.0 + (surprise - 1.0) / SPREAD_MEMORY)
        self._spread = min(max(changed, LEAST_SPREAD), MOST_SPREAD)


class Metronome:
    """The pulse of a metronome at the schedule's own tempo, known but for its phase: that comes from the first note.

    After a cut the learner comes in on some beat, so the phase moves by whole beats of `beat_s`.
    """

    def __init__(self, offset_s: float, beat_s: float) -> None:
        self.ratio = 1.0
        self._offset_s, self._beat_s = offset_s, beat_s
        self._loose = False
        self._heard_to_s = 0.0

    @property
    def running(self) -> bool:
        """Whether the beat on which the learner came in is known."""
        return not self._loose

    def cut(self) -> None:
        """What follows comes in on another beat."""
        self._loose = True

    def due(self, place_s: float, length_s: float) -> Due:
        """When the note at `place_s` is due."""
        interval_s = max(length_s, place_s - self._heard_to_s)
        spread_s = max(LEAST_SPREAD_S, METRONOME_SPREAD * interval_s)
        return Due(self._offset_s + place_s, spread_s, spread_s)

    def rival_due_s(self, place_s: float) -> float | None:
        """A metronome has no rival."""
        return None

    def heard(self, place_s: float, length_s: float, at_s: float, *, unsure_s: float = 0.0) -> None:
        """Take in the onset of the note at `place_s`."""
        if self._loose:
            beats = round((at_s - self._offset_s - place_s) / self._beat_s)
            self._offset_s += beats * self._beat_s
            self._loose = False
        self._heard_to_s = place_s


def first_ratio(onsets: list[tuple[float, float]]) -> float | None:
    """Played seconds for each asked second, from the first onsets (place, time): the median of all slopes."""
    slopes = [(b_s - a_s) / (b - a) for (a, a_s), (b, b_s) in combinations(onsets, 2) if b > a]
    return median(slopes) if slopes else None
