"""Which findings are not told of a sound: those that what covers it may have made. Pure."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import pairwise, takewhile

from companion.hearing.heard import HARDLY_SURE, HeardNote
from companion.hearing.takes.again import FoundAgain
from companion.hearing.takes.reading.kinder import SHORT_S, SoundCover
from companion.hearing.takes.reading.octaves import OCTAVES, NameDoubt, OctaveDoubt, octaves_read
from companion.hearing.takes.reading.tune_reading import ReadSpan
from companion.hearing.takes.weighing import LengthWeighing
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Limits, Strictness
from companion.schedule.events import EventKind
from fingering.notes import Note

OF_MELODY = frozenset(
    {
        FindingKind.WRONG_NOTE,
        FindingKind.MISSING_NOTE,
        FindingKind.EARLY,
        FindingKind.LATE,
        FindingKind.POINTING,
        FindingKind.ORDER,
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
OF_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING})

CHANGED_WITHIN_S = 0.15
"""A finding on short sounds rests on what was heard so near it: a movement's gracenotes take some 0.1 s."""

MOVED_WITHIN_S, SAME_WITHIN_S = 0.06, 0.015
"""When a note began is not known within so much of a note that the tune alone put there: one that was heard begins as
near as the other to when it was read."""

OCTAVE_WITHIN_S = 0.5
"""When a note began is not known so near a long high note that was read as the low one; nor is it of the next."""

EDGES_MS = 10.0
"""Gracenotes in a sound are told to be uneven from so much more on than of a take in MIDI: nine in ten edges are heard
within 4 ms, a bore's within 8. On trial (seed 2001) even ones seemed uneven by up to 9 ms more than the limit."""

_NEAR_IN_PITCH = {Note.HIGH_G: Note.F, Note.F: Note.HIGH_G}
"""Less than a semitone apart: on trial (seed 2055) high G on F seemed to last up to 370 ms in rooms that hide much."""

LEAST_LONG_IN_ROOM_MS = 120.0
"""A gracenote that seems shorter in a room may be no long one: on trial one of 39 ms with its echo seemed to last
115 ms."""

QUICK_S = 0.021
"""Beside a gracenote that was heard for less, one that lasted no longer may not have been heard at all: on trial some
of 14 ms were not, in clear sound, of birls and taorluaths that were squeezed before a quick note."""

QUICK_IN_ROOM_S = 0.026
"""The length, in a room, beside which another gracenote may not have been heard: on trial those that were heard for
25 ms had lasted 14 to 20 there."""

SQUEEZED_S = 0.018
"""Gracenotes in a room that last less each may all be heard as one: on trial (seed 2301) three of 15 to 20 ms were."""

SURELY_LONG_MS = 100.0
LEAST_NOTE_IN_ROOM_S = 0.2
"""A melody note shorter than this between gracenotes is not surely heard in a room: on trial some of 85 ms were not, in
a tune as fast as a reel (166 ms for each as written, gracenotes and all)."""


@dataclass(frozen=True, slots=True, eq=False)
class Withholding:
    """What is known of a sound that tells which findings rest on it.

    changed_s: when those notes begin that were taken to be as asked for want of anything better. moved_s: when those
    begin that the tune put elsewhere than they were heard. weighed: where other readings were weighed. lengths: what
    weighs lengths; None where nothing can. heard: the notes as they were read, in order; first_heard: as they were
    heard before. again: which findings were the same at many places.
    found: what was found, and at which played note, before what is doubtful was taken to be as asked. strictness: how
    it is judged. short_sounds:
    whether they are heard at all. octaves, near: which notes may as
    well be their octave, or the note next to them; None where none may.
    """

    cover: SoundCover
    asked: Asked
    changed_s: Sequence[float]
    moved_s: Sequence[float]
    weighed: Sequence[ReadSpan]
    lengths: LengthWeighing | None
    heard: Sequence[HeardNote]
    first_heard: Sequence[HeardNote]
    again: FoundAgain
    found: Set[tuple[FindingKind, int]]
    strictness: Strictness
    short_sounds: bool
    octaves: OctaveDoubt | None = None
    near: NameDoubt | None = None

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
        if not finding.throughout and (self._has_moved(finding) or self._is_near_in_doubt(finding)):
            return True
        if not self.short_sounds and rests_on_gracenotes(finding, self.asked):
            return True
        if not self.cover.echo:
            return False
        return not finding.throughout and self._is_covered_by_echo(finding)

    def _is_covered(self, finding: Finding) -> bool:
        """Whether a finding on short sounds rests on what is not sure."""
        if finding.kind not in _OF_SHORT_SOUNDS or finding.throughout or _is_surely_long(finding):
            return False
        return any(abs(each - finding.at_s) < CHANGED_WITHIN_S for each in self.changed_s)

    def _has_moved(self, finding: Finding) -> bool:
        """Whether a note's time is known by the tune alone."""
        if finding.kind not in OF_TIME:
            return False
        if self.cover.echo and finding.kind is not FindingKind.POINTING:
            return not self._is_begun(finding)
        if self.cover.echo and any(
            each.at_s - OCTAVE_WITHIN_S < finding.at_s < each.stop_s + OCTAVE_WITHIN_S
            for each in octaves_read(self.first_heard, self.heard)
        ):
            return True
        return any(abs(each - finding.at_s) < MOVED_WITHIN_S for each in self.moved_s)

    def _is_begun(self, finding: Finding) -> bool:
        """Whether a note was heard to begin by itself where it is told to be early or late, after a sure one."""
        note = self.heard[max(0, self._at(finding))].note
        first = bisect_left(self.first_heard, finding.at_s - SAME_WITHIN_S, key=lambda each: each.at_s)
        stop = bisect_right(self.first_heard, finding.at_s + SAME_WITHIN_S, key=lambda each: each.at_s)
        ranks = [rank for rank in range(first, stop) if self.first_heard[rank].note is note]
        return any(not rank or not self._may_be(self.first_heard[rank - 1], note) for rank in ranks)

    def _may_be(self, note: HeardNote, other: Note) -> bool:
        """Whether a note may have been another."""
        if note.confidence < HARDLY_SURE and note.length_s < SHORT_S:
            return True
        return OCTAVES.get(note.note) is other and (self.octaves is None or self.octaves.hides(note))

    def _is_near_in_doubt(self, finding: Finding) -> bool:
        """Whether a finding rests on a note that may as well be the one next to it, as F and high G under drones."""
        if self.near is None or finding.kind in OF_TIME:
            return False
        first = bisect_left(self.first_heard, finding.at_s - CHANGED_WITHIN_S, key=lambda each: each.stop_s)
        around = takewhile(lambda each: each.at_s < finding.at_s + CHANGED_WITHIN_S, self.first_heard[first:])
        return any(map(self.near.holds, around))

    def _is_covered_by_echo(self, finding: Finding) -> bool:
        """Whether a room's echo alone may make such a finding: it makes short notes longer or hides them."""
        weighed = is_in_any(finding.at_s, self.weighed)
        match finding.kind:
            case FindingKind.UNEVEN:
                within_s = 0.001 * self._limits.uneven_ms
                return self.lengths is None or not self.lengths.is_clearly_uneven(finding, within_s)
            case FindingKind.MISSING_NOTE | FindingKind.WRONG_NOTE:
                hidden = self._is_hidden_by_octave(finding) or (not weighed and _is_short(finding.played, self.asked))
                return len(finding.asked) == 1 and hidden
            case FindingKind.LONG_GRACENOTE:
                if self.lengths is None:
                    return not _is_surely_long(finding)
                if self.cover.overstates and self._leads_to(finding, _NEAR_IN_PITCH):
                    return True
                if self._leads_to(finding, OCTAVES) and self._hides_octave(finding, finding.heard):
                    return True
                return (finding.ms or 0.0) < LEAST_LONG_IN_ROOM_MS or not self.lengths.is_clearly_long(finding)
            case FindingKind.EXTRA_NOTE | FindingKind.EXTRA_GRACENOTE:
                # On trial high notes that were low ones seemed sure for 100 ms, but no low ones that were high.
                is_low = any(each.letter == finding.heard and each < other for each, other in OCTAVES.items())
                return not (weighed and is_low) and self._is_octave_beside(finding)
            case FindingKind.MISSING_GRACENOTE:
                # On trial some were lost in an echo: only what was weighed tells these from those not played.
                return not weighed or (self._leads_to(finding, OCTAVES) and self._is_octave_in_doubt(finding))
            case _:
                return False

    def is_too_quick(self, finding: Finding) -> bool:
        """Whether a gracenote that is told to be missing may have been too quick to be heard, or one between two that
        seem one long one, since others of its movement are hardly heard either."""
        if finding.kind not in (FindingKind.MISSING_GRACENOTE, FindingKind.UNEVEN) or finding.throughout:
            return False
        if finding.kind is FindingKind.UNEVEN and (self.cover.echo or self._are_all_timed(finding)):
            return False  # in a room its lengths are weighed
        if self.cover.echo and self._is_squeezed(finding):
            return True
        quick_s = QUICK_IN_ROOM_S if self.cover.echo else QUICK_S
        movements = (*_movement(self.heard, finding.at_s), *_movement(self.first_heard, finding.at_s))
        return any(each.length_s < quick_s for each in movements)

    def _is_squeezed(self, finding: Finding) -> bool:
        """Whether what was heard of a movement is so short that it may have been all of its gracenotes."""
        count = self._gracenotes(finding)
        heard_s = sum(each.length_s for each in _movement(self.heard, finding.at_s))
        return 0.0 < heard_s < SQUEEZED_S * count

    def _gracenotes(self, finding: Finding) -> int:
        """How many gracenotes were asked for where a finding is told."""
        asked = [each for each in self.asked.schedule.events if each.played == finding.played]
        return sum(each.kind is EventKind.GRACENOTE for each in asked)

    def _are_all_timed(self, finding: Finding) -> bool:
        """Whether each gracenote of an uneven embellishment was heard by itself, as long as it is told to be."""
        if len(finding.heard) != self._gracenotes(finding):
            return False
        return all(_like(each, self.first_heard) for each in _movement(self.heard, finding.at_s))

    def is_by_a_hair(self, finding: Finding) -> bool:
        """Whether an embellishment is uneven, or in a room a note early or late, by no more than its edges may be off
        in a sound."""
        limits = self._limits
        over_ms = (finding.ms or 0.0) - EDGES_MS
        match finding.kind:
            case FindingKind.UNEVEN:
                return over_ms < limits.uneven_ms
            case FindingKind.EARLY | FindingKind.LATE:
                return self.cover.echo and not finding.throughout and over_ms < limits.off_time_ms
            case _:
                return False

    @property
    def _limits(self) -> Limits:
        return self.strictness.limits.slowed(self.asked.terms.gracenotes_slowed)

    def _is_hidden_by_octave(self, finding: Finding) -> bool:
        """Whether a melody note may have sounded that was asked for, hidden by the one an octave above: where that was
        heard instead, or, if none was, beside."""
        above = next((other for each, other in OCTAVES.items() if each < other and each.letter == finding.asked), None)
        if above is None or (finding.kind is FindingKind.WRONG_NOTE and finding.heard != above.letter):
            return False
        return self._hides_octave(finding, above.letter)

    def _hides_octave(self, finding: Finding, letter: str) -> bool:
        """Whether in a note of a letter, where a finding is told or beside, its octave may have sounded."""
        at = self._at(finding)
        near = [each for each in self.heard[max(0, at - 1) : at + 3] if each.note.letter == letter]
        return any(self.octaves is None or self.octaves.hides(each) for each in near)

    def _leads_to(self, finding: Finding, others: Mapping[Note, Note]) -> bool:
        """Whether a gracenote has its other one on one side, melody notes alone."""
        ranks = [self.asked.note_tokens[each] for each in (max(0, finding.played - 1), finding.played)]
        beside = {self.asked.tokens[rank].note for rank in ranks if rank is not None}
        return any(others.get(each) in beside for each in Note if each.letter in finding.asked)

    def _is_octave_beside(self, finding: Finding) -> bool:
        """Whether what was too much may have been the note beside it, an octave away."""
        at = self._at(finding)
        near = self.heard[max(0, at - 1) : at + 2]
        return self._is_octave_in_doubt(finding) and any(
            OCTAVES.get(one.note) is other.note and finding.heard in (one.note.letter, other.note.letter)
            for one, other in pairwise(near)
        )

    def _is_octave_in_doubt(self, finding: Finding) -> bool:
        """Whether a note where a finding is told, or beside, may as well be its octave."""
        at = self._at(finding)
        return self.octaves is None or any(map(self.octaves.holds, self.heard[max(0, at - 1) : at + 2]))

    def _at(self, finding: Finding) -> int:
        """The note that sounds where a finding is told; -1 before the first."""
        return bisect_right(self.heard, finding.at_s + 1e-6, key=lambda each: each.at_s) - 1


def _movement(notes: Sequence[HeardNote], at_s: float) -> Iterator[HeardNote]:
    """Yield the short notes in a row around a moment."""
    at = max(0, bisect_right(notes, at_s + 1e-6, key=lambda each: each.at_s) - 1)
    yield from takewhile(_is_of_movement, reversed(notes[:at]))
    yield from takewhile(_is_of_movement, notes[at:])


def _like(note: HeardNote, notes: Sequence[HeardNote]) -> bool:
    """Whether one of the notes has the same name, and begins and ends nearly then."""
    at = bisect_left(notes, note.at_s - SAME_WITHIN_S, key=lambda each: each.at_s)
    near = takewhile(lambda each: each.at_s <= note.at_s + SAME_WITHIN_S, notes[at:])
    return any(each.note is note.note and abs(each.stop_s - note.stop_s) <= SAME_WITHIN_S for each in near)


def _is_of_movement(note: HeardNote) -> bool:
    return note.length_s < SHORT_S


def is_in_any(at_s: float, spans: Sequence[ReadSpan]) -> bool:
    """Whether a moment lies in any of the spans."""
    return any(each.holds(at_s) for each in spans)


def changed_s(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[float]:
    """When those notes begin that were read otherwise than they were heard."""
    return [each.at_s for each in {*heard} ^ {*read}]


def moved_s(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[float]:
    """When those notes begin of which there is none of their name in the other, but for some ms of their beginning."""
    return [*_without_like(heard, read), *_without_like(read, heard)]


def _without_like(some: Sequence[HeardNote], others: Sequence[HeardNote]) -> Iterator[float]:
    starts = [each.at_s for each in others]
    for each in some:
        first = bisect_left(starts, each.at_s - SAME_WITHIN_S)
        near = others[first : bisect_right(starts, each.at_s + SAME_WITHIN_S)]
        if not any(one.note is each.note for one in near):
            yield each.at_s


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


def _is_short(played: int, asked: Asked) -> bool:
    """Whether a melody note is short besides its gracenotes, by the tempo as asked."""
    rank = asked.note_tokens[played]
    return rank is not None and asked.tokens[rank].end_s - asked.tokens[rank].start_s < LEAST_NOTE_IN_ROOM_S


def _is_surely_long(finding: Finding) -> bool:
    """Whether a gracenote was as long as a melody note, which is heard under anything."""
    return finding.kind is FindingKind.LONG_GRACENOTE and (finding.ms or 0.0) >= SURELY_LONG_MS
