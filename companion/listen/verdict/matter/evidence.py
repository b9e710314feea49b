"""What a verdict is made of, and the parts that it has: shares, and things to learn."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.tally import Tally
from companion.listen.rhythm.pace import TempoHeard
from companion.listen.verdict.matter.drills import Drill
from companion.score.setting import Setting


@dataclass(frozen=True, slots=True)
class Share:
    """How many were played as asked (`right`), of how many that could have been (`of`)."""

    right: int
    of: int

    @property
    def share(self) -> float:
        """`right` as a share of `of`, from 0 to 1; 1 where nothing was asked for."""
        return self.right / self.of if self.of else 1.0


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to learn: findings with one cause, what is said of them all, and the drill for it.

    setting: what the tune has otherwise if the learner plays another setting of it; empty for anything else.
    """

    findings: tuple[Finding, ...]
    drill: Drill
    text: str
    setting: Setting = ()

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
    their time by the learner's own pulse as well. parts: the index of the part that each turn belongs to."""

    asked: Asked
    findings: tuple[Finding, ...]
    tally: Tally
    pace: TempoHeard | None
    metronome_bpm: float | None
    off_own_pulse: frozenset[int]
    parts: tuple[int, ...] = ()

    def place_before(self, finding: Finding) -> int | None:
        """The played note that was heard last before a restart."""
        restarted = (finding.played, finding.at_s)
        before = [each for each in self.tally.places if each[1] <= finding.at_s and each != restarted]
        return max(before, key=itemgetter(1))[0] if before else None

    def bar_of(self, played: int) -> tuple[int, int]:
        """The played notes with which the bar of one begins and ends."""
        turn = self.asked.played(played).turn
        held = [rank for rank, each in enumerate(self.asked.schedule.played) if each.turn == turn]
        return held[0], held[-1]

    def next_times(self) -> list[Finding]:
        """The restarts of one who plays the tune once more, from its beginning after its very end, and then follows the
        page as before: they are no stumbles."""
        played = self.asked.schedule.played
        notes = [played[rank].note for rank in self.asked.notes if played[rank].note.note is not None]
        onwards = {(one.rank, two.rank) for one, two in pairwise(notes)}
        once_more = (notes[-1].rank, notes[0].rank)
        found: list[Finding] = []
        for each in self.findings:
            before = self.place_before(each) if each.kind is FindingKind.RESTART else None
            if before is not None:
                step = (played[before].note.rank, each.note)
                if step == once_more or (found and step in onwards):
                    found.append(each)
        return found
