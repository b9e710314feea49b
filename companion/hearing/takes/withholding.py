"""Which findings are not told of a sound: those that what covers it may have made. Pure."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence, Set
from dataclasses import dataclass
from itertools import pairwise, takewhile

from companion.hearing.heard import HeardNote
from companion.hearing.takes.again import FoundAgain
from companion.hearing.takes.around import SAME_WITHIN_S, leading_to, like, movement, sounding_at
from companion.hearing.takes.echo_made import EchoMade, is_surely_long
from companion.hearing.takes.reading.kinder import SoundCover
from companion.hearing.takes.reading.octaves import NameDoubt
from companion.hearing.takes.times_known import OF_TIME, KnownTimes
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Limits
from companion.schedule.events import EventKind

OF_MELODY = frozenset(
    {
        FindingKind.WRONG_NOTE,
        FindingKind.MISSING_NOTE,
        FindingKind.EARLY,
        FindingKind.LATE,
        FindingKind.POINTING,
        FindingKind.ORDER,
        FindingKind.RESTART,
    }
)
"""The findings on long notes, which are told of a recording in which short sounds are not heard. Silences are not among
it: where so much is covered, some notes are too."""

_OF_SHORT_SOUNDS = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
        FindingKind.CROSSING,
    }
)
CHANGED_WITHIN_S = 0.15
"""A finding on short sounds rests on what was heard so near it: a movement's gracenotes take some 0.1 s."""

EDGES_MS, EDGES_IN_ROOM_MS, TIME_IN_ROOM_MS = 10.0, 4.0, 22.0
"""Gracenotes in a sound are told to be uneven from so much more on than of a take in MIDI: nine in ten edges are heard
within 4 ms, a bore's within 8. On trial (seed 2001) even ones seemed uneven by up to 9 ms more than the limit. In a
room their lengths are weighed besides; there a note is told to be early or late from the third on: on trial (45 seeds)
9 of 30 that were neither, nor by MIDI, were so by less, and one of 440 that were."""

QUICK_S = 0.021
"""Beside a gracenote that was heard for less, one that lasted no longer may not have been heard at all: on trial some
of 14 ms were not, in clear sound, of birls and taorluaths that were squeezed before a quick note."""

QUICK_IN_ROOM_S = 0.026
"""In a room, in a movement that is short of time, a gracenote may not have been heard beside another that was heard for
less than this: on trial those that were heard for 25 ms had lasted 14 to 20 there."""

TIME_S, TIMES_AS_LONG = 0.1, 2.0
"""A movement is short of time where the note before it or its own lasts less, or less than so many times as long as
what was heard of the movement: what takes less of those than it leaves is not squeezed (a choice). On trial (four
seeds, seven sources at half a metre) of 21 gracenotes that were missing, and hidden by others of 20 to 25 ms beside
them, 17 are told by this."""

SQUEEZED_S = 0.018
"""Gracenotes in a room that last less each may all be heard as one: on trial (seed 2301) three of 15 to 20 ms were."""


@dataclass(frozen=True, slots=True, eq=False)
class Withholding:
    """What is known of a sound that tells which findings rest on it.

    changed_s: when those notes begin that were taken to be as asked for want of anything better. times: when notes
    began. echo: what a room's echo may have made; None where there is none. heard: the notes as they were read, in
    order; first_heard: as they were heard before. again: which findings were the same at many places. found: what was
    found, and at which played note, before what is doubtful was taken to be as asked. limits: by which it is judged.
    short_sounds: whether they are heard at all. near: which notes may as well be the note next to them; None where none
    may.
    """

    cover: SoundCover
    asked: Asked
    changed_s: Sequence[float]
    times: KnownTimes
    echo: EchoMade | None
    heard: Sequence[HeardNote]
    first_heard: Sequence[HeardNote]
    again: FoundAgain
    found: Set[tuple[FindingKind, int]]
    limits: Limits
    short_sounds: bool
    near: NameDoubt | None

    def is_withheld(self, finding: Finding) -> bool:
        """Whether a finding is not to be told, for whatever reason."""
        return self.is_untold(finding) or self.is_too_quick(finding) or self.is_by_a_hair(finding)

    def is_untold(self, finding: Finding) -> bool:
        """Whether a finding is not to be told."""
        if not self.cover.other:
            return False
        if not finding.throughout and (finding.kind, finding.played) not in self.found:
            return True  # kindness finds nothing
        if self._is_covered(finding) or ((self.cover.echo or self.cover.overstates) and self.again.holds(finding)):
            return True
        if not finding.throughout and (not self.times.hold(finding) or self._is_near_in_doubt(finding)):
            return True
        if not self.short_sounds and rests_on_gracenotes(finding, self.asked):
            return True
        return self.echo is not None and not finding.throughout and self.echo.holds(finding)

    def _is_covered(self, finding: Finding) -> bool:
        """Whether a finding on short sounds rests on what is not sure."""
        if finding.kind not in _OF_SHORT_SOUNDS or finding.throughout or is_surely_long(finding):
            return False
        return any(abs(each - finding.at_s) < CHANGED_WITHIN_S for each in self.changed_s)

    def _is_near_in_doubt(self, finding: Finding) -> bool:
        """Whether a finding rests on a note that may as well be the one next to it, as F and high G under drones."""
        if self.near is None or finding.kind in OF_TIME:
            return False
        first = bisect_left(self.first_heard, finding.at_s - CHANGED_WITHIN_S, key=lambda each: each.stop_s)
        around = takewhile(lambda each: each.at_s < finding.at_s + CHANGED_WITHIN_S, self.first_heard[first:])
        return any(map(self.near.holds, around))

    def is_too_quick(self, finding: Finding) -> bool:
        """Whether a gracenote that is told to be missing may have been too quick to be heard, or one between two that
        seem one long one, since others of its movement are hardly heard either."""
        if finding.kind not in (FindingKind.MISSING_GRACENOTE, FindingKind.UNEVEN) or finding.throughout:
            return False
        if finding.kind is FindingKind.UNEVEN and (self.cover.echo or self._are_all_timed(finding)):
            return False  # in a room its lengths are weighed
        short_of_time = self.cover.echo and self._is_short_of_time(finding)
        is_one_alone = self.cover.echo and len(self._fellows(finding, self.heard)) == 1
        if (short_of_time or is_one_alone) and self._is_squeezed(finding):
            return True
        quick_s = QUICK_IN_ROOM_S if short_of_time else QUICK_S
        return any(
            each.length_s < quick_s for some in (self.heard, self.first_heard) for each in self._fellows(finding, some)
        )

    def _is_squeezed(self, finding: Finding) -> bool:
        """Whether what was heard of a movement is so short that it may have been all of its gracenotes: not where its
        pitch tells that it was one, from its beginning to its end."""
        first_heard, heard = (self._fellows(finding, each) for each in (self.first_heard, self.heard))
        if first_heard and all(each.by_pitch for each in first_heard):
            return False
        heard_s = sum(each.length_s for each in heard)
        return 0.0 < heard_s < SQUEEZED_S * self._gracenotes(finding)

    def _is_short_of_time(self, finding: Finding) -> bool:
        """Whether the note before the movement in which a gracenote is told to be missing, or its own, is hardly longer
        than gracenotes are."""
        onto = max(0, sounding_at(self.heard, finding.at_s + SAME_WITHIN_S))
        before = onto - 1 - (self._sounds_between(finding) - len(finding.asked))
        shorter_s = min(self.heard[onto].length_s, self.heard[max(0, before)].length_s)
        heard_s = sum(each.length_s for each in self._fellows(finding, self.heard))
        return shorter_s < max(TIME_S, TIMES_AS_LONG * heard_s)

    def _sounds_between(self, finding: Finding) -> int:
        """How many sounds were asked for between the melody note of a finding and the one before: a gracenote by the
        name of either is heard as that."""
        before, own = (self.asked.note_tokens[each] for each in (max(0, finding.played - 1), finding.played))
        return self._gracenotes(finding) if before is None or own is None else max(0, own - before - 1)

    def _fellows(self, finding: Finding, notes: Sequence[HeardNote]) -> list[HeardNote]:
        """What was heard of the movement in which a gracenote is told to be missing, or uneven."""
        rank = self.asked.note_tokens[finding.played]
        if finding.kind is FindingKind.UNEVEN or rank is None:
            return [*movement(notes, finding.at_s)]
        return [*leading_to(notes, self.asked.tokens[rank].note, finding.at_s)]

    def _gracenotes(self, finding: Finding) -> int:
        """How many gracenotes were asked for where a finding is told."""
        asked = [each for each in self.asked.schedule.events if each.played == finding.played]
        return sum(each.kind is EventKind.GRACENOTE for each in asked)

    def _are_all_timed(self, finding: Finding) -> bool:
        """Whether each gracenote of an uneven embellishment was heard by itself, as long as it is told to be."""
        if len(finding.heard) != self._gracenotes(finding):
            return False
        return all(like(each, self.first_heard) for each in movement(self.heard, finding.at_s))

    def is_by_a_hair(self, finding: Finding) -> bool:
        """Whether an embellishment is uneven, or in a room a note early or late, by no more than its edges may be off
        in a sound."""
        by_ms = finding.ms or 0.0
        match finding.kind:
            case FindingKind.UNEVEN:
                return by_ms - (EDGES_IN_ROOM_MS if self.cover.echo else EDGES_MS) < self.limits.uneven_ms
            case FindingKind.EARLY | FindingKind.LATE:
                is_near = by_ms - TIME_IN_ROOM_MS < self.limits.off_time_ms
                return self.cover.echo and not finding.throughout and is_near
            case _:
                return False


def changed_s(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[float]:
    """When those notes begin that were read otherwise than they were heard."""
    return [each.at_s for each in {*heard} ^ {*read}]


def rests_on_gracenotes(finding: Finding, asked: Asked) -> bool:
    """Whether a finding on melody needs gracenotes to be heard: how many equal notes there were in a row, or when each
    began, is told by the gracenotes between them; and where one is lost in a row, more seem to be skipped."""
    if finding.kind not in OF_MELODY or finding.throughout:
        return False
    if finding.kind is FindingKind.MISSING_NOTE and len(finding.asked) > 1:
        return True
    ranks = [asked.note_tokens[each] for each in range(max(0, finding.played - 2), finding.played + 1)]
    notes = [None if rank is None else asked.tokens[rank].note for rank in ranks]
    return any(one is not None and one is other for one, other in pairwise(notes))
