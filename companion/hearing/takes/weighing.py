"""Weighs how long a short note was, by what a sound said at each moment: an echo makes it longer. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, takewhile

import numpy as np

from companion.hearing.heard import HeardNote
from companion.hearing.spectra import Floats
from companion.hearing.takes.around import begun_near, like, sounding_at
from companion.hearing.takes.reading.counted import CountedEvidence
from companion.hearing.takes.reading.expected_way import PUT_IN_NATS, SHORTEST_MOMENTS
from companion.hearing.takes.reading.octaves import NEIGHBOURS, OCTAVES
from companion.listen.model.findings import Finding
from fingering.notes import Note

RIGHT_S = 0.075
"""No gracenote is long that is shorter: at usual strictness each passes up to 85 ms, and an end may be 10 ms off."""

LONG_S, LONG_BEFORE_OCTAVE_S = 0.1, 0.104
"""A gracenote that its pitch tells to have sounded for as long is a long one, whatever was read of its end; before its
octave, which begins unheard, from a little more on (31 seeds: of 26 that seemed
as long by their pitch 23 were, of four of 102 ms and less none)."""

OFTEN_LONG_S = (0.08, 0.14)
OFTEN = 2
"""The chanter in its room makes such a gracenote long if so many others, or more, were heard to last for so long before
that octave: on trial a bagpipe's reed, whose high G of 40 ms before low G seemed to last for 80 to 125 at two to seven
places of three takes."""

SOUNDS_ON_S = 0.05
"""A note that was heard to last for so much longer than it was read to is no gracenote whose end is known."""

LENGTH_NATS = 10.0
"""The nats by which it must be likelier that a gracenote was as long as it was read than short, to be long: on trial
(eight seeds) 10 and more of 13 long ones, 9 at most of those that an echo had made long, but before an F or high G."""

UNEVEN_NATS, HARDLY_UNEVEN_NATS = 6.0, 15.0
"""The nats by which it must be likelier that a gracenote was as long as it was read than nearly as long as its fellows,
to be uneven; an F that leads to a high G by so many more. On trial (31 seeds, seven sources in rooms) 6 and more of 119
of 122 uneven embellishments whose gracenotes were heard, of 5 of 24 even ones that seemed as uneven; 15 and more of 10
of 12 with such an F, and of 2 even ones. Of two gracenotes, of which one edge makes one longer and the other shorter,
so many more as well: 10 of 12 even pairs that seemed as uneven had less."""

BEFORE_UNHEARD_NATS = 33.0
"""The nats for one that leads to a note that begins unheard, within the embellishment. On trial (eleven seeds, seven
sources in rooms of 0.4 s) 33 and more of 9 of 11 uneven embellishments that had one, of two places, and of one of 36
even ones that seemed to have one."""

NEAR_S = 0.3
"""The longest time between the beginning of a long gracenote and where it is told."""


@dataclass(frozen=True, slots=True, eq=False)
class LengthWeighing:
    """A scale for the lengths of the notes that were read. first_heard: the notes as they were heard before."""

    counted: CountedEvidence
    notes: Sequence[HeardNote]
    first_heard: Sequence[HeardNote]

    def is_clearly_long(self, finding: Finding, least_nats: float) -> bool:
        """Whether a gracenote that was told as long cannot as well have been short, ended or begun by its echo: is
        less likely so by that much."""
        found = self._nearest(finding.heard, finding.at_s)
        if found is None or self._ended_otherwise(self.notes[found]):
            return False
        return self._nats_against_shorter(found, RIGHT_S) >= least_nats

    def _ended_otherwise(self, told: HeardNote) -> bool:
        """Whether a note was heard to end long before it was read to, for what follows is then another, or its echo; or
        to sound on long after, for what ends it was then put there by the tune alone."""
        heard_s = max((self._sounding_s(told, each) for each in self._heard_as(told)), default=RIGHT_S)
        return heard_s < RIGHT_S or heard_s > told.length_s + SOUNDS_ON_S

    def _sounding_s(self, told: HeardNote, heard: HeardNote) -> float:
        """How long a note sounded that was heard, with those after it that could as well be it."""
        after = self.first_heard[sounding_at(self.first_heard, heard.at_s) + 1 :]
        stop_s = max((each.stop_s for each in takewhile(lambda each: told.note in each.others, after)), default=0.0)
        return max(stop_s, heard.stop_s) - heard.at_s

    def _heard_as(self, told: HeardNote) -> list[HeardNote]:
        """The notes of a note's name that were heard, before it was read, to begin when it does."""
        begun = [self.first_heard[at] for at in begun_near(self.first_heard, told.at_s)]
        return [each for each in begun if each.note is told.note]

    def is_told_by_pitch(self, finding: Finding, least_s: float = LONG_S) -> bool:
        """Whether the pitch of a gracenote that was told as long says that it sounded all the time, which was so
        long."""
        found = self._nearest(finding.heard, finding.at_s)
        if found is None:
            return False
        return any(each.by_pitch and each.length_s >= least_s for each in self._heard_as(self.notes[found]))

    def is_heard_as_long(self, finding: Finding, least_s: float) -> bool:
        """Whether a gracenote that was told as long was heard by itself to be as long as that."""
        found = self._nearest(finding.heard, finding.at_s)
        heard = [] if found is None else self._heard_as(self.notes[found])
        return any(each.length_s >= least_s for each in heard) and self.is_clearly_long(finding, LENGTH_NATS)

    def is_often_long(self, finding: Finding) -> bool:
        """Whether a gracenote that was told as long seems long at other places too, before the note that follows."""
        found = self._nearest(finding.heard, finding.at_s)
        if found is None or found + 1 == len(self.notes):
            return False
        told, after = self.notes[found], self.notes[found + 1]
        shortest_s, longest_s = OFTEN_LONG_S
        others = [
            one
            for one, other in pairwise(self.first_heard)
            if one.note is told.note and other.note is after.note and abs(one.at_s - told.at_s) > NEAR_S
        ]
        return sum(shortest_s <= each.length_s < longest_s for each in others) >= OFTEN

    def is_clearly_uneven(self, finding: Finding, within_s: float) -> bool:
        """Whether the longest gracenote of an embellishment that was told as uneven cannot as well have been longer
        than its fellows by no more than `within_s`, ended or begun by its echo."""
        count = len(finding.heard)
        first = self._nearest(finding.heard, finding.at_s)
        if first is None or count < 2:
            return False
        lengths = [each.length_s for each in self.notes[first : first + count]]
        longest = max(range(count), key=lambda rank: lengths[rank])
        fellows_s = (sum(lengths) - lengths[longest]) / (count - 1)
        if not self._is_length_heard(first, longest, count):
            return False
        least = self._least_uneven_nats(first, longest, count)
        return self._nats_against_shorter(first + longest, fellows_s + within_s) > least

    def _is_length_heard(self, first: int, longest: int, count: int) -> bool:
        """Whether the longest of so many gracenotes in a row has a length of its own, which neither what was found by
        the tune alone has nor what lies beside that; or was heard to begin and to end, and so were all of them, which
        is what its fellows' mean rests on."""
        graces, after = self.notes[first : first + count], self.notes[first + count : first + count + 1]
        beside = graces[max(0, longest - 1) : longest + 2]
        is_known = all(map(self._heard_as, beside)) or (
            bool(self._heard_as(graces[0])) and bool(like(graces[longest], self.first_heard))
        )
        return is_known and all(map(self._heard_as, after))

    def _least_uneven_nats(self, first: int, longest: int, count: int) -> float:
        """Return by how much it must be likelier that the longest of so many gracenotes in a row was as long as it was
        read, to be uneven."""
        rank = first + longest
        note = self.notes[rank].note
        after = self.notes[rank + 1].note if rank + 1 < len(self.notes) else None
        if after is not None and _begins_unheard(after, note):
            return PUT_IN_NATS if longest == count - 1 else BEFORE_UNHEARD_NATS
        is_beside = after is not None and NEIGHBOURS.get(note) is after
        return HARDLY_UNEVEN_NATS if is_beside or count == 2 else UNEVEN_NATS

    def _nats_against_shorter(self, rank: int, most_s: float) -> float:
        """Return by how much it is likelier that a note was as long as it was read than that it was no longer than
        that: ended sooner, or begun later."""
        told, before, after = (
            self.notes[rank],
            self.notes[max(0, rank - 1)],
            self.notes[min(rank + 1, len(self.notes) - 1)],
        )
        moment, changing = self.counted.evidence.moment, self.counted.changing
        begin, stop = moment(told.at_s), moment(told.stop_s)
        shortest, most = SHORTEST_MOMENTS, round(most_s / self.counted.evidence.hop_s)
        if stop - begin <= max(shortest, most) or stop >= len(changing):
            return 0.0
        most = max(shortest, most)
        over = np.cumsum(self._as_other(told, after, begin, stop)[::-1])[::-1]  # from each moment on
        sooner = over[shortest : most + 1] + changing[begin + shortest : begin + most + 1]
        till = np.cumsum(self._as_other(told, before, begin, stop))  # up to and with each moment
        later = till[-most - 1 : -shortest] + changing[stop - most : stop - shortest + 1]
        return float(min(sooner.min() - changing[stop], later.min() - changing[begin]))

    def _as_other(self, told: HeardNote, other: HeardNote, begin: int, stop: int) -> Floats:
        """How much more each moment of a stretch costs as another note than as the one that is told there."""
        part = self.counted.costs[begin:stop]
        return np.asarray(part[:, other.note] - part[:, told.note])

    def _nearest(self, letters: str, at_s: float) -> int | None:
        """The first of the notes of these letters in a row that begin nearest to a time; None where none do."""
        near = [
            rank
            for rank in begun_near(self.notes, at_s, NEAR_S)
            if [each.note.letter for each in self.notes[rank : rank + len(letters)]] == [*letters]
        ]
        return min(near, key=lambda rank: abs(self.notes[rank].at_s - at_s), default=None)


def _begins_unheard(note: Note, before: Note) -> bool:
    """Whether a note begins unheard in the echo of the one before for some 30 ms: its octave, or an F after high G. On
    trial (31 seeds) of 33 even embellishments that seemed uneven by 15 nats and more 20 had their longest gracenote
    before one that began so."""
    return OCTAVES.get(before) is note or (before is Note.HIGH_G and note is Note.F)
