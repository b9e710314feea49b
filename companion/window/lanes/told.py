"""What is told of a running tune, and the settings of when and how strictly it is told."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

from companion.listen.model.strictness import Strictness

if TYPE_CHECKING:  # the first frame tells nothing, and does not wait for the ear
    from companion.listen.model.findings import Finding
    from companion.listen.verdict.brief import Brief


class Feedback(enum.Enum):
    """When what was found is told: the less often, the better it is kept (Winstein & Schmidt 1990, its abstract)."""

    AFTER_PHRASE = "told after the phrase"
    AT_END = "told at the end"
    AT_ONCE = "told at once"


@dataclass(frozen=True, slots=True)
class EarSettings:
    """When findings are told, and how strict a teacher listens."""

    feedback: Feedback = Feedback.AFTER_PHRASE
    strictness: Strictness = Strictness.USUAL


@dataclass(frozen=True, slots=True)
class Told:
    """What is told now, and the findings that are marked in the lanes.

    lines: a few sentences once the tune is over, the most urgent first. amiss: whether they tell of slips, and not of
    how it stands with what was played. brief: while it runs, the one thing to be taken
    in at a glance. lit: the finding that was told a moment ago, if it is told at once.
    """

    lines: tuple[str, ...] = ()
    marked: tuple[Finding, ...] = ()
    lit: Finding | None = None
    brief: Brief | None = None
    amiss: bool = True


NOTHING_TOLD = Told()
MOST_LINES = 3
