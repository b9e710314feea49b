"""A learner who plays a tune: at a tempo that wanders, unevenly, with faults that are written down as they are made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from random import Random

from companion.listen.findings import FindingKind as Fault
from companion.listen.played import Fingered, Played, Sounded
from companion.score.model import Tune
from companion.score.performance import PlayedNote, performance
from fingering.chart import chart, sounded
from fingering.embellishments import Family, recognise
from fingering.holes import Finger, HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Learner:
    """How a learner plays. Every fault happens to a melody note by the chance `faults`, its kind drawn evenly.

    beats_per_minute: at the beginning; drift: by how much tempo wanders over the take, as a share. spread: standard
    deviation of onsets as a share of the interval. restarts: chance, at each bar, of beginning a bar or two again.
    stops: chance at each bar of a stop for breath. before_beat: whether gracenotes end on the beat; None: as pipers do.
    """

    beats_per_minute: float
    spread: float = 0.025
    drift: float = 0.06
    faults: float = 0.0
    restarts: float = 0.0
    stops: float = 0.0
    before_beat: bool | None = None
    kinds: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Made:
    """A fault as it was made: when, to which played note, and for a crossing by which finger."""

    kind: Fault
    at_s: float
    played: int
    finger: Finger | None = None
    ms: float | None = None


@dataclass(slots=True)
class _Sound:
    """One sounding note of the learner's take; `late` are the fingers late at its beginning, in s."""

    at_s: float
    note: Note
    state: HoleState
    late: dict[Finger, float] = field(default_factory=dict)
    silent_before_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Simulated:
    """A take: what was played, the faults in it, how many melody notes."""

    tune: Tune
    notes: tuple[Sounded, ...]
    holes: tuple[Played, ...]
    made: tuple[Made, ...]
    melody_notes: int


_ON_THE_BEAT = {Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}
_GRACE_S = (0.040, 0.16)
"""Median and log-normal spread of one gracenote, s; kept within 25 to 60 ms."""
_POINTED = 1.9


class Player:
    """Plays one tune once."""

    def __init__(self, tune: Tune, learner: Learner, seed: int) -> None:
        self.random = Random(seed)
        self.tune, self.learner = tune, learner
        self.played = performance(tune)
        self.sounds: list[_Sound] = []
        self.made: list[Made] = []
        self.clock_s = self.random.uniform(0.2, 2.0)
        self.debt_s = 0.0
        self.rest_from = 0
        self.count = 0
        self.pointed = False

    def play(self) -> Simulated:
        """The take, as notes and as hole states."""
        index = 0
        while index < len(self.played):
            each = self.played[index]
            new_bar = index > 0 and each.turn != self.played[index - 1].turn
            if new_bar and self.rest_from <= index and self.random.random() < self.learner.stops:
                self._stop(index)
            self._play_note(index)
            if self.skip_next:
                self.skip_next = False
                index += 1
            if self.rest_from <= index < len(self.played) - 8 and index > 6:
                middle = index > 0 and self.random.random() < self.learner.restarts * 0.15
                if middle:
                    index = self._begin_again(index)
                    continue
            index += 1
        self.end_s = self.clock_s
        return Simulated(self.tune, tuple(self._as_notes()), tuple(self._as_holes()), tuple(self.made), self.count)

    # --- time ---

    def _whole_s(self) -> float:
        tempo = self.tune.tempo
        beat = float(tempo.beat) if tempo else 0.25
        import math

        wander = 1.0 + self.learner.drift * math.sin(0.11 * self.clock_s + self.tune_phase)
        return 60.0 / (self.learner.beats_per_minute * wander) / beat

    tune_phase = 0.7

    def _jitter_s(self, interval_s: float) -> float:
        return self.random.gauss(0.0, self.learner.spread * interval_s)

    # --- stumbles ---

    def _stop(self, index: int) -> None:
        silence_s = self.random.uniform(0.3, 1.5)
        self.made.append(Made(Fault.BREAK, self.clock_s, index))
        self.clock_s += silence_s
        self.silence_s = silence_s
        self.rest_from = index + 2

    silence_s = 0.0

    def _begin_again(self, index: int) -> int:
        turn = self.played[index].turn
        back = self.random.choice((0, 0, 1, 1, 2))
        target = next(i for i, each in enumerate(self.played) if each.turn == max(0, turn - back))
        if index - target < 3:
            return index + 1
        if self.random.random() < 0.5:
            self.silence_s = self.random.uniform(0.3, 1.5)
            self.clock_s += self.silence_s
        else:
            self.clock_s += self.random.uniform(0.0, 0.6)
        self.made.append(Made(Fault.RESTART, self.clock_s, target))
        self.rest_from = index + 4
        return target

    # --- one melody note ---

    def _fault(self, index: int) -> Fault | None:
        if index < max(3, self.rest_from) or index >= len(self.played) - 2:
            return None
        if self.random.random() >= self.learner.faults:
            return None
        fault = self.random.choice(self.learner.kinds)
        return fault

    def _play_note(self, index: int) -> None:
        each = self.played[index]
        note = each.note.note
        self.count += 1
        whole_s = self._whole_s()
        length_s = float(each.note.duration) * whole_s
        beat_s, self.clock_s = self.clock_s, self.clock_s + length_s
        if note is None:
            return
        fault = self._fault(index)
        lengths = [self._grace_s() for _ in each.note.gracenotes]
        room_s = 0.5 * min(length_s, (float(self.played[index - 1].note.duration) * whole_s if index else length_s))
        squeeze = min(1.0, room_s / sum(lengths)) if lengths else 1.0
        lengths = [length * squeeze for length in lengths]
        graces = list(each.note.grace_notes)
        states = list(gracenote_states(graces, note))
        onset_s = beat_s + self._jitter_s(length_s)
        placed_before = self._before(index, each)
        begins_s = onset_s - sum(lengths) if placed_before else onset_s
        done = self._apply(fault, index, graces, states, lengths, note, begins_s, length_s)
        if done:
            self.rest_from = index + 3
            return
        self._sound_group(index, graces, states, lengths, note, begins_s)

    def _before(self, index: int, each: PlayedNote) -> bool:
        if self.learner.before_beat is not None:
            return self.learner.before_beat and index > 0
        if not each.note.gracenotes or each.note.note is None or not index:
            return False
        before = self.played[index - 1].note.note
        found = recognise(each.note.grace_notes, onto=each.note.note, before=before, after=None)
        return found.family in _ON_THE_BEAT

    def _grace_s(self) -> float:
        median_s, spread = _GRACE_S
        return min(0.060, max(0.025, median_s * self.random.lognormvariate(0.0, spread)))

    def _sound_group(
        self,
        index: int,
        graces: Sequence[Note],
        states: Sequence[HoleState],
        lengths: Sequence[float],
        note: Note,
        begins_s: float,
    ) -> float:
        at_s = begins_s
        for grace, state, length_s in zip(graces, states, lengths, strict=True):
            self._sound(at_s, grace, state)
            at_s += length_s
        self._sound(at_s, note, chart(note))
        return at_s

    def _sound(self, at_s: float, note: Note, state: HoleState, late: dict[Finger, float] | None = None) -> None:
        if self.sounds:
            at_s = max(at_s, self.sounds[-1].at_s + 0.012)
        self.sounds.append(_Sound(at_s, note, state, late or {}, self.silence_s))
        self.silence_s = 0.0

    # --- faults ---

    def _apply(
        self,
        fault: Fault | None,
        index: int,
        graces: list[Note],
        states: list[HoleState],
        lengths: list[float],
        note: Note,
        begins_s: float,
        length_s: float,
    ) -> bool:
        if fault is None:
            return False
        random = self.random
        before = self.sounds[-1]
        total_s = sum(lengths)
        match fault:
            case Fault.CROSSING:
                return self._cross(index, graces, states, lengths, note, begins_s)
            case Fault.MISSING_GRACENOTE if graces:
                rank = random.randrange(len(graces))
                rest = [k for k in range(len(graces)) if k != rank]
                if graces[rank] is before.note and rank == 0:
                    return False
                at_s = begins_s + (lengths[rank] if begins_s < self.clock_s - length_s else 0.0)
                onset_s = self._sound_group(
                    index,
                    [graces[k] for k in rest],
                    list(gracenote_states([graces[k] for k in rest], note)),
                    [lengths[k] for k in rest],
                    note,
                    at_s,
                )
                self.made.append(Made(fault, onset_s, index))
                return True
            case Fault.EXTRA_GRACENOTE if not graces and length_s > 0.25:
                extra = random.choice([each for each in Note if each not in (note, before.note)])
                inside = random.random() < 0.5
                if inside:
                    self._sound(begins_s, note, chart(note))
                    at_s = begins_s + random.uniform(0.3, 0.7) * length_s
                    self._sound(at_s, extra, gracenote_states([extra], note)[0])
                    self._sound(at_s + self._grace_s(), note, chart(note))
                else:
                    if before.note is not note and extra in _passed(before.state, chart(note)):
                        return False
                    at_s = begins_s
                    self._sound(at_s, extra, gracenote_states([extra], note)[0])
                    self._sound(at_s + self._grace_s(), note, chart(note))
                self.made.append(Made(fault, at_s, index))
                return True
            case Fault.WRONG_GRACENOTE if graces:
                rank = random.randrange(len(graces))
                after = graces[rank + 1] if rank + 1 < len(graces) else note
                prior = graces[rank - 1] if rank else before.note
                if graces[rank] is prior:
                    return False
                graces[rank] = random.choice([each for each in Note if each not in (graces[rank], after, prior)])
                states = list(gracenote_states(graces, note))
                self._sound_group(index, graces, states, lengths, note, begins_s)
                self.made.append(Made(fault, begins_s + sum(lengths[:rank]), index))
                return True
            case Fault.LONG_GRACENOTE if graces and length_s > 0.35:
                rank = random.randrange(len(graces))
                if graces[rank] is before.note and rank == 0:
                    return False
                lengths[rank] = random.uniform(0.11, 0.2)
                self._sound_group(index, graces, states, lengths, note, begins_s)
                self.made.append(Made(fault, begins_s + sum(lengths[:rank]), index))
                return True
            case Fault.UNEVEN if len(graces) > 2 and graces[0] is not before.note and total_s > 0.09:
                rank = random.randrange(len(graces))
                shorter = random.uniform(0.020, 0.028)
                lengths = [shorter * random.uniform(0.9, 1.1) for _ in lengths]
                lengths[rank] = random.uniform(0.066, 0.080)
                self._sound_group(index, graces, states, lengths, note, begins_s)
                self.made.append(Made(fault, begins_s, index))
                return True
            case Fault.MISSING_NOTE:
                if note in (before.note, self.played[index + 1].note.note):
                    return False
                self.made.append(Made(fault, begins_s, index))
                if random.random() < 0.5:
                    self.clock_s -= length_s
                return True
            case Fault.WRONG_NOTE:
                after = self.played[index + 1].note.note
                others = [
                    each
                    for each in Note
                    if each not in (note, before.note, after, *graces, *self.played[index + 1].note.grace_notes[:1])
                ]
                wrong = random.choice(others)
                self._sound_group(index, graces, states, lengths, wrong, begins_s)
                self.made.append(Made(fault, begins_s + total_s, index))
                return True
            case Fault.EXTRA_NOTE:
                others = [each for each in Note if each not in (note, before.note, *graces)]
                extra = random.choice(others)
                lasts_s = random.uniform(0.6, 1.0) * max(0.22, length_s)
                self._sound(begins_s, extra, chart(extra))
                self.made.append(Made(fault, begins_s, index))
                self.clock_s += lasts_s
                self._sound_group(index, graces, states, lengths, note, begins_s + lasts_s)
                return True
            case Fault.EARLY | Fault.LATE:
                pair = index and (self._pointed(index - 1) or self._pointed(index))
                if pair:
                    return False
                previous_s = float(self.played[index - 1].note.duration) * self._whole_s()
                off_s = random.uniform(0.15, 0.25) * max(length_s, previous_s) + 0.03
                if off_s > 0.5 * min(length_s, previous_s) - (total_s if fault is Fault.LATE else 0.0):
                    return False
                begins_s += off_s if fault is Fault.LATE else -off_s
                onset_s = self._sound_group(index, graces, states, lengths, note, begins_s)
                self.made.append(Made(fault, onset_s, index))
                return True
            case Fault.POINTING if self._pointed(index) and index < len(self.played) - 3:
                following = self.played[index + 1]
                two_s = float(following.note.duration) * self._whole_s()
                self._sound_group(index, graces, states, lengths, note, begins_s)
                even = random.uniform(0.8, 1.4)
                ratio = even if length_s > two_s else 1.0 / even
                whole = length_s + two_s
                first_s = whole * ratio / (1.0 + ratio)
                start_s = self.clock_s - length_s
                self.made.append(Made(fault, begins_s + total_s, index))
                self.clock_s = start_s + first_s
                self.rest_from = index + 3
                self._play_note(index + 1)
                self.clock_s = start_s + whole
                self.skip_next = True
                return True
        return False

    skip_next = False

    def _pointed(self, index: int) -> bool:
        if index < 0 or index + 1 >= len(self.played) or self._pointed(index - 1):
            return False
        one, two = self.played[index].note.duration, self.played[index + 1].note.duration
        if self.played[index].turn != self.played[index + 1].turn:
            return False
        beat = self.tune.meter.beat_length
        at = sum(
            (each.note.duration for each in self.played[:index] if each.turn == self.played[index].turn), start=0 * one
        )
        ratio = max(one / two, two / one)
        return ratio >= _POINTED and at % beat + one + two <= beat

    def _cross(
        self,
        index: int,
        graces: list[Note],
        states: list[HoleState],
        lengths: list[float],
        note: Note,
        begins_s: float,
    ) -> bool:
        """One finger is late (or early) on the way from the note before to the first sound of this one."""
        before = self.sounds[-1]
        target = states[0] if states else chart(note)
        moving = before.state.moves_to(target)
        if len(moving) < 2:
            return False
        heard = {finger: sounded(HoleState(target ^ (1 << finger))) for finger in moving}
        fit = [finger for finger, noise in heard.items() if noise not in (sounded(before.state), sounded(target))]
        if not fit:
            return False
        finger = self.random.choice(fit)
        late_s = self.random.uniform(0.012, 0.09)
        onset_s = max(begins_s, before.at_s + 0.02)
        noise = HoleState(target ^ (1 << finger))
        self.sounds.append(_Sound(onset_s, sounded(noise), noise))
        self._sound_group(index, graces, states, lengths, note, onset_s + late_s)
        self.made.append(Made(Fault.CROSSING, onset_s, index, finger, late_s * 1000.0))
        return True

    # --- out ---

    def _as_notes(self) -> list[Sounded]:
        out: list[Sounded] = []
        for sound in self.sounds:
            if sound.silent_before_s:
                out.append(Sounded(sound.at_s - sound.silent_before_s, None))
            if not out or out[-1].note is not sound.note:
                out.append(Sounded(sound.at_s, sound.note))
        out.append(Sounded(self.end_s, None))
        return sorted(out, key=lambda each: each.at_s)

    def _as_holes(self) -> list[Played]:
        moves: list[tuple[float, Finger, bool]] = []
        out: list[Played] = []
        first = self.sounds[0]
        out.append(Fingered(first.at_s, first.state))
        changes: list[tuple[float, HoleState]] = [(first.at_s, first.state)]
        for one, two in pairwise(self.sounds):
            lifts, drops = one.state.lifts_to(two.state), one.state.drops_to(two.state)
            lead = 0.004 if lifts and drops else 0.0
            rises = two.note > one.note
            for finger in lifts:
                moves.append((two.at_s - (0.0 if rises else lead), finger, False))
            for finger in drops:
                moves.append((two.at_s + (lead if rises else 0.0), finger, True))
        del changes
        state = first.state
        silences = [
            (sound.at_s - sound.silent_before_s, sound.at_s, sound) for sound in self.sounds if sound.silent_before_s
        ]
        for at_s, finger, closed in sorted(moves, key=lambda move: move[0]):
            state = state.dropping(finger) if closed else state.lifting(finger)
            out.append(Fingered(at_s, state))
        for begins_s, _, _ in silences:
            out.append(Sounded(begins_s, None))
        out.append(Sounded(self.end_s, None))
        return sorted(out, key=lambda each: each.at_s)


def _passed(before: HoleState, after: HoleState) -> set[Note]:
    moving = before.moves_to(after)
    found = set()
    for mask in range(1, (1 << len(moving)) - 1):
        bits = sum(1 << finger for rank, finger in enumerate(moving) if mask >> rank & 1)
        found.add(sounded(HoleState(before ^ bits)))
    return found
