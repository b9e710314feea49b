"""The families of embellishments, how each is played, and an embellishment as a value."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.notes import Note


class Family(enum.Enum):
    """The families of embellishments, by the trade's own names. UNNAMED is played and named by its letters."""

    SINGLE = "gracenote"
    DOUBLING = "doubling"
    HALF_DOUBLING = "half doubling"
    THUMB_DOUBLING = "thumb doubling"
    STRIKE = "strike"
    DOUBLE_STRIKE = "double strike"
    TRIPLE_STRIKE = "triple strike"
    SHAKE = "shake"
    CATCH = "catch"
    THROW = "throw"
    GRIP = "grip"
    TAORLUATH = "taorluath"
    CRUNLUATH = "crunluath"
    BIRL = "birl"
    EDRE = "edre"
    DARODO = "darodo"
    CADENCE = "cadence"
    CUTTING = "cutting"
    UNNAMED = "unnamed"

    @property
    def how_it_is_played(self) -> str:
        """One sentence for a learner."""
        return _HOW_IT_IS_PLAYED[self]


_HOW_IT_IS_PLAYED = {
    Family.SINGLE: "One finger lifts and is back at once; the other seven stay where the melody note has them.",
    Family.DOUBLING: "A G gracenote starts the note, and a quick lift just above it marks it a second time.",
    Family.HALF_DOUBLING: "The note starts bare, where no G gracenote can be had, and a lift above marks it again.",
    Family.THUMB_DOUBLING: "A doubling whose first gracenote is made by the thumb, where the upper index is busy.",
    Family.STRIKE: "One quick tap shuts the open holes for a moment and bounces off; think of a hot stove.",
    Family.DOUBLE_STRIKE: "Two even taps, with the melody note heard clearly between them.",
    Family.TRIPLE_STRIKE: "Three even taps in a row, with the melody note heard between each two.",
    Family.SHAKE: "A doubling with a strike at its tail, all in one even run of the fingers.",
    Family.CATCH: "The note is touched, then a whole grip is played, then the note comes back.",
    Family.THROW: "Shut the chanter on low G, then throw the lower hand open through C onto D.",
    Family.GRIP: "Low G twice, full and even, parted by one lift of the lower index finger.",
    Family.TAORLUATH: "A grip, then an E gracenote that opens onto the note; four even sounds before the beat.",
    Family.CRUNLUATH: "A taorluath onto low A that goes on with an F gracenote and lands on E: seven even sounds.",
    Family.BIRL: "The little finger taps or draws low G twice, quickly and evenly, out of low A.",
    Family.EDRE: "From the note, two closings parted by one gracenote a step above it; slow and weighty in ceol mor.",
    Family.DARODO: "Low G three times, parted first by D and then by C: a bubbling run that comes out on the note.",
    Family.CADENCE: "G, E and D gracenotes come down to the note, the E held long: the breath marks of ceol mor.",
    Family.CUTTING: "A long run out of one low note, cut from above by gracenote after gracenote, rising and falling.",
    Family.UNNAMED: "Play the letters in order, evenly, each as short as clearness allows.",
}


@dataclass(frozen=True, slots=True)
class Embellishment:
    """A named group of gracenotes: its family, the name that people read ("C doubling"), its notes, its melody note."""

    family: Family
    name: str
    gracenotes: tuple[Note, ...]
    onto: Note
