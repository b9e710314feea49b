"""Works back from what was heard between two notes to the fingers: which were early or late, and by how much."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fingering.chart import sounded
from fingering.crossings.passing import Sort, sort_of
from fingering.crossings.teaching import finger_name
from fingering.crossings.timing import named_foreign, timed_states
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.notes import Note

# What a piper's fingers are believed to do, as costs: the negative logarithm of a likelihood. Choices, no source.
SLIP_COST = 3.0  # one finger in twenty is off its time: so the fewest fingers explain best
SLIP_SCALE_MS = 30.0  # and small slips are commoner than large ones
EARLY_COST = 0.7  # a finger lags about twice as often as it hurries, since the others wait for no one
TOGETHER_MS = 3.0  # fingers this close move together: nobody can hear them apart (timing.AUDIBLE_MS)


@dataclass(frozen=True, slots=True)
class Slip:
    """A finger that moved `ms` milliseconds off its time: late above 0, early below."""

    finger: Finger
    ms: float

    def __str__(self) -> str:
        return f"{finger_name(self.finger)} {abs(self.ms):.0f} ms {'late' if self.ms > 0.0 else 'early'}"


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way in which the fingers can have made the noise that was heard.

    slips: the fingers off their time, the one most to blame first. sort: the kind of crossing noise, by the foreign
    note that lasts longest. probability: of this explanation among all that fit, 0 to 1.
    """

    slips: tuple[Slip, ...]
    sort: Sort
    probability: float

    def __str__(self) -> str:
        return ", ".join(map(str, self.slips))


def explain(start: HoleState, end: HoleState, heard: Sequence[tuple[Note, float]]) -> tuple[Explanation, ...]:
    """Every way in which the fingers can have sounded `heard` between two hole states, the likeliest first.

    heard: the foreign notes in order, each with its length in ms (above 0). The result is empty when nothing was heard,
    or when no order of these fingers sounds those notes, so that the noise had another cause. Raises UserError when
    start is end.
    """
    transition = Transition(start, end)
    if not heard:
        return ()
    moments_ms = [0.0]
    for _, lasts_ms in heard:
        moments_ms.append(moments_ms[-1] + lasts_ms)
    longest = max(heard, key=lambda each: each[1])[0]
    found = {
        slips
        for chain in _chains(transition, [note for note, _ in heard])
        for slips in _readings(transition, chain, moments_ms)
    }
    return _ranked(found, sort_of(transition, longest))


def explain_states(start: HoleState, states: Sequence[tuple[float, HoleState]]) -> Explanation | None:
    """Which fingers were off their time, where hole sensors told every movement.

    states: each hole state with the moment (ms) from which it holds, in order; the last one is where the fingers were
    going. Every finger that differs between `start` and the last state is timed by its last movement. None when no
    foreign note sounded on the way. In the result the first finger is the one without whose slip the least of the noise
    would be left.
    """
    times = _last_movements(start, states)
    if not times or not states:
        return None
    transition = Transition(start, states[-1][1])
    noise = named_foreign(transition, tuple(states))
    if not noise:
        return None
    longest = max(noise, key=lambda each: each[1])[0]
    slips = min((_slips(times, at_ms, _tolerance_ms(noise)) for at_ms in times.values()), key=_cost)
    return Explanation(_by_blame(transition, slips), sort_of(transition, longest), 1.0)


def _chains(transition: Transition, notes: Sequence[Note]) -> Iterator[tuple[int, ...]]:
    """Every path up the lattice whose resting places sound `notes` in turn, as sets of moved fingers."""
    sounds = [sounded(state) for state in transition.lattice()]
    return _extend(sounds, notes, (0,))


def _extend(sounds: Sequence[Note], notes: Sequence[Note], chain: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    if not notes:
        yield chain[1:]
        return
    free = (len(sounds) - 1) ^ chain[-1]
    more = free
    while more := (more - 1) & free:  # every proper, non-empty subset of the fingers still to move
        moved = chain[-1] | more
        if sounds[moved] is notes[0]:
            yield from _extend(sounds, notes[1:], (*chain, moved))


def _readings(transition: Transition, chain: Sequence[int], moments_ms: Sequence[float]) -> Iterator[tuple[Slip, ...]]:
    """The slips of one path, once for every moment that may have been the one that all fingers aimed at."""
    times: dict[Finger, float] = {}
    for at_ms, moved in zip(moments_ms, (*chain, transition.everyone), strict=True):
        for i, finger in enumerate(transition.movers):
            if moved & 1 << i:
                times.setdefault(finger, at_ms)
    tolerance_ms = min(TOGETHER_MS, moments_ms[-1] / 4.0)
    for right_ms in moments_ms:
        yield tuple(sorted(_slips(times, right_ms, tolerance_ms), key=lambda slip: (-abs(slip.ms), slip.finger)))


def _slips(times: Mapping[Finger, float], right_ms: float, tolerance_ms: float) -> tuple[Slip, ...]:
    return tuple(
        Slip(finger, at_ms - right_ms) for finger, at_ms in times.items() if abs(at_ms - right_ms) > tolerance_ms
    )


def _tolerance_ms(noise: Sequence[tuple[Note, float]]) -> float:
    return min(TOGETHER_MS, sum(lasts_ms for _, lasts_ms in noise) / 4.0)


def _cost(slips: Sequence[Slip]) -> float:
    return sum(SLIP_COST + abs(slip.ms) / SLIP_SCALE_MS + (EARLY_COST if slip.ms < 0.0 else 0.0) for slip in slips)


def _ranked(found: set[tuple[Slip, ...]], sort: Sort) -> tuple[Explanation, ...]:
    ranked = sorted(found, key=lambda slips: (_cost(slips), [(slip.finger, slip.ms) for slip in slips]))
    weights = [math.exp(_cost(ranked[0]) - _cost(slips)) for slips in ranked]
    total = sum(weights)
    return tuple(Explanation(slips, sort, weight / total) for slips, weight in zip(ranked, weights, strict=True))


def _by_blame(transition: Transition, slips: Sequence[Slip]) -> tuple[Slip, ...]:
    """Order slips by how much of the noise is left when that one finger is put right."""

    def noise_without(mended: Slip) -> float:
        off_ms = {slip.finger: slip.ms for slip in slips if slip is not mended}
        return sum(lasts_ms for _, lasts_ms in named_foreign(transition, timed_states(transition, off_ms)))

    return tuple(sorted(slips, key=lambda slip: (noise_without(slip), -abs(slip.ms), slip.finger)))


def _last_movements(start: HoleState, states: Sequence[tuple[float, HoleState]]) -> dict[Finger, float]:
    times: dict[Finger, float] = {}
    before = start
    for at_ms, state in states:
        for finger in before.moves_to(state):
            times[finger] = at_ms
        before = state
    moving = start.moves_to(before)
    return {finger: at_ms for finger, at_ms in times.items() if finger in moving}
