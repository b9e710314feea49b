"""Plays a tune as a learner does: at a tempo that wanders, not quite in time, with slips and stumbles."""

from __future__ import annotations

import math
from itertools import takewhile
from random import Random

from companion.listen.model.findings import FindingKind as Fault
from companion.score.model import Tune
from companion.score.performance import PlayedNote, performance
from fingering.chart import chart
from fingering.embellishments import Family, recognise
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note
from tests.learners.all_slips import SLIP_OF
from tests.learners.learner import (
    GRACENOTE_RANGE_S,
    GRACENOTE_S,
    GRACENOTE_SPREAD,
    SLOW_RANGE_S,
    Group,
    Learner,
    Made,
    Simulated,
    Slip,
    Sound,
    Where,
)
from tests.learners.sensors import as_holes, as_notes
from tests.learners.slips import MOST_STRAY

ENDS_ON_BEAT = {Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}
"""The families that come before the beat: common practice, no source."""

POINTED = 1.9
WANDER_HZ = 0.0175
SHORTEST_S = 0.012
SHARE, SHARE_OF_SLOW = 0.5, 0.8
"""Gracenotes take no more than this share of the note before and of their own; slow ones take more."""

CALM_NOTES = 3
"""The number of notes after a fault in which no other fault is made, so that each can be told from the next."""


def simulate(tune: Tune, learner: Learner, draw: int) -> Simulated:
    """The take of one learner; the same draw gives the same take."""
    return SimulatedPlayer(tune, learner, Random(draw)).play()


class SimulatedPlayer:
    """One learner playing one tune."""

    def __init__(self, tune: Tune, learner: Learner, random: Random) -> None:
        self._tune, self._learner, self._random = tune, learner, random
        self._played = performance(tune)
        self._sounds: list[Sound] = []
        self._made: list[Made] = []
        self._gracenotes_s: list[float] = []
        self._clock_s = random.uniform(0.2, 2.0)
        self._phase = random.uniform(0.0, math.tau)
        self._silence_s = 0.0
        self._calm_until = CALM_NOTES
        self._due_slip: Slip | None = None
        self._due_bar: tuple[int, float] | None = None
        self._index = 0
        self._melody_notes = 0

    def play(self) -> Simulated:
        """Play to the end."""
        while self._index < len(self._played):
            if self._begins_bar() and self._dares() and self._random.random() < self._learner.stops:
                self._stop()
            self._play_note()
            if self._due_bar is not None:
                target, silence_s = self._due_bar
                self.pause(silence_s)
                self._due_bar = None
                self._go_to(target, stopped=silence_s > 0.0)
                continue
            if self._dares() and self._random.random() < self._learner.restarts / self._notes_in_bar():
                self._begin_again()
            self._index += 1
        notes, holes = as_notes(self._sounds, self._clock_s), as_holes(self._sounds, self._clock_s)
        return Simulated(self._tune, notes, holes, tuple(self._made), self._melody_notes, tuple(self._gracenotes_s))

    # --- what slips need ---

    @property
    def jitter_s(self) -> float:
        """The player's unsteadiness: see `Learner`."""
        return self._learner.jitter_s

    def uniform(self, low: float, high: float) -> float:
        """A number drawn evenly."""
        return self._random.uniform(low, high)

    def pick(self, notes: list[Note]) -> Note:
        """A note drawn evenly."""
        return self._random.choice(notes)

    def rank(self, count: int) -> int:
        """A rank below `count`, drawn evenly."""
        return self._random.randrange(count)

    @property
    def last(self) -> Sound:
        """The last sound so far."""
        return self._sounds[-1]

    @property
    def next_group(self) -> tuple[Note | None, tuple[Note, ...]]:
        """The next melody note and its gracenotes; none after the last."""
        if self._index + 1 == len(self._played):
            return None, ()
        following = self._played[self._index + 1].note
        return following.note, following.gracenotes

    def equal_in_a_row(self) -> frozenset[int]:
        """The played notes in a row with this one that sound like it, their gracenotes too."""
        sounds = [self._sounding(index) for index in range(len(self._played))]
        here = sounds[self._index]
        before = takewhile(lambda index: sounds[index] == here, range(self._index - 1, -1, -1))
        after = takewhile(lambda index: sounds[index] == here, range(self._index + 1, len(sounds)))
        return frozenset((*before, *after))

    def _sounding(self, index: int) -> tuple[Note | None, tuple[Note, ...]]:
        """A played note and its gracenotes, but for a first one that the note before swallows."""
        note = self._played[index].note
        before = self._played[index - 1].note.note if index else None
        return note.note, note.gracenotes[note.gracenotes[:1] == (before,) :]

    def sound(self, at_s: float, note: Note, state: HoleState) -> float:
        """Sound a note; returns when it began."""
        if self._sounds:
            at_s = max(at_s, self.last.at_s + SHORTEST_S)
            self._silence_s = min(self._silence_s, at_s - self.last.at_s - SHORTEST_S)
        self._sounds.append(Sound(at_s, note, state, max(0.0, self._silence_s)))
        self._silence_s = 0.0
        return at_s

    def play_group(self, group: Group) -> float:
        """Play gracenotes and melody note; returns the melody note's onset."""
        states = gracenote_states(group.graces, group.note)
        self._gracenotes_s += group.lengths_s
        for rank, (grace, state) in enumerate(zip(group.graces, states, strict=True)):
            self.sound(group.grace_at_s(rank), grace, state)
        return self.sound(group.onset_s, group.note, chart(group.note))

    def grace_s(self) -> float:
        """The length of a gracenote, drawn."""
        low_s, high_s = GRACENOTE_RANGE_S
        drawn_s = min(high_s, max(low_s, GRACENOTE_S * self._random.lognormvariate(0.0, GRACENOTE_SPREAD)))
        if self._learner.gracenote_s == GRACENOTE_S:
            return drawn_s
        shortest_s, longest_s = SLOW_RANGE_S
        return min(longest_s, max(shortest_s, drawn_s * self._learner.gracenote_s / GRACENOTE_S))

    def shift(self, by_s: float) -> None:
        """Move all that follows."""
        self._clock_s += by_s

    def pause(self, silence_s: float) -> None:
        """Be silent before what follows, and move it by as much."""
        self._silence_s = silence_s
        self._clock_s += silence_s

    def go_back(self, silence_s: float) -> bool:
        """Begin again from this bar's beginning after this note; False where it could not be told from going on."""
        turn = self._played[self._index].turn
        target = next(index for index, each in enumerate(self._played) if each.turn == turn)
        starts, last = (target, self._index + 1), len(self._played)
        again, on = ([self._sounding(index) for index in range(at, min(at + 4, last))] for at in starts)
        here, first = self._played[self._index].note.note, self._played[target].note
        if target == self._index or again == on or here in (first.note, *first.gracenotes[:1]):
            return False
        self._due_bar = target, silence_s
        return True

    def note_down(self, made: Made) -> None:
        """Keep the truth."""
        self._made.append(made)

    def is_pointed(self, index: int) -> bool:
        """Whether a note and the next make one beat, one long, one short, and the pair begins with it."""
        if not 0 <= index < len(self._played) - 1 or self.is_pointed(index - 1):
            return False
        one, two = self._played[index], self._played[index + 1]
        ratio = one.note.duration / two.note.duration
        beat = one.bar.meter.beat_length
        fits = self._place_in_bar(index) % beat + one.note.duration + two.note.duration <= beat
        return one.turn == two.turn and max(ratio, 1 / ratio) >= POINTED and fits

    def length_s(self, index: int) -> float:
        """How long a played note lasts now."""
        return float(self._played[index].note.duration) * self._whole_s()

    def play_even(self, group: Group, ratio: float) -> None:
        """Play a pointed pair in this ratio."""
        begins_s = self._clock_s - group.length_s
        both_s = group.length_s + self.length_s(self._index + 1)
        self.play_group(group)
        self._index += 1
        self._clock_s = begins_s + both_s * ratio / (1.0 + ratio)
        self._calm_until = self._index + CALM_NOTES
        self._play_note()
        self._clock_s = begins_s + both_s

    # --- time ---

    def _whole_s(self) -> float:
        """Seconds for a whole note, now."""
        beat = float(self._tune.tempo.beat if self._tune.tempo else self._tune.meter.beat_length)
        wander = 1.0 + self._learner.drift * math.sin(math.tau * WANDER_HZ * self._clock_s + self._phase)
        return 60.0 / (self._learner.beats_per_minute * wander * beat)

    def _place_in_bar(self, index: int) -> float:
        turn = self._played[index].turn
        bar = self._played[index].bar
        full = bar.meter.bar_length
        lead = full - bar.length if full and bar.number == 0 else 0
        return lead + sum(each.note.duration for each in self._played[:index] if each.turn == turn)  # type: ignore[return-value]

    # --- notes ---

    def _play_note(self) -> None:
        each = self._played[self._index]
        self._melody_notes += 1
        length_s = self.length_s(self._index)
        beat_s = self._clock_s
        self._clock_s += length_s
        if each.note.note is None:
            return
        group = self._group(each, beat_s, length_s)
        self._due_slip = self._due_slip or self._slip()
        if self._due_slip is not None and self._dares():
            for slip in self._tried(self._due_slip):
                if SLIP_OF[slip](self, group):
                    self._calm_until = self._index + CALM_NOTES
                    self._due_slip = None
                    return
                group = self._group(each, beat_s, length_s)
        if self._learner.leaves_out:
            self._leave_out(group)
        self.play_group(group)

    def _tried(self, due: Slip) -> list[Slip]:
        """The slips that may be made here; where there are few places for them, all kinds are tried in turn."""
        if self._learner.where is Where.ANYWHERE:
            return [due]
        return self._random.sample(self._learner.kinds, len(self._learner.kinds))

    def _leave_out(self, group: Group) -> None:
        """Leave out some of the gracenotes that would be heard."""
        before = self.last.note if self._sounds else None
        kept = [
            (grace, length_s)
            for rank, (grace, length_s) in enumerate(zip(group.graces, group.lengths_s, strict=True))
            if (rank == 0 and grace is before) or self._random.random() >= self._learner.leaves_out
        ]
        kept = [each for rank, each in enumerate(kept) if rank == 0 or each[0] is not kept[rank - 1][0]]
        if len(kept) == len(group.graces):
            return
        group.graces, group.lengths_s = [grace for grace, _ in kept], [length_s for _, length_s in kept]
        joined = not kept and group.note is before
        also = frozenset({Fault.MISSING_NOTE}) if joined else frozenset()
        self._made.append(Made(Fault.MISSING_GRACENOTE, group.onset_s, group.index, also=also))

    def _group(self, each: PlayedNote, beat_s: float, length_s: float) -> Group:
        assert each.note.note is not None
        lengths_s = [self.grace_s() for _ in each.note.gracenotes]
        before_s = self.length_s(self._index - 1) if self._index else length_s
        share = SHARE_OF_SLOW if self._learner.gracenote_s > GRACENOTE_S else SHARE
        squeeze = min(1.0, share * min(length_s, before_s) / sum(lengths_s)) if lengths_s else 1.0
        lengths_s = [length * squeeze for length in lengths_s]
        strays_s = self._random.gauss(0.0, self._learner.spread * before_s / math.sqrt(2.0))
        most_s = MOST_STRAY * min(length_s, before_s)
        if self._learner.jitter_s:
            strays_s += self._random.gauss(0.0, self._learner.jitter_s)
        begins_s = beat_s + min(max(strays_s, -most_s), most_s)
        if self._ends_on_beat(each) and self._index:
            begins_s -= sum(lengths_s)
        elif self._ends_on_beat(each):
            self.shift(sum(lengths_s))  # a take begins with its first sound
        return Group(self._index, each.note.note, length_s, begins_s, list(each.note.gracenotes), lengths_s)

    def _ends_on_beat(self, each: PlayedNote) -> bool:
        if not each.note.gracenotes or each.note.note is None:
            return False
        if self._learner.before_beat is not None:
            return self._learner.before_beat
        before = self._played[self._index - 1].note.note if self._index else None
        return recognise(each.note.gracenotes, onto=each.note.note, before=before).family in ENDS_ON_BEAT

    def _slip(self) -> Slip | None:
        """A slip that is due now; where it cannot be made, it is made at the next note where it can."""
        if not self._dares() or self._random.random() >= self._learner.faults:
            return None
        return self._random.choice(self._learner.kinds)

    # --- stumbles ---

    def _dares(self) -> bool:
        """Whether anything may go wrong here: not at the ends, not soon after something else."""
        if self._learner.where is Where.LAST_NOTE:
            return self._index == len(self._played) - 1
        if self._learner.where is Where.SECOND_OF_EQUAL and not self._is_second_of_equal():
            return False
        return self._calm_until <= self._index < len(self._played) - CALM_NOTES

    def _is_second_of_equal(self) -> bool:
        here, before = self._played[self._index].note, self._played[self._index - 1].note
        return self._index > 0 and here.note is before.note and bool(here.gracenotes)

    def _begins_bar(self) -> bool:
        return self._index > 0 and self._played[self._index].turn != self._played[self._index - 1].turn

    def _notes_in_bar(self) -> int:
        return len(self._played[self._index].bar.notes)

    def _stop(self) -> None:
        following = self._played[self._index].note
        again = not following.gracenotes and following.note is self.last.note
        # Between two equal notes that nothing else parts, a stop sounds as the first of them begun again.
        also = frozenset({Fault.RESTART}) if again else frozenset()
        self._made.append(Made(Fault.BREAK, self._clock_s, self._index, also=also))
        self.pause(self._random.uniform(0.3, 1.5))
        self._calm_until = self._index + CALM_NOTES

    def _begin_again(self) -> None:
        """From this bar's beginning or one or two before, after a silence or after holding the last note on."""
        turn = max(0, self._played[self._index].turn - self._random.choice((0, 0, 1, 1, 2)))
        target = next(index for index, each in enumerate(self._played) if each.turn == turn)
        if self._index - target < CALM_NOTES:
            return
        stops = self._random.random() < 0.5
        if stops:
            self.pause(self._random.uniform(0.3, 1.5))
        else:
            self._clock_s += self._random.uniform(0.0, 0.6)
        self._go_to(target, stopped=stops)
        self._index -= 1

    def _go_to(self, target: int, *, stopped: bool) -> None:
        """Begin again now from this note."""
        self._made.append(Made(Fault.RESTART, self._clock_s, target, stopped=stopped))
        self._calm_until = self._index + 1 + CALM_NOTES
        self._index = target
