"""Names what each state between two hole states sounds, and which kind of crossing noise it is."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.acoustics.sounding import Sounding, soundings
from fingering.chart import sounded
from fingering.crossings.transition import Transition
from fingering.holes import HoleState
from fingering.notes import HARMONIC, Note, Tuning

# A pitch farther than this from both ends is a foreign note. Every hole state sounds within 60 cents of the note it is
# named by (fingering.acoustics.sounding), so what is nearer is still heard as one of the two notes, if out of tune.
FOREIGN_CENTS = 60.0


class PassingKind(enum.Enum):
    """The part of a state in a transition: one of the two ends, or on the way, without or with a foreign note."""

    FROM = "from"
    TO = "to"
    CLEAN = "clean"
    FOREIGN = "foreign"


class Sort(enum.Enum):
    """The kinds of crossing noise, by what the fingers did: common practice, no source.

    LIFT_DROP: some closed before the others had opened, and a note lower than both sounds. ROLLING: those that open, or
    those that close, arrived one after the other, and notes of the scale sound. PHANTOM: some opened before the others
    closed, and a false fingering of one of the two notes sounds, which is the lesser evil.
    """

    LIFT_DROP = "lift/drop"
    ROLLING = "rolling"
    PHANTOM = "phantom"


@dataclass(frozen=True, slots=True)
class Passing:
    """One state of a transition: what it sounds, its part there, and its kind of noise (None for the two ends)."""

    state: HoleState
    sounding: Sounding
    kind: PassingKind
    sort: Sort | None


def passings(transition: Transition, tuning: Tuning = HARMONIC) -> tuple[Passing, ...]:
    """Every state of the lattice, indexed by the set of fingers that have moved (see Transition)."""
    heard = soundings(tuning)
    lattice = transition.lattice()
    flags = foreign_flags(transition, tuning)
    last = len(lattice) - 1
    kinds = (
        PassingKind.FROM
        if moved == 0
        else PassingKind.TO
        if moved == last
        else PassingKind.FOREIGN
        if flags[moved]
        else PassingKind.CLEAN
        for moved in range(len(lattice))
    )
    return tuple(
        Passing(
            state,
            heard[state],
            kind,
            None if kind in (PassingKind.FROM, PassingKind.TO) else sort_of(transition, heard[state].note),
        )
        for state, kind in zip(lattice, kinds, strict=True)
    )


def foreign_flags(transition: Transition, tuning: Tuning = HARMONIC) -> tuple[bool, ...]:
    """Whether each state of the lattice sounds more than FOREIGN_CENTS from both ends, indexed as the lattice is."""
    heard = soundings(tuning)
    from_cents, to_cents = heard[transition.start].cents, heard[transition.end].cents
    return tuple(
        abs(heard[state].cents - from_cents) > FOREIGN_CENTS and abs(heard[state].cents - to_cents) > FOREIGN_CENTS
        for state in transition.lattice()
    )


def sort_of(transition: Transition, note: Note) -> Sort:
    """The kind of crossing noise that a state on the way makes when it sounds `note`."""
    if not (transition.lifts and transition.drops):
        return Sort.ROLLING
    ends = (sounded(transition.start), sounded(transition.end))
    if note < min(ends):
        return Sort.LIFT_DROP
    return Sort.PHANTOM if note in ends or note > max(ends) else Sort.ROLLING
