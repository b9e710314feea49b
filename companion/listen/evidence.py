"""What a verdict is made of, and the parts that it has: shares, and things to learn."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.asked import Asked
from companion.listen.drills import Drill
from companion.listen.findings import Finding, FindingKind
from companion.listen.interpret import Tally
from companion.listen.pace import Pace


@dataclass(frozen=True, slots=True)
class Share:
    """So many played as asked, of so many."""

    right: int
    of: int

    @property
    def share(self) -> float:
        """0 to 1; 1 of none."""
        return self.right / self.of if self.of else 1.0


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to learn: findings with one cause, what is said of them all, and the drill for it."""

    findings: tuple[Finding, ...]
    drill: Drill
    text: str

    @property
    def count(self) -> int:
        """How often it was heard."""
        return len(self.findings)

    @property
    def kind(self) -> FindingKind:
        """The kind of its findings."""
        return self.findings[0].kind


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that a verdict is made of. metronome_bpm: None without one. off_own_pulse: the played notes that were off
    their time by the learner's own pulse as well."""

    asked: Asked
    findings: tuple[Finding, ...]
    tally: Tally
    pace: Pace | None
    metronome_bpm: float | None
    off_own_pulse: frozenset[int]

    def place_before(self, at_s: float) -> int | None:
        """The played note that was heard last before a moment."""
        return max(((heard_s, played) for played, heard_s in self.tally.places if heard_s < at_s), default=(0, None))[1]

    def is_next_time(self, finding: Finding) -> bool:
        """Whether someone only played the tune once more: from its very beginning, after its very end."""
        notes = [rank for rank, each in enumerate(self.asked.schedule.played) if each.note.note is not None]
        return (
            finding.kind is FindingKind.RESTART
            and finding.played == notes[0]
            and self.place_before(finding.at_s) == notes[-1]
        )
