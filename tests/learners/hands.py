"""What the hands of a simulated player can do, as far as slips need it."""

from __future__ import annotations

from typing import Protocol

from fingering.holes import HoleState
from fingering.notes import Note
from tests.learners.learner import Group, Made, Sound


class Hands(Protocol):
    """What a slip needs of the player."""

    @property
    def jitter_s(self) -> float:
        """The player's unsteadiness: see `Learner`."""

    def uniform(self, low: float, high: float) -> float:
        """A number drawn evenly."""

    def pick(self, notes: list[Note]) -> Note:
        """A note drawn evenly."""

    def rank(self, count: int) -> int:
        """A rank below `count`, drawn evenly."""

    @property
    def last(self) -> Sound:
        """The last sound so far."""

    @property
    def next_group(self) -> tuple[Note | None, tuple[Note, ...]]:
        """The next melody note and its gracenotes."""

    def sound(self, at_s: float, note: Note, state: HoleState) -> float:
        """Sound a note; returns when it began."""

    def play_group(self, group: Group) -> float:
        """Play gracenotes and melody note; returns the melody note's onset."""

    def grace_s(self) -> float:
        """The length of a gracenote, drawn."""

    def shift(self, by_s: float) -> None:
        """Move all that follows."""

    def pause(self, silence_s: float) -> None:
        """Be silent before what follows, and move it by as much."""

    def go_back(self, silence_s: float) -> bool:
        """Begin again from this bar's beginning after this note; False where it could not be told from going on."""

    def note_down(self, made: Made) -> None:
        """Keep the truth."""

    def equal_in_a_row(self) -> frozenset[int]:
        """The played notes in a row with this one that are equal to it, their gracenotes too."""

    def is_pointed(self, index: int) -> bool:
        """Whether a note and the next make one beat, one long, one short."""

    def length_s(self, index: int) -> float:
        """How long a played note lasts now."""

    def play_even(self, group: Group, ratio: float) -> None:
        """Play a pointed pair in this ratio."""
