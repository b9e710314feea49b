"""Takes recordings in: each counts once, as a take of the tune that it was reviewed beside."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from companion.hearing.takes.kept_hearing import content_digest
from companion.hearing.takes.sound_take import SoundTake, judge_sound_take
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.heard import played_take
from companion.score.model import Tune
from companion.score.setting import Setting

_DIGITS = 12


def take_in_recording(
    book: ProgressBook, learner: str, sounding: SoundTake, tune: Tune, setting: Setting, now: datetime
) -> bool:
    """Take a recording in; returns False for one that is there already, under whatever name and of whomever.

    setting: the learner's own, in which the tune is asked for. Raises UserError where nothing can be written, and for
    what is no performance of the tune.
    """
    path = sounding.take.path
    key = "" if path is None else _key_of(path)
    if not key or book.was_looked_at(key):
        return False
    judgement = judge_sound_take(tune, sounding, setting=setting)
    return book.take_in(learner, played_take(judgement, tune, key, sounding.take.heading.began), now)


def _key_of(path: Path) -> str:
    """The name of a recording and what it holds, since telephones give names again; "" where it cannot be read."""
    try:
        return f"{path.name} {content_digest(path)[:_DIGITS]}"
    except OSError:
        return ""
