"""Kindness is taken back where it only made another finding."""

from __future__ import annotations

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.exchanged import exchanged_s, found_elsewhere, is_out_of_place, taken_back
from companion.hearing.takes.reading.tune_reading import ReadSpan
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

B, C, F, HIGH_G = Note.B, Note.C, Note.F, Note.HIGH_G


def test_what_was_read_comes_back_around_a_finding_that_kindness_made_and_nowhere_else() -> None:
    """An F between two gracenotes was taken for an echo there, and once more three seconds later."""

    def played(at_s: float) -> list[HeardNote]:
        whole = HeardNote(at_s, at_s + 1.0, B), HeardNote(at_s + 1.0, at_s + 1.04, HIGH_G)
        f, g = HeardNote(at_s + 1.04, at_s + 1.06, F), HeardNote(at_s + 1.06, at_s + 1.1, HIGH_G)
        return [*whole, f, g, HeardNote(at_s + 1.1, at_s + 3.0, C)]

    def kindly(at_s: float) -> list[HeardNote]:
        first, grace, _, _, last = played(at_s)
        return [first, HeardNote(grace.at_s, last.at_s, HIGH_G), last]

    read, kind = played(0.0) + played(3.0), kindly(0.0) + kindly(3.0)
    assert taken_back(read, kind, [1.1]) == played(0.0) + kindly(3.0)
    assert taken_back(read, kind, [4.1]) == kindly(0.0) + played(3.0)
    assert taken_back(read, kind, []) == kind


def told(kind: FindingKind, at_s: float, played: int) -> Finding:
    """A finding at a moment."""
    return Finding(kind, at_s, played, 0, 0, "g", "", (), None, "", "", None)


def test_only_what_took_the_place_of_a_crossing_was_exchanged() -> None:
    """A gracenote told missing half a second from a crossing that is still told, or from another finding, was not."""
    crossing, missing = told(FindingKind.CROSSING, 1.0, 3), told(FindingKind.MISSING_GRACENOTE, 1.1, 4)
    assert exchanged_s([crossing], [missing]) == [1.1]
    assert exchanged_s([crossing], [crossing, missing]) == []
    assert exchanged_s([crossing, missing], [missing]) == []
    assert exchanged_s([told(FindingKind.LATE, 1.0, 3)], [missing]) == []
    assert exchanged_s([crossing], [told(FindingKind.MISSING_GRACENOTE, 3.0, 9)]) == []


def test_a_gracenote_that_was_put_where_it_makes_a_note_late_is_out_of_place() -> None:
    """Where as much is found as before, or more of times alone, and it was missing."""
    missing, late = told(FindingKind.MISSING_GRACENOTE, 1.0, 3), told(FindingKind.LATE, 1.4, 4)
    uneven = told(FindingKind.UNEVEN, 1.0, 3)
    assert is_out_of_place([missing], [late])
    assert is_out_of_place([missing, uneven], [uneven, late])
    assert not is_out_of_place([missing], [uneven, late])
    assert is_out_of_place([missing], [late, told(FindingKind.POINTING, 1.4, 4)])
    assert not is_out_of_place([missing], [uneven])
    assert not is_out_of_place([missing, late], [late])
    assert not is_out_of_place([uneven], [late])


def test_what_the_players_own_lengths_tell_elsewhere_says_nothing_against_a_reading() -> None:
    """An embellishment at 9 s that is uneven once another is read anew, at 3 s; but a note too many there does."""
    before, spans = [told(FindingKind.MISSING_GRACENOTE, 3.0, 9)], [ReadSpan(2.5, 4.0)]
    uneven, extra = told(FindingKind.UNEVEN, 9.0, 20), told(FindingKind.EXTRA_NOTE, 9.0, 20)
    assert found_elsewhere(before, [*before, uneven, extra], spans) == [uneven]
    assert found_elsewhere([*before, uneven], [*before, uneven], spans) == []
    assert found_elsewhere(before, [*before, uneven], [*spans, ReadSpan(8.0, 9.5)]) == []
