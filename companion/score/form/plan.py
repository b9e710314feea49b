"""The part plan of ``P:`` in a header: ``ABAC``, ``(AB)2``, ``((AB)3.(CD)3)2`` (ABC 2.1 section 3.1.9)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from companion.files.lines import quoted
from companion.score.problems import ProblemKind

# Ten hours of bars; a plan of nested counts must not fill the memory.
MAX_PLAYED = 20_000

_STEP = re.compile(r"(?P<part>[A-Za-z]\d*)|(?P<open>\()|(?P<close>\)\d*)|(?P<gap>[.,;\s-]+)|(?P<stray>.)")


@dataclass(frozen=True, slots=True)
class Run:
    """A part played `times` times in a row: ``A4`` is one run, ``AA`` two."""

    label: str
    times: int


class PlanError(ValueError):
    """A part plan that cannot be used: the kind of problem, what is wrong and what to do."""

    def __init__(self, what: str, remedy: str, kind: ProblemKind = ProblemKind.PLAN_UNREADABLE) -> None:
        super().__init__(what, remedy)
        self.kind = kind
        self.what = what
        self.remedy = remedy


def read_plan(text: str) -> list[Run]:
    """The runs of a plan in playing order. Raises PlanError."""
    levels: list[list[Run]] = [[]]
    for match in _STEP.finditer(text):
        kind, step = match.lastgroup, match[0]
        if kind == "part":
            levels[-1].append(Run(step[0], _count(step[1:])))
        elif kind == "open":
            levels.append([])
        elif kind == "close":
            _close(levels, _count(step[1:]))
        elif kind == "stray":
            what = f"{quoted(step)} has no meaning in a plan of parts"
            raise PlanError(what, "use part letters, brackets and counts")
    if len(levels) > 1:
        raise PlanError("a bracket in the plan is not closed", "write the ')'")
    return levels[0]


def _close(levels: list[list[Run]], times: int) -> None:
    """Repeat the innermost bracket into the one around it."""
    if len(levels) == 1:
        raise PlanError("the plan closes a bracket that it has not opened", "take out the ')'")
    inner = levels.pop()
    if len(levels[-1]) + len(inner) * times > MAX_PLAYED:
        raise too_long()
    levels[-1].extend(inner * times)


def _count(digits: str) -> int:
    count = int(digits[:9]) if digits else 1
    if count == 0:
        raise PlanError("a part is to be played 0 times", "give it a count of 1 or more, or take it out")
    if count > MAX_PLAYED:
        raise too_long()
    return count


def too_long() -> PlanError:
    """The error for a plan that asks for more than MAX_PLAYED bars."""
    what = f"the plan asks for more than {MAX_PLAYED:,} bars"
    return PlanError(what, "make its counts smaller", ProblemKind.PERFORMANCE_TOO_LONG)
