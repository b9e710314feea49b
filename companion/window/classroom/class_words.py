"""What is said to one learner of a class: the strengths first, then the one thing to mend; never a score."""

from __future__ import annotations

from dataclasses import dataclass

from companion.window.core.wording import capital
from companion.window.live.input import LiveInput
from companion.window.live.second_hearing import HeardRun
from companion.window.live.telling import sentences

MOST_STRENGTHS = 2
"""How many strengths are told at once; more praise would be none."""

NOT_YET = "Nothing to tell yet: play along once, to the end of the phrase."
ONE_MOMENT = "One moment: what you played is heard once more."
NOTHING_TO_MEND = "There is nothing to mend."
KEPT_AT_IT = "You kept at it, and that is how a tune is learnt."
"""What went well where what was played was too short, or too strange, to be judged as a whole."""


@dataclass(frozen=True, slots=True)
class Words:
    """strengths: sentences about what went well. mend: the one thing to mend first, or what else there is to say."""

    name: str
    strengths: tuple[str, ...]
    mend: str


def words_for(live: LiveInput) -> Words:
    """What there is to say to a learner about what was played last and is over."""
    before = live.ear.before
    if before is None:
        return Words(live.learner, (), NOT_YET)
    if not before.is_over:
        return Words(live.learner, (), ONE_MOMENT)
    return said_of(live.learner, before.heard)


def said_of(name: str, heard: HeardRun) -> Words:
    """What there is to say about a run that is over."""
    if heard.doubt:
        return Words(name, (KEPT_AT_IT,), f"{capital(heard.doubt)}.")
    if heard.verdict is None:
        return Words(name, (KEPT_AT_IT,), next(iter(sentences(heard.findings)), NOTHING_TO_MEND))
    mend = heard.verdict.matters[0].text if heard.verdict.matters else NOTHING_TO_MEND
    return Words(name, heard.verdict.went_well[:MOST_STRENGTHS], mend)
