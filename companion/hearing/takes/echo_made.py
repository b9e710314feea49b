"""The work of a room's echo alone: it lengthens short notes, hides them, and may be the octave. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.hearing.heard import HeardNote
from companion.hearing.notes.joining import touch
from companion.hearing.takes.around import begun_near, is_short, sounding_at
from companion.hearing.takes.reading.expected_way import PUT_IN_NATS
from companion.hearing.takes.reading.octaves import NEIGHBOURS, OCTAVES, OctaveDoubt
from companion.hearing.takes.reading.tune_reading import ReadSpan, is_in_any
from companion.hearing.takes.unnamed import UnnamedChanges
from companion.hearing.takes.weighing import LENGTH_NATS, LONG_BEFORE_OCTAVE_S, LengthWeighing
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note

SURELY_LONG_MS = 100.0
"""A gracenote that seems shorter in a room may be no long one, whatever is likelier; one as long is heard under
anything."""

FAR_LONGER_MS = 150.0
"""No gracenote seems as long for a note that begins unheard in its echo: its octave, or F after high G."""

LONG_UNHIDDEN_MS = 110.0
"""A gracenote before its octave is long from so much on where that cannot have sounded in it unheard, and others before
that octave do not seem long. On trial (20 seeds, seven sources in rooms of 0.4 s) so it was of eight that were long and
untold before, and of none of 30 that only seemed so."""

LEAST_NOTE_IN_ROOM_S = 0.2
"""A melody note shorter than this between gracenotes is not surely heard in a room: on trial some of 85 ms were not, in
a tune as fast as a reel (166 ms for each as written, gracenotes and all)."""


@dataclass(frozen=True, slots=True, eq=False)
class EchoMade:
    """Which findings a room's echo alone may have made. weighed: where other readings were weighed. lengths: what
    weighs lengths; None where nothing can. heard: the notes as they were read, in order. octaves: which notes may as
    well be their octave; None where that is not known. unnamed: where it changed as no note that was heard; likewise.
    uneven_s: by how much a gracenote is longer than its fellows without a word."""

    asked: Asked
    weighed: Sequence[ReadSpan]
    lengths: LengthWeighing | None
    heard: Sequence[HeardNote]
    octaves: OctaveDoubt | None
    unnamed: UnnamedChanges | None
    uneven_s: float

    def holds(self, finding: Finding) -> bool:
        """Whether a room's echo alone may make such a finding: it makes short notes longer or hides them."""
        weighed = is_in_any(finding.at_s, self.weighed)
        match finding.kind:
            case FindingKind.UNEVEN:
                return self.lengths is None or not self.lengths.is_clearly_uneven(finding, self.uneven_s)
            case FindingKind.MISSING_NOTE | FindingKind.WRONG_NOTE:
                hidden = self._is_hidden_by_octave(finding) or (not weighed and _is_short(finding.played, self.asked))
                return len(finding.asked) == 1 and hidden
            case FindingKind.LONG_GRACENOTE:
                if self.lengths is None or not is_surely_long(finding):
                    return not is_surely_long(finding)
                # On trial high G on F seemed to last up to 370 ms, clearly: but for its pitch.
                is_near = self._leads_to(finding, NEIGHBOURS)
                if is_near and not self.lengths.is_told_by_pitch(finding):
                    return not self.lengths.is_heard_as_long(finding, 0.001 * FAR_LONGER_MS)
                if self._leads_to(finding, OCTAVES):
                    return not self._is_long_before_octave(finding, self.lengths)
                if self.lengths.is_told_by_pitch(finding):
                    return False
                return not self.lengths.is_clearly_long(finding, PUT_IN_NATS if is_near else LENGTH_NATS)
            case FindingKind.WRONG_GRACENOTE:
                return self._is_in_octave(finding)
            case FindingKind.EXTRA_NOTE | FindingKind.EXTRA_GRACENOTE:
                # On trial high notes that were low ones seemed sure for 100 ms, but no low ones that were high.
                is_low = any(each.letter == finding.heard and each < other for each, other in OCTAVES.items())
                return not (weighed and is_low) and self._is_octave_beside(finding)
            case FindingKind.MISSING_GRACENOTE:
                # On trial some were lost in an echo: only what was weighed tells these from those not played.
                return not weighed or (self.unnamed is not None and self.unnamed.hold_gracenote(finding.at_s))
            case FindingKind.RESTART:
                return self._begins_after_a_short_note(finding)
            case _:
                return False

    def _is_long_before_octave(self, finding: Finding, lengths: LengthWeighing) -> bool:
        """Whether a gracenote was long that leads to its octave, which begins unheard."""
        hides, length_ms = self._hides_octave(finding, finding.heard), finding.ms or 0.0
        by_pitch = lengths.is_told_by_pitch(finding, LONG_BEFORE_OCTAVE_S)
        is_often_long = lengths.is_often_long(finding)
        if length_ms < FAR_LONGER_MS and is_often_long:
            return False
        if not by_pitch and (hides or length_ms < LONG_UNHIDDEN_MS):
            return False
        is_known = not hides and (by_pitch or not is_often_long)
        return lengths.is_clearly_long(finding, LENGTH_NATS if is_known else PUT_IN_NATS)

    def _is_hidden_by_octave(self, finding: Finding) -> bool:
        """Whether a melody note may have sounded that was asked for, hidden by the one an octave above: where that was
        heard instead, or, if none was, beside."""
        above = next((other for each, other in OCTAVES.items() if each < other and each.letter == finding.asked), None)
        if above is None or (finding.kind is FindingKind.WRONG_NOTE and finding.heard != above.letter):
            return False
        return self._hides_octave(finding, above.letter)

    def _hides_octave(self, finding: Finding, letter: str) -> bool:
        """Whether in a note of a letter, where a finding is told or beside, its octave may have sounded."""
        at = sounding_at(self.heard, finding.at_s)
        near = [each for each in self.heard[max(0, at - 1) : at + 3] if each.note.letter == letter]
        return any(self.octaves is None or self.octaves.hides(each) for each in near)

    def _begins_after_a_short_note(self, finding: Finding) -> bool:
        """Whether a short note is told to begin again right after another: nobody turns back within a movement. On
        trial (53 seeds, seven sources in rooms of 0.4 s) eight of eleven told falsely did, and one of 593 others."""
        near = begun_near(self.heard, finding.at_s)
        rank = min(near, key=lambda each: abs(self.heard[each].at_s - finding.at_s), default=0)
        if not rank:
            return False
        before, first = self.heard[rank - 1], self.heard[rank]
        return touch(before, first) and is_short(before) and is_short(first)

    def _leads_to(self, finding: Finding, others: Mapping[Note, Note]) -> bool:
        """Whether a gracenote has its other one on one side, melody notes alone."""
        ranks = [self.asked.note_tokens[each] for each in (max(0, finding.played - 1), finding.played)]
        beside = {self.asked.tokens[rank].note for rank in ranks if rank is not None}
        return any(others.get(each) in beside for each in Note if each.letter in finding.asked)

    def _is_octave_beside(self, finding: Finding) -> bool:
        """Whether what was too much may have been the note beside it, an octave away."""
        at = sounding_at(self.heard, finding.at_s)
        near = self.heard[max(0, at - 1) : at + 2]
        return self._is_octave_in_doubt(finding) and any(
            OCTAVES.get(one.note) is other.note and finding.heard in (one.note.letter, other.note.letter)
            for one, other in pairwise(near)
        )

    def _is_in_octave(self, finding: Finding) -> bool:
        """Whether what was wrong lies within a note that is its octave, and may as well be that."""
        at = sounding_at(self.heard, finding.at_s)
        around = self.heard[max(0, at - 1) : at + 2]
        if len(around) < 3 or around[0].note is not around[2].note:
            return False
        return OCTAVES.get(around[0].note) is around[1].note and self._is_octave_in_doubt(finding)

    def _is_octave_in_doubt(self, finding: Finding) -> bool:
        """Whether a note where a finding is told, or beside, may as well be its octave."""
        at = sounding_at(self.heard, finding.at_s)
        return self.octaves is None or any(map(self.octaves.holds, self.heard[max(0, at - 1) : at + 2]))


def _is_short(played: int, asked: Asked) -> bool:
    """Whether a melody note is short besides its gracenotes, by the tempo as asked."""
    rank = asked.note_tokens[played]
    return rank is not None and asked.tokens[rank].end_s - asked.tokens[rank].start_s < LEAST_NOTE_IN_ROOM_S


def is_surely_long(finding: Finding) -> bool:
    """Whether a gracenote was as long as a melody note, which is heard under anything."""
    return finding.kind is FindingKind.LONG_GRACENOTE and (finding.ms or 0.0) >= SURELY_LONG_MS
