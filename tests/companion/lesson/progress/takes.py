"""Files of takes of a tune, as the program keeps them."""

from __future__ import annotations

import os
from itertools import pairwise
from pathlib import Path

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.takes.heading import Heading, TuneIdentity
from companion.midi.takes.take_file import TakeFile
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from tests.companion.lesson.progress.playing import FIRST
from tests.companion.listen.playing import FOUR_BARS, asked_of, played_as

ABC = f"%abc-2.1\nX:1\nT:A test\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n{FOUR_BARS}\n"


def keep_take(path: Path, tune_file: Path | None, *, notes: int | None = None) -> None:
    """A faultless take of ABC, which stands in `tune_file` then, that came to rest long ago; None for free play.

    notes: how many of it were played, None for all.
    """
    if tune_file is not None:
        tune_file.write_text(ABC, encoding="utf-8")
    tune = None if tune_file is None else TuneIdentity.of(read_abc(tune_file).tunes[0])
    path.parent.mkdir(parents=True, exist_ok=True)
    file = TakeFile(path, Heading(FIRST, "keys", DEFAULT_MAP, tune, Timing() if tune else None, tune_starts_s=1.0))
    messages: list[Timed] = []
    events = played_as(asked_of(FOUR_BARS))[:notes]
    for event, following in pairwise(events):
        assert event.note is not None
        messages += [Timed(event.at_s, NoteOn(0, event.note.midi)), Timed(following.at_s, NoteOff(0, event.note.midi))]
    file.append(messages)
    file.finish(events[-1].at_s + 1.0)
    os.utime(path, (FIRST.timestamp(), FIRST.timestamp()))
