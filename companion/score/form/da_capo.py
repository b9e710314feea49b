"""Follows *da capo al fine*, and reports every other mark that sends the player elsewhere as not followed."""

from __future__ import annotations

from collections.abc import Sequence

from companion.score.form.jumps import DA_CAPO, FINE, Jump
from companion.score.form.problems import Problems
from companion.score.form.unfold import WrittenPart
from companion.score.problems import ProblemKind


def after_da_capo(
    jumps: Sequence[Jump], stretches: Sequence[WrittenPart], bars: int, problems: Problems, *, planned: bool
) -> list[int]:
    """The bars that are played once more after the last one: up to the fine, without repeats, as players do.

    bars: how many the tune has. planned: whether it has a part plan. Only a da capo at the very end of a tune with a
    fine and without a plan is followed.
    """
    fine = next((jump.bar for jump in jumps if jump.name == FINE), None)
    da_capo = any(jump.name in DA_CAPO and jump.bar == bars - 1 for jump in jumps)
    followed = da_capo and fine is not None and not planned
    for jump in jumps:
        if not (followed and (jump.name == FINE or jump.name in DA_CAPO)) and problems.first_time(jump.name):
            what = f"!{jump.name}! is not followed"
            problems.add(ProblemKind.JUMP_NOT_FOLLOWED, jump.place, what, "write the order of parts with P:")
    if not followed or fine is None:
        return []
    sections = [section for stretch in stretches for section in stretch.sections]
    once = [i for section in sections for bars in section.a_pass(section.plays) for i in bars]
    return once[: once.index(fine) + 1] if fine in once else []
