"""The learner's own pulse: where a melody note was due, by what was played before it and after it.

A Kalman filter of two numbers, when a place of the tune is due and how many seconds one asked second takes, with what
its notes stray by. The notes that follow are heard before a note is judged: they show whether it alone was off
its time, or the pulse moved with it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import combinations
from operator import itemgetter
from statistics import median

from companion.listen.rhythm.spread import LEAST_SPREAD_S, Spread

METRONOME_SPREAD = 0.02
"""What is allowed for against a metronome besides the limit in ms: what musicians stray by."""

TEMPO_WANDER = 0.01
"""How much tempo wanders in one second of the tune, as a share: a player slows by a tenth over a phrase."""

PULSE_WANDER = 0.3
"""How much the pulse itself strays from one note to the next, as a share of what a note strays by."""

FIRST_TEMPO_SPREAD = 0.05
"""How far the tempo taken from the first notes may be from the true one, as a share."""

OUTLIER = 3.0
"""A note this many standard deviations off does not move the pulse, unless those that follow agree with it."""

MOVED_TEMPO_SPREAD = 0.03
"""The standard deviation, as a share, by which the tempo may change where a player stops or hesitates."""

DISBELIEF = 8.0
"""The cost of not believing a note, in squares of standard deviations: that of one a little less than three of them
off."""

MOVING = 4.0
"""By how much less, in squares of standard deviations, the notes that follow must surprise if the pulse moved with a
note, for that to be believed."""

NEW_TEMPO = 12.0
NEW_TEMPO_SPREAD = 0.25
"""The cost, in squares of standard deviations, of taking the tempo to be another one from the note before on, and the
standard deviation, as a share, of what it may then be: half of what three notes cost that are not believed."""

VAGUE_S = 10.0
FIRST_INTERVAL_S = 0.5
"""The asked interval taken for the usual one at first."""

SETTLED_NOTES = 3
"""After a stop, a pulse has only just been found for so many notes: it may move, and none of them is off its time."""

FIRST_NOTES = 5
"""Notes from which the first pulse is taken."""


@dataclass(frozen=True, slots=True)
class Onset:
    """When a melody note had its beat, at `place_s` of the tune, between intervals as asked for; how far that moment is
    itself unsure. All in seconds. apart: whether what came before tells nothing about when it was due."""

    place_s: float
    before_s: float
    after_s: float
    at_s: float
    unsure_s: float = 0.0
    apart: bool = False


@dataclass(frozen=True, slots=True)
class Due:
    """When a note was due; the standard deviations of that (`known_s`), of the note by itself (`noise_s`), and of what
    could be expected of a player not yet known well (`spread_s`). All in seconds. in_new_tempo: whether those that
    follow show that the tempo is another one from the note before on."""

    at_s: float
    known_s: float
    noise_s: float
    spread_s: float
    in_new_tempo: bool = False


@dataclass(frozen=True, slots=True)
class _State:
    """When a place is due (s), seconds played for each asked one, and their covariance."""

    due_s: float
    ratio: float
    var_due: float
    cov: float
    var_ratio: float

    def seen_from(self, step_s: float) -> tuple[float, float]:
        """When the place `step_s` further is due, and the variance of that."""
        variance = self.var_due + 2.0 * step_s * self.cov + step_s**2 * self.var_ratio
        return self.due_s + self.ratio * step_s, variance

    def told(self, step_s: float, off_s: float, variance: float) -> _State:
        """Corrected by a note `step_s` further that was `off_s` late, where `variance` was to be expected."""
        with_due, with_ratio = self.var_due + step_s * self.cov, self.cov + step_s * self.var_ratio
        gain, ratio_gain = with_due / variance, with_ratio / variance
        return _State(
            self.due_s + gain * off_s,
            max(1e-3, self.ratio + ratio_gain * off_s),
            self.var_due - gain * with_due,
            self.cov - gain * with_ratio,
            self.var_ratio - ratio_gain * with_ratio,
        )

    def expects(self, step_s: float, at_s: float, noise: float) -> tuple[float, _State]:
        """How a note `step_s` further, at that time and with that variance of its own, surprises (the square of its
        standard deviations), and the state corrected by it."""
        due_s, variance = self.seen_from(step_s)
        off_s = at_s - due_s
        return off_s**2 / (variance + noise), self.told(step_s, off_s, variance + noise)


class Pulse:
    """Follows melody onsets: `due` asks, `heard` tells. Places and lengths are seconds of the tune as asked for."""

    def __init__(self, ratio: float) -> None:
        self._place_s: float | None = None
        self._state = _State(0.0, ratio, 0.0, 0.0, (FIRST_TEMPO_SPREAD * ratio) ** 2)
        self._spread = Spread(FIRST_INTERVAL_S * ratio)
        self._notes_since_cut = 0

    def once_more(self, ratio: float) -> Pulse:
        """Return the pulse of the same player at this tempo, before the first note: how far notes stray is known."""
        other = Pulse(ratio)
        other._spread = deepcopy(self._spread)
        return other

    @property
    def ratio(self) -> float:
        """Seconds played for each asked one."""
        return self._state.ratio

    @property
    def running(self) -> bool:
        """Whether a note has been heard since the last cut."""
        return self._place_s is not None

    @property
    def settled(self) -> bool:
        """Whether enough notes were heard since the last cut for one to be off its time."""
        return self._notes_since_cut >= SETTLED_NOTES

    def cut(self) -> None:
        """Keep the tempo and forget the phase: the notes before a stop or a leap do not tell when those after it are
        due."""
        self._place_s = None
        self._notes_since_cut = 0

    def begin(self, onset: Onset) -> None:
        """Take in the first note after a cut: it tells the phase."""
        self._state = self._anchored(onset)
        self._place_s = onset.place_s
        self._notes_since_cut += 1

    def due(self, onset: Onset, following: Sequence[Onset] = ()) -> Due:
        """When a note was due, by the notes before it and those that follow, whenever it came. Only while running.

        Where all that follow disagree with what came before, the pulse has moved, and only what came before counts.
        """
        ahead, in_new_tempo = self._ahead(onset), False
        surprise, state = self._by_following(ahead, onset, following)
        if not self.settled:
            vague = replace(ahead, var_due=VAGUE_S**2, cov=0.0)
            found = self._by_following(vague, onset, following)
            surprise, state = min((surprise, state), found, key=itemgetter(0))
        if surprise > NEW_TEMPO and not onset.apart:
            anew, other = self._by_following(self._ahead_in_new_tempo(onset, following), onset, following)
            if anew + NEW_TEMPO < surprise:
                state, in_new_tempo = other, True
        noise_s, known_s = self._noise_s(onset), math.sqrt(state.var_due)
        spread_s = self._spread.strangeness * math.hypot(known_s, noise_s)
        return Due(state.due_s, known_s, noise_s, spread_s, in_new_tempo)

    def heard(self, onset: Onset, due: Due, following: Sequence[Onset] = (), *, moving: float = MOVING) -> None:
        """Take in the onset of a note, known when it was due and what follows it. moving: how much less those that
        follow must surprise for the pulse to have moved with the note."""
        ahead = self._ahead_in_new_tempo(onset, following) if due.in_new_tempo else self._ahead(onset)
        noise = due.noise_s**2 + onset.unsure_s**2
        on_time = (onset.at_s - due.at_s) ** 2 <= OUTLIER**2 * (due.known_s**2 + noise)
        expected = (onset.at_s - ahead.due_s) ** 2 <= OUTLIER**2 * (ahead.var_due + noise)
        if on_time and expected:
            self._state = ahead.told(0.0, onset.at_s - ahead.due_s, ahead.var_due + noise)
        elif on_time or self._moved(ahead, onset, following, moving):
            self._state = self._anchored(onset)
        else:
            self._state = ahead
        self._place_s = onset.place_s
        self._notes_since_cut += 1

    def learn_spread(self, onset: Onset, due: Due) -> None:
        """Learn from one note, and when it was due, how far this player's notes stray."""
        variance = due.known_s**2 + onset.unsure_s**2
        self._spread.learn(onset.at_s - due.at_s, variance, self.ratio * onset.before_s, self.ratio * onset.after_s)

    # --- what follows ---

    def _by_following(self, ahead: _State, onset: Onset, following: Sequence[Onset]) -> tuple[float, _State]:
        """The state at a note as those that follow tell of it, and how they surprise. Any of them may be off its own
        time: of all choices the one that surprises least is taken, counting what is not believed."""
        tellings = [(0.0, ahead)]
        for each in following:
            step_s = each.place_s - onset.place_s
            noise = self._wander(step_s) + self._noise_s(each) ** 2 + each.unsure_s**2
            believed = [(surprise, *state.expects(step_s, each.at_s, noise)) for surprise, state in tellings]
            tellings = [(surprise + DISBELIEF, state) for surprise, state in tellings]
            tellings += [(before + surprise, state) for before, surprise, state in believed]
        return min(tellings, key=itemgetter(0))

    def _moved(self, ahead: _State, onset: Onset, following: Sequence[Onset], moving: float) -> bool:
        """Whether those that follow surprise less if the pulse has moved with a note."""
        unmoved, _ = self._by_following(ahead, onset, following)
        moved, _ = self._by_following(self._anchored(onset), onset, following)
        return moved + moving < unmoved

    # --- the state ---

    def _anchored(self, onset: Onset) -> _State:
        """The state where the pulse begins or moves with a note: the tempo may be another as well."""
        noise_s = math.hypot(self._spread.usual_s, onset.unsure_s)
        var_ratio = max(self._state.var_ratio, (MOVED_TEMPO_SPREAD * self.ratio) ** 2)
        return _State(onset.at_s, self.ratio, noise_s**2, 0.0, var_ratio)

    def _ahead(self, onset: Onset) -> _State:
        """The state at a note by what came before."""
        return self._ahead_of(self._state, onset)

    def _ahead_in_new_tempo(self, onset: Onset, following: Sequence[Onset]) -> _State:
        """The state at a note by what came before, if the tempo is another one from the note before on: near that of
        the notes that follow."""
        ratio = first_ratio([following]) or self.ratio
        return self._ahead_of(
            replace(self._state, ratio=ratio, cov=0.0, var_ratio=(NEW_TEMPO_SPREAD * ratio) ** 2), onset
        )

    def _ahead_of(self, state: _State, onset: Onset) -> _State:
        assert self._place_s is not None
        step_s = onset.place_s - self._place_s
        due_s, variance = state.seen_from(step_s)
        wander = (TEMPO_WANDER * state.ratio) ** 2 * max(step_s, 0.0)
        cov = state.cov + step_s * state.var_ratio
        return _State(due_s, state.ratio, variance + self._wander(step_s), cov, state.var_ratio + wander)

    def _wander(self, step_s: float) -> float:
        """The variance that the pulse takes on in a step."""
        return (PULSE_WANDER * self._spread.noise_s(self.ratio * step_s, self.ratio * step_s)) ** 2

    def _noise_s(self, onset: Onset) -> float:
        return self._spread.noise_s(self.ratio * onset.before_s, self.ratio * onset.after_s)


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

    def learn_spread(self, onset: Onset, due: Due) -> None:
        """Nothing is learnt: what is allowed for against a metronome does not go by the player."""


def first_ratio(runs: Sequence[Sequence[Onset]]) -> float | None:
    """Played seconds for each asked second, from the first onsets, in runs that have nothing to do with each other: the
    median of all slopes."""
    slopes = [
        (later.at_s - first.at_s) / (later.place_s - first.place_s)
        for run in runs
        for first, later in combinations(run, 2)
        if later.place_s > first.place_s
    ]
    return median(slopes) if slopes else None
