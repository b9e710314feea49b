"""The second hearing of a run that was played on a microphone: from its sound, which is heard better than live."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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

NOT_LEARNT = "Too little was heard to know your chanter by: play on, or teach it with P, then 0."

NOTHING_TO_MEND = "Nothing to mend in what you played; R opens it."

_SHARE_STEPS = 10


def hearing_words(share: float) -> str:
    """How far a run is heard, none of whose notes was told while it ran; share: 0 to 1."""
    shown = int(share * _SHARE_STEPS) / _SHARE_STEPS  # in whole tenths, or it would flicker
    return f"Your chanter is learnt from what you played, and then all of it is judged: {shown:.0%}."


def melody_alone(heard: HeardSound) -> str:
    """The line about a run of which only the melody was judged."""
    from companion.hearing.takes.unjudged import covered_by

    return (
        f"{_as_sentence(covered_by(heard.coverings))[:-1]} the short sounds: gracenotes and crossings were not judged."
    )


def is_enough(events: Sequence[Played]) -> bool:
    """Whether so much was played that its sound can be heard by itself."""
    notes = [each.note for each in events if isinstance(each, Sounded) and each.note is not None]
    return len(notes) >= ENOUGH_NOTES and len(set(notes)) >= ENOUGH_NAMES


def hear_from_sound(
    live: HeardRun,
    events: Sequence[Played],
    sound: RunSound,
    strictness: Strictness,
    progress: Callable[[float], None] = lambda share: None,
) -> HeardRun | None:
    """Judge a run by its sound, once that is whole; None where it is not all there, or too little to hear without a
    voice that is known, or no playing of the tune is in it.

    live, events: what was heard while it ran; where that is nothing, there is nothing else to judge it by, and a few
    notes do. progress: is told the share that was heard. Takes seconds, for another thread.
    """
    take = sound.wait(2.0 * RECORDED_WITHIN_S)
    if take is None or take.sound is None or sound.trouble:
        return None
    from companion.hearing.takes.apart import hear_apart
    from companion.hearing.takes.recordings import voice_of_sound
    from companion.hearing.takes.sound_take import hear_take_sound, judge_sound_take

    if events and not is_enough(events) and voice_of_sound(take.sound) is None:
        return None
    if not hear_apart(take.sound, progress):  # in this process it would hold Python's lock for longer than a frame
        return None
    try:
        heard = hear_take_sound(take)
        judged = judge_sound_take(live.run.tune, heard, strictness, live.run.terms, setting=live.run.listened_for)
    except UserError as refusal:
        return None if events else replace(live, unheard=_as_sentence(f"{refusal.what}; {refusal.remedy}"))
    line = not_fine(heard.heard)
    if not events and not judged.findings and not line:
        line = NOTHING_TO_MEND
    return replace(live, asked=judged.asked, findings=judged.findings, doubt="", judged=judged, not_fine=line)


def not_fine(heard: HeardSound) -> str:
    """The line about what makes a sound hard to hear a chanter in, "" where it is fine."""
    if heard.troubles:
        return _as_sentence(heard.troubles[0].value)
    return "" if heard.short_sounds else melody_alone(heard)


def _as_sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."
