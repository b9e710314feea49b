"""From settled steps of the alignment to findings, each as soon as it can be said."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from companion.listen.align.reading.steps import ReadStep
from companion.listen.find.count import counted
from companion.listen.find.gracenotes.gracenote_lengths import OUTLIER, GracenoteLengths
from companion.listen.find.pending_lateness import PendingLateness
from companion.listen.find.place.facts import (
    BegunAgain,
    BegunElsewhere,
    Fact,
    MelodyHeard,
    NoteAgain,
    NoteSounded,
    Skipped,
    Stopped,
)
from companion.listen.find.place.position import read_end, read_step
from companion.listen.find.place.standing import Position
from companion.listen.find.tell import findings_of
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.strictness import Limits, Strictness
from companion.listen.model.tally import Tally
from companion.listen.rhythm.heard import HeardUnit, kind_played
from companion.listen.rhythm.rhythm import OnsetJudge

_SLOW = {FindingKind.LONG_GRACENOTE, FindingKind.UNEVEN}


class Interpreter:
    """Takes steps in order; `take` returns the findings that each one completes, `finish` the last.

    limits: what passes.
    """

    def __init__(
        self,
        asked: Asked,
        limits: Limits,
        rhythm: OnsetJudge,
        gracenotes: GracenoteLengths | None = None,
        begun_again_s: Collection[float] = (),
    ) -> None:
        self._asked, self.limits, self._rhythm = asked, limits, rhythm
        self._gracenotes = gracenotes or GracenoteLengths()
        self._begun_again_s = begun_again_s
        self._position = Position()
        self._late = PendingLateness()
        self._tally = Tally()
        self._uncounted: list[Fact] = []

    @classmethod
    def of(cls, asked: Asked, strictness: Strictness, misheard: Misheard = AS_PLAYED) -> Interpreter:
        """Return one for a take of that tune, of which nothing is known yet. misheard: how far it is misheard."""
        limits = misheard.within(strictness.limits.slowed(asked.terms.gracenotes_slowed))
        rhythm = OnsetJudge(asked, limits, against_metronome=asked.terms.metronome_bpm is not None)
        return cls(asked, limits, rhythm, GracenoteLengths(misheard=misheard))

    def once_more(self, begun_again_s: Collection[float]) -> Interpreter:
        """Return one for the same take from its beginning, which knows what this one has learnt of the player, and when
        notes were begun again, in s."""
        gracenotes = self._gracenotes.once_more()
        return Interpreter(self._asked, self.limits, self._rhythm.once_more(), gracenotes, begun_again_s)

    @property
    def tally(self) -> Tally:
        """What was heard so far, counted."""
        self._tally = counted(self._asked, self._tally, self._uncounted)
        self._uncounted.clear()
        return self._tally

    @property
    def usual_gracenote_ms(self) -> float | None:
        """How long the gracenotes usually were, in ms; None where too few were heard."""
        middle_s = self._gracenotes.middle_s
        return None if middle_s is None else 1000.0 * middle_s

    @property
    def moments(self) -> tuple[tuple[int, float], ...]:
        """The played notes so far with when their beat was taken to be, in s."""
        return tuple(self._rhythm.moments)

    def take(self, step: ReadStep) -> list[Finding]:
        """Take in one step. Its segment may still be sounding: only what came before it is judged."""
        self._position, facts = read_step(
            self._asked, self.limits, self._position, step, self._rhythm.ratio, self._begun_again_s
        )
        return self._tell_all(facts)

    def finish(self) -> list[Finding]:
        """Return what is left to be said at the end of the take."""
        found = self._tell_all(read_end(self._asked, self.limits, self._position))
        return found + self._late.pass_note(self._rhythm.cut()) + self._late.finish()

    def _tell_all(self, facts: Iterable[Fact]) -> list[Finding]:
        self._uncounted += facts
        found = [finding for fact in facts for finding in self._tell(fact)]
        return [each for each in found if each.played in self._asked.notes]

    def _tell(self, fact: Fact) -> list[Finding]:
        """Return what a fact shows: by itself, and of the time of the notes before it."""
        match fact:
            case NoteSounded():
                return []
            case MelodyHeard(begins=True):
                found = self._found(fact)
                unit = _unit(self._asked, fact, found, self._gracenotes.usual_s)
                self._gracenotes.hear(fact.group)
                return found + self._late.pass_note(self._rhythm.heard(unit))
            case Stopped() | BegunElsewhere() | Skipped() | NoteAgain():
                return self._late.pass_note(self._rhythm.cut()) + self._found(fact)
            case BegunAgain():
                off_time = self._rhythm.cut()
                self._late.forget()
                found = self._found(fact)
                return [each for each in off_time if each.at_s < found[0].at_s] + found
        return self._found(fact)

    def _found(self, fact: Fact) -> list[Finding]:
        return findings_of(self._asked, self._gracenotes.limits(self.limits), fact, self._rhythm.hesitated)


def _unit(asked: Asked, melody: MelodyHeard, found: Sequence[Finding], usual_s: float) -> HeardUnit:
    """Return a melody note as its rhythm is judged, known what there is to say of its gracenotes, and how long this
    player's usually are, in s."""
    played, onset_s = melody.event.played, melody.segment.onset_s
    kind = kind_played(asked.schedule.embellishments[played])
    # A gracenote that the note before swallows, since both sound the same, was played as asked.
    amiss = bool(melody.group.missing) or melody.group.noisy or any(each.kind not in _SLOW for each in found)
    slow = bool(found) and any(each.segment.lasted_s() >= OUTLIER * usual_s for each in melody.group.graces)
    return HeardUnit(
        played,
        melody.group.begins_s(onset_s),
        onset_s,
        kind,
        plain=not amiss and not slow and melody.group.plain,
        apart=melody.apart,
        amiss=amiss,
    )
