"""From settled steps of the alignment to findings, each as soon as it can be said."""

from __future__ import annotations

from collections.abc import Iterable

from companion.listen.align.steps import Step
from companion.listen.find.count import counted
from companion.listen.find.facts import BegunAgain, BegunElsewhere, Fact, MelodyHeard, Skipped, Stopped
from companion.listen.find.pending_lateness import PendingLateness
from companion.listen.find.position import Position, read_end, read_step
from companion.listen.find.tell import findings_of
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.strictness import Limits
from companion.listen.model.tally import Tally
from companion.listen.rhythm.heard import HeardUnit
from companion.listen.rhythm.rhythm import OnsetJudge


class Interpreter:
    """Takes steps in order; `take` returns the findings that each one completes, `finish` the last.

    tally: what was heard so far, counted.
    """

    def __init__(self, asked: Asked, limits: Limits, rhythm: OnsetJudge) -> None:
        self._asked, self._limits, self._rhythm = asked, limits, rhythm
        self._position = Position()
        self._late = PendingLateness()
        self.tally = Tally()

    def take(self, step: Step) -> list[Finding]:
        """Take in one step. Its segment may still be sounding: only what came before it is judged."""
        self._position, facts = read_step(self._asked, self._limits, self._position, step)
        return self._tell_all(facts)

    def finish(self) -> list[Finding]:
        """Return what is left to be said at the end of the take."""
        found = self._tell_all(read_end(self._asked, self._limits, self._position))
        return found + self._late.pass_note(self._rhythm.cut()) + self._late.finish()

    def _tell_all(self, facts: Iterable[Fact]) -> list[Finding]:
        return [finding for fact in facts for finding in self._tell(fact)]

    def _tell(self, fact: Fact) -> list[Finding]:
        """Count a fact, and return what it shows: by itself, and of the time of the notes before it."""
        self.tally = counted(self._asked, self.tally, fact)
        match fact:
            case Stopped() | BegunElsewhere() | Skipped():
                return self._late.pass_note(self._rhythm.cut()) + self._found(fact)
            case BegunAgain():
                off_time = self._rhythm.cut()
                self._late.forget()
                found = self._found(fact)
                return [each for each in off_time if each.at_s < found[0].at_s] + found
            case MelodyHeard(begins=True):
                found = self._found(fact)
                unit = _unit(self._asked, fact, plain=not found and fact.group.plain)
                return found + self._late.pass_note(self._rhythm.heard(unit))
        return self._found(fact)

    def _found(self, fact: Fact) -> list[Finding]:
        return findings_of(self._asked, self._limits, fact, self._rhythm.hesitated)


def _unit(asked: Asked, melody: MelodyHeard, *, plain: bool) -> HeardUnit:
    """Return a melody note as its rhythm is judged; `plain` tells whether it was played as asked."""
    played, onset_s = melody.event.played, melody.segment.onset_s
    embellishment = asked.schedule.embellishments[played]
    family = embellishment.family if embellishment else None
    return HeardUnit(played, melody.group.begins_s(onset_s), onset_s, family, plain=plain, apart=melody.apart)
