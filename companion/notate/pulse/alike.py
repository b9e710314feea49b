"""What sounds alike in its surroundings was meant alike: such places are averaged, so that what strays in one of them
is mended by the others.

A phrase comes back in repeats and in other parts, and an unsteady player strays otherwise each time. A first reading
tells the onsets of a take in ticks; notes that have the same neighbours at the same place in a foot get the mean of
theirs, and the take is steadied to one tempo. So it can be read again, as if it had been played more evenly.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import fmean

import numpy as np

from companion.notate.pulse.feet import TICKS, FootKind, played_places
from companion.notate.pulse.gracing import SPREAD, cost_as_grace
from companion.notate.pulse.readings import STOPS_S, Floats, Ints
from companion.notate.pulse.search import PulseReading
from companion.notate.pulse.sounds import SHORTEST_S, SoundingNote

NEIGHBOURS = 4
"""Places are alike whose four notes before and four after are the same, gracenotes too: a bar of most tunes, or
nearly."""

REACH_TICKS = 36.0
"""From how far around a note its pulse is taken, as a standard deviation: three feet."""

FURTHEST_TICKS = 1.8
"""Onsets with a wider gap between them are at two places: an even pair and a dotted one part by three ticks, or by two
in feet of three."""

MOST_SPREAD = 1.7
"""Onsets that stray by more than so many times what the player strays by were not meant alike."""

LEAST_SPREAD_TICKS = 0.6
MUCH_LONGER = 1.5
"""A note that is so many times as long as the next shorter one was not meant to be as short: one is no gracenote."""

HELD = 6.0
"""The cost of a gracenote held by mistake, as a negative logarithm: common practice, no source."""

SURELY = 2.0
"""By so much likelier as melody, notes that sound alike are no gracenotes."""

CLEARLY_LONGER = 2.0
"""One of them at least is so many times as long as this player's median gracenote."""

LEAST_STRAYS_S = 0.02
"""How far a steady player's lengths stray at least: gracenotes that stray less for want of room are none for that."""

SHORTEST_TICKS = 0.1
_BEYOND_TICKS = 96.0


def averaged(
    notes: Sequence[SoundingNote], reading: PulseReading, kind: FootKind, pointing: float, median_s: float
) -> tuple[SoundingNote, ...]:
    """Return the sounding notes of a take at one tempo, each at the mean of the places of those meant alike.

    reading: a first reading of them, in feet of a kind, by a player who points so and whose median gracenote has this
    length.
    """
    pulse = _Pulse(notes, reading, kind, pointing)
    ticks = pulse.ticks(np.array([note.onset_s for note in notes]))
    lengths = np.diff(ticks, append=pulse.ticks(np.array([notes[-1].end_s])))
    melody = [each.approached.at for each in reading.notes]
    plays = [1] * len(notes)
    placed, lasting = ticks.copy(), lengths.copy()
    melody_s = max(LEAST_STRAYS_S, math.sqrt(2.0) * pulse.strays_ticks / TICKS * pulse.foot_s)
    are_melody, read_so = [False] * len(notes), set(melody)
    for ranks in _sounding_alike(notes):
        for members in _of_two_lengths(ranks, lengths):
            was_melody = not read_so.isdisjoint(members.tolist())
            if was_melody and _are_melody([notes[each].length_s for each in members], median_s, melody_s):
                for each in members:
                    are_melody[each] = True
        for members, length in _as_long(ranks, lengths):
            lasting[members] = length
        for members, means in _meant_alike(ranks, ticks, pulse.strays_ticks):
            placed[members] = means
            for each in members:
                plays[each] = len(members)
    for before, at in pairwise((-1, *melody)):
        for grace in range(at - 1, before, -1):
            placed[grace] = placed[grace + 1] - lasting[grace]
    marked = [replace(note, is_melody=is_melody) for note, is_melody in zip(notes, are_melody, strict=True)]
    return tuple(_moved(marked, placed, plays, pulse))


class _Pulse:
    """When each tick of a reading was, smoothed over some feet."""

    def __init__(self, notes: Sequence[SoundingNote], reading: PulseReading, kind: FootKind, pointing: float) -> None:
        played = played_places(kind, pointing)
        ticks = np.array([each.foot * TICKS + played[each.place] for each in reading.notes])
        beats_s = np.array([each.beat_s for each in reading.notes])
        pieces = np.cumsum(
            [_silence_s(notes, each.approached.graces, each.approached.at) > STOPS_S for each in reading.notes]
        )
        self.foot_s = float(np.median([each.foot_s for each in reading.notes]))
        smooth_s = np.array([_fitted(at, ticks, beats_s, pieces, self.foot_s / TICKS) for at in range(len(ticks))])
        self.strays_ticks = float(np.median(np.abs(beats_s - smooth_s))) / 0.6745 / self.foot_s * TICKS
        smooth_s = np.maximum.accumulate(smooth_s + np.arange(len(ticks)) * 1e-6)
        beyond_s = _BEYOND_TICKS * self.foot_s / TICKS
        self._ticks = np.concatenate(([ticks[0] - _BEYOND_TICKS], ticks, [ticks[-1] + _BEYOND_TICKS]))
        self._times_s = np.concatenate(([smooth_s[0] - beyond_s], smooth_s, [smooth_s[-1] + beyond_s]))

    def ticks(self, times_s: Floats) -> Floats:
        """At which ticks these times are."""
        found: Floats = np.interp(times_s, self._times_s, self._ticks)
        return found


def _silence_s(notes: Sequence[SoundingNote], graces: Sequence[int], at: int) -> float:
    return sum(notes[each].silence_s for each in (*graces, at))


def _fitted(at: int, ticks: Floats, beats_s: Floats, pieces: Ints, tick_s: float) -> float:
    """When the note at a rank was due by a line through the notes around it."""
    first, stop = np.searchsorted(ticks, (ticks[at] - 3 * REACH_TICKS, ticks[at] + 3 * REACH_TICKS))
    near = slice(int(first), int(stop))
    away = ticks[near] - ticks[at]
    weights = np.exp(-0.5 * (away / REACH_TICKS) ** 2) * (pieces[near] == pieces[at])
    total, first_moment, second_moment = weights.sum(), (weights * away).sum(), (weights * away * away).sum()
    off = beats_s[near] - beats_s[at]
    determinant = total * second_moment - first_moment**2
    if determinant <= 1e-6 * total * total:
        return float(beats_s[at])
    level = (second_moment * (weights * off).sum() - first_moment * (weights * away * off).sum()) / determinant
    return float(beats_s[at] + level)


def _sounding_alike(notes: Sequence[SoundingNote]) -> Iterator[Ints]:
    """Yield the ranks of notes that sound alike in their surroundings."""
    names = [note.note for note in notes]
    places = defaultdict(list)
    for at in range(NEIGHBOURS, len(names) - NEIGHBOURS):
        places[tuple(names[at - NEIGHBOURS : at + NEIGHBOURS + 1])].append(at)
    yield from (np.array(ranks) for ranks in places.values() if len(ranks) > 1)


def _of_two_lengths(ranks: Ints, lengths: Floats) -> Iterator[Ints]:
    """Yield the ranks in two groups where several notes are twice as long as several others, else all of them: they
    sound alike in two places of a tune, as a gracenote in one and as melody in the other."""
    order = np.argsort(lengths[ranks], kind="stable")
    logs = np.log(np.maximum(lengths[ranks[order]], SHORTEST_TICKS))
    steps = np.diff(logs)[1:-1]
    if len(steps) and steps.max() > math.log(CLEARLY_LONGER):
        cut = int(np.argmax(steps)) + 2
        yield ranks[order[:cut]]
        yield ranks[order[cut:]]
    else:
        yield ranks


def _are_melody(lengths_s: Sequence[float], median_s: float, strays_s: float) -> bool:
    """Whether notes that sound alike are melody rather than gracenotes: an unsteady player makes a note of melody as
    short as a gracenote now and then, but hardly ever a gracenote as long as a note of melody.

    strays_s: how far the length of a note of melody strays, as a standard deviation.
    """
    mean_s = fmean(lengths_s)
    grace = sum(min(HELD, cost_as_grace(each, median_s)) + math.log(SPREAD * median_s) for each in lengths_s)
    melody = sum(0.5 * ((each - mean_s) / strays_s) ** 2 + math.log(strays_s) for each in lengths_s)
    return max(lengths_s) > CLEARLY_LONGER * median_s and melody + SURELY < grace


def _as_long(ranks: Ints, lengths: Floats) -> Iterator[tuple[Ints, float]]:
    """Yield the ranks in groups that hardly differ in length, and how long the notes of each are on average."""
    logs = np.log(np.maximum(lengths[ranks], SHORTEST_TICKS))
    order = np.argsort(logs, kind="stable")
    for group in np.split(order, np.nonzero(np.diff(logs[order]) > math.log(MUCH_LONGER))[0] + 1):
        yield ranks[group], math.exp(logs[group].mean())


def _meant_alike(ranks: Ints, ticks: Floats, strays: float) -> Iterator[tuple[Ints, Floats]]:
    """Yield those of the ranks that begin at the same place of a foot, and at which ticks they do on average."""
    most = max(LEAST_SPREAD_TICKS, MOST_SPREAD * strays)
    for members in _together(ranks, ticks):
        off = _circular(ticks[members] - ticks[members[0]])
        if len(members) > 1 and off.std() <= most:
            yield members, ticks[members] - off + off.mean()


def _together(ranks: Ints, ticks: Floats) -> Iterator[Ints]:
    """Yield the ranks in groups that lie at one place of their feet."""
    phases = ticks[ranks] % TICKS
    order = np.argsort(phases, kind="stable")
    gaps = np.diff(phases[order], append=phases[order[0]] + TICKS)
    turned = np.roll(order, -int(np.argmax(gaps)) - 1)
    steps = _circular(np.diff(phases[turned]))
    cuts = np.nonzero(steps > FURTHEST_TICKS)[0] + 1
    for group in np.split(turned, cuts):
        yield ranks[group]


def _circular(ticks: Floats) -> Floats:
    """Differences of ticks within a foot, from half a foot early to half a foot late."""
    found: Floats = (ticks + TICKS / 2) % TICKS - TICKS / 2
    return found


def _moved(notes: Sequence[SoundingNote], ticks: Floats, plays: Sequence[int], pulse: _Pulse) -> Iterator[SoundingNote]:
    tick_s = pulse.foot_s / TICKS
    onsets_s = [float(ticks[0]) * tick_s]
    for tick in ticks[1:]:
        onsets_s.append(max(float(tick) * tick_s, onsets_s[-1] + SHORTEST_S))
    last = notes[-1]
    ends_s = (
        float(pulse.ticks(np.array([last.end_s]))[0] - pulse.ticks(np.array([last.onset_s]))[0]) * tick_s + onsets_s[-1]
    )
    silence_s = 0.0
    for note, following, (onset_s, next_s), times in zip(
        notes, (*notes[1:], None), pairwise((*onsets_s, ends_s)), plays, strict=True
    ):
        end_s, after_s = next_s, 0.0
        if following is not None and following.silence_s:
            end_s = onset_s + (next_s - onset_s) * note.length_s / (following.onset_s - note.onset_s)
            after_s = next_s - end_s
        maybe = tuple(replace(each, at_s=each.at_s + onset_s - note.onset_s) for each in note.maybe)
        yield replace(note, onset_s=onset_s, end_s=end_s, silence_s=silence_s, maybe=maybe, plays=times)
        silence_s = after_s
