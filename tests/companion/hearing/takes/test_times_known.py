"""When a note began is known where it was heard to begin, and not by the tune alone."""

from __future__ import annotations

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.times_known import KnownTimes, moved_s
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

B, HIGH_G, LOW_G = Note.B, Note.HIGH_G, Note.LOW_G
READ = [HeardNote(0.0, 0.5, Note.C), HeardNote(0.5, 0.52, HIGH_G), HeardNote(0.52, 1.0, B)]


def is_known(first_heard: list[HeardNote], read: list[HeardNote], kind: FindingKind, at_s: float) -> bool:
    """Whether a finding on time may be told in a room of what was heard so and read so."""
    times = KnownTimes(True, read, first_heard, moved_s(first_heard, read), None)
    return times.hold(Finding(kind, at_s, 1, 0, 0, "", "", (), 100.0, "", "", None))


def test_a_late_note_was_heard_to_begin_then() -> None:
    """Whatever gracenote the tune put before it; not one that was heard 40 ms on, nor one after what is hardly sure."""
    late = FindingKind.LATE
    assert is_known([HeardNote(0.0, 0.52, Note.C), READ[2]], READ, late, 0.52)
    assert not is_known([HeardNote(0.0, 0.56, Note.C), HeardNote(0.56, 1.0, B)], READ, late, 0.52)
    unsure = HeardNote(0.5, 0.52, HIGH_G, 0.5)
    assert not is_known([HeardNote(0.0, 0.5, Note.C), unsure, READ[2]], READ, late, 0.52)


def test_a_low_note_may_have_begun_within_its_octave() -> None:
    """Low G after high G, of which nothing tells that it was that; B after it is known."""
    for note, known in ((LOW_G, False), (B, True)):
        notes = [HeardNote(0.0, 0.3, HIGH_G), HeardNote(0.3, 1.0, note)]
        assert is_known(notes, notes, FindingKind.EARLY, 0.3) is known


def test_the_rhythm_of_two_notes_rests_on_when_the_first_one_ended() -> None:
    """An echo of it beyond where the second one was first heard makes it longer."""
    first = HeardNote(0.2, 0.4, HIGH_G)
    heard = [HeardNote(0.0, 0.2, B), first, HeardNote(0.4, 0.418, B), HeardNote(0.418, 0.45, HIGH_G)]
    heard.append(HeardNote(0.45, 1.0, B))
    read = [heard[0], HeardNote(0.2, 0.45, HIGH_G), heard[4]]
    assert not is_known(heard, read, FindingKind.POINTING, 0.2)
    assert is_known(read, read, FindingKind.POINTING, 0.2)
