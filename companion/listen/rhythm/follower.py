"""One way to hear a player's rhythm: a pulse, and the customs of a school, both of which adapt to the player."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from copy import copy, deepcopy
from typing import NamedTuple

from companion.listen.model.strictness import Limits
from companion.listen.rhythm.beat_placement import Customs, Odds, School
from companion.listen.rhythm.heard import BeatHeard, HeardUnit
from companion.listen.rhythm.metronome import Metronome
from companion.listen.rhythm.off_time import spreads_needed
from companion.listen.rhythm.pointing import Pair, Pointedness
from companion.listen.rhythm.pulse import MOVING, OUTLIER, Due, Onset, Pulse

FORESIGHT_NOTES = 60.0
"""A follower's surprise (see `Follower`) forgets one part in so many at each note."""

LEFT_OUT_S = 0.06
"""Where something was amiss with a note, as a gracenote left out, it may have come so much too soon for that alone: as
long as good gracenotes last at most (common practice, no source)."""

AMISS_S = 0.25
"""Where something else was amiss with a note it must be off its time by so much more, a hesitation, for that to be told
as well."""


class MelodyTime(NamedTuple):
    """Where a melody note stands, how long the one before it and itself are, in s; the pair of which it is the second:
    a pointed one, and either such a one or one of equal notes."""

    place_s: float
    before_s: float
    length_s: float
    pointed: Pair | None
    pair: Pair | None


class MelodyTimes:
    """Where the melody notes of a tune stand and how long they are, in s, and of which pairs they are the second.

    notes: by the played note's index. pairs: the pointed pairs, and halves those of equal notes, by their first note.
    """

    def __init__(
        self,
        at_s: Sequence[float],
        lengths_s: Sequence[float],
        pairs: Mapping[int, Pair],
        halves: Mapping[int, Pair] | None = None,
    ) -> None:
        befores_s = (*lengths_s[:1], *lengths_s[:-1])
        equal = halves or {}
        self.notes = [
            MelodyTime(*times_s, pairs.get(first), pairs.get(first) or equal.get(first))
            for first, times_s in enumerate(zip(at_s, befores_s, lengths_s, strict=True), start=-1)
        ]

    def pair_ending(self, played: int) -> Pair | None:
        """The pointed pair of which a note is the second."""
        return self.notes[played].pointed


class Follower:
    """Hears beats by the customs of a school.

    schools: those for which it hears, since they have not differed yet or no longer do. recent: the last three beats
    that have to do with each other. surprise: how much notes surprised it lately, as a negative log-likelihood.
    """

    def __init__(self, places: MelodyTimes, limits: Limits, *schools: School) -> None:
        self.schools = schools
        self._places, self._limits = places, limits
        self._customs, self._pointedness = Customs(schools[0]), Pointedness()
        self._pulse: Pulse | Metronome = Pulse(1.0)
        self.recent: deque[BeatHeard] = deque(maxlen=3)
        self.surprise = 0.0

    def once_more(self, ratio: float) -> Follower:
        """Return a follower that hears the same take from its beginning at this tempo, in seconds played for each asked
        one, and knows what this one has learnt of the player."""
        other = copy(self)
        # Against a metronome who runs or drags plays no pair as it was asked: there habits stay as they were learnt.
        of_own_pulse = isinstance(self._pulse, Pulse)
        other._customs = deepcopy(self._customs)
        other._pointedness = self._pointedness.fitted() if of_own_pulse else deepcopy(self._pointedness)
        other._pulse, other.recent = self._pulse.once_more(ratio), deque(maxlen=self.recent.maxlen)
        return other

    def parted(self, kind: int) -> list[Follower]:
        """Return a follower for each of its schools that differ in a kind of embellishment that was not heard so
        far."""
        alike: dict[Odds, list[School]] = {}
        for school in self.schools:
            alike.setdefault(school[kind], []).append(school)
        return [self._of_schools(schools, kind) for schools in alike.values()]

    def _of_schools(self, schools: Sequence[School], kind: int) -> Follower:
        other = copy(self)
        other.schools, other._customs = tuple(schools), self._customs.of_school(schools[0], kind)
        other._pulse, other._pointedness = deepcopy(self._pulse), deepcopy(self._pointedness)
        other.recent = self.recent.copy()
        return other

    def is_like(self, other: Follower, kinds: Collection[int]) -> bool:
        """Whether both have learnt the same of the player, so that they hear these kinds of embellishment alike from
        now on."""
        return (
            self._customs.is_like(other._customs, kinds)
            and self._pointedness.is_like(other._pointedness)
            and self._pulse.is_like(other._pulse)
        )

    @property
    def ratio(self) -> float:
        """Seconds played for each asked one."""
        return self._pulse.ratio

    def follow(self, pulse: Pulse | Metronome) -> None:
        """Hear what comes by this pulse, or by this metronome."""
        self._pulse = pulse

    def cut(self) -> None:
        """Forget when the next note is due: what comes after a stop or a leap has nothing to do with what was
        before."""
        self._pulse.cut()
        self.recent.clear()

    def onset(self, unit: HeardUnit) -> Onset:
        """What a note tells of the pulse; the second of a pointed pair comes where the player puts it by habit."""
        place_s, before_s, length_s, _, pair = self._places.notes[unit.played]
        if unit.kind is None and pair is None and unit.plain:
            return Onset(place_s, before_s, length_s, unit.onset_s, 0.0, unit.apart)
        at_s, unsure_s = self._customs.beat(unit)
        if pair is not None:
            shift_s, spread_s = self._pointedness.shift(pair, before_s + length_s)
            place_s += shift_s
            unsure_s = math.hypot(unsure_s, spread_s * self._pulse.ratio)
        return Onset(place_s, before_s, length_s, at_s, unsure_s, unit.apart)

    def hear(self, unit: HeardUnit, following: Iterable[HeardUnit]) -> BeatHeard:
        """Take in a note, known those that follow; returns when it was due, and whether it was off its time."""
        if unit.apart:
            self.recent.clear()
        onset = self.onset(unit)
        if self._pulse.running:
            beat = self._hear(unit, onset, [self.onset(each) for each in following if self._tells(each.played)])
        else:
            self._pulse.begin(onset)
            beat = BeatHeard(unit.played, unit.onset_s, self._customs.moments_s(unit), None, False)
        self.recent.append(beat)
        self._learn_pointing()
        return beat

    def _hear(self, unit: HeardUnit, onset: Onset, following: list[Onset]) -> BeatHeard:
        due = self._pulse.due(onset, following)
        beat = self._beat(unit, due)
        if not unit.apart and not self._tells(unit.played):
            return beat
        self._pulse.heard(onset, due, following, moving=0.0 if unit.apart else MOVING)
        spilled = unit.crowded and beat.moments_s != self._customs.moments_s(unit)
        if unit.plain and not unit.apart and not spilled:
            spread_s = math.hypot(due.spread_s, onset.unsure_s)
            strays = min(abs(onset.at_s - due.at_s) / spread_s, OUTLIER)
            self.surprise += 0.5 * strays**2 + math.log(spread_s) - self.surprise / FORESIGHT_NOTES
            self._customs.learn(unit, due)
            pair = self._places.pair_ending(unit.played)
            if pair is None or self.knows(pair):
                self._pulse.learn_spread(onset, due, later=pair is not None)
        return beat

    def knows(self, pair: Pair) -> bool:
        """Whether it is known how the player points such pairs."""
        return self._pointedness.known(pair)

    def _tells(self, played: int) -> bool:
        """Whether a note tells of the pulse at all."""
        pair = self._places.notes[played].pointed
        return pair is None or self._pointedness.trusted(pair)

    def _beat(self, unit: HeardUnit, due: Due) -> BeatHeard:
        moments_s = self._customs.moments_s(unit) if unit.plain else (unit.nearest_s(due.at_s),)
        off = self._is_off(unit, moments_s, due)
        if off and unit.crowded:
            moments_s = tuple([min(moment_s, unit.nearest_s(due.at_s)) for moment_s in moments_s])
            off = self._is_off(unit, moments_s, due)
        if unit.amiss and due.at_s > unit.onset_s:
            moments_s = (*moments_s, min(due.at_s, unit.onset_s + LEFT_OUT_S))
        return BeatHeard(unit.played, unit.onset_s, moments_s, due, off)

    def _is_off(self, unit: HeardUnit, moments_s: Sequence[float], due: Due) -> bool:
        """Whether a note was off its time, whichever of these moments was meant as its beat."""
        if not self._pulse.settled or unit.apart:
            return False
        limit_s = self._off_time_s(unit, due)
        slack_s = AMISS_S if unit.amiss else 0.0
        off = min([abs(moment_s - due.at_s) for moment_s in moments_s]) >= limit_s + slack_s
        if off and unit.plain and not self._customs.sure(unit):
            return abs(unit.nearest_s(due.at_s) - due.at_s) >= 0.5 * limit_s
        return off

    def _off_time_s(self, unit: HeardUnit, due: Due) -> float:
        """By how much a note must be off its time for that to be told. Where the second of a pair was due is no better
        known than the habit that it was taken from."""
        _, before_s, length_s, _, pair = self._places.notes[unit.played]
        ratio, known_and_own_s, spread_s = self._pulse.ratio, math.hypot(due.known_s, due.noise_s), due.spread_s
        if pair is not None and self.knows(pair):
            habit_s = ratio * self._pointedness.shift(pair, before_s + length_s)[1]
            known_and_own_s, spread_s = math.hypot(known_and_own_s, habit_s), math.hypot(spread_s, habit_s)
        shorter_s = ratio * (before_s if before_s < length_s else length_s)
        strays_s = spreads_needed(self._limits, shorter_s, known_and_own_s) * spread_s
        return max(self._limits.off_time_ms / 1000.0, strays_s + self._limits.misplaced_ms / 1000.0)

    def _learn_pointing(self) -> None:
        middle = self._middle_of_recent()
        if middle is None or middle.pair is None:
            return
        one, two, three = self.recent
        if three.at_s > two.at_s > one.at_s and not one.off and not three.off:
            self._pointedness.learn(middle.pair, (two.at_s - one.at_s) / (three.at_s - two.at_s))

    def recent_pair(self) -> Pair | None:
        """The pair that the last three beats make, with the note after it."""
        middle = self._middle_of_recent()
        return None if middle is None else middle.pointed

    def _middle_of_recent(self) -> MelodyTime | None:
        """The middle one of the last three beats, if they are those of three notes in a row."""
        if len(self.recent) < 3:
            return None
        one, two, three = self.recent
        in_a_row = one.played + 1 == two.played == three.played - 1
        return self._places.notes[two.played] if in_a_row else None
