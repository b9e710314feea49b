"""Collects the gracenotes that lead onto the next note."""

from __future__ import annotations

from fractions import Fraction

from companion.score.form.problems import Problems
from companion.score.model import MelodyNote
from companion.score.place import Place
from companion.score.problems import ProblemKind
from fingering.notes import Note

MOST_GRACENOTES = 64
"""Before one note, as in ABC; the longest movements of ceol mor have some twenty."""


class WaitingGracenotes:
    """Gracenotes that have no melody note yet; bar lines do not part them from it."""

    def __init__(self, problems: Problems) -> None:
        self._problems = problems
        self._notes: list[tuple[Note, Fraction, Place]] = []
        self._slashed = False

    def add(self, note: Note | None, length: Fraction, place: Place, *, slashed: bool) -> None:
        """Add one; None for one that the chanter does not have, which is left out."""
        if note is None:
            return
        self._slashed = self._slashed or slashed
        if len(self._notes) == MOST_GRACENOTES:
            what = f"more than {MOST_GRACENOTES} gracenotes lead onto one note, so they are left out"
            remedy = "write those that belong to it"
            if self._problems.first_time(f"gracenotes {self._notes[0][2]}"):
                self._problems.add(ProblemKind.GRACENOTES_BEYOND_MEASURE, self._notes[0][2], what, remedy)
            return
        self._notes.append((note, length, place))

    def onto(self, note: MelodyNote, *, is_rest: bool) -> MelodyNote:
        """The note with all that wait for it; onto a rest they cannot lead."""
        waiting, slashed = self._notes, self._slashed
        if not waiting:
            return note
        self._notes, self._slashed = [], False
        if len(waiting) == MOST_GRACENOTES:
            return note
        if is_rest:
            what = "gracenotes lead onto a rest, so they are left out"
            self._problems.add(ProblemKind.GRACENOTES_ONTO_REST, waiting[0][2], what, "write them before a note")
            return note
        notes, lengths, places = zip(*waiting, strict=True)
        place = note.place
        return note._replace(
            gracenotes=notes,
            acciaccatura=slashed,
            grace_lengths=relative(lengths),
            grace_offsets=tuple((place.line - each.line, place.column - each.column) for each in places),
        )

    def finish(self) -> None:
        """End the tune: report those that no note follows."""
        if self._notes:
            what = "no note follows these gracenotes, so they are left out"
            remedy = "write the note that they lead onto"
            self._problems.add(ProblemKind.GRACENOTES_WITHOUT_NOTE, self._notes[0][2], what, remedy)


def relative(lengths: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """Lengths relative to the shortest of them; none where all are alike."""
    shortest = min(lengths)
    return () if all(length == shortest for length in lengths) else tuple(length / shortest for length in lengths)
