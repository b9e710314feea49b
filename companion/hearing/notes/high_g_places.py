"""Places of high Gs on a chanter, over each note, and which pitches are surely one or an F. Pure.

A high G gracenote sounds as its finger leaves the hole over the note beneath, lower than the high G of the chart by as
much as there is closed below: over low G it may lie a quarter of a semitone above F. How far differs from chanter to
chanter, but on one it is the same each time: so the gracenotes of a take tell where they lie.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np

from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.long_names import LongNotes
from fingering.acoustics.sounding import soundings
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note

APART_CENTS, APART_SPREADS = 15.0, 3.0
APART_IN_ROOM_CENTS, APART_IN_ROOM_SPREADS = 20.0, 4.0
"""How far from the other one's place a pitch must lie to be surely not that: so many cents, and spreads of such notes.
In a room an echo moves some by more, which F would be a fault. By trial (seeds 2411, 2421, 2422)."""

LEAST_SPREAD_CENTS, MOST_SPREAD_CENTS = 4.0, 15.0
"""The spread of short notes' pitches, at least and at most: as they were measured in dry sound, 3 to 6."""

IN_PLACE_SPREADS = 3.0
"""How far (spreads) from its place a pitch may lie, and be of that note alone."""

F_BELOW_CENTS = 20.0
"""How far below the F of the chart one lies that is played on a low note: 8 in the model, up to 20 as it was measured,
in so short a time."""

FEWEST = 3
"""This many high Gs over one note tell where they lie on this chanter."""

MODEL_COUNTS = 1.0
"""The model of the chanter counts for as many besides."""

PLAIN_CENTS = 1.0
REACH_CENTS = 35.0


@dataclass(frozen=True, slots=True)
class HighGPlaces:
    """The places of high Gs on a chanter, in cents above F.

    over: by the note that they are played on. known: those of which it was heard. plain: the one of the chart. spread:
    by how much they stray. apart, apart_from_high: how far from F, and from a high G, a pitch is surely not that.
    """

    over: Mapping[Note, float]
    known: Set[Note]
    plain: float
    spread: float
    apart: float
    apart_from_high: float

    @classmethod
    def of(cls, shorts: Iterable[tuple[Note, float]], long: LongNotes, learnt: Learnt) -> HighGPlaces:
        """Find them: of those over each note the mean, by trial from where the model has them. shorts: what followed
        each short F and high G, and its pitch, in cents above F."""
        by_note: dict[Note, list[float]] = defaultdict(list)
        for before, cents in shorts:
            by_note[before].append(cents)
        plain = long.high_g_cents - long.f_cents
        over = {note: plain + _off_cents(note, learnt) for note in Note}
        known: set[Note] = set()
        strays: list[float] = []
        for note, pitches in by_note.items():
            own = _likest(pitches, over[note], plain)
            if len(own) >= FEWEST:
                over[note] = _mean(own, over[note])
                known.add(note)
                strays += [each - over[note] for each in own]
        if learnt.echo is None and learnt.heard[Note.HIGH_G] >= ENOUGH_TO_SEE:
            # Over a note with no hole open above F's it sounds as in the chart; what touches another high G is none.
            known |= {note for note in Note if plain - over[note] < PLAIN_CENTS}
        spread = 1.48 * float(np.median(np.abs(strays))) if strays else MOST_SPREAD_CENTS
        spread = min(MOST_SPREAD_CENTS, max(LEAST_SPREAD_CENTS, long.wavers_cents, spread))
        apart = max(APART_CENTS, APART_SPREADS * spread)
        in_room = max(APART_IN_ROOM_CENTS, APART_IN_ROOM_SPREADS * spread)
        return cls(over, known, plain, spread, apart, apart if learnt.echo is None else in_room)

    def is_f(self, cents: float, before: Note | None) -> bool:
        """Whether a pitch is surely F's and no high G's, neither of one that is played on F nor on the note that
        follows, if any."""
        high = min(self.over[each] for each in (Note.F, before) if each is not None)
        return self.is_near(cents, nearest_f(cents)) and high - cents > self.apart_from_high

    def is_high_g(self, cents: float, before: Note | None) -> bool:
        """Whether a pitch is surely that of a high G that is played on the note that follows, if any, and no F's."""
        return self.is_near(cents, self.over[Note.F if before is None else before]) and cents > self.apart

    def is_near(self, cents: float, place: float) -> bool:
        """Whether a pitch lies in a place as others do."""
        return abs(cents - place) < IN_PLACE_SPREADS * self.spread


def nearest_f(cents: float) -> float:
    """The place of the F that lies nearest to a pitch, in cents above the F of the chart."""
    return min(0.0, max(cents, -F_BELOW_CENTS))


def _likest(cents: Sequence[float], model: float, plain: float) -> list[float]:
    """Those pitches over one note that are high G's, and not F's nor the high G of the chart."""
    place, own = model, list[float]()
    for _ in range(5):
        own = [
            each
            for each in cents
            if abs(each - place) < min(abs(each), REACH_CENTS) and abs(each - place) <= abs(each - plain)
        ]
        place = _mean(own, model)
    return own


def _mean(own: Sequence[float], model: float) -> float:
    return (sum(own) + MODEL_COUNTS * model) / (len(own) + MODEL_COUNTS)


def _off_cents(note: Note, learnt: Learnt) -> float:
    """How far below the high G of the chart the model has the one that is played on a note."""
    state = chart(note)
    lifted = (soundings(learnt.scale.tuning)[state.lifting(each)] for each in Finger if state.closed(each))
    return min((each.off_note_cents for each in lifted if each.note is Note.HIGH_G), default=0.0)
