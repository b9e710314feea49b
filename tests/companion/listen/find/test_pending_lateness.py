"""How long the ear waits before it calls a note late that may have begun a bar again."""

from __future__ import annotations

import pytest

from companion.listen.find.pending_lateness import PendingLateness
from companion.listen.model.findings import FindingKind
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import finding

TUNE = asked_of("A2B2c2d2|")


@pytest.mark.parametrize(("ms", "waits"), [(249.0, False), (250.0, True), (900.0, True)])
def test_a_note_a_quarter_of_a_second_late_is_kept_back_for_eight_notes(ms: float, waits: bool) -> None:
    """It is said with the eighth note after it; one that was hardly late at once (choices, no source)."""
    late = finding(TUNE, FindingKind.LATE, 2, ms)
    pending = PendingLateness()
    assert pending.pass_note([late]) == ([] if waits else [late])
    for _ in range(7):
        assert pending.pass_note([]) == []
    assert pending.pass_note([]) == ([late] if waits else [])
    assert pending.finish() == []


@pytest.mark.parametrize("kind", [FindingKind.EARLY, FindingKind.POINTING])
def test_only_late_notes_are_kept_back(kind: FindingKind) -> None:
    """No other shows that a bar was begun again."""
    found = finding(TUNE, kind, 2, 900.0)
    assert PendingLateness().pass_note([found]) == [found]


def test_what_is_kept_back_is_said_at_the_end_or_never() -> None:
    """Never once a bar was begun again."""
    one, two = (finding(TUNE, FindingKind.LATE, played, 400.0) for played in (1, 2))
    pending = PendingLateness()
    pending.pass_note([one])
    pending.pass_note([two])
    assert pending.finish() == [one, two]
    pending.forget()
    assert pending.finish() == []
