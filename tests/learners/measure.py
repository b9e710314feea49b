"""Measures the ear on takes of simulated learners over all tunes that come with the program."""

from __future__ import annotations

import enum
from functools import cache
from random import Random

from companion.commands.shared.library import bundled_files, open_book
from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import Asked, ask
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.score import Score
from tests.learners.tunes import make_tune

FAULTS = 0.12
RESTARTS = 0.15
STOPS = 0.05
MADE_UP = 8
DRILL_BOOK = "drills"


class Music(enum.Enum):
    """What is played: tunes, ours and made-up ones, or drills.

    Drills go on by the same few notes, so that one place can often not be told from another, nor beginning again from
    going on: they have a table of their own.
    """

    TUNES = "tunes"
    DRILLS = "drills"


@cache
def pieces(music: Music) -> tuple[tuple[Tune, Asked], ...]:
    """All of them of more than four bars."""
    files = bundled_files()
    books = [open_book(str(file)) for file in files if (file.stem == DRILL_BOOK) == (music is Music.DRILLS)]
    found = [tune for book in books for tune in book.tunes if len(tune.bars) > 4]
    if music is Music.TUNES:
        found += [make_tune(draw) for draw in range(MADE_UP)]
    return tuple((tune, ask(build_schedule(tune, Timing()))) for tune in found)


def learner_of(draw: int, *, faults: float, stumbles: bool) -> Learner:
    """A learner drawn evenly: 40 to 120 beats a minute, a spread of 1.5 to 4 %, tempo wandering by up to 8 %."""
    random = Random(draw)
    return Learner(
        random.uniform(40.0, 120.0),
        spread=random.uniform(0.015, 0.04),
        drift=random.uniform(0.0, 0.08),
        faults=faults,
        restarts=RESTARTS if stumbles else 0.0,
        stops=STOPS if stumbles else 0.0,
        before_beat=random.choice((None, None, True, False)),
    )


def measured(takes: int, *, music: Music = Music.TUNES, holes: bool) -> Score:
    """The score over so many takes, every second round of the pieces with restarts and stops."""
    score = Score()
    played = pieces(music)
    for draw in range(takes):
        tune, asked = played[draw % len(played)]
        take = simulate(tune, learner_of(draw, faults=FAULTS, stumbles=draw // len(played) % 2 == 0), draw)
        score.add(take.made, listen(take.holes if holes else take.notes, Listener(asked)))
        score.notes += take.melody_notes
    return score


def clean_findings(takes: int) -> tuple[int, int]:
    """How many findings so many faultless takes draw, and in how many melody notes."""
    findings = notes = 0
    played = pieces(Music.TUNES)
    for draw in range(takes):
        tune, asked = played[draw % len(played)]
        take = simulate(tune, learner_of(draw, faults=0.0, stumbles=False), draw)
        findings += len(listen(take.notes, Listener(asked)))
        notes += take.melody_notes
    return findings, notes
