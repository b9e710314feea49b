"""Has a simulated take judged as a user's is."""

from __future__ import annotations

from companion.listen.find.listener import Listener, listen
from companion.listen.judgement import Judgement, judge
from companion.listen.model.asked import ask_for
from companion.listen.model.findings import Finding
from companion.listen.model.terms import AT_SPEED
from companion.score.model import Tune
from fingering.errors import UserError
from tests.learners.learner import Simulated


def heard(tune: Tune, take: Simulated, *, holes: bool = False) -> Judgement | None:
    """The judgement on a take of a tune, as `eightholes judge` comes to it; None where the take is refused."""
    try:
        return judge(tune, take.holes if holes else take.notes)
    except UserError:
        return None


def heard_live(tune: Tune, take: Simulated, *, holes: bool = False) -> tuple[Finding, ...]:
    """What is told of a take while it is played."""
    return listen(take.holes if holes else take.notes, Listener(ask_for(tune, AT_SPEED)))
