"""Where a stumble was, and when the tune is only played once more."""

from __future__ import annotations

from companion.listen.model.findings import FindingKind
from companion.listen.model.tally import Tally
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding

TUNE = asked_of("A2B2c2d2|e2f2e2d2|")
LAST = len(TUNE.schedule.played) - 1


def test_a_stumble_is_after_the_note_heard_last_and_not_after_the_furthest_one() -> None:
    """Who began again before had already been further on; the note begun with is not counted, nor what came later."""
    restart = finding(TUNE, FindingKind.RESTART, 2)
    at_s = restart.at_s
    places = [(5, at_s - 3.0), (1, at_s - 2.0), (2, at_s - 1.0), (2, at_s), (7, at_s + 1.0)]
    assert evidence(TUNE, [restart], tally=Tally(places=tuple(places))).place_before(restart) == 2
    assert evidence(TUNE, [restart], tally=Tally(places=tuple(places[3:]))).place_before(restart) is None


def test_the_tune_once_more_is_no_stumble_and_neither_is_what_follows_the_page_then() -> None:
    """From its very end to its beginning; and only after that from a note to the one after it."""
    again, on = finding(TUNE, FindingKind.RESTART, 0), finding(TUNE, FindingKind.RESTART, 3)
    before_again, before_on = (LAST, again.at_s - 0.5), (2, on.at_s - 0.5)
    for found, places, told in (
        ([again], [before_again], [again]),
        ([again, on], [before_again, before_on], [again, on]),
        ([on], [before_on], []),
        ([again], [(LAST - 1, again.at_s - 0.5)], []),
    ):
        assert evidence(TUNE, found, tally=Tally(places=tuple(places))).next_times() == told


def test_only_a_restart_can_be_the_tune_once_more() -> None:
    """A wrong note at its beginning is one."""
    wrong = finding(TUNE, FindingKind.WRONG_NOTE, 0)
    assert evidence(TUNE, [wrong], tally=Tally(places=((LAST, wrong.at_s - 0.5),))).next_times() == []
