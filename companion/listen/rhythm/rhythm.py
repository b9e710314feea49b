"""Early, late and pointing: melody onsets against the learner's own pulse, or against the metronome.

A note is off its time, or a pair too even, when it is so by the customs that are likely to be the player's: schools of
placing gracenotes are weighed by what was heard, and one that is nearly disproved has no say.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from itertools import combinations, islice, pairwise, takewhile
from statistics import median

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.strictness import Limits
from companion.listen.model.words import bar_words, melody_label
from companion.listen.rhythm.follower import Follower, MelodyTimes
from companion.listen.rhythm.followers import Followers
from companion.listen.rhythm.heard import BeatHeard, HeardUnit
from companion.listen.rhythm.metronome import Metronome
from companion.listen.rhythm.pointing import Unpointed, halves, pairs, ratio_words, unpointed
from companion.listen.rhythm.pulse import FIRST_NOTES, Onset, Pulse, first_ratio

FEWEST_NOTES = 3

SURE = 0.9
"""How likely it must be that a note was off its time, or a pair too even, over all schools that a player may follow."""

BEGINNING_NOTES = 12
"""The tempo of a take's beginning is that of so many notes."""

FOLLOWING_NOTES = 3
"""A note is judged once so many have followed: one may be off its own time, two show where the pulse is."""


class OnsetJudge:
    """Judges melody onsets in the order in which they were heard, a few notes behind.

    moments: the played notes with when their beat was taken to be, in s.
    """

    def __init__(
        self, asked: Asked, limits: Limits, *, against_metronome: bool = False, places: MelodyTimes | None = None
    ) -> None:
        """places: those of the tune, where they were worked out before."""
        self._asked, self._limits = asked, limits
        self._first_hearing: OnsetJudge | None = None
        self._places = places or _melody_times(asked)
        self._against_metronome = against_metronome
        self._followers = Followers.of_all_schools(self._places, limits)
        self._begun = False
        self._waiting: deque[HeardUnit] = deque()
        self._off_s: list[float] = []
        self._evened: BeatHeard | None = None
        self._cut_at: list[int] = []
        self._before_s = -math.inf
        self.moments: list[tuple[int, float]] = []

    def once_more(self) -> OnsetJudge:
        """Return a judge that hears the same take from its beginning, knowing what this one has learnt of the player:
        the tempo of the beginning, how far notes stray, where beats are put, and how pairs are pointed."""
        metronome, places = self._against_metronome, self._places
        other = OnsetJudge(self._asked, self._limits, against_metronome=metronome, places=places)
        if self._begun:
            other._first_hearing = self
            other._followers = self._followers.once_more(self.first_ratio)
        return other

    def heard(self, unit: HeardUnit) -> list[Finding]:
        """Take in the next melody note; returns what it tells of those before it."""
        unit, self._before_s = unit.after(self._before_s), unit.onset_s
        self._waiting.append(unit)
        self._followers.await_note(unit)
        if not self._begun and len(self._waiting) >= FIRST_NOTES:
            self._begin()
        return self._judge_all_but(FOLLOWING_NOTES)

    def cut(self) -> list[Finding]:
        """Judge all notes that wait, for no note that follows tells of them: after a stop, at a leap, at the end."""
        if not self._begun and len(self._waiting) >= FEWEST_NOTES:
            self._begin()
        found = self._judge_all_but(0)
        found += self._take_evened()
        self._waiting.clear()
        self._cut_at.append(len(self.moments))
        self._followers.cut()
        return found

    def hesitated(self, from_s: float, to_s: float) -> bool:
        """Whether a note that was far off its time began between these two moments."""
        return any(from_s <= onset_s <= to_s for onset_s in self._off_s)

    # --- the first notes ---

    def _begin(self) -> None:
        if self._first_hearing is not None:
            self._begun = True
            return
        found = [self._first_pulse(follower) for follower in self._followers]
        for follower, pulse in zip(self._followers, found, strict=True):
            if pulse is None:
                return
            follower.follow(pulse)
        self._begun = True

    @property
    def ratio(self) -> float | None:
        """Seconds played for each asked one by now; None before it is known."""
        if self._begun:
            return self._followers.likeliest.ratio
        return None if self._first_hearing is None else self._first_hearing.first_ratio

    @property
    def first_ratio(self) -> float:
        """Seconds played for each asked one at the beginning of the take, once it was heard."""
        notes = self._places.notes
        starts = [0, *(start for start in self._cut_at if start < BEGINNING_NOTES), BEGINNING_NOTES]
        slopes = [
            (two_s - one_s) / (notes[two].place_s - notes[one].place_s)
            for start, stop in pairwise(starts)
            for (one, one_s), (two, two_s) in combinations(self.moments[start:stop], 2)
            if 0 < two - one <= BEGINNING_NOTES and two_s > one_s
        ]
        return median(slopes) if slopes else 1.0

    def _first_pulse(self, follower: Follower) -> Pulse | Metronome | None:
        if self._against_metronome:
            first = follower.onset(self._waiting[0])
            return Metronome(first.at_s - first.place_s, self._beat_length_s())
        runs: list[list[Onset]] = [[]]
        for unit in self._waiting:
            if unit.apart:
                runs.append([])
            runs[-1].append(follower.onset(unit))
        ratio = first_ratio(runs)
        return Pulse(ratio) if ratio is not None and ratio > 0.0 else None

    def _beat_length_s(self) -> float:
        beats = self._asked.schedule.beats
        return median(after.at_s - before.at_s for before, after in pairwise(beats)) if len(beats) > 1 else 1.0

    # --- judging ---

    def _judge_all_but(self, last: int) -> list[Finding]:
        found: list[Finding] = []
        while self._begun and len(self._waiting) > last:
            found += self._judge(self._waiting.popleft())
        return found

    def _judge(self, unit: HeardUnit) -> list[Finding]:
        following = list(islice(takewhile(lambda each: not each.apart, self._waiting), FOLLOWING_NOTES))
        beats = self._followers.hear(unit, following)
        believed = self._followers.weighed()
        likeliest = beats[believed[0][0]]
        if unit.apart:
            self._cut_at.append(len(self.moments))
        self.moments.append((unit.played, likeliest.at_s))
        found = self._pointing(believed)
        if sum(share for each, share in believed if beats[each].off) >= SURE:
            self._off_s.append(unit.onset_s)
            pair = self._places.pair_ending(unit.played)
            if pair is not None and self._evens(likeliest):
                self._evened = likeliest if believed[0][0].knows(pair) else None
            else:
                found.append(self._off_time(likeliest))
        return found

    def _evens(self, beat: BeatHeard) -> bool:
        """Whether a note is the second of a pair and strays to where the two are more alike: then it is for the note
        after it to show whether the pair was even, or this note off its time."""
        pair = self._places.pair_ending(beat.played)
        return pair is not None and beat.due is not None and (beat.at_s < beat.due.at_s) == (pair.ratio > 1.0)

    def _pointing(self, believed: Sequence[tuple[Follower, float]]) -> list[Finding]:
        """Return what the last three notes show: a pair played too even, or its second note off its time."""
        likeliest = believed[0][0]
        pair = likeliest.recent_pair()
        found = None if pair is None else unpointed(pair, self._as_played(likeliest), self._limits)
        if found is None or (self._evened is not None and not found.is_even):
            return self._take_evened()
        if sum(share for each, share in believed if self._finds_uneven(each)) < SURE:
            return self._take_evened()
        self._evened = None
        return [self._too_even(found, likeliest.recent[0])]

    def _take_evened(self) -> list[Finding]:
        """Return that the second note of a pair was off its time, if that is still to be told."""
        evened, self._evened = self._evened, None
        return [] if evened is None else [self._off_time(evened)]

    def _finds_uneven(self, follower: Follower) -> bool:
        pair = follower.recent_pair()
        return pair is not None and unpointed(pair, self._as_played(follower), self._limits) is not None

    def _as_played(self, follower: Follower) -> list[BeatHeard]:
        """The last three beats as their pointing is judged. Against a metronome a player may be off it for long: then
        none is taken to have been off, and the notes are their own measure."""
        if not self._against_metronome:
            return list(follower.recent)
        return [beat._replace(off=False) for beat in follower.recent]

    # --- findings ---

    def _too_even(self, found: Unpointed, one: BeatHeard) -> Finding:
        first, asked_ratio = found.pair.first, found.pair.ratio
        asked_words, played_words = ratio_words(asked_ratio), ratio_words(found.ratio)
        name, other = melody_label(self._asked, first), melody_label(self._asked, first + 1)
        one_note, next_note = (name, other) if name != other else ("the first", "the second")
        wish = f"hold {one_note}, cut {next_note}" if asked_ratio > 1.0 else f"cut {one_note}, hold {next_note}"
        bar = bar_words(self._asked, first)
        text = f"{bar}: {name} to {other} was {played_words} where {asked_words} is asked; {wish}."
        return self._finding(FindingKind.POINTING, one, asked_words, played_words, found.off_s, text)

    def _off_time(self, beat: BeatHeard) -> Finding:
        assert beat.due is not None
        off_s = beat.at_s - beat.due.at_s
        kind = FindingKind.LATE if off_s > 0.0 else FindingKind.EARLY
        label = melody_label(self._asked, beat.played)
        against = "the metronome" if self._against_metronome else "your pulse"
        text = (
            f"{bar_words(self._asked, beat.played)}: {label} came {abs(off_s) * 1000.0:.0f} ms {kind.value} "
            f"against {against}."
        )
        note = self._asked.played(beat.played).note.note
        letter = note.letter if note is not None else ""
        return self._finding(kind, beat, letter, letter, off_s, text)

    def _finding(self, kind: FindingKind, beat: BeatHeard, wanted: str, heard: str, off_s: float, text: str) -> Finding:
        return finding_at(
            self._asked,
            beat.played,
            kind,
            at_s=beat.onset_s,
            wanted=wanted,
            heard=heard,
            ms=abs(off_s) * 1000.0,
            text=text,
            cause=kind.value,
        )


def _melody_times(asked: Asked) -> MelodyTimes:
    at_s = asked.schedule.note_onsets_s
    ends_s = (*at_s[1:], asked.schedule.duration_s)
    lengths_s = tuple(end - begin for begin, end in zip(at_s, ends_s, strict=True))
    return MelodyTimes(at_s, lengths_s, pairs(asked), halves(asked))
