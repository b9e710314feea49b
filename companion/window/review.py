"""A take as a teacher reviews it: judged beside its tune, away from the thread that draws."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from companion.listen.findings import Finding
from companion.listen.judgement import judge
from companion.listen.strictness import Strictness
from companion.listen.verdict import Verdict
from companion.midi.takes import Take
from companion.score.model import Tune
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Review:
    """What was found in a take, in order of time, and the verdict; or `refusal`, why it was not judged ("" if it was).

    Times are the take's: seconds from the tune's first beat.
    """

    strictness: Strictness
    findings: tuple[Finding, ...] = ()
    verdict: Verdict | None = None
    refusal: str = ""


def review(take: Take, tune: Tune, strictness: Strictness) -> Review:
    """Judge a take of a tune, as the command line does. What is no performance of the tune is a refusal."""
    turns = range(*take.heading.turns) if take.heading.turns else None
    try:
        judgement = judge(tune, take.events, strictness, turns=turns)
    except UserError as error:
        return Review(strictness, refusal=f"not judged: {error}")
    return Review(strictness, judgement.findings, judgement.verdict)


class Reviewing:
    """A review under way in a thread of its own, so that the window goes on drawing; `result` once it is there."""

    def __init__(self, take: Take, tune: Tune, strictness: Strictness) -> None:
        self.result: Review | None = None
        self._asked = take, tune, strictness
        self._thread = threading.Thread(target=self._run, name="reviewing a take", daemon=True)
        self._thread.start()

    def wait(self) -> Review:
        """The result, however long it takes."""
        self._thread.join()
        assert self.result is not None
        return self.result

    def _run(self) -> None:
        self.result = review(*self._asked)
