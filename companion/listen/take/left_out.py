"""How many of the gracenotes that were asked for a player leaves out, by a first reading of a take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from companion.listen.align.cost.costs import SKIP_TOKENS
from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.model.asked import Asked

FEWEST_GRACENOTES = 24
"""The fewest by which a habit can be told (a choice, no source)."""


def share_left_out(asked: Asked, steps: Sequence[ReadStep]) -> float:
    """Return which share of the gracenotes between the notes that were heard was left out, 0 to 1; 0 for too few."""
    tokens, heard, missing = asked.tokens, 0, 0
    for step in steps:
        if step.reading is Reading.MATCH:
            heard += not tokens[step.tokens[0]].is_melody
            if step.tokens[0] == step.after + 1 and not step.ran_on and len(step.tokens) == 1:
                continue  # nothing was left out, as at most notes
        passed = (step.after, *step.ran_on, *step.tokens)
        missing += sum(not tokens[each].is_melody for each in _between(passed))
    return missing / (heard + missing) if heard + missing >= FEWEST_GRACENOTES else 0.0


def _between(passed: Sequence[int]) -> Iterator[int]:
    """Yield the tokens that were left out on the way along others, but for leaps."""
    for one, two in pairwise(passed):
        if one < two <= one + SKIP_TOKENS:
            yield from range(one + 1, two)
