"""Measures what tells a chanter from all else that sounds: its nine pitches, its bore, and that its notes do not
die away. Pure.

A chanter's reed sounds as long as it is blown, as loud as it must, and each hole state has one pitch. Talk slides from
pitch to pitch, other music lies in other places, what is plucked or struck dies away from its first moment.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.hearing.intake.runs import Floats, runs_of

LOUD = 0.3
"""Frames are looked at whose fourth roots of power, all bins together, reach this share of the loudest (21 dB less)."""

OTHERWISE = 0.05
"""A frame is of the other bore where it is likelier to be by this much."""

NEARLY = 0.03
"""An octave is easily mistaken: of two pitches an octave apart the one in the scale is taken, if not by this less
likely. Of what an oboe played up to a tenth would be an octave lower."""

SLOPE_S, EDGE_S = 0.15, 0.03
"""Over what time a note's level is followed; at each of its ends it begins or stops, which is left out."""

LEAST_LIKENESS, SURE_LIKENESS = 0.60, 0.80
"""Of a lesson with talk in it a frame is of playing where it is like one of the nine notes by a share of what the
likest are: somewhere between these, where the two sorts of sound part best."""

ON_NATS, OFF_NATS = 0.15, -0.28
"""What such a frame tells for playing, and another against it: logarithms of 0.95 over 0.2 and of 0.05 over 0.8, a
tenth of them, as neighbouring frames overlap and are of one sound."""

MOST_ALIKE = 0.78
"""Only what is by so much less like a chanter than its playing is something else. Of talk it was 0.55 to 0.73."""

CHANGE_NATS = 15.0
"""What it costs that playing begins, or stops: a second of nothing but its pitches tells that it began."""

WAVE_S = 0.1
"""A pitch that leaves a note for no longer, and comes back to it, wavers about it: a vibrato's half wave lasts so long
at most, of five a second, as players and singers have them (from memory)."""

LASTS_S, MOST_LEFT = 0.4, 0.1
"""How far a pitch wavers is looked at in notes that last, and of all their frames within the middle four fifths."""

HOLDS_FRAMES, LONGEST_GLIDE_S, LONGEST_STEP_CENTS, LEAST_STEPS = 3, 0.14, 120.0, 2
"""A voice glides from note to note, in 60 ms and more (from memory), where fingers leap. What is a glide: from a note
that is held to another, no pitch nearer to the first again than the one before, none that leaps, and two or more that
are neither note. On trial no change of note of a chanter was one, with a vibrato of 50 cents or in a room; of songs a
ninth to two thirds of them were."""

OCTAVE_NOTES = 7
LEAST_REST = 0.3
"""A note's octave lies seven notes above it. One note with its octave is left out of what is asked about its bore, if
this share of the sound is left: a reed or a room may sound one partial of it 20 dB above the others."""

FOLLOWED_S = 1.0
"""How long notes must be followed at least to say how fast they die away: of fewer, in a room, most are echo."""

NO_NOTE, DRONE, SILENT = -1, -2, -3


@dataclass(frozen=True, slots=True, eq=False)
class TraitCombs:
    """What pitches look like. of_bore, of_other: unit vectors over the bins, shape (pitches, bins), of the chanter's
    bore and of the other. notes: of each pitch the nearest of the nine notes, or NO_NOTE, or DRONE. octaves: of each
    pitch itself, or of one that is no note the one an octave away that is. floor: the power by bin above which anything
    counts. step_cents: from one pitch to the next."""

    of_bore: Floats
    of_other: Floats
    notes: NDArray[np.int8]
    octaves: NDArray[np.intp]
    floor: Floats
    hop_s: float
    step_cents: float = 20.0


@dataclass(frozen=True, slots=True)
class SoundTraits:
    """What a sound is like. loud_s: how long anything sounds. on_scale: the share of it that has one of the nine
    pitches. other_bore: the share that looks like another bore's, without the note, and its octave, that does most.
    falls_db_s: how fast notes die away, the median, 0 where little is known of it, infinite where none lasts a fifth of
    a second. steady: the share of all power that sounds all the time. wavers_cents: how far the pitch of notes that
    last goes up and down about its middle, the median over all of them. glides: the share of changes from note to note
    in which the pitch slides.
    """

    loud_s: float = 0.0
    on_scale: float = 0.0
    other_bore: float = 0.0
    falls_db_s: float = 0.0
    steady: float = 0.0
    wavers_cents: float = 0.0
    glides: float = 0.0


class TraitMeter:
    """Takes in a sound's spectra piece by piece, in order of time, and tells its traits."""

    def __init__(self, combs: TraitCombs) -> None:
        self._combs = combs
        self._notes: list[NDArray[np.int8]] = []
        self._pitches: list[NDArray[np.int16]] = []
        self._other: list[NDArray[np.bool_]] = []
        self._levels: list[Floats] = []
        self._powers: list[Floats] = []
        self._likeness: list[Floats] = []
        self._steady = self._power = 0.0

    def take_in(self, powers: Floats) -> None:
        """The next frames, shape (frames, bins)."""
        combs = self._combs
        above = np.maximum(powers - combs.floor, 0.0)
        self._power += float(powers.sum())
        self._steady += float(np.minimum(powers, combs.floor).sum())
        roots = np.sqrt(np.sqrt(above))
        level = np.linalg.norm(roots, axis=1)
        shapes = roots / np.maximum(level, 1e-12)[:, np.newaxis]
        own, other = shapes @ combs.of_bore.T, shapes @ combs.of_other.T
        best, frames = own.argmax(axis=1), np.arange(len(own))
        octave = combs.octaves[best]
        taken = np.where(own[frames, octave] >= own[frames, best] - NEARLY, octave, best)
        self._notes.append(combs.notes[taken])
        self._pitches.append(best.astype(np.int16))
        self._likeness.append(own[:, combs.notes >= 0].max(axis=1))
        self._other.append(other.max(axis=1) > own.max(axis=1) + OTHERWISE)
        self._levels.append(level.astype(np.float32))
        self._powers.append(above.sum(axis=1))

    def traits(self) -> SoundTraits:
        """What all that was taken in is like."""
        notes, other, loud = self._all()
        steady = self._steady / max(self._power, 1e-20)
        count = int(loud.sum())
        if not count:
            return SoundTraits(steady=steady)
        notes = _come_back(notes, round(WAVE_S / self._combs.hop_s))
        named = notes[loud & (notes != DRONE)]
        on = float((named >= 0).mean()) if len(named) else 0.0
        strange = _strange(other[loud], notes[loud])
        sounding = np.where(loud, notes, NO_NOTE)
        falls = -_slope(sounding, np.concatenate(self._powers), self._combs.hop_s)
        pitches = np.concatenate(self._pitches)
        wavers = _wavering(sounding, pitches, self._combs)
        glides = _gliding(np.where(loud, notes, SILENT), pitches, self._combs)
        return SoundTraits(count * self._combs.hop_s, on, strange, falls, steady, wavers, glides)

    def playing(self) -> list[tuple[float, float]]:
        """When a chanter plays, from s to s of the frames' beginnings; silence counts to what is before it."""
        _, _, loud = self._all()
        if not loud.any():
            return []
        likeness = np.concatenate(self._likeness)
        nats = np.where(loud, np.where(likeness >= _parting(likeness[loud]), ON_NATS, OFF_NATS), 0.0)
        plays = _likeliest(nats.tolist())
        on, off = likeness[loud & plays], likeness[loud & ~plays]
        if len(on) and len(off) and off.mean() > MOST_ALIKE * on.mean():
            plays = np.ones(len(plays), bool)
        hop_s = self._combs.hop_s
        return [(first * hop_s, stop * hop_s) for first, stop in runs_of(plays) if plays[first]]

    def _all(self) -> tuple[NDArray[np.int8], NDArray[np.bool_], NDArray[np.bool_]]:
        if not self._notes:
            return np.zeros(0, np.int8), np.zeros(0, bool), np.zeros(0, bool)
        levels = np.concatenate(self._levels)
        loud = (levels > LOUD * np.quantile(levels, 0.95)) & (levels > 0.0)
        return np.concatenate(self._notes), np.concatenate(self._other), loud


def _parting(values: Floats) -> float:
    """Where two sorts of values part: where the variance between what is below and what is above is greatest (Otsu
    1979, from memory)."""
    most = float(np.quantile(values, 0.95))
    counts, edges = np.histogram(values, np.linspace(0.0, 1.0, 101))
    middles = 0.5 * (edges[:-1] + edges[1:])
    below = np.cumsum(counts)[:-1]
    above = len(values) - below
    sums = np.cumsum(counts * middles)
    means = sums[:-1] / np.maximum(below, 1), (sums[-1] - sums[:-1]) / np.maximum(above, 1)
    between = below * above * (means[1] - means[0]) ** 2
    return min(max(float(edges[1 + int(between.argmax())]), LEAST_LIKENESS * most), SURE_LIKENESS * most)


def _slope(named: NDArray[np.int8], powers: Floats, hop_s: float) -> float:
    """How a note's level goes on, in dB a second: the median over all that lies SLOPE_S apart in one note, so that one
    that is struck again, louder, hides nothing. Minus infinity where none lasts, 0 where less than FOLLOWED_S do."""
    lag, edge = round(SLOPE_S / hop_s), round(EDGE_S / hop_s)
    levels_db = 10.0 * np.log10(np.maximum(powers, 1e-20))
    rises = [
        levels_db[first + edge + lag : stop - edge] - levels_db[first + edge : stop - edge - lag]
        for first, stop in runs_of(named)
        if named[first] >= 0 and stop - first > lag + 2 * edge
    ]
    if not rises:
        return -np.inf
    followed = np.concatenate(rises)
    return float(np.median(followed)) / SLOPE_S if len(followed) * hop_s >= FOLLOWED_S else 0.0


def _strange(other: NDArray[np.bool_], notes: NDArray[np.int8]) -> float:
    """The share of frames that look like another bore's, without the note and its octave without which it is least."""
    names = np.where(notes >= 0, notes % OCTAVE_NOTES, NO_NOTE)
    rests = [other[names != name] for name in range(OCTAVE_NOTES)]
    return min(float(rest.mean()) for rest in [other, *rests] if len(rest) >= LEAST_REST * len(other))


def _gliding(notes: NDArray[np.int8], pitches: NDArray[np.int16], combs: TraitCombs) -> float:
    """The share of changes from one note that is held to another in which the pitch slides; one alone is none."""
    longest, leap = round(LONGEST_GLIDE_S / combs.hop_s), LONGEST_STEP_CENTS / combs.step_cents
    held = [(first, stop) for first, stop in runs_of(notes) if notes[first] >= 0 and stop - first >= HOLDS_FRAMES]
    changes = slides = 0
    for (first, left), (reached, _) in pairwise(held):
        if notes[first] == notes[reached] or reached - left > longest:
            continue
        changes += 1
        way = pitches[left - 1 : reached + 1].astype(np.int64)
        steps = np.diff(way) * (1 if way[-1] > way[0] else -1)
        between = set(way.tolist()) - {int(way[0]), int(way[-1])}
        unbroken = SILENT not in notes[left:reached] and steps.min() >= 0 and steps.max() <= leap
        slides += reached > left and unbroken and len(between) >= LEAST_STEPS
    return slides / changes if slides > 1 else 0.0


def _come_back(notes: NDArray[np.int8], longest: int) -> NDArray[np.int8]:
    """The notes, where what is none for no longer than so many frames, between the same note, is that note too."""
    out = notes.copy()
    for first, stop in runs_of(notes):
        inside = first > 0 and stop < len(notes) and stop - first <= longest
        if inside and notes[first] == NO_NOTE and notes[first - 1] == notes[stop]:
            out[first:stop] = notes[stop]
    return out


def _wavering(named: NDArray[np.int8], pitches: NDArray[np.int16], combs: TraitCombs) -> float:
    """How far from its middle the pitch of a note that lasts goes, in cents, the median over such notes; octaves, which
    are mistaken easily, count for nothing."""
    octave, edge = round(1200.0 / combs.step_cents), round(EDGE_S / combs.hop_s)
    spreads = []
    for first, stop in runs_of(named):
        if named[first] < 0 or (stop - first) * combs.hop_s < LASTS_S:
            continue
        own = pitches[first + edge : stop - edge].astype(np.int64)
        away = (own - int(np.median(own)) + octave // 2) % octave - octave // 2
        low, high = np.quantile(away, (MOST_LEFT, 1.0 - MOST_LEFT))
        spreads.append(0.5 * float(high - low) * combs.step_cents)
    return float(np.median(spreads)) if spreads else 0.0


def _likeliest(nats: Sequence[float]) -> NDArray[np.bool_]:
    """Whether each frame is of playing: the likeliest of all ways to play and stop."""
    plays, stops = 0.0, 0.0
    began = np.zeros((len(nats), 2), bool)
    for rank, each in enumerate(nats):
        began[rank] = stops - CHANGE_NATS > plays, plays - CHANGE_NATS > stops
        plays, stops = max(plays, stops - CHANGE_NATS) + each, max(stops, plays - CHANGE_NATS)
    way = np.zeros(len(nats), bool)
    playing = plays >= stops
    for rank in range(len(nats) - 1, -1, -1):
        way[rank] = playing
        playing = playing != began[rank, 0 if playing else 1]
    return way
