"""Names short notes that are F or high G by their pitch, where it tells. Pure.

A high G gracenote sounds as its finger leaves the hole over the note beneath, lower than the high G of the chart by as
much as there is closed below: over low G it may lie a quarter of a semitone above F. How far differs from chanter to
chanter, but on one it is the same each time: so the gracenotes of a take tell where they lie.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.joining import joined
from companion.hearing.notes.long_names import LongNotes, long_names
from companion.hearing.notes.one_of_two import nearly_touch, whole
from companion.hearing.notes.short_pitches import (
    HEAD_FRAMES,
    LONGEST_S,
    NEAR_NOTES,
    HeadPitch,
    MeasuredPitches,
    ShortPitch,
)
from fingering.acoustics.sounding import soundings
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note

SHORTEST_S = 0.018
"""A shorter note has no frame without its neighbours."""

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

MOST_LOOKS = 0.8
"""The share of looks at a note in a room that lie in its place, at least, for it to be that to its end: on trial (four
seeds, seven sources) all of 130 high Gs of 100 ms and more before F, none of 22 that an echo had made as long."""

HEAD_S = 0.025
"""So much of an F surely is no high G where its beginning sounds like an F."""

FEWEST = 3
"""This many high Gs over one note tell where they lie on this chanter."""

MODEL_COUNTS = 1.0
"""The model of the chanter counts for as many besides."""

PLAIN_CENTS = 1.0
REACH_CENTS = 35.0


@dataclass(frozen=True, slots=True)
class _Short:
    """A short note, by its rank; what it was told to be by its spectrum; its pitch in cents above F, near its end, and
    look by look, if it was looked at; the note that follows, None for none that touches it; whether in a room it
    follows an F or high G, whose echo moves its pitch: then that tells no more than that it is what it was told to
    be."""

    rank: int
    told: Note
    cents: float
    late_cents: float
    looks: tuple[float, ...]
    before: Note | None
    is_in_echo: bool


@dataclass(frozen=True, slots=True)
class _Places:
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

    def name(self, short: _Short) -> Note | None:
        """The note that a short one surely is; None if it may be either."""
        if short.before is None:
            return None
        if short.is_in_echo:
            return short.told if self._sounds_all_over(short, short.told) else None
        place = self.over[short.before]
        if short.cents > max(self.apart, 0.5 * place):
            return Note.HIGH_G
        is_known = short.before in self.known and place - short.cents > self.apart_from_high
        is_f = short.told is Note.F and (is_known or self._sounds_all_over(short, Note.F))
        return Note.F if is_f else None

    def begins_as_f(self, cents: Sequence[float], before: Note | None) -> bool:
        """Whether a note whose beginning sounds so, look by look, is surely F there and no high G, neither one that is
        played on F nor one on the note that follows."""
        return len(cents) == len(HEAD_FRAMES) and all(self._is_f(each, before) for each in cents)

    def _is_f(self, cents: float, before: Note | None) -> bool:
        high = min(self.over[each] for each in (Note.F, before) if each is not None)
        return self._is_near(cents, 0.0) and high - cents > self.apart_from_high

    def _sounds_all_over(self, short: _Short, name: Note) -> bool:
        """Whether so many looks at a note lie in the place of that name that it sounds from its beginning to its end;
        never of what was not looked at."""
        if name is Note.F:
            in_place = sum(self._is_f(each, short.before) for each in short.looks)
        else:
            place = self.over[Note.F if short.before is None else short.before]
            in_place = sum(self._is_near(each, place) and each > self.apart for each in short.looks)
        return bool(short.looks) and in_place >= MOST_LOOKS * len(short.looks)

    def _is_near(self, cents: float, place: float) -> bool:
        return abs(cents - place) < IN_PLACE_SPREADS * self.spread

    def no_other(self, short: _Short, name: Note) -> frozenset[Note]:
        """The names that a short note of that name surely has not, as long as it lasts; none where its pitch lies
        elsewhere than others of that name: then there may be another note within it.

        The octave of low G lies where the high G of the chart does, and not where one that is played on low G does.
        """
        place = min(0.0, max(short.cents, -F_BELOW_CENTS))
        if name is Note.HIGH_G and short.before is not None:
            place = self.over[short.before]
        measured = all(self._is_near(each, place) for each in (short.cents, short.late_cents))
        if not (self._sounds_all_over(short, name) if short.looks else measured):
            return frozenset()
        on_low_g = short.before is Note.LOW_G and name is Note.HIGH_G and short.before in self.known
        octave = on_low_g and self.plain - short.cents > self.apart_from_high
        return frozenset(NEAR_NOTES) - {name} | ({Note.LOW_G} if octave else frozenset())


def named_by_pitch(
    notes: Sequence[HeardNote], measured: MeasuredPitches, learnt: Learnt
) -> tuple[tuple[HeardNote, ...], tuple[SureName, ...]]:
    """The notes, of which short ones that their pitch tells are named by it; and those, long ones too, that are surely
    so.

    In a room what sounds on of an F or high G before is not told from the note: a short one there is left as it was, a
    longer one at most told to be surely what it was; and an echo hides gracenotes within the first tenth of a second of
    a long note, of which nothing is sure but how it begins.
    """
    if learnt.heard[Note.F] < ENOUGH_TO_SEE:
        return tuple(notes), ()
    long = LongNotes.of(measured.lasting, learnt)
    notes = whole(notes)
    shorts = _shorts(notes, measured.short, learnt, long.f_cents)
    places = _places(shorts, long, learnt)
    out = list(notes)
    surely: dict[int, SureName] = {}
    for each in shorts:
        name = places.name(each)
        if name is not None:
            told, no_other = out[each.rank], places.no_other(each, name)
            others = told.others - set(NEAR_NOTES)
            out[each.rank] = replace(told, note=name, others=others, by_pitch=bool(no_other))
            surely[each.rank] = SureName(out[each.rank], no_other)
    named = tuple(joined(out))
    sure = [each for each in surely.values() if each.no_other]
    if learnt.echo is None:
        sure += long_names(named, measured.lasting, long, learnt)
    begun = _begun(named, measured.heads, places, long.f_cents, learnt)
    out = [
        replace(each, others=each.others - {Note.HIGH_G}) if rank in begun else each for rank, each in enumerate(named)
    ]
    return tuple(out), (*sure, *begun.values())


def _begun(
    notes: Sequence[HeardNote], heads: Sequence[HeadPitch], places: _Places, f_cents: float, learnt: Learnt
) -> dict[int, SureName]:
    """The beginnings of Fs, by their ranks, after another note than a high G, that surely are no high G."""
    found = {}
    firsts = [each.first for each in heads]
    for rank, note in enumerate(notes):
        if note.note is not Note.F or note.length_s < HEAD_S or _follows_near(rank, notes):
            continue
        frame = round((note.at_s - learnt.grid.centre_s(-0.5)) / learnt.grid.hop_s)
        at = bisect_right(firsts, frame) - 1
        if at < 0 or firsts[at] != frame:
            continue
        cents = [each - f_cents for each in heads[at].cents]
        if places.begins_as_f(cents, _following(rank, notes)):
            found[rank] = SureName(replace(note, stop_s=note.at_s + HEAD_S), frozenset({Note.HIGH_G}))
    return found


def _follows_near(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether a note touches an F or high G at its beginning."""
    return rank > 0 and nearly_touch(notes[rank - 1], notes[rank]) and notes[rank - 1].note in NEAR_NOTES


def _following(rank: int, notes: Sequence[HeardNote]) -> Note | None:
    """The note that touches one at its end."""
    after = notes[rank + 1] if rank + 1 < len(notes) and nearly_touch(notes[rank], notes[rank + 1]) else None
    return after.note if after else None


def _shorts(notes: Sequence[HeardNote], pitches: Sequence[ShortPitch], learnt: Learnt, f_cents: float) -> list[_Short]:
    grid = learnt.grid
    firsts = [each.first for each in pitches]
    found = []
    for rank, note in enumerate(notes):
        if note.note not in NEAR_NOTES or not SHORTEST_S <= note.length_s < LONGEST_S:
            continue
        is_in_echo = learnt.echo is not None and _follows_near(rank, notes)
        middle = (0.5 * (note.at_s + note.stop_s) - grid.centre_s(0)) / grid.hop_s
        at = bisect_right(firsts, middle) - 1
        if at < 0 or middle >= pitches[at].stop:
            continue
        pitch = pitches[at]
        if is_in_echo and not pitch.looks:
            continue
        late_cents = pitch.cents if pitch.late_cents is None else pitch.late_cents
        looks = tuple(each - f_cents for each in pitch.looks)
        before = _following(rank, notes)
        found.append(_Short(rank, note.note, pitch.cents - f_cents, late_cents - f_cents, looks, before, is_in_echo))
    return found


def _places(shorts: Sequence[_Short], long: LongNotes, learnt: Learnt) -> _Places:
    """Find the places of high Gs: of those over each note the mean, by trial from where the model has them."""
    by_note: dict[Note, list[float]] = defaultdict(list)
    for each in shorts:
        if each.before is not None and not each.is_in_echo:
            by_note[each.before].append(each.cents)
    plain = long.high_g_cents - long.f_cents
    over = {note: plain + _off_cents(note, learnt) for note in Note}
    known: set[Note] = set()
    strays: list[float] = []
    for note, cents in by_note.items():
        own = _likest(cents, over[note], plain)
        if len(own) >= FEWEST:
            over[note] = _mean(own, over[note])
            known.add(note)
            strays += [each - over[note] for each in own]
    if learnt.echo is None and learnt.heard[Note.HIGH_G] >= ENOUGH_TO_SEE:
        # Over a note with no hole open above F's it sounds as in the chart, and what touches another high G is none.
        known |= {note for note in Note if plain - over[note] < PLAIN_CENTS}
    spread = 1.48 * float(np.median(np.abs(strays))) if strays else MOST_SPREAD_CENTS
    spread = min(MOST_SPREAD_CENTS, max(LEAST_SPREAD_CENTS, long.wavers_cents, spread))
    apart = max(APART_CENTS, APART_SPREADS * spread)
    in_room = max(APART_IN_ROOM_CENTS, APART_IN_ROOM_SPREADS * spread)
    return _Places(over, known, plain, spread, apart, apart if learnt.echo is None else in_room)


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
