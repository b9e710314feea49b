"""`Problems`: collects what went wrong while reading one tune, or the lines around the tunes."""

from __future__ import annotations

from companion.score.place import Place, place_of
from companion.score.problems import Problem, ProblemKind, Severity

# A tune of noise must not fill the memory with complaints, and nobody puts right more than these at once. What is
# beyond is counted, errors by themselves, so that no error is lost.
MOST_PROBLEMS = 2_000


class Problems:
    """Collects the problems of one source. Lines and columns count from 1."""

    def __init__(self, source: str) -> None:
        self.source = source
        self._found: dict[Problem, None] = {}  # fields of a file header are read for every tune, and said once
        self._said: set[str] = set()
        self._has_error = False
        self._dropped = {Severity.ERROR: 0, Severity.WARNING: 0}

    def place(self, line: int, column: int) -> Place:
        """A place in this source."""
        return place_of((self.source, line, column))

    def add(self, kind: ProblemKind, place: Place, what: str, remedy: str) -> None:
        """Add one problem."""
        if len(self._found) >= MOST_PROBLEMS:
            self._dropped[kind.severity] += 1
            if self._has_error or kind.severity is Severity.WARNING:
                return
            self._found.popitem()  # a warning makes room: a tune with an error must not pass as sound
        problem = Problem(place, kind, what, remedy)
        self._has_error = self._has_error or kind.severity is Severity.ERROR
        self._found[problem] = None

    def first_time(self, matter: str) -> bool:
        """Whether `matter` is asked about for the first time; for what is to be reported once a tune."""
        new = matter not in self._said
        self._said.add(matter)
        return new

    def in_order(self) -> tuple[Problem, ...]:
        """All problems by place; where there were more than MOST_PROBLEMS, the last one says how many."""
        if not self._found:
            return ()
        found = sorted(self._found, key=lambda problem: (problem.place.line, problem.place.column))
        more = sum(self._dropped.values())
        if more:
            what = f"{more} more problems follow ({self._dropped[Severity.ERROR]} of them errors)"
            found.append(Problem(found[-1].place, ProblemKind.MANY_PROBLEMS, what, "put right the ones above first"))
        return tuple(found)
