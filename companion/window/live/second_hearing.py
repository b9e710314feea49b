"""A run of a tune that is over, heard a second time: what that says is what is shown from then on."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace

from companion.files.worker import Done, Failed, Running, Worker, fault_line
from companion.listen.judgement import Judgement, judge
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.played import Played, Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.take.twice import hear_twice
from companion.listen.verdict.verdict import Verdict
from companion.window.live.microphone.run_sound import RunSound
from companion.window.live.microphone.sound_hearing import NOT_LEARNT, hear_from_sound, hearing_words
from companion.window.live.tune_run import TuneRun
from fingering.errors import UserError

Turn = AbstractContextManager[object]
NO_OTHERS: Turn = nullcontext()


@dataclass(frozen=True, slots=True)
class HeardRun:
    """What was found in a run that is over; `doubt` says why it is not believed, "" if it is.

    sounded_s: when something was played, in s of the tune, in order. judged: the judgement, as of the take of it; None
    until it was heard a second time, and where it was refused. not_fine: the line about what makes its sound hard to
    hear, "" where it is fine, or there is none. unheard: where none of its notes was told while it ran, how far it is
    heard by now, or why nothing is known of it; "" elsewhere.
    """

    run: TuneRun
    asked: Asked
    findings: tuple[Finding, ...] = ()
    doubt: str = ""
    sounded_s: tuple[float, ...] = ()
    judged: Judgement | None = None
    not_fine: str = ""
    unheard: str = ""

    @property
    def verdict(self) -> Verdict | None:
        """What a teacher would say of it, once it was judged."""
        return self.judged.verdict if self.judged else None


def hear_again(live: HeardRun, events: Sequence[Played], end_s: float, strictness: Strictness) -> HeardRun:
    """Judge a run as the take of it is judged. What is too short or too strange for that is heard twice all the same.

    live: what was heard while it ran. end_s: when it was over, in s of the tune.
    """
    whole = (*events, Sounded(max(end_s, events[-1].at_s), None))
    try:
        judged = judge(live.run.tune, whole, strictness, live.run.terms, setting=live.run.listened_for)
    except UserError:
        findings = hear_twice(live.asked, whole, strictness).findings
        return replace(live, findings=findings)
    return replace(live, asked=judged.asked, findings=judged.findings, doubt="", judged=judged)


class SecondHearing:
    """A second hearing under way in a thread of its own, so that the window goes on drawing; until it is there, what
    was heard live stands. turn: held while it hears, so that of several at once one comes after the other.

    sound: that of the run, by which it is then heard, None where there is none. events: none where its chanter was
    still being learnt while it ran; then the sound alone tells what was played.
    """

    def __init__(
        self,
        live: HeardRun,
        events: Sequence[Played],
        end_s: float,
        strictness: Strictness,
        turn: Turn = NO_OTHERS,
        sound: RunSound | None = None,
    ) -> None:
        self._live = live
        self._untold = not events
        self._share = 0.0

        def hear_in_turn() -> HeardRun:
            by_sound = hear_from_sound(live, events, sound, strictness, self._told) if sound else None
            if by_sound:
                return by_sound
            if not events:
                return replace(live, unheard=NOT_LEARNT)
            with turn:
                return hear_again(live, events, end_s, strictness)

        self._worker = Worker(hear_in_turn, "hearing a take again")
        self._worker.start()

    @property
    def heard(self) -> HeardRun:
        """What is known of the run by now."""
        outcome = self._worker.outcome
        if isinstance(outcome, Done):
            return outcome.value
        if self._untold and isinstance(outcome, Running):
            return replace(self._live, unheard=hearing_words(self._share))
        return self._live

    def _told(self, share: float) -> None:
        self._share = share

    @property
    def is_over(self) -> bool:
        """Whether nothing more will be known of the run."""
        return not isinstance(self._worker.outcome, Running)

    @property
    def trouble(self) -> str:
        """The line for the screen where it failed, "" elsewhere."""
        outcome = self._worker.outcome
        if isinstance(outcome, Failed):
            return fault_line("hearing the last take again failed", outcome.error, "R opens it")
        return ""

    def wait(self) -> None:
        """Until it is there, however long it takes."""
        self._worker.join()
