"""Which of several tunes was played: by the runs of notes that a take has in common with each of them.

A judge lays a take beside one tune with all its repeats and slips, which takes a tenth of a second and more; this
compares it with hundreds of tunes in that time, and asks less: no rhythm, no gracenotes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from companion.listen.model.played import Played
from companion.listen.take.credible import note_of
from companion.score.model import Tune
from companion.score.performance import performance
from fingering.notes import Note

RUN = 5
"""The notes in a row that make one run. A take with a slip at every fourth note keeps a quarter of its runs, and hardly
any five notes in a row of one tune stand in another."""

LEAST_S = 0.11
"""The shortest melody note; a shorter one is taken for a gracenote."""

LEAST_RUNS = 8
"""The fewest runs from which anything is concluded."""

LEAST_SHARE, TIMES_LESS = 0.3, 2.5
"""A tune is clearly the likelier one if it has this share of a take's runs, and the other one so many times fewer.

Takes of simulated learners with a slip at every fourth note had 0.39 and more of their own tune and 0.18 at most of
another; drills share half of their runs and more with their like, and none of those is clearly the likelier one.
"""


def share_of(played: Sequence[Played], tune: Tune) -> float:
    """The share, 0 to 1, of the runs of a take that stand in a tune; 0 where too little was played."""
    runs = _runs(_melody_of(played))
    asked = frozenset(_runs(_asked(tune)))
    return sum(run in asked for run in runs) / len(runs) if len(runs) >= LEAST_RUNS else 0.0


def clearly_likelier(played: Sequence[Played], asked: Tune, others: Iterable[Tune]) -> Tune | None:
    """The tune among `others` that was clearly played rather than the one that was asked for; None where none was."""
    best, share = None, max(LEAST_SHARE, TIMES_LESS * share_of(played, asked))
    if share > 1.0:  # no other can be so much likelier, and none needs to be looked for
        return None
    for other in others:
        its = share_of(played, other)
        if its > share or (best is None and its == share):
            best, share = other, its
    return best


def _melody_of(played: Sequence[Played]) -> list[Note]:
    """The notes that last, as far as the last event, which only ends the one before."""
    return _each_once(note_of(one) for one, after in pairwise(played) if after.at_s - one.at_s >= LEAST_S)


def _asked(tune: Tune) -> list[Note]:
    return _each_once(each.note.note for each in performance(tune))


def _each_once(notes: Iterable[Note | None]) -> list[Note]:
    """Notes in order, equal neighbours as one: a gracenote between them may not have been heard."""
    found: list[Note] = []
    for note in notes:
        if note is not None and (not found or found[-1] is not note):
            found.append(note)
    return found


def _runs(notes: Sequence[Note]) -> list[tuple[Note, ...]]:
    return [tuple(notes[first : first + RUN]) for first in range(len(notes) - RUN + 1)]
