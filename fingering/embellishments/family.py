"""The families of embellishments, how each is played, and an embellishment as a value."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.chart import chart
from fingering.movement import gracenote_states
from fingering.notes import Note


class Family(enum.Enum):
    """The families of embellishments, by the trade's own names. UNNAMED is a group that no name fits."""

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
        """One sentence for a learner, true of the family's usual form; an `Embellishment` has a sentence of its own."""
        return _HOW_IT_IS_PLAYED[self]

    @property
    def plural(self) -> str:
        """The plural of the family's name: "doublings", "catches"."""
        return f"{self.value}es" if self.value.endswith("ch") else f"{self.value}s"


_HOW_IT_IS_PLAYED = {
    Family.SINGLE: "One finger lifts and is back at once; the other seven stay where the melody note has them.",
    Family.DOUBLING: "A G gracenote starts the note, and a quick lift of another finger marks it a second time.",
    Family.HALF_DOUBLING: "The note starts without a G gracenote, and a quick lift marks it a second time.",
    Family.THUMB_DOUBLING: "A doubling whose first gracenote is made by the thumb, where the upper index is busy.",
    Family.STRIKE: "One quick tap marks the note and bounces off at once; think of a hot stove.",
    Family.DOUBLE_STRIKE: "Two even taps, with the melody note heard clearly between them.",
    Family.TRIPLE_STRIKE: "Three even taps in a row, with the melody note heard between each two.",
    Family.SHAKE: "A doubling with a strike at its tail, all in one even run of the fingers.",
    Family.CATCH: "The note is touched, then a whole grip is played, then the note comes back.",
    Family.THROW: "Shut the chanter on low G, then throw the lower hand open through C onto D.",
    Family.GRIP: "Low G twice, full and even, parted by one quick lift.",
    Family.TAORLUATH: "A grip, then an E gracenote that opens onto the note; four even sounds before the beat.",
    Family.CRUNLUATH: "A taorluath onto low A that goes on with an F gracenote and lands on E: seven even sounds.",
    Family.BIRL: "The little finger taps or draws low G twice, quickly and evenly, out of low A.",
    Family.EDRE: "From the note, two closings parted by one gracenote a step above it; slow and weighty in ceol mor.",
    Family.DARODO: "Low G three times, parted first by D and then by C: a bubbling run that comes out on the note.",
    Family.CADENCE: "G, E and D gracenotes come down to the note, the E held long: the breath marks of ceol mor.",
    Family.CUTTING: "A long run out of one low note, cut from above by gracenote after gracenote, rising and falling.",
    Family.UNNAMED: "Play the letters in order, evenly, each as short as clearness allows.",
}


# Made unlike the rest of their family, by the note that they lead onto: a finger falls where elsewhere one lifts.
_MADE_OTHERWISE = {
    (Family.DOUBLING, Note.HIGH_G): "High G sounds, the upper index finger falls for a moment so that F is heard, and "
    "high G is back.",
    (Family.THUMB_DOUBLING, Note.HIGH_G): "The thumb makes a high A, high G sounds, and the upper index finger falls "
    "for a moment so that F is heard.",
    (
        Family.DOUBLING,
        Note.HIGH_A,
    ): "High A sounds, the thumb shuts its hole for a moment as the note lands, and high A is back.",
}
_LED_STRIKES = {
    Note.HIGH_G: "A G gracenote starts the note, then one quick tap marks it and bounces off at once.",
    Note.HIGH_A: "The thumb starts the note with a high A, then one quick tap marks it and bounces off at once.",
}


@dataclass(frozen=True, slots=True)
class Embellishment:
    """A named group of gracenotes: its family, the name that people read ("C doubling"), its notes, its melody note."""

    family: Family
    name: str
    gracenotes: tuple[Note, ...]
    onto: Note

    @property
    def full_name(self) -> str:
        """Its name with the note that it leads onto: "C doubling", "taorluath on low A", "grip from D onto B"."""
        note = self.onto.label
        if self.name.endswith((f" on {note}", f"{note} doubling")):
            return self.name
        onto = "onto" if " on " in self.name or " from " in self.name else "on"
        return f"{self.name} {onto} {note}"

    @property
    def spelling(self) -> str:
        """The gracenotes as ABC letters in a row: "GdGe"."""
        return "".join(note.letter for note in self.gracenotes)

    @property
    def how_it_is_played(self) -> str:
        """One sentence for a learner about this embellishment."""
        if self.family is Family.SINGLE:
            return _single(self.gracenotes[0], self.onto)
        if self.family is Family.STRIKE and len(self.gracenotes) > 2:
            return _LED_STRIKES.get(self.gracenotes[0], self.family.how_it_is_played)
        return _MADE_OTHERWISE.get((self.family, self.onto), self.family.how_it_is_played)


def _single(gracenote: Note, onto: Note) -> str:
    """The sentence about one gracenote by the fingers that make it: they lift, fall, or both."""
    state, base = gracenote_states([gracenote], onto)[0], chart(onto)
    lifted, fallen = base & ~state, state & ~base
    if lifted and fallen:
        return f"The fingers touch {gracenote.label} and are back at once, all of them together."
    many = (lifted or fallen).bit_count() > 1
    if fallen:
        return (
            "The fingers fall together and are up again at once."
            if many
            else "One finger falls and is up again at once; the other seven stay where the melody note has them."
        )
    return "The fingers lift together and are back at once." if many else Family.SINGLE.how_it_is_played
