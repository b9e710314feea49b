"""Precision and recall of findings against the faults that were made, one to one, kind by kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.listen.model.findings import Finding, FindingKind
from tests.learners.learner import Made

NEAR_S = 0.15
"""A finding belongs to a fault of its kind made to the same note, or this close to it in time."""


@dataclass(slots=True)
class Score:
    """Counts by kind."""

    hits: Counter[FindingKind] = field(default_factory=Counter)
    misses: Counter[FindingKind] = field(default_factory=Counter)
    false_alarms: Counter[FindingKind] = field(default_factory=Counter)
    fingers: Counter[str] = field(default_factory=Counter)
    notes: int = 0
    off_ms: list[float] = field(default_factory=list)
    missed: list[Made] = field(default_factory=list)
    alarms: list[Finding] = field(default_factory=list)

    def add(self, made: Sequence[Made], found: Sequence[Finding]) -> None:
        """Count one take."""
        left = list(found)
        for fault in made:
            fits = [
                each
                for each in left
                if each.kind is fault.kind and (each.played == fault.played or abs(each.at_s - fault.at_s) < NEAR_S)
            ]
            if not fits:
                self.misses[fault.kind] += 1
                self.missed.append(fault)
                continue
            best = min(fits, key=lambda each: abs(each.at_s - fault.at_s))
            left.remove(best)
            self.hits[fault.kind] += 1
            self.off_ms.append(abs(best.at_s - fault.at_s) * 1000.0)
            if fault.finger is not None and best.crossing is not None:
                right = best.crossing.finger is fault.finger
                self.fingers["right" if right else "wrong"] += 1
        self.alarms += left
        self.false_alarms.update(each.kind for each in left)

    def recall(self, kind: FindingKind) -> float:
        """Share of the faults that were found."""
        made = self.hits[kind] + self.misses[kind]
        return self.hits[kind] / made if made else 1.0

    def precision(self, kind: FindingKind) -> float:
        """Share of the findings that were faults."""
        found = self.hits[kind] + self.false_alarms[kind]
        return self.hits[kind] / found if found else 1.0

    def table(self) -> str:
        """One line for each kind."""
        lines = [f"{'kind':<22}{'faults':>7}{'found':>7}{'false':>7}{'recall':>8}{'precision':>11}"]
        for kind in FindingKind:
            made = self.hits[kind] + self.misses[kind]
            lines.append(
                f"{kind.value:<22}{made:>7}{self.hits[kind]:>7}{self.false_alarms[kind]:>7}"
                f"{self.recall(kind):>8.3f}{self.precision(kind):>11.3f}"
            )
        return "\n".join(lines)
