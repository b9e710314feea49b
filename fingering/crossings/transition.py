"""A transition between two hole states, and the lattice of states that its moving fingers can pass through."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

from fingering.chart import chart
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Transition:
    """Two different hole states, `start` and `end`. Raises UserError when they are the same.

    A set of fingers that have moved is one small int, its bit i set when `movers[i]` has moved: 0 is the start,
    `everyone` the end. These sets, ordered by inclusion, are the lattice that all orders of the fingers climb.
    """

    start: HoleState
    end: HoleState

    def __post_init__(self) -> None:
        if self.start == self.end:
            raise UserError(f"nothing moves from {self.start} to itself", "give two different notes or hole states")

    @classmethod
    def between(cls, start: Note, end: Note) -> Transition:
        """From one melody note's chart state to another's. Raises UserError when they are the same note."""
        if start is end:
            raise UserError(f"{start.label} to {end.label} is no crossing", "give two different notes")
        return cls(chart(start), chart(end))

    @property
    def lifts(self) -> tuple[Finger, ...]:
        """The fingers that open, top first."""
        return self.start.lifts_to(self.end)

    @property
    def drops(self) -> tuple[Finger, ...]:
        """The fingers that close, top first."""
        return self.start.drops_to(self.end)

    @property
    def movers(self) -> tuple[Finger, ...]:
        """All fingers that move, top first."""
        return self.start.moves_to(self.end)

    @property
    def everyone(self) -> int:
        """The set of all moving fingers."""
        return (1 << len(self.movers)) - 1

    @property
    def order_count(self) -> int:
        """In how many orders the fingers can move, one after the other."""
        return math.factorial(len(self.movers))

    def reversed(self) -> Transition:
        """The transition from `end` back to `start`."""
        return Transition(self.end, self.start)

    def lattice(self) -> tuple[HoleState, ...]:
        """The hole state of every set of fingers that have moved, indexed by the set: 2 to the power of the movers."""
        bits = [1 << finger for finger in self.movers]
        states = [int(self.start)]
        for bit in bits:
            states.extend([state ^ bit for state in states])
        return tuple(map(HoleState, states))

    def moved(self, fingers: Iterable[Finger]) -> int:
        """The set of moved fingers that these make, as an int. Raises UserError for a finger that does not move."""
        movers = self.movers
        chosen = 0
        for finger in fingers:
            if finger not in movers:
                names = ", ".join(each.label for each in movers)
                what = f"the {finger.label} finger does not move from {self.start} to {self.end}"
                raise UserError(what.replace("thumb finger", "thumb"), f"choose from: {names}")
            chosen |= 1 << movers.index(finger)
        return chosen

    def orders(self) -> Iterator[tuple[Finger, ...]]:
        """Yield every order of the moving fingers; eight fingers have 40,320."""
        return permutations(self.movers)

    def path(self, order: Sequence[Finger]) -> tuple[HoleState, ...]:
        """The states that one order passes through, `start` and `end` included. Raises UserError as `moved` does."""
        self.moved(order)
        states = [self.start]
        for finger in order:
            states.append(HoleState(states[-1] ^ 1 << finger))
        return tuple(states)
