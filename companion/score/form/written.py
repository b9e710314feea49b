"""`WrittenBar`: a bar as it stands on the page, before repeats and plans are unfolded."""

from __future__ import annotations

from dataclasses import dataclass, field

from companion.score.form.ticks import ticks_to_fraction
from companion.score.model import MelodyNote, Meter, Tempo
from companion.score.place import Place


@dataclass(slots=True)
class WrittenBar:
    """A bar and what stands at its two ends.

    At its left: `opens` is how often a repeat that starts here is played (0: none starts), `ending` the repetitions on
    which it is played (empty: all), `label` the part that begins here. At its right: `closes` is how often the stretch
    that is repeated here is played (0: no repeat), `double` a double or thick bar line, `ends_ending` a bracket that
    closes an ending. `counts_for`: how many bars a rest of several stands for. `doubtful` marks a bar of which
    something could not be read, so that its length is not checked; `overfull` one that takes no more notes.

    `lengths` are those of its notes in ticks, which broken rhythm and ties still change; `tied` holds the ranks within
    the bar of the notes that a tie follows.
    """

    meter: Meter
    tempo: Tempo | None
    place: Place
    opens: int = 0
    ending: tuple[int, ...] = ()
    label: str | None = None
    notes: list[MelodyNote] = field(default_factory=list)
    lengths: list[int] = field(default_factory=list)
    tied: list[int] = field(default_factory=list)
    closes: int = 0
    double: bool = False
    ends_phrase: bool = False
    ends_ending: bool = False
    counts_for: int = 1
    doubtful: bool = False
    overfull: bool = False

    @property
    def ticks(self) -> int:
        """The bar's written length in ticks."""
        return sum(self.lengths)

    def add(self, note: MelodyNote, ticks: int) -> None:
        """Add a note that lasts `ticks`."""
        self.notes.append(note)
        self.lengths.append(ticks)

    def set_length(self, i: int, ticks: int) -> None:
        """Give the note with rank `i` in the bar another length."""
        self.lengths[i] = ticks
        self.notes[i] = self.notes[i]._replace(duration=ticks_to_fraction(ticks))


def rest_of(rank: int, ticks: int, place: Place) -> MelodyNote:
    """A rest that lasts `ticks`."""
    return MelodyNote(rank, None, ticks_to_fraction(ticks), (), place)
