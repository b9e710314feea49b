"""What a learner plays throughout otherwise than it is written: parts in another order, another setting of the tune."""

from __future__ import annotations

import enum
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from random import Random

from companion.score.model import Bar, MelodyNote, Tune
from fingering.notes import Note

MOST_CHANGED = 4


class OrderChange(enum.Enum):
    """What is done to the order of parts, spelled as in the table of figures."""

    SWAPPED = "order: two parts swapped"
    LEFT_OUT = "order: a part left out"
    THRICE = "order: a part once more"
    ONCE_LESS = "order: a repeat left out"


GONE_ROUND = "order: begun at another part, gone round"
"""Parts swapped so that the take goes through the tune as written, but for where it begins."""


def times_through(tune: Tune) -> list[tuple[int, tuple[int, ...]]]:
    """Every time through a part: the part's index and the bars that are played, its ending included."""
    times: list[tuple[int, list[int]]] = []
    for bar in tune.order:
        part = next(rank for rank, each in enumerate(tune.parts) if each.first <= bar < each.stop)
        if times and times[-1][0] == part and bar > times[-1][1][-1]:
            times[-1][1].append(bar)
        else:
            times.append((part, [bar]))
    return [(part, tuple(bars)) for part, bars in times]


def reordered(tune: Tune, change: OrderChange, random: Random) -> Tune | None:
    """The tune with its parts in another order; None where it has no parts to do that with.

    The last part is neither left out nor played once less, and of two parts none is left out: who does so has stopped
    early, or begun late. Nor is the last one played once more where it is the first again: who does so has begun the
    tune again.
    """
    times = times_through(tune)
    parts = sorted({part for part, _ in times})
    if len(parts) < 2 or (change is OrderChange.LEFT_OUT and len(parts) < 3):
        return None
    if change is OrderChange.SWAPPED:
        first = random.randrange(len(parts) - 1)
        ranks = {first: first + 1, first + 1: first}
        times.sort(key=lambda each: ranks.get(each[0], each[0]))
    elif change is OrderChange.LEFT_OUT:
        left_out = random.choice(parts[1:-1])
        times = [each for each in times if each[0] != left_out]
    elif change is OrderChange.THRICE:
        at = random.randrange(len(times) - (times[-1][0] == times[0][0]))
        times.insert(at, times[at])
    else:
        repeats = [rank for rank in range(1, len(times)) if times[rank][0] == times[rank - 1][0] != parts[-1]]
        if not repeats:
            return None
        del times[random.choice(repeats)]
    return replace(tune, order=tuple(bar for _, bars in times for bar in bars))


def goes_round(tune: Tune, changed: Tune) -> bool:
    """Whether the changed order is the written one begun elsewhere and gone round."""
    return any(changed.order == (*tune.order[at:], *tune.order[:at]) for at in range(len(tune.order)))


def another_setting(tune: Tune, random: Random) -> tuple[Tune, frozenset[int]]:
    """The tune with two to four of its notes changed wherever they come, and which: their ranks in the tune.

    Only notes of bars that are played twice or more are changed, none beside another: to another note that is not one
    beside it, or to other gracenotes.
    """
    times = Counter(tune.order)
    notes = [note for bar, held in enumerate(tune.bars) if times[bar] > 1 for note in held.notes]
    changed: dict[int, MelodyNote] = {}
    count = random.randint(2, MOST_CHANGED)
    for at in random.sample(range(1, len(notes) - 1), len(notes) - 2):
        note = notes[at]
        if len(changed) == count:
            break
        if note.note is None or any(abs(note.rank - other) < 3 for other in changed):
            continue
        changed[note.rank] = _changed(notes[at - 1], note, notes[at + 1], random)
    bars = tuple(_with(bar, changed) for bar in tune.bars)
    return replace(tune, bars=bars), frozenset(changed)


def _with(bar: Bar, changed: dict[int, MelodyNote]) -> Bar:
    return bar._replace(notes=tuple(changed.get(note.rank, note) for note in bar.notes))


def _changed(before: MelodyNote, note: MelodyNote, after: MelodyNote, random: Random) -> MelodyNote:
    taken = (before.note, note.note, after.note, *note.gracenotes, *after.gracenotes[:1])
    if len(note.gracenotes) == 1 and random.random() < 0.5:
        grace = random.choice([each for each in Note if each not in (before.note, note.note, *note.gracenotes)])
        return note._replace(gracenotes=(grace,))
    near: Sequence[Note] = [each for each in Note if each not in taken]
    return note._replace(note=random.choice(near))
