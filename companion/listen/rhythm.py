"""Early, late and pointing: melody onsets against the learner's own pulse, or against the metronome.

A note is off its time, or a pair too even, only when it is so by every custom that may be the player's.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from statistics import median

from companion.listen.asked import Asked
from companion.listen.customs import CUSTOMS, Beat, Follower, HeardUnit, plausible
from companion.listen.findings import Finding, FindingKind
from companion.listen.pointing import Unpointed, pairs, ratio_words, unpointed
from companion.listen.pulse import FIRST_NOTES, Metronome, Pulse, first_ratio
from companion.listen.strictness import Limits
from companion.listen.words import bar_words, melody_label

FEWEST_NOTES = 3


class Rhythm:
    """Judges melody onsets in the order in which they were heard.

    moments: the played notes with when their beat was taken to be, in s.
    """

    def __init__(self, asked: Asked, limits: Limits, *, against_metronome: bool = False) -> None:
        self._asked, self._limits = asked, limits
        self._places_s = asked.schedule.note_onsets_s
        ends_s = (*self._places_s[1:], asked.schedule.duration_s)
        self._lengths_s = tuple(end - begin for begin, end in zip(self._places_s, ends_s, strict=True))
        self._pairs = pairs(asked)
        self._against_metronome = against_metronome
        self._followers: list[Follower] = []
        self._waiting: list[HeardUnit] = []
        self._off_s: list[float] = []
        self.moments: list[tuple[int, float]] = []

    def heard(self, unit: HeardUnit) -> list[Finding]:
        """Take in the next melody note."""
        if not self._followers:
            self._waiting.append(unit)
            return self._begin() if len(self._waiting) >= FIRST_NOTES else []
        return self._judge(unit)

    def cut(self) -> list[Finding]:
        """What follows has nothing to do with what was before: a stop, a leap, the end."""
        found = self._begin() if len(self._waiting) >= FEWEST_NOTES else []
        self._waiting.clear()
        for follower in self._followers:
            follower.cut()
        return found

    def hesitated(self, from_s: float, to_s: float) -> bool:
        """Whether a note that was far off its time began between these two moments."""
        return any(from_s <= onset_s <= to_s for onset_s in self._off_s)

    # --- the first notes ---

    def _begin(self) -> list[Finding]:
        waiting, self._waiting = self._waiting, []
        for custom in CUSTOMS:
            pulse = self._first_pulse([(self._places_s[unit.played], unit.moment_s(custom)) for unit in waiting])
            if pulse is None:
                self._followers.clear()
                return []
            self._followers.append(Follower(custom, pulse))
        return [finding for unit in waiting for finding in self._judge(unit)]

    def _first_pulse(self, moments: list[tuple[float, float]]) -> Pulse | Metronome | None:
        if self._against_metronome:
            place_s, at_s = moments[0]
            return Metronome(at_s - place_s, self._beat_length_s())
        ratio = first_ratio(moments)
        return Pulse(ratio) if ratio is not None and ratio > 0.0 else None

    def _beat_length_s(self) -> float:
        beats = self._asked.schedule.beats
        return median(after.at_s - before.at_s for before, after in pairwise(beats)) if len(beats) > 1 else 1.0

    # --- judging ---

    def _judge(self, unit: HeardUnit) -> list[Finding]:
        believed = plausible(self._followers)
        beats = {id(each): self._hear(each, unit) for each in self._followers}
        told = [beats[id(each)] for each in believed]
        self.moments.append((unit.played, told[0].at_s))
        found = self._pointing(believed)
        if all(beat.off for beat in told):
            self._off_s.append(unit.onset_s)
            if not self._evens(told[0]):
                found.append(self._off_time(told[0]))
        return found

    def _hear(self, follower: Follower, unit: HeardUnit) -> Beat:
        place_s, length_s = self._places_s[unit.played], self._lengths_s[unit.played]
        limit = (self._limits.off_time_ms / 1000.0, self._limits.off_time_spreads)
        beat = follower.beat(unit, place_s, length_s, limit)
        if unit.apart:
            beat = replace(beat, off=False)
        follower.hear(unit, beat, place_s, length_s)
        return beat

    def _evens(self, beat: Beat) -> bool:
        """Whether a note is the second of a pair and strays to where the two are more alike: then its pointing is
        judged, not its time."""
        pair = self._pairs.get(beat.played - 1)
        return pair is not None and beat.due is not None and (beat.at_s < beat.due.at_s) == (pair.ratio > 1.0)

    def _pointing(self, believed: list[Follower]) -> list[Finding]:
        if any(len(each.recent) < 3 for each in believed):
            return []
        one, two, three = believed[0].recent
        pair = self._pairs.get(one.played)
        if pair is None or (two.played, three.played) != (one.played + 1, one.played + 2):
            return []
        found = [unpointed(pair, self._as_played(each), self._limits) for each in believed]
        return [self._too_even(found[0], one)] if found[0] is not None and all(found) else []

    def _as_played(self, follower: Follower) -> list[Beat]:
        """The last beats. Against a metronome a player may be off it for long: then the notes are their own measure."""
        return [replace(beat, off=beat.off and not self._against_metronome) for beat in follower.recent]

    # --- findings ---

    def _too_even(self, found: Unpointed, one: Beat) -> Finding:
        first, asked_ratio = found.pair.first, found.pair.ratio
        asked_words, played_words = ratio_words(asked_ratio), ratio_words(found.ratio)
        name, other = melody_label(self._asked, first), melody_label(self._asked, first + 1)
        wish = f"hold {name}, cut {other}" if asked_ratio > 1.0 else f"cut {name}, hold {other}"
        bar = bar_words(self._asked, first)
        text = f"{bar}: {name} to {other} was {played_words} where {asked_words} is asked; {wish}."
        return self._finding(FindingKind.POINTING, one, asked_words, played_words, found.off_s, text)

    def _off_time(self, beat: Beat) -> Finding:
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

    def _finding(self, kind: FindingKind, beat: Beat, asked: str, heard: str, off_s: float, text: str) -> Finding:
        each = self._asked.played(beat.played)
        return Finding(
            kind,
            beat.onset_s,
            each.bar.number,
            each.note.rank,
            beat.played,
            asked,
            heard,
            (),
            abs(off_s) * 1000.0,
            text,
            melody_label(self._asked, beat.played),
            kind.value,
        )
