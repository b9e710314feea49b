"""A take as a teacher reviews it: judged beside its tune, away from the thread that draws."""

from __future__ import annotations

from dataclasses import dataclass

from companion.files.lines import one_line
from companion.files.worker import Done, Failed, Worker, fault_line
from companion.hearing.takes.sound_take import SoundTake, judge_sound_take
from companion.listen.judgement import judge, setting_heard
from companion.listen.model.findings import Finding
from companion.listen.model.strictness import Strictness
from companion.listen.take.likely_tune import clearly_likelier
from companion.listen.verdict.headlines import Headline, headlines_of
from companion.listen.verdict.verdict import Matter, Verdict
from companion.midi.takes.reading import Take
from companion.score.model import Tune
from companion.score.setting import Setting, setting_words
from companion.window.takes.asked_tune import AskedTune, as_heard, in_order_of
from companion.window.takes.opening.tunes_near import TunesNear
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Review:
    """What was found in a take, in order of time, and the verdict; or `refusal`, why it was not judged ("" if it was).

    asked: what was asked, its parts in the order in which they were played. heard: the same, where it was heard. Times
    are the take's: seconds from the tune's first beat. setting: what was played otherwise in each like place; own: the
    learner's own setting, in which it was judged, in words. rather: the tune that was clearly played in place of that
    beside which it lies, and then it is not judged. headlines: one for each thing to mend of the verdict.
    """

    strictness: Strictness
    findings: tuple[Finding, ...] = ()
    verdict: Verdict | None = None
    asked: AskedTune | None = None
    heard: AskedTune | None = None
    refusal: str = ""
    setting: Setting = ()
    own: str = ""
    rather: Tune | None = None
    headlines: tuple[Headline, ...] = ()

    @property
    def matters(self) -> tuple[Matter, ...]:
        """What is to be mended, the first to be mended first."""
        return self.verdict.matters if self.verdict else ()


def review(
    take: Take,
    asked: AskedTune,
    strictness: Strictness,
    setting: Setting = (),
    by_sound: SoundTake | None = None,
    near: TunesNear | None = None,
) -> Review:
    """Judge a take of a tune, as the command line does. What is no performance of the tune is a refusal.

    setting: the learner's own, which is asked for. by_sound: the take as it was heard in its sound, by which it is then
    judged. near: where its tune may be, if it is another one; asked of a recording, of which nobody said what it is,
    and of what is refused.
    """
    told_by_heading = take.path is None or take.sound != take.path
    if near and not told_by_heading and (rather := _rather(take, asked.tune, near)):
        return another_tune(strictness, asked.tune, rather)
    try:
        terms = take.heading.terms_for(asked.tune)
        if by_sound:
            judgement = judge_sound_take(asked.tune, by_sound, strictness, terms, setting=setting)
        else:
            judgement = judge(asked.tune, take.performance, strictness, terms, setting=setting)
    except UserError as error:
        if near and told_by_heading and (rather := _rather(take, asked.tune, near)):
            return another_tune(strictness, asked.tune, rather)
        return Review(strictness, refusal=str(error))
    asked = in_order_of(asked, judgement.tune, take)
    return Review(
        strictness,
        judgement.findings,
        judgement.verdict,
        asked,
        as_heard(asked, judgement.places),
        setting=setting_heard(judgement),
        own=setting_words(judgement.tune, setting) if setting else "",
        headlines=headlines_of(judgement.verdict, judgement.asked, judgement.findings),
    )


def _rather(take: Take, asked: Tune, near: TunesNear) -> Tune | None:
    return clearly_likelier(take.performance, asked, near.others(take.sound))


def another_tune(strictness: Strictness, asked: Tune, rather: Tune) -> Review:
    """The review of a take that is clearly one of another tune than it was laid beside."""
    played, wanted = one_line(rather.title) or "another tune", one_line(asked.title) or "this one"
    refusal = f"this sounds like {played}, not like {wanted}, so it is not judged"
    return Review(strictness, refusal=refusal, rather=rather)


class Reviewing:
    """A review under way in a thread of its own, so that the window goes on drawing."""

    def __init__(
        self,
        take: Take,
        asked: AskedTune,
        strictness: Strictness,
        setting: Setting = (),
        by_sound: SoundTake | None = None,
        near: TunesNear | None = None,
    ) -> None:
        self._strictness = strictness
        self._worker = Worker(lambda: review(take, asked, strictness, setting, by_sound, near), "reviewing a take")
        self._worker.start()

    @property
    def result(self) -> Review | None:
        """The review once it is there; one that failed is a refusal that says so. None while it goes on."""
        match self._worker.outcome:
            case Done(value):
                return value
            case Failed(error):
                told = fault_line("judging this take failed", error, "press A to try again")
                return Review(self._strictness, refusal=told)
        return None

    def wait(self) -> None:
        """Until the result is there, however long it takes."""
        self._worker.join()
