"""What one round of a step came to: nothing amiss, or what was, with the skill that it is a lack of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from companion.lesson.model.known import Skill
from companion.lesson.model.steps import Step
from companion.listen.judgement import Judgement
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import previous_note
from fingering.notes import Note

_FINGERS = frozenset(
    {
        FindingKind.CROSSING,
        FindingKind.MISSING_GRACENOTE,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
        FindingKind.MISSING_NOTE,
        FindingKind.WRONG_NOTE,
        FindingKind.EXTRA_NOTE,
    }
)
_OF_THE_TUNE = frozenset({FindingKind.POINTING, FindingKind.RESTART, FindingKind.ORDER})
"""Long notes long and short notes short, and on to the end, whether in time or not. A drill goes on by the same few
notes, where nobody can tell which of them was begun again, and has no lengths to point."""

_IN_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.BREAK})


def faults_of(step: Step) -> frozenset[FindingKind]:
    """The kinds of findings that make a round of a step not clean: time is one only where the metronome keeps it."""
    of_tune = _OF_THE_TUNE if step.kind.is_of_the_tune else frozenset()
    return _FINGERS | of_tune | (_IN_TIME if step.kind.in_time else frozenset())


@dataclass(frozen=True, slots=True)
class Amiss:
    """One thing that was amiss in a round: what a teacher would say of it, the bar, and the skill that is lacking, None
    where it is none of the fingers'."""

    words: str
    bar: int
    skill: Skill | None = None


@dataclass(frozen=True, slots=True)
class RoundHeard:
    """What was heard of one round of a step; clean where nothing was amiss."""

    amiss: tuple[Amiss, ...] = ()

    @property
    def clean(self) -> bool:
        """Whether nothing was amiss."""
        return not self.amiss


def round_heard(step: Step, judgement: Judgement) -> RoundHeard:
    """What the judge's word on a round comes to for a step. A tempo that is left behind is in the verdict alone."""
    kinds = faults_of(step)
    found = dict.fromkeys(judgement.findings)
    found |= dict.fromkeys(each for matter in judgement.verdict.matters for each in matter.findings)
    told = (each for each in found if each.kind in kinds)
    return RoundHeard(tuple(Amiss(each.text, each.bar, skill_lacking(judgement, each)) for each in told))


def round_refused(what: str, step: Step) -> RoundHeard:
    """A round that the judge refused, since it does not sound like what the step asks for; what: the judge's words."""
    return RoundHeard((Amiss(what, step.bars[0], step.skill),))


def skill_lacking(judgement: Judgement, finding: Finding) -> Skill | None:
    """The skill that a finding is a lack of: a change of note for a noise in it, else the embellishment there.

    Between two equal notes a note that was left out is an embellishment that did not part them.
    """
    if finding.crossing is not None:
        return Skill.of_change(Note.from_letter(finding.crossing.before), Note.from_letter(finding.crossing.after))
    asked = judgement.asked
    embellishment = asked.schedule.embellishments[finding.played]
    if embellishment is None:
        return None
    parts_equals = previous_note(asked, finding.played) is embellishment.onto
    lacks = finding.kind in _IN_EMBELLISHMENTS or (finding.kind is FindingKind.MISSING_NOTE and parts_equals)
    return Skill.of_embellishment(embellishment) if lacks else None


_IN_EMBELLISHMENTS = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
    }
)


def most_lacking(amiss: Iterable[Amiss], least: int) -> Skill | None:
    """The skill that was lacking most often, the first of equals; None where none was so often as `least`."""
    counts = Counter(each.skill for each in amiss if each.skill is not None)
    best = max(counts, key=lambda skill: counts[skill], default=None)
    return best if best is not None and counts[best] >= least else None
