"""When notes of a sound began, as far as that is known: not by the tune alone. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.hearing.heard import HARDLY_SURE, HeardNote
from companion.hearing.takes.around import begun_near, sounding_at
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
    than they were heard. octaves: which notes may as well be their octave; None where that is not known."""

    echo: bool
    heard: Sequence[HeardNote]
    first_heard: Sequence[HeardNote]
    moved_s: Sequence[float]
    octaves: OctaveDoubt | None

    def hold(self, finding: Finding) -> bool:
        """Whether a finding rests on no time that is known by the tune alone."""
        if finding.kind not in OF_TIME or finding.throughout:
            return True
        if self.echo and finding.kind is not FindingKind.POINTING:
            return self._is_begun(finding.at_s)
        if self.echo and any(
            each.at_s - OCTAVE_WITHIN_S < finding.at_s < each.stop_s + OCTAVE_WITHIN_S
            for each in octaves_read(self.first_heard, self.heard)
        ):
            return False
        moments_s = [finding.at_s]
        if finding.kind is FindingKind.POINTING:  # of two notes: when the first one ends counts too
            moments_s += [each.stop_s for each in self.heard[max(0, sounding_at(self.heard, finding.at_s)) :][:1]]
        return not any(abs(each - at_s) < MOVED_WITHIN_S for each in self.moved_s for at_s in moments_s)

    def _is_begun(self, at_s: float) -> bool:
        """Whether the note that was read there was heard to begin by itself, after a sure one."""
        note = self.heard[max(0, sounding_at(self.heard, at_s))].note
        ranks = [rank for rank in begun_near(self.first_heard, at_s) if self.first_heard[rank].note is note]
        return any(not rank or not self._may_be_one(*self.first_heard[rank - 1 : rank + 1]) for rank in ranks)

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
