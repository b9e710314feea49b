"""How right a hearing is: notes heard, notes missed, false notes, and how far onsets are off. Pure functions.

A heard note is right where it begins within a tolerance of a true one and has its name. Heard and true notes are
matched one to one, so that as many as possible are right, as in mir_eval, and their onsets as near as possible.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from tests.hearing.truth import MELODY_S, HeardEvent, NoteClass, TrueNote

ONSET_TOLERANCE_S = 0.05
"""As MIREX has it for note tracking (mir_eval's default)."""

ROUNDED_TO_DECIMALS = 4
"""As mir_eval rounds distances, so that a distance of exactly the tolerance is within it."""


@dataclass(frozen=True, slots=True)
class HearingScore:
    """What was heard of one recording or of many.

    true, right: true notes of each class, and those heard, in the order of NoteClass. false_melody, false_short: heard
    notes that match none, of 80 ms and longer, and shorter. onset_errors_s: heard less true onset of all that is right.
    """

    true: tuple[int, ...] = (0,) * len(NoteClass)
    right: tuple[int, ...] = (0,) * len(NoteClass)
    false_melody: int = 0
    false_short: int = 0
    onset_errors_s: tuple[float, ...] = ()

    def recall(self, counted: NoteClass) -> float:
        """The share of the true notes of a class that was heard; NaN where there is none."""
        rank = _RANK[counted]
        return self.right[rank] / self.true[rank] if self.true[rank] else float("nan")

    def precision(self, counted: NoteClass) -> float:
        """The right notes of a class over them and the false ones of its length; NaN where there is neither."""
        right = self.right[_RANK[counted]]
        false = self.false_melody if counted is NoteClass.MELODY else self.false_short
        return right / (right + false) if right + false else float("nan")

    def f1(self, counted: NoteClass) -> float:
        """The F-measure of a class: 2 right / (true + right + false). False short notes count against each short class.

        NaN where there is no such note, true or false.
        """
        rank = _RANK[counted]
        false = self.false_melody if counted is NoteClass.MELODY else self.false_short
        all_told = self.true[rank] + self.right[rank] + false
        return 2.0 * self.right[rank] / all_told if all_told else float("nan")

    @property
    def false_per_100(self) -> float:
        """False notes for each hundred true ones, of whatever class; NaN where there is none."""
        return 100.0 * (self.false_melody + self.false_short) / sum(self.true) if sum(self.true) else float("nan")

    def onset_error_s(self, percentile: float) -> float:
        """That percentile of how far onsets are off, earlier or later; NaN where nothing was right."""
        return float(np.percentile(np.abs(self.onset_errors_s), percentile)) if self.onset_errors_s else float("nan")

    @property
    def onset_bias_s(self) -> float:
        """The median of heard less true onset; NaN where nothing was right."""
        return float(np.median(self.onset_errors_s)) if self.onset_errors_s else float("nan")


_RANK = {counted: rank for rank, counted in enumerate(NoteClass)}


def matched(
    true: Sequence[TrueNote], heard: Sequence[HeardEvent], *, onset_tolerance_s: float = ONSET_TOLERANCE_S
) -> list[tuple[int, int]]:
    """Which heard note (second) is which true one (first): the most pairs that there can be, the nearest of them."""
    if not true or not heard:
        return []
    away_s = np.abs(np.subtract.outer([each.onset_s for each in true], [onset_s for onset_s, _, _ in heard]))
    named = np.array([[note in each.accepted for _, _, note in heard] for each in true])
    fits = named & (np.round(away_s, ROUNDED_TO_DECIMALS) <= onset_tolerance_s)
    one_pair = 1.0 + onset_tolerance_s * min(len(true), len(heard))  # outweighs whatever all distances add up to
    rows, columns = linear_sum_assignment(np.where(fits, away_s - one_pair, 0.0))
    return [(int(row), int(column)) for row, column in zip(rows, columns, strict=True) if fits[row, column]]


def score_of(
    true: Sequence[TrueNote], heard: Sequence[HeardEvent], *, onset_tolerance_s: float = ONSET_TOLERANCE_S
) -> HearingScore:
    """The score of one recording."""
    pairs = matched(true, heard, onset_tolerance_s=onset_tolerance_s)
    right = [true[row].counted for row, _ in pairs]
    used = {column for _, column in pairs}
    false_s = [stop_s - onset_s for rank, (onset_s, stop_s, _) in enumerate(heard) if rank not in used]
    melody = sum(length_s >= MELODY_S for length_s in false_s)
    return HearingScore(
        tuple(sum(each.counted is counted for each in true) for counted in NoteClass),
        tuple(right.count(counted) for counted in NoteClass),
        melody,
        len(false_s) - melody,
        tuple(heard[column][0] - true[row].onset_s for row, column in pairs),
    )


def together(scores: Iterable[HearingScore]) -> HearingScore:
    """The score of many recordings."""
    all_scores = list(scores)
    return HearingScore(
        tuple(sum(each.true[rank] for each in all_scores) for rank in range(len(NoteClass))),
        tuple(sum(each.right[rank] for each in all_scores) for rank in range(len(NoteClass))),
        sum(each.false_melody for each in all_scores),
        sum(each.false_short for each in all_scores),
        tuple(error_s for each in all_scores for error_s in each.onset_errors_s),
    )
