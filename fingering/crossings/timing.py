"""Computes what sounds on the way between two hole states when fingers move early or late."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from fingering.acoustics.sounding import Sounding, soundings
from fingering.crossings.passing import PassingKind, foreign_flags
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from fingering.notes import HARMONIC, Note, Tuning

# Two sounds closer than 2 to 3 ms are heard as one (Hirsh 1959), and order takes about 20 ms to hear (the same): a
# foreign note is no note below the first, a blemish up to the second, and a note of its own from there on.
AUDIBLE_MS = 3.0
OWN_NOTE_MS = 20.0
# A finger that is later than this has missed the note, not the crossing. A choice, no source.
LATEST_MS = 2000.0


@dataclass(frozen=True, slots=True)
class HeldState:
    """A hole state on the way, and from when to when it holds (ms after the moment that all fingers aim at)."""

    start_ms: float
    end_ms: float
    state: HoleState
    sounding: Sounding
    kind: PassingKind

    @property
    def lasts_ms(self) -> float:
        """How long the state holds."""
        return self.end_ms - self.start_ms


def timed_states(transition: Transition, off_ms: Mapping[Finger, float]) -> tuple[tuple[float, HoleState], ...]:
    """The states of a transition with some fingers late (ms above 0) or early (below 0), all the others at 0 ms.

    Each state comes with the moment from which it holds. The start holds before the first of them, and the last is the
    end. Fingers that move at one moment do so together. Raises UserError for a finger that does not move and for a time
    that is no number or beyond LATEST_MS.
    """
    transition.moved(off_ms)
    for finger, ms in off_ms.items():
        if not (math.isfinite(ms) and abs(ms) <= LATEST_MS):
            raise UserError(f"{finger.label}: {ms:g} ms is out of reach", f"choose at most {LATEST_MS:g} ms")
    state = transition.start
    states = []
    times = {finger: off_ms.get(finger, 0.0) for finger in transition.movers}
    for at_ms in sorted(set(times.values())):
        together = HoleState.of_closed(finger for finger, ms in times.items() if ms == at_ms)
        state = HoleState(state ^ together)
        states.append((at_ms, state))
    return tuple(states)


def heard(transition: Transition, off_ms: Mapping[Finger, float], tuning: Tuning = HARMONIC) -> tuple[HeldState, ...]:
    """The states that sound between the two ends when fingers are off their time; empty when all are together.

    off_ms: as for `timed_states`, which also tells what is raised.
    """
    states = timed_states(transition, off_ms)
    sounds = soundings(tuning)
    lattice = transition.lattice()
    foreign = {state for state, flag in zip(lattice, foreign_flags(transition, tuning), strict=True) if flag}
    return tuple(
        HeldState(at_ms, until_ms, state, sounds[state], PassingKind.FOREIGN if state in foreign else PassingKind.CLEAN)
        for (at_ms, state), (until_ms, _) in pairwise(states)
    )


def foreign_notes(transition: Transition, off_ms: Mapping[Finger, float]) -> tuple[tuple[Note, float], ...]:
    """The notes between the two ends that are neither of them, in order, each with how long it sounds in ms.

    off_ms: as for `timed_states`. A note is named by the topmost open hole, as an ear that knows only notes would. This
    is what `blame.explain` takes.
    """
    return named_foreign(transition, timed_states(transition, off_ms))


def named_foreign(
    transition: Transition, states: tuple[tuple[float, HoleState], ...]
) -> tuple[tuple[Note, float], ...]:
    """The foreign notes that timed states sound on the way, each with its length in ms.

    states: each with the moment (ms) from which it holds; the last is the end and has no length. Equal neighbours are
    one note; what sounds as either end is left out.
    """
    sounds = soundings()
    ends = {sounds[transition.start].note, sounds[transition.end].note}
    found: list[tuple[Note, float]] = []
    last: Note | None = None
    for (at_ms, state), (until_ms, _) in pairwise(states):
        note = sounds[state].note
        if note not in ends:
            before_ms = found.pop()[1] if note is last else 0.0
            found.append((note, before_ms + until_ms - at_ms))
        last = note
    return tuple(found)
