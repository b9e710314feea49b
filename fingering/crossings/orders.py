"""Counts the orders of the fingers that pass no foreign note."""

from __future__ import annotations

from collections import Counter

from fingering.crossings.passing import foreign_flags
from fingering.crossings.transition import Transition
from fingering.notes import HARMONIC, Tuning


def clean_order_count(transition: Transition, tuning: Tuning = HARMONIC) -> int:
    """How many orders of the moving fingers pass no foreign note."""
    return foreign_patterns(transition, tuning)[0]


def foreign_patterns(transition: Transition, tuning: Tuning = HARMONIC) -> Counter[int]:
    """How many orders share each pattern of foreign states.

    A pattern's bit k is set when the state after k + 1 movements is foreign, so pattern 0 counts the clean orders; the
    counts add up to Transition.order_count. By dynamic programming: no order is walked.
    """
    flags = foreign_flags(transition, tuning)
    bits = [1 << i for i in range(len(transition.movers))]
    ways: list[Counter[int]] = [Counter() for _ in flags]
    ways[0][0] = 1
    for moved, patterns in enumerate(ways):
        for bit in bits:
            if not moved & bit:
                mark = flags[moved | bit] << moved.bit_count()
                following = ways[moved | bit]
                for pattern, count in patterns.items():
                    following[pattern | mark] += count
    return ways[-1]
