"""Finds the crossing noise that is likeliest in a transition: which note flashes in between, for how long, and why.

Fingers come apart in three ways: the two hands do, or those of one hand that open and those that close, or one finger
by itself. Each way is tried late and early, and what each sounds is weighed by how often hands do it.
"""

from __future__ import annotations

import enum
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from fingering.acoustics.sounding import Sounding, soundings
from fingering.chart import sounded
from fingering.crossings.blame import Slip
from fingering.crossings.passing import foreign_flags
from fingering.crossings.teaching import LOWER_HAND, UPPER_HAND
from fingering.crossings.transition import Transition
from fingering.holes import Finger
from fingering.notes import HARMONIC, Note, Tuning

# How late fingers usually come: common practice, no source. It is the least that a teacher hears as a note of its own
# (20 ms, Hirsh 1959); two hands come apart farther than fingers of one hand, which move on one impulse. Ring and little
# fingers tap a quarter slower than the others (Aoki, Francis & Kinoshita 2003, from memory).
USUAL_LATE_MS = 20.0
WEAK_FINGER_LATE_MS = 25.0
HANDS_APART_MS = 30.0
WEAK_FINGERS = frozenset((Finger.UPPER_RING, Finger.LOWER_RING, Finger.LOWER_LITTLE))

# How often what comes apart does so, one finger counting 1. That it is mostly the two hands, or what closes from what
# opens, is common practice, no source: these are what teachers name first.
HANDS_WEIGHT = 2
WAYS_WEIGHT = 2
ALONE_WEIGHT = 1
# A finger lags twice as often as it hurries, since the others wait for no one: a choice, no source (see `blame`).
LATE_WEIGHT = 2
EARLY_WEIGHT = 1

# From this veil on (see Sounding) a false fingering has lost so much of its note that no pitch is clear: a choice, no
# source. Of the states between two notes of the chart, some hardly speak, at 0.4 and more; all others are under 0.25.
VEILED = 0.3

WHOLE_UPPER_HAND = (Finger.THUMB, *UPPER_HAND)
HANDS = (WHOLE_UPPER_HAND, LOWER_HAND)


class NoiseKind(enum.Enum):
    """Where a crossing noise lies: below the two notes or between them; or a veil, without a clear pitch.

    None lies above both: a chanter sounds by its topmost open hole, and no finger above those of both notes moves.
    """

    LOWER = "lower"
    BETWEEN = "between"
    VEIL = "veil"


@dataclass(frozen=True, slots=True)
class LikelyNoise:
    """A crossing noise: the note that flashes, its kind, and the slips that make it most often.

    share: of all slips that sound anything foreign, by weight, 0 to 1. lasts_ms: how long it is heard where the
    fingers are as late as they usually are.
    """

    note: Note
    kind: NoiseKind
    slips: tuple[Slip, ...]
    share: float

    @property
    def lasts_ms(self) -> float:
        """How long it is heard."""
        return abs(self.slips[0].ms)


@dataclass(frozen=True, slots=True)
class _Heard:
    """What one way of coming apart sounds, and how often it is made."""

    sounding: Sounding
    slips: tuple[Slip, ...]
    weight: int


def likely_noises(transition: Transition, tuning: Tuning = HARMONIC) -> tuple[LikelyNoise, ...]:
    """The crossing noises of a transition, the likeliest first; empty where none can sound."""
    by_note: dict[Note, list[_Heard]] = defaultdict(list)
    for each in _heard_foreign(transition, tuning):
        by_note[each.sounding.note].append(each)
    total = sum(each.weight for heard in by_note.values() for each in heard)
    found = [_noise(transition, note, heard, total) for note, heard in by_note.items()]
    return tuple(sorted(found, key=lambda each: (-each.share, each.kind is NoiseKind.VEIL, -each.lasts_ms, each.note)))


def _noise(transition: Transition, note: Note, heard: list[_Heard], total: int) -> LikelyNoise:
    veiled = sum(each.weight for each in heard if each.sounding.veil > VEILED)
    weight = sum(each.weight for each in heard)
    kind = NoiseKind.VEIL if 2 * veiled >= weight else _place(transition, note)
    usual = max(heard, key=lambda each: (each.weight, each.slips[0].ms, -len(each.slips)))
    return LikelyNoise(note, kind, usual.slips, weight / total)


def _place(transition: Transition, note: Note) -> NoiseKind:
    lower = note < min(sounded(transition.start), sounded(transition.end))
    return NoiseKind.LOWER if lower else NoiseKind.BETWEEN


def _heard_foreign(transition: Transition, tuning: Tuning) -> Iterator[_Heard]:
    """Every way of coming apart that sounds a foreign note."""
    flags, lattice, sounds = foreign_flags(transition, tuning), transition.lattice(), soundings(tuning)
    for fingers, weight in _comings_apart(transition).items():
        late_ms = _usual_late_ms(transition, fingers)
        apart = transition.moved(fingers)
        for moved, times, ms in (
            (transition.everyone ^ apart, LATE_WEIGHT, late_ms),
            (apart, EARLY_WEIGHT, -late_ms),
        ):
            if flags[moved]:
                slips = tuple(Slip(finger, ms) for finger in fingers)
                yield _Heard(sounds[lattice[moved]], slips, weight * times)


def _comings_apart(transition: Transition) -> dict[tuple[Finger, ...], int]:
    """The sets of fingers that may come apart from the others, each once, with its weight."""
    movers = transition.movers
    ways = (transition.lifts, transition.drops)
    hands = [_within(movers, hand) for hand in HANDS]
    found: dict[tuple[Finger, ...], int] = {(finger,): ALONE_WEIGHT for finger in movers}
    found.update({_within(way, hand): ALONE_WEIGHT for way in ways for hand in HANDS})
    found.update(dict.fromkeys(ways, WAYS_WEIGHT))
    found.update(dict.fromkeys(hands, HANDS_WEIGHT))
    return {fingers: weight for fingers, weight in found.items() if fingers and fingers != movers}


def _usual_late_ms(transition: Transition, fingers: tuple[Finger, ...]) -> float:
    """How late these fingers usually come after the others."""
    if fingers in [_within(transition.movers, hand) for hand in HANDS]:
        return HANDS_APART_MS
    return WEAK_FINGER_LATE_MS if WEAK_FINGERS & set(fingers) else USUAL_LATE_MS


def _within(fingers: tuple[Finger, ...], hand: tuple[Finger, ...]) -> tuple[Finger, ...]:
    return tuple(finger for finger in fingers if finger in hand)
