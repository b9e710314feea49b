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


OFF_TIME_MS = 50.0


def is_known(
    first_heard: list[HeardNote], read: list[HeardNote], kind: FindingKind, at_s: float, ms: float = 60.0
) -> bool:
    """Whether a finding on time of so many ms may be told in a room of what was heard so and read so."""
    times = KnownTimes(True, read, first_heard, moved_s(first_heard, read), None, OFF_TIME_MS)
    return times.hold(Finding(kind, at_s, 1, 0, 0, "", "", (), ms, "", "", None))


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


@pytest.mark.parametrize(
    ("kind", "ms", "known"),
    [(FindingKind.EARLY, 60.0, True), (FindingKind.LATE, 60.0, False), (FindingKind.LATE, 95.0, True)],
)
def test_a_note_that_may_have_begun_with_the_gracenote_before_it_is_off_its_time_if_it_is_so_either_way(
    kind: FindingKind, ms: float, *, known: bool
) -> None:
    """High G, 40 ms, before low G, which would have begun as much sooner: an early one is earlier then."""
    notes = [HeardNote(0.0, 0.26, Note.C), HeardNote(0.26, 0.3, HIGH_G), HeardNote(0.3, 1.0, LOW_G)]
    assert is_known(notes, notes, kind, 0.3, ms) is known


def test_a_rhythm_is_known_where_both_notes_were_heard_to_begin_as_they_were_read() -> None:
    """Whatever else was heard 60 ms from there: a piece of the note itself that seemed to be another."""
    g, c = HeardNote(0.0, 0.2, HIGH_G), Note.C
    after = HeardNote(0.5, 1.0, B)
    heard = [g, HeardNote(0.2, 0.42, c), HeardNote(0.42, 0.45, B, 0.5, frozenset({c})), HeardNote(0.45, 0.5, c), after]
    assert is_known(heard, [g, HeardNote(0.2, 0.5, c), after], FindingKind.POINTING, 0.2)
    later = [g, HeardNote(0.2, 0.54, c), HeardNote(0.54, 1.0, B)]
    assert not is_known(heard, later, FindingKind.POINTING, 0.2)


def test_the_rhythm_of_two_notes_rests_on_when_the_first_one_ended() -> None:
    """An echo of it beyond where the second one was first heard makes it longer."""
    first = HeardNote(0.2, 0.4, HIGH_G)
    heard = [HeardNote(0.0, 0.2, B), first, HeardNote(0.4, 0.418, B), HeardNote(0.418, 0.45, HIGH_G)]
    heard.append(HeardNote(0.45, 1.0, B))
    read = [heard[0], HeardNote(0.2, 0.45, HIGH_G), heard[4]]
    assert not is_known(heard, read, FindingKind.POINTING, 0.2)
    assert is_known(read, read, FindingKind.POINTING, 0.2)
