"""When notes of a sound began, as far as that is known: not by the tune alone. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.hearing.heard import HARDLY_SURE, HeardNote
from companion.hearing.takes.around import SAME_WITHIN_S, begun_near, sounding_at
from companion.hearing.takes.reading.kinder import SHORT_S
from companion.hearing.takes.reading.octaves import OCTAVES, OctaveDoubt, octaves_read
from companion.listen.model.findings import Finding, FindingKind

OF_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING})

MOVED_WITHIN_S = 0.06
"""When a note began is not known within so much of a note that the tune alone put there: one that was heard begins as
near as the other to when it was read."""

OCTAVE_WITHIN_S = 0.5
"""How long a long note and a short one were is not known so near a long high note that was read as the low one."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownTimes:
    """The moments at which notes are known to have begun. echo: whether it is a room's sound. heard: the notes as they
    were read, in order; first_heard: as they were heard before. moved_s: when those begin that the tune put elsewhere
    than they were heard. octaves: which notes may as well be their octave; None where that is not known. off_time_ms:
    from which difference on a note is told to be early or late."""

    echo: bool
    heard: Sequence[HeardNote]
    first_heard: Sequence[HeardNote]
    moved_s: Sequence[float]
    octaves: OctaveDoubt | None
    off_time_ms: float

    def hold(self, finding: Finding) -> bool:
        """Whether a finding rests on no time that is known by the tune alone."""
        if finding.kind not in OF_TIME or finding.throughout:
            return True
        if self.echo and finding.kind is not FindingKind.POINTING:
            return self._is_begun(finding)
        if self.echo and any(
            each.at_s - OCTAVE_WITHIN_S < finding.at_s < each.stop_s + OCTAVE_WITHIN_S
            for each in octaves_read(self.first_heard, self.heard)
        ):
            return False
        first = max(0, sounding_at(self.heard, finding.at_s))
        # Of two notes when the first one ends counts too.
        edges = self.heard[first : first + (2 if finding.kind is FindingKind.POINTING else 1)]
        return self._are_as_heard(edges) or not any(
            abs(moved_s - each.at_s) < MOVED_WITHIN_S for moved_s in self.moved_s for each in edges
        )

    def _are_as_heard(self, notes: Sequence[HeardNote]) -> bool:
        """Whether notes in a row were heard to begin when they were read to, and none of them before that,
        but for what may be the one that sounds on."""
        early = any(
            each.note is after.note
            and note.note not in each.others
            and note.at_s < each.at_s < after.at_s - SAME_WITHIN_S
            for note, after in pairwise(notes)
            for each in self.first_heard
        )
        return not early and all(map(self._begins_as_heard, notes))

    def _begins_as_heard(self, note: HeardNote) -> bool:
        """Whether a note was heard, by its name, to begin when it was read to."""
        return any(self.first_heard[rank].note is note.note for rank in begun_near(self.first_heard, note.at_s))

    def _is_begun(self, finding: Finding) -> bool:
        """Whether the note that was read there was heard to begin by itself, after a sure one; or so that it is early
        or late even if it began with the one before."""
        note = self.heard[max(0, sounding_at(self.heard, finding.at_s))].note
        ranks = [rank for rank in begun_near(self.first_heard, finding.at_s) if self.first_heard[rank].note is note]
        return any(
            not rank
            or self._is_off_anyhow(finding, self.first_heard[rank - 1])
            or not self._may_be_one(*self.first_heard[rank - 1 : rank + 1])
            for rank in ranks
        )

    def _is_off_anyhow(self, finding: Finding, before: HeardNote) -> bool:
        """Whether a note is off its time even if it began with the one before: one that is early is earlier then."""
        if before.length_s >= SHORT_S:
            return False
        if finding.kind is FindingKind.EARLY:
            return True
        return (finding.ms or 0.0) - 1000.0 * before.length_s >= self.off_time_ms

    def _may_be_one(self, before: HeardNote, note: HeardNote) -> bool:
        """Whether a note may have begun with the one before it, whose name may be its own or is hardly known."""
        if before.confidence < HARDLY_SURE and before.length_s < SHORT_S:
            return True
        if before.note in note.others or note.note in before.others:
            return True
        return OCTAVES.get(before.note) is note.note and (self.octaves is None or self.octaves.hides(before))


def moved_s(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[float]:
    """When those notes begin of which there is none of their name in the other, but for some ms of their beginning."""
    return [*_without_like(heard, read), *_without_like(read, heard)]


def _without_like(some: Sequence[HeardNote], others: Sequence[HeardNote]) -> Iterator[float]:
    for each in some:
        if not any(others[rank].note is each.note for rank in begun_near(others, each.at_s)):
            yield each.at_s
