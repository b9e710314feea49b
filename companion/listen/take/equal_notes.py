"""Where a note with one gracenote was begun again, of all places where it can have been.

Who plays `{g}c` twice is heard to play one gracenote and one note too many, or to have adorned the note once more; and
where the same two follow each other in the tune, as in `{g}c{g}c` or `{g}c{gcd}c`, nobody hears which of them were too
many. Only the times of the notes tell: a first attempt is broken off at any length, and the rest is as long as ever.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter
from statistics import median

from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.find.extra.slips import NOTE_FROM_S
from companion.listen.model.asked import Asked

STRAY, STRAY_S = 0.05, 0.02
MOST_STRAYED = 8.0
"""The standard deviation of an interval between two notes, as a share of it and in s, by what players point and by what
the tempo of a few notes tells of it, besides what this player strays by; the most that one interval costs, a fault of
its own."""

NORMAL = 1.48
"""The standard deviation of a normal number, by the median of how far it is from the middle."""

TEMPO_NOTES = 8
"""How long a note should have lasted is told by the tempo of so many about it."""

LONGEST_RUN = 24
"""Two notes too many are looked for at most so many notes to either side of where they were read first."""

BESIDE_S = 0.25
"""How far a note's beat may be from its onset, in s."""

Moments = Sequence[tuple[int, float]]
"""The played notes with when their beat was taken to be, in s."""


@dataclass(frozen=True, slots=True)
class _Run:
    """Tokens `first` to `last` that were all heard, in `steps` from rank `begin` on, and two notes too many, which may
    have followed any of the tokens `places`."""

    first: int
    last: int
    begin: int
    steps: tuple[ReadStep, ...]
    places: tuple[int, ...]

    def rank_of(self, token: int, place: int) -> int:
        """Return which of the steps a token is, if the two followed `place`."""
        return token - self.first + (0 if token <= place else 2)


@dataclass(frozen=True, slots=True)
class _Told:
    """One explanation: the two notes after token `place` were that note begun again, or adorned it."""

    place: int
    again: bool


def with_notes_again(asked: Asked, steps: Sequence[ReadStep], moments: Moments) -> tuple[ReadStep, ...]:
    """Return the steps of a take in which a note with one gracenote that was begun again is read as that, at the place
    where the times of the notes fit best."""
    found = list(steps)
    stray_s = None
    for at in range(1, len(steps) - 1):
        if steps[at].reading is not Reading.EXTRA:
            continue
        run = _run_about(asked, steps, at)
        stray_s = _stray_s(asked, moments) if stray_s is None else stray_s
        best = None if run is None else _best(asked, run, moments, stray_s)
        if run is not None and best is not None:
            found[run.begin : run.begin + len(run.steps)] = _read_as(run, best)
    return tuple(found)


# --- where two notes may have been too many ---


def _run_about(asked: Asked, steps: Sequence[ReadStep], extra: int) -> _Run | None:
    """Return where an extra note and the one that goes on after it may have been too many; None if they are something
    else. extra: the rank of the first one's step."""
    one, on = steps[extra : extra + 2]
    if one.reading is not Reading.EXTRA or on.reading is not Reading.RESUME or one.after != on.tokens[0]:
        return None
    if not _is_heard(asked, steps, extra - 1, one.after) or any(each.segment.silence_s for each in (one, on)):
        return None
    if on.segment.note is not asked.tokens[one.after].note:
        return None
    begin, first, last = extra - 1, one.after, one.after
    while last - first < LONGEST_RUN and _is_heard(asked, steps, begin - 1, first - 1):
        begin, first = begin - 1, first - 1
    stop = extra + 2
    while last - first < 2 * LONGEST_RUN and _is_heard(asked, steps, stop, last + 1):
        stop, last = stop + 1, last + 1
    heard = tuple(steps[begin:stop])
    notes = [each.segment.note for each in heard]
    places = [one.after]
    # The two may as well have been too many a note sooner, or later, as long as the same notes come of it.
    while places[0] > first and notes[places[0] + 1 - first] is asked.tokens[places[0] - 1].note:
        places.insert(0, places[0] - 1)
    while places[-1] < last and notes[places[-1] + 1 - first] is asked.tokens[places[-1] + 1].note:
        places.append(places[-1] + 1)
    return _Run(first, last, begin, heard, tuple(places))


def _is_heard(asked: Asked, steps: Sequence[ReadStep], rank: int, token: int) -> bool:
    """Return whether a token, and that alone, was heard as asked in a step."""
    if not (0 <= rank < len(steps) and 0 <= token < len(asked.tokens)):
        return False
    step = steps[rank]
    as_asked = step.reading is Reading.MATCH and step.segment.note is asked.tokens[token].note
    return as_asked and step.tokens == (token,) and not step.ran_on and not step.segment.silence_s


def _is_begun_again(asked: Asked, run: _Run, place: int) -> bool:
    """Return whether the two notes after a place may be that melody note again, with the only gracenote of it that
    sounds."""
    if not asked.tokens[place].is_melody or place < 1 or asked.tokens[place - 1].is_melody:
        return False
    is_its_own = run.steps[place + 1 - run.first].segment.note is asked.tokens[place - 1].note
    return is_its_own and (place < 2 or asked.tokens[place - 2].is_melody)


def _fits(asked: Asked, run: _Run, told: _Told) -> bool:
    """Return whether all gracenotes were as short as such, where the notes too many may have been."""
    tokens = range(max(run.places[0], run.first), run.places[-1] + 1)
    graces = [run.rank_of(each, told.place) for each in tokens if not asked.tokens[each].is_melody]
    graces.append(told.place + 1 - run.first)
    return all(run.steps[each].segment.lasted_s() < NOTE_FROM_S for each in graces)


# --- what the times tell ---


def _best(asked: Asked, run: _Run, moments: Moments, stray_s: float) -> _Told | None:
    """Return the likeliest explanation, if that is that a note was begun again, or at another place than it was read;
    None where no time tells."""
    told = [_Told(each, again=True) for each in run.places if _is_begun_again(asked, run, each)]
    if not told:
        return None
    shifts_s, ratio = _shifts_s(asked, run, moments), _ratio(asked, run, moments)
    if ratio is None or not shifts_s:
        return None
    told += [_Told(each, again=False) for each in run.places if asked.tokens[each].is_melody]
    told = [each for each in told if _fits(asked, run, each)]
    if not told:
        return None

    # A finger that slips seldom plays just the note's own gracenote: neither is likelier beforehand.
    return min(told, key=lambda each: _cost(asked, run, each, ratio, shifts_s, stray_s))


def _shifts_s(asked: Asked, run: _Run, moments: Moments) -> dict[int, float]:
    """Return how much later than its onset each melody note had its beat, as far as that was told, in s."""
    found: dict[int, float] = {}
    for step in run.steps:
        if step.reading is not Reading.MATCH or not asked.tokens[step.tokens[0]].is_melody:
            continue
        token, onset_s = step.tokens[0], step.segment.onset_s
        rank = bisect_left(moments, onset_s - BESIDE_S, key=itemgetter(1))
        for played, at_s in moments[rank : rank + TEMPO_NOTES]:
            if played == asked.melody_of(token) and at_s <= onset_s + BESIDE_S:
                found[token] = at_s - onset_s
    return found


def _ratio(asked: Asked, run: _Run, moments: Moments) -> float | None:
    """Return the seconds played for each asked one about the notes that are in doubt; None where no note tells."""
    begin_s = run.steps[run.places[0] - run.first].segment.onset_s
    rank = bisect_left(moments, begin_s, key=itemgetter(1))
    ratios = [
        played_s / due_s
        for played_s, due_s in _intervals_s(asked, moments[max(0, rank - TEMPO_NOTES) : rank + TEMPO_NOTES])
    ]
    return median(ratios) if ratios else None


def _stray_s(asked: Asked, moments: Moments) -> float:
    """Return what the intervals between a player's notes stray by, in s, at a tempo that changes little."""
    intervals_s = _intervals_s(asked, moments)
    off_s: list[float] = []
    for rank, (played_s, due_s) in enumerate(intervals_s):
        about = intervals_s[max(0, rank - TEMPO_NOTES) : rank + TEMPO_NOTES]
        off_s.append(abs(played_s - due_s * sum(each for each, _ in about) / sum(each for _, each in about)))
    return NORMAL * median(off_s) if off_s else 0.0


def _intervals_s(asked: Asked, moments: Moments) -> list[tuple[float, float]]:
    """Return the intervals between notes that follow one another, as played and as asked, in s."""
    at_s = asked.schedule.note_onsets_s
    return [
        (two_s - one_s, at_s[two] - at_s[one])
        for (one, one_s), (two, two_s) in pairwise(moments)
        if two == one + 1 and two_s > one_s and at_s[two] > at_s[one]
    ]


def _cost(asked: Asked, run: _Run, told: _Told, ratio: float, shifts_s: Mapping[int, float], stray_s: float) -> float:
    """Return how unlikely the times of the notes are by an explanation, as a logarithm."""
    at_s, usual_s = asked.schedule.note_onsets_s, median(shifts_s.values())
    cost = 0.0
    for one, two in pairwise(token for token in range(run.first, run.last + 1) if asked.tokens[token].is_melody):
        began = run.rank_of(one, told.place) + (2 if told.again and one == told.place else 0)
        one_s, two_s = (run.steps[each].segment.onset_s for each in (began, run.rank_of(two, told.place)))
        due_s = ratio * (at_s[asked.melody_of(two)] - at_s[asked.melody_of(one)])
        off_s = two_s + shifts_s.get(two, usual_s) - one_s - shifts_s.get(one, usual_s) - due_s
        noise_s = math.hypot(STRAY * due_s + STRAY_S, stray_s)
        cost += min(0.5 * (off_s / noise_s) ** 2, MOST_STRAYED)
    return cost


# --- reading them so ---


def _read_as(run: _Run, told: _Told) -> Iterator[ReadStep]:
    """Yield the steps, read by an explanation."""
    place = told.place
    for rank, step in enumerate(run.steps):
        token = run.first + rank
        if not place < token <= place + 2:
            own = token if token <= place else token - 2
            after = own - 1 if rank else step.after
            yield step._replace(reading=Reading.MATCH, tokens=(own,), after=after)
        elif told.again:
            own = token - 2
            yield step._replace(reading=Reading.MATCH, tokens=(own,), after=place if own < place else place - 1)
        elif token == place + 1:
            yield step._replace(reading=Reading.EXTRA, tokens=(), after=place)
        else:
            yield step._replace(reading=Reading.RESUME, tokens=(place,), after=place)
