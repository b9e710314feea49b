"""Gathers the notes of a tune that no chanter has, and reports them once, with the shift that makes the tune fit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.files.lines import one_line
from companion.score.fitting import shift_that_fits, shift_words
from companion.score.form.problems import Problems
from companion.score.place import Place
from companion.score.problems import ProblemKind

SCALE = "write one of G A B c d e f g a"
_NAMED = 4
"""How many different notes a message names: enough to see what is meant."""


@dataclass(frozen=True, slots=True)
class Outside:
    """A written note that the chanter does not have: its spelling, its key ("" where none is told), its MIDI note."""

    written: str
    key: str
    midi: int


class OutsideNotes:
    """Counts the notes that the chanter does not have. `count`: how many there are in the tune."""

    def __init__(self) -> None:
        self.count = 0
        self._first: Place | None = None
        self._kinds: dict[str, Outside] = {}

    def add(self, note: Outside, place: Place) -> None:
        """Count one more note, with its place."""
        self.count += 1
        if self._first is None or place < self._first:
            self._first = place
        self._kinds.setdefault(note.written, note)

    def say(self, problems: Problems, within: Iterable[int], shift: int, wished: int) -> int | None:
        """Report what is outside, and return the transposition in semitones that makes the tune fit, None if none does.

        within: the MIDI notes of the tune that the chanter has, as they sound. shift: how much higher than written the
        tune sounds now, of which `wished` semitones are the user's own wish.
        """
        if self._first is None:
            return None
        fits = shift_that_fits({*within, *(note.midi + shift for note in self._kinds.values())})
        what = f"{self._named()} so {'it is' if self.count == 1 else 'they are'} left out"
        remedy = SCALE if fits is None else _remedy(fits, wished + fits)
        problems.add(ProblemKind.NOTE_OUTSIDE_NINE, self._first, what, remedy)
        return None if fits is None else wished + fits

    def _named(self) -> str:
        kinds = list(self._kinds.values())
        names = [f"'{one_line(kind.written)}'" for kind in kinds[:_NAMED]]
        more = f" and {len(kinds) - _NAMED} more" if len(kinds) > _NAMED else ""
        times = f" ({self.count} times in this tune)" if self.count > len(kinds) else ""
        note = "note" if len(kinds) == 1 else "notes"
        key = f" under K:{kinds[0].key}" if kinds[0].key else ""
        return f"no chanter has the {note} {', '.join(names)}{more}{key}{times},"


def _remedy(shift: int, transpose: int) -> str:
    """The advice for a tune that would fit the chanter if it were read higher or lower."""
    if shift % 12:
        return f"{SCALE}, or read it with --transpose {transpose}: the whole tune fits {shift_words(shift)}"
    far = shift_words(abs(shift)).removesuffix(" higher")
    return f"is it written {far} too {'low' if shift > 0 else 'high'}? read it with --transpose {transpose}"
