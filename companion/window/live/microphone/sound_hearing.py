"""The second hearing of a run that was played on a microphone: from its sound, which is heard better than live."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from companion.listen.model.strictness import Strictness
from companion.window.live.microphone.run_sound import RECORDED_WITHIN_S, RunSound
from fingering.errors import UserError

if TYPE_CHECKING:
    from companion.hearing.heard import HeardSound
    from companion.window.live.second_hearing import HeardRun

MELODY_ALONE = "An echo, drones or noise cover the short sounds: gracenotes and crossings were not judged."


def hear_from_sound(live: HeardRun, sound: RunSound, strictness: Strictness) -> HeardRun | None:
    """Judge a run by its sound, once that is whole; None where it is not all there, or no playing of the tune is in it.

    live: what was heard while it ran. Takes seconds, for another thread.
    """
    path = sound.wait(2.0 * RECORDED_WITHIN_S)
    if path is None or sound.trouble:
        return None
    from companion.hearing.takes.judging import hear_recording, judge_heard
    from companion.hearing.takes.placing import in_tune_time

    try:
        whole = hear_recording(path)
        heard = in_tune_time(whole, sound.tune_s, live.run.asked_from_s)
        judged = judge_heard(live.run.tune, heard, strictness, live.run.terms, setting=live.run.listened_for)
    except UserError:
        return None
    findings = judged.findings
    return replace(live, asked=judged.asked, findings=findings, doubt="", judged=judged, not_fine=not_fine(whole))


def not_fine(heard: HeardSound) -> str:
    """The line about what makes a sound hard to hear a chanter in, "" where it is fine."""
    if heard.troubles:
        words = heard.troubles[0].value
        return f"{words[0].upper()}{words[1:]}."
    return "" if heard.fine else MELODY_ALONE
