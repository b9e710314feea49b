"""What went wrong while reading, gathered with its place."""

from __future__ import annotations

import enum

from companion.score.place import Place, Problem, Severity

# Nobody reads more than this; a file of noise must not fill the memory with complaints.
MAX_PROBLEMS = 500


class Strictness(enum.Enum):
    """How departures from the standard that still make sense are taken: STRICT as errors, LOOSE as warnings.

    ABC 2.1 section 12: a file that begins with %abc-2.1 or later asks to be read strictly, any other loosely.
    """

    STRICT = "strict"
    LOOSE = "loose"


class Problems:
    """Collects the problems of one source. Lines and columns count from 1."""

    def __init__(self, source: str, strictness: Strictness = Strictness.LOOSE) -> None:
        self.source = source
        self.strictness = strictness
        self._found: dict[Problem, None] = {}  # a file header is read for every tune, its problems are said once
        self._said: set[str] = set()
        self._dropped = 0

    def place(self, line: int, column: int) -> Place:
        """A place in this source."""
        return Place(self.source, line, column)

    def error(self, place: Place, what: str, remedy: str) -> None:
        """Note something that cannot be played as it stands."""
        self._add(Problem(place, what, remedy))

    def warn(self, place: Place, what: str, remedy: str) -> None:
        """Note something that is played, but perhaps not as the writer meant."""
        self._add(Problem(place, what, remedy, Severity.WARNING))

    def deviation(self, place: Place, what: str, remedy: str) -> None:
        """Note a departure from the standard whose meaning is plain."""
        strict = self.strictness is Strictness.STRICT
        self._add(Problem(place, what, remedy, Severity.ERROR if strict else Severity.WARNING))

    def next_tune(self) -> None:
        """Another tune begins."""
        self._said.clear()

    def first_time(self, matter: str) -> bool:
        """Whether `matter` is asked about for the first time in this tune: what holds for all of it is said once."""
        new = matter not in self._said
        self._said.add(matter)
        return new

    def _add(self, problem: Problem) -> None:
        if len(self._found) < MAX_PROBLEMS:
            self._found[problem] = None
        elif problem not in self._found:
            self._dropped += 1

    def in_order(self) -> tuple[Problem, ...]:
        """All problems by place; one more at the end says how many were left unsaid."""
        found = sorted(self._found, key=lambda problem: (problem.place.line, problem.place.column))
        if self._dropped:
            what = f"{self._dropped} more problems follow"
            found.append(Problem(found[-1].place, what, "put right the ones above first"))
        return tuple(found)
