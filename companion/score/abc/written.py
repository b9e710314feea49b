"""A tune as it stands on the page: bars between bar lines, before repeats and plans are unfolded."""

from __future__ import annotations

from dataclasses import dataclass, field

from companion.score.model import Gracenote, Meter, Tempo
from companion.score.place import Place
from fingering.notes import Note


@dataclass(slots=True)
class WrittenNote:
    """A note or rest as read so far; broken rhythm may still change its `ticks`, a tie may join it to the next."""

    note: Note | None
    ticks: int
    gracenotes: tuple[Gracenote, ...]
    place: Place
    tied: bool = False
    acciaccatura: bool = False
    chord: str = ""
    annotations: tuple[str, ...] = ()
    decorations: tuple[str, ...] = ()


@dataclass(slots=True)
class WrittenBar:
    """A bar and what stands at its two ends.

    At its left: `opens` is how often a repeat that starts here is played (0: none starts), `ending` the passes on which
    it is played (empty: all), `label` the part that begins here. At its right: `closes` is how often the stretch that
    is repeated here is played (0: no repeat), `double` a double or thick bar line. `doubtful` marks a bar of which
    something could not be read, so that its length says nothing.
    """

    meter: Meter
    tempo: Tempo | None
    place: Place
    opens: int = 0
    ending: tuple[int, ...] = ()
    label: str | None = None
    notes: list[WrittenNote] = field(default_factory=list)
    closes: int = 0
    double: bool = False
    ends_phrase: bool = False
    doubtful: bool = False

    @property
    def ticks(self) -> int:
        """The bar's written length in ticks."""
        return sum(note.ticks for note in self.notes)
