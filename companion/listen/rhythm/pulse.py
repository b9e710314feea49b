"""The learner's own pulse: where a melody note was due, by what was played before it and after it.

A Kalman filter of two numbers, when a place of the tune is due and how many seconds one asked second takes, with what
its notes stray by. The notes that follow are heard before a note is judged: they show whether it alone was off
its time, or the pulse moved with it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import combinations
from operator import itemgetter
from statistics import median
from typing import NamedTuple

from companion.listen.rhythm.fitted_spread import FittedSpread
from companion.listen.rhythm.spread import Spread
from companion.listen.rhythm.tempo_wander import PULSE_WANDER, USUAL_TEMPO_WANDER, FirstNotes, Followed

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

STEP = 14.0
"""The cost, in squares of standard deviations, of taking the pulse to have moved once beside a note, which then is
judged by what came before alone: a little more than that of not believing one note."""

SAME_S, SAME_RATIO = 0.001, 0.001
"""Two pulses are the same up to these differences in when a note is due, in s, and in tempo, as a share."""

VAGUE_S = 10.0
FIRST_INTERVAL_S = 0.5
"""The asked interval taken for the usual one at first."""

SETTLED_NOTES = 3
"""After a stop, a pulse has only just been found for so many notes: it may move, and none of them is off its time."""

FIRST_NOTES = 5
"""Notes from which the first pulse is taken."""


# Of these several are made for every note and follower: as tuples they cost a third of frozen dataclasses.


class Onset(NamedTuple):
    """When a melody note had its beat, at `place_s` of the tune, between intervals as asked for; how far that moment is
    itself unsure. All in seconds. apart: whether what came before tells nothing about when it was due."""

    place_s: float
    before_s: float
    after_s: float
    at_s: float
    unsure_s: float = 0.0
    apart: bool = False


_Telling = tuple[float, float, float]
"""What a note tells of the pulse: how much further it stands in the tune, when it came (s), and with what variance of
its own."""


class _State(NamedTuple):
    """When a place is due (s), seconds played for each asked one, and their covariance."""

    due_s: float
    ratio: float
    var_due: float
    cov: float
    var_ratio: float

    def ahead(self, step_s: float, wander: float, tempo: float) -> _State:
        """The state at the place `step_s` further, where the pulse takes on the variance `wander` on the way, and the
        tempo wanders by the share `tempo` in one second."""
        due_s, ratio, var_due, cov, var_ratio = self
        variance = var_due + 2.0 * step_s * cov + step_s**2 * var_ratio
        tempo_wander = (tempo * ratio) ** 2 * max(step_s, 0.0)
        return _State(
            due_s + ratio * step_s, ratio, variance + wander, cov + step_s * var_ratio, var_ratio + tempo_wander
        )

    def corrected(self, at_s: float, noise: float) -> _State:
        """The state corrected by the note at its place, which came then, with that variance of its own."""
        due_s, ratio, var_due, cov, var_ratio = self
        off_s, variance = at_s - due_s, var_due + noise
        gain, ratio_gain = var_due / variance, cov / variance
        tempo = max(1e-3, ratio + ratio_gain * off_s)
        return _State(
            due_s + gain * off_s, tempo, var_due - gain * var_due, cov - gain * cov, var_ratio - ratio_gain * cov
        )

    def believing(self, notes: Iterable[_Telling]) -> tuple[float, _State]:
        """How notes surprise that are all believed, one after the other (the sum of the squares of their standard
        deviations), and the state corrected by them."""
        due_s, ratio, var_due, cov, var_ratio = self
        surprise = 0.0
        for step_s, at_s, noise in notes:
            off_s = at_s - (due_s + ratio * step_s)
            variance = var_due + 2.0 * step_s * cov + step_s**2 * var_ratio + noise
            with_due, with_ratio = var_due + step_s * cov, cov + step_s * var_ratio
            gain, ratio_gain = with_due / variance, with_ratio / variance
            surprise += off_s**2 / variance
            due_s += gain * off_s
            ratio = max(1e-3, ratio + ratio_gain * off_s)
            var_due -= gain * with_due
            cov -= gain * with_ratio
            var_ratio -= ratio_gain * with_ratio
        return surprise, _State(due_s, ratio, var_due, cov, var_ratio)


class Due(NamedTuple):
    """When a note was due; the standard deviations of that (`known_s`), of the note by itself (`noise_s`), and of what
    could be expected of a player not yet known well (`spread_s`). All in seconds. ahead: how a pulse expected it by
    what came before; where those that follow show that the tempo is another one from the note before on, in that."""

    at_s: float
    known_s: float
    noise_s: float
    spread_s: float
    ahead: _State | None = None


class Pulse:
    """Follows melody onsets: `due` asks, `heard` tells. Places and lengths are seconds of the tune as asked for."""

    def __init__(self, ratio: float) -> None:
        self._place_s: float | None = None
        self._state = _State(0.0, ratio, 0.0, 0.0, (FIRST_TEMPO_SPREAD * ratio) ** 2)
        self._spread: Spread | FittedSpread = Spread(FIRST_INTERVAL_S * ratio)
        self._tempo_wander = USUAL_TEMPO_WANDER
        self._first_notes = FirstNotes()
        self._notes_since_cut = 0

    def once_more(self, ratio: float) -> Pulse:
        """Return the pulse of the same player at this tempo, before the first note: how far notes stray, and the
        tempo wanders, is known."""
        other = Pulse(ratio)
        other._tempo_wander = self._first_notes.tempo_wander(ratio, FIRST_TEMPO_SPREAD)
        other._spread = self._spread.fitted()
        other._first_notes = FirstNotes(0)
        return other

    def is_like(self, other: object) -> bool:
        """Whether both are pulses that expect the next note at the same moment, as far as can be heard, and as
        surely."""
        if not isinstance(other, Pulse) or self.settled is not other.settled:
            return False
        if self._place_s is None or other._place_s is None:
            return self._place_s is other._place_s and self._is_as_sure(other)
        at_s = other._state.due_s + other.ratio * (self._place_s - other._place_s)
        return abs(at_s - self._state.due_s) < SAME_S and self._is_as_sure(other)

    def _is_as_sure(self, other: Pulse) -> bool:
        same_tempo = abs(self.ratio - other.ratio) < SAME_RATIO * self.ratio
        return same_tempo and self._spread.is_like(other._spread)

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
        if self._first_notes.room:
            self._first_notes.begin(onset.at_s, self._noise_s(onset) ** 2, onset.unsure_s**2)

    def due(self, onset: Onset, following: Sequence[Onset] = ()) -> Due:
        """When a note was due, by the notes before it and those that follow, whenever it came. Only while running.

        Where all that follow disagree with what came before, the pulse has moved, and only what came before counts.
        """
        ahead = self._ahead_of(self._state, onset)
        surprise, state = self._by_following(ahead, onset, following)
        if not self.settled:
            vague = ahead._replace(var_due=VAGUE_S**2, cov=0.0)
            found = self._by_following(vague, onset, following)
            surprise, state = min((surprise, state), found, key=itemgetter(0))
        noise_s = self._noise_s(onset)
        if self.settled and not onset.apart and following:
            variance = noise_s**2 + onset.unsure_s**2
            by_all = surprise + _believed_or_not(onset.at_s, state, variance)
            by_step = STEP + self._by_step(ahead, onset, following, variance) if by_all > STEP else by_all
            if by_step < by_all:
                surprise, state = by_step - _believed_or_not(onset.at_s, ahead, variance), ahead
        if surprise > NEW_TEMPO and not onset.apart:
            in_new_tempo = self._ahead_in_new_tempo(onset, following)
            anew, other = self._by_following(in_new_tempo, onset, following)
            if anew + NEW_TEMPO < surprise:
                state, ahead = other, in_new_tempo
        known_s = math.sqrt(state.var_due)
        spread_s = self._spread.strangeness * math.hypot(known_s, noise_s)
        return Due(state.due_s, known_s, noise_s, spread_s, ahead)

    def heard(self, onset: Onset, due: Due, following: Sequence[Onset] = (), *, moving: float = MOVING) -> None:
        """Take in the onset of a note, known when it was due and what follows it. moving: how much less those that
        follow must surprise for the pulse to have moved with the note."""
        ahead = due.ahead or self._ahead_of(self._state, onset)
        noise = due.noise_s**2 + onset.unsure_s**2
        on_time = (onset.at_s - due.at_s) ** 2 <= OUTLIER**2 * (due.known_s**2 + noise)
        expected = (onset.at_s - ahead.due_s) ** 2 <= OUTLIER**2 * (ahead.var_due + noise)
        # After what tells nothing of its time a note may seem to be on it and yet begin anew.
        moved = (onset.apart or not on_time) and self._moved(ahead, onset, following, moving)
        left = not on_time and not moved
        if self._first_notes.room:
            step_s = onset.place_s - (self._place_s or 0.0)
            even = self._spread.noise_of_even_s(step_s * self.ratio) ** 2
            was = step_s, onset.at_s, due.noise_s**2, onset.unsure_s**2, even
            self._first_notes.keep(Followed(*was, believed=on_time and expected, left=left))
        if on_time and expected and not moved:
            self._state = ahead.corrected(onset.at_s, noise)
        else:
            self._state = ahead if left else self._anchored(onset)
        self._place_s = onset.place_s
        self._notes_since_cut += 1

    def learn_spread(self, onset: Onset, due: Due, *, later: bool = False) -> None:
        """Learn from one note, and when it was due, how far this player's notes stray; `later` only once all of the
        take is known."""
        off_s, known, unsure = onset.at_s - due.at_s, due.known_s**2, onset.unsure_s**2
        before_s, after_s = self.ratio * onset.before_s, self.ratio * onset.after_s
        self._spread.note((off_s, unsure, 1.0 + known / due.noise_s**2, before_s, after_s))
        if not later:
            self._spread.learn(off_s, known + unsure, before_s, after_s)

    # --- what follows ---

    def _by_step(self, ahead: _State, onset: Onset, following: Sequence[Onset], variance: float) -> float:
        """How a note, of that variance (s²) of its own, and those that follow surprise if the pulse moved once, with
        the note or with the one after it, and then went on."""
        with_note, _ = self._by_following(self._anchored(onset), onset, following)
        after, _ = self._by_following(self._anchored(following[0]), following[0], following[1:])
        return min(with_note, after + _believed_or_not(onset.at_s, ahead, variance))

    def _by_following(self, ahead: _State, onset: Onset, following: Sequence[Onset]) -> tuple[float, _State]:
        """The state at a note as those that follow tell of it, and how they surprise. Any of them may be off its own
        time: of all choices the one that surprises least is taken, counting what is not believed."""
        notes = self._tellings(onset, following)
        surprise, state = ahead.believing(notes)
        if surprise < DISBELIEF:
            return surprise, state  # any other choice costs more, for there a note is not believed
        tellings = [(0.0, ahead)]
        for note in notes:
            believed = [(surprise, *state.believing([note])) for surprise, state in tellings]
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

    def _ahead_in_new_tempo(self, onset: Onset, following: Sequence[Onset]) -> _State:
        """The state at a note by what came before, if the tempo is another one from the note before on: near that of
        the notes that follow."""
        ratio = first_ratio([following]) or self.ratio
        anew = self._state._replace(ratio=ratio, cov=0.0, var_ratio=(NEW_TEMPO_SPREAD * ratio) ** 2)
        return self._ahead_of(anew, onset)

    def _ahead_of(self, state: _State, onset: Onset) -> _State:
        """The state at a note by what came before."""
        assert self._place_s is not None
        step_s = onset.place_s - self._place_s
        return state.ahead(step_s, self._wander(step_s), self._tempo_wander)

    def _wander(self, step_s: float) -> float:
        """The variance that the pulse takes on in a step."""
        return (PULSE_WANDER * self._spread.noise_of_even_s(step_s * self._state.ratio)) ** 2

    def _tellings(self, onset: Onset, following: Sequence[Onset]) -> list[_Telling]:
        ratio, here_s = self._state.ratio, onset.place_s
        noise_s, even_s = self._spread.noise_s, self._spread.noise_of_even_s
        tellings: list[_Telling] = []
        for place_s, before_s, after_s, at_s, unsure_s, _ in following:
            step_s = place_s - here_s
            noise = noise_s(ratio * before_s, ratio * after_s) ** 2
            tellings.append((step_s, at_s, (PULSE_WANDER * even_s(step_s * ratio)) ** 2 + noise + unsure_s**2))
        return tellings

    def _noise_s(self, onset: Onset) -> float:
        ratio = self._state.ratio
        return self._spread.noise_s(ratio * onset.before_s, ratio * onset.after_s)


def _believed_or_not(at_s: float, state: _State, variance: float) -> float:
    """How a note of that variance of its own (s²) surprises a state at its place, or what not believing it costs."""
    return min(DISBELIEF, (at_s - state.due_s) ** 2 / (state.var_due + variance))


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
