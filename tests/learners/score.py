"""Precision and recall of what was told against the faults that were made, one to one, kind by kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.listen.model.findings import Finding, FindingKind
from tests.learners.learner import Made, Simulated

BETWEEN_NOTES_S = 0.15
"""What is played between two notes, and what begins again, belongs to a fault of its kind this close to it in time,
whichever of the two notes it is told at."""

BETWEEN_NOTES = frozenset(
    {
        FindingKind.CROSSING,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.EXTRA_NOTE,
        FindingKind.BREAK,
        FindingKind.RESTART,
    }
)

BESIDE_NOTES = 3
BESIDE_S = 1.0
"""What is told wrongly so near a fault is put down to that fault; what is told further away is told of right notes."""

UNEVEN_PAIR = (FindingKind.EARLY, FindingKind.LATE)


@dataclass(frozen=True, slots=True)
class Case:
    """What is needed to play a take again."""

    trial: str
    group: str
    draw: int


@dataclass(frozen=True, slots=True)
class Missed:
    """A fault that was not told."""

    case: Case
    made: Made


@dataclass(frozen=True, slots=True)
class FalseAlarm:
    """A finding that is not true."""

    case: Case
    finding: Finding


def is_its_stop(made: Made, finding: Finding) -> bool:
    """Whether a finding is the silence that a fault really began with: true besides, though it does not tell the
    fault."""
    ended_s = finding.at_s + (finding.ms or 0.0) / 1000.0
    return made.stopped and finding.kind is FindingKind.BREAK and abs(ended_s - made.at_s) < BETWEEN_NOTES_S


def is_told_by(made: Made, finding: Finding) -> bool:
    """Whether a finding tells of a fault: the right kind at the right note.

    Equally true are what `Made.also` and `Made.also_at` name, a pair told as uneven of which one note was early or
    late, and one note of it told as early or late where the pair was uneven.
    """
    near = abs(finding.at_s - made.at_s) < BETWEEN_NOTES_S
    if finding.kind is made.kind or finding.kind in made.also:
        there = finding.played == made.played or finding.played in made.also_at
        return there or (finding.kind in BETWEEN_NOTES and near)
    if finding.kind is FindingKind.POINTING and made.kind in UNEVEN_PAIR:
        return finding.played in (made.played - 1, made.played)
    if finding.kind in UNEVEN_PAIR and made.kind is FindingKind.POINTING:
        return finding.played in (made.played, made.played + 1)
    return False


@dataclass(slots=True)
class Score:
    """Counts by label: a kind of finding, or what a trial is about. elsewhere: findings told of right notes."""

    hits: Counter[str] = field(default_factory=Counter)
    misses: Counter[str] = field(default_factory=Counter)
    false_alarms: Counter[str] = field(default_factory=Counter)
    fingers: Counter[str] = field(default_factory=Counter)
    notes: int = 0
    elsewhere: int = 0
    missed: list[Missed] = field(default_factory=list)
    alarms: list[FalseAlarm] = field(default_factory=list)

    def add(self, take: Simulated, found: Sequence[Finding], case: Case, label: str | None = None) -> None:
        """Count one take, kind by kind, or all under one label; under that, what is told elsewhere is counted apart."""
        self.notes += take.melody_notes
        left = list(found)
        for fault in take.made:
            named = label or fault.kind.value
            fits = [each for each in left if is_told_by(fault, each)]
            if not fits:
                left = [each for each in left if not is_its_stop(fault, each)]
                self.misses[named] += 1
                self.missed.append(Missed(case, fault))
                continue
            best = min(fits, key=lambda each: _preference(fault, each))
            # An embellishment may be told gracenote by gracenote.
            others = (each for each in left if each is not best and not _same_place(each, best))
            left = [each for each in others if not is_its_stop(fault, each)]
            self.hits[named] += 1
            if fault.finger is not None and best.crossing is not None:
                right = best.crossing.finger is fault.finger
                self.fingers["right" if right else "wrong"] += 1
        self.alarms += [FalseAlarm(case, each) for each in left]
        if label is None:
            self.false_alarms.update(each.kind.value for each in left)
            return
        beside = sum(any(_is_beside(fault, each) for fault in take.made) for each in left)
        self.false_alarms[label] += beside
        self.elsewhere += len(left) - beside

    def add_throughout(
        self, take: Simulated, told: bool, others: Sequence[Finding], case: Case, label: str, made: Made
    ) -> None:
        """Count one take of something that holds throughout and is told once, and what else was told of it."""
        self.notes += take.melody_notes
        (self.hits if told else self.misses)[label] += 1
        self.elsewhere += len(others)
        self.alarms += [FalseAlarm(case, each) for each in others]
        if not told:
            self.missed.append(Missed(case, made))

    @property
    def labels(self) -> list[str]:
        """Every label, kinds of finding first."""
        kinds = [kind.value for kind in FindingKind]
        found = {*self.hits, *self.misses, *self.false_alarms}
        return [each for each in kinds if each in found] + sorted(found - set(kinds))

    def made(self, label: str) -> int:
        """How many faults there were."""
        return self.hits[label] + self.misses[label]

    def recall(self, label: str) -> float:
        """Share of the faults that were told."""
        return self.hits[label] / self.made(label) if self.made(label) else 1.0

    def precision(self, label: str) -> float:
        """Share of what was told that was a fault."""
        found = self.hits[label] + self.false_alarms[label]
        return self.hits[label] / found if found else 1.0


def _preference(fault: Made, finding: Finding) -> tuple[bool, bool, float]:
    """Of several findings that tell a fault, its own kind comes first and the stop before it last; then the nearest."""
    return finding.kind is not fault.kind, is_its_stop(fault, finding), abs(finding.at_s - fault.at_s)


def _same_place(one: Finding, other: Finding) -> bool:
    same = one.kind is other.kind is FindingKind.MISSING_GRACENOTE and one.played == other.played
    return same and abs(one.at_s - other.at_s) < BESIDE_S


def _is_beside(fault: Made, finding: Finding) -> bool:
    return abs(finding.played - fault.played) <= BESIDE_NOTES or abs(finding.at_s - fault.at_s) < BESIDE_S
