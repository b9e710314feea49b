"""The second hearing of a run that was played on a microphone: from its sound, which is heard better than live."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.listen.model.played import Played, Sounded
from companion.listen.model.strictness import Strictness
from companion.window.live.microphone.run_sound import RECORDED_WITHIN_S, RunSound
from fingering.errors import UserError

if TYPE_CHECKING:
    from companion.hearing.heard import HeardSound
    from companion.window.live.second_hearing import HeardRun

ENOUGH_NOTES, ENOUGH_NAMES = 30, 5
"""A sound of fewer notes, or with fewer different ones, does not teach its chanter surely enough (of few notes low A
may be found a note off): where no voice was known by then, what was told live is judged."""

MELODY_ALONE = "An echo, drones or noise cover the short sounds: gracenotes and crossings were not judged."


def is_enough(events: Sequence[Played]) -> bool:
    """Whether so much was played that its sound can be heard by itself."""
    notes = [each.note for each in events if isinstance(each, Sounded) and each.note is not None]
    return len(notes) >= ENOUGH_NOTES and len(set(notes)) >= ENOUGH_NAMES


def hear_from_sound(
    live: HeardRun, events: Sequence[Played], sound: RunSound, strictness: Strictness
) -> HeardRun | None:
    """Judge a run by its sound, once that is whole; None where it is not all there, or too little to hear without a
    voice that is known, or no playing of the tune is in it.

    live, events: what was heard while it ran. Takes seconds, for another thread.
    """
    take = sound.wait(2.0 * RECORDED_WITHIN_S)
    if take is None or take.sound is None or sound.trouble:
        return None
    from companion.hearing.takes.apart import hear_apart
    from companion.hearing.takes.recordings import voice_of_sound
    from companion.hearing.takes.sound_take import hear_take_sound, judge_sound_take

    if not is_enough(events) and voice_of_sound(take.sound) is None:
        return None
    if not hear_apart(take.sound):  # in this process it would hold Python's lock for longer than a frame
        return None
    try:
        heard = hear_take_sound(take)
        judged = judge_sound_take(live.run.tune, heard, strictness, live.run.terms, setting=live.run.listened_for)
    except UserError:
        return None
    line = not_fine(heard.heard)
    return replace(live, asked=judged.asked, findings=judged.findings, doubt="", judged=judged, not_fine=line)


def not_fine(heard: HeardSound) -> str:
    """The line about what makes a sound hard to hear a chanter in, "" where it is fine."""
    if heard.troubles:
        words = heard.troubles[0].value
        return f"{words[0].upper()}{words[1:]}."
    return "" if heard.short_sounds else MELODY_ALONE
