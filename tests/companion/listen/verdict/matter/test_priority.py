"""What a teacher mends first, and what is said of it. The order is common practice, no source."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.priority import most_urgent, urgency
from companion.listen.verdict.matter.sentences import said_of, worst_of
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import finding

TUNE = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 2)

IN_ORDER = (
    (FindingKind.WRONG_NOTE, FindingKind.MISSING_NOTE),
    (FindingKind.CROSSING, FindingKind.MISSING_GRACENOTE),
    (FindingKind.WRONG_GRACENOTE, FindingKind.EXTRA_NOTE, FindingKind.EXTRA_GRACENOTE),
    (FindingKind.LONG_GRACENOTE, FindingKind.UNEVEN),
    (FindingKind.POINTING, FindingKind.BREAK, FindingKind.RESTART),
    (FindingKind.LATE, FindingKind.EARLY),
)


@pytest.mark.parametrize("times", [1, 2, 3])
def test_notes_come_before_movements_before_sound_before_rhythm(times: int) -> None:
    """What was heard as often as the others: kinds of one row are alike and go by which came first."""
    rows = [{urgency([finding(TUNE, kind, 0)] * times)[0] for kind in kinds} for kinds in IN_ORDER]
    assert all(len(row) == 1 for row in rows)
    assert [row.pop() for row in rows] == list(range(3 - times, 9 - times))


def test_a_habit_goes_before_what_may_be_a_slip() -> None:
    """Three times are a habit: it goes before what was heard twice and is a row more urgent, and before what was heard
    once and is two rows so."""
    habit = [finding(TUNE, FindingKind.LONG_GRACENOTE, played, cause="habit") for played in (9, 10, 11, 12)]
    twice = [finding(TUNE, FindingKind.WRONG_GRACENOTE, played, cause="twice") for played in (1, 2)]
    once = [finding(TUNE, FindingKind.CROSSING, 0, cause="once")]
    assert [group[0].cause for group in most_urgent([*once, *twice, *habit])] == ["habit", "twice", "once"]
    oftener = [finding(TUNE, FindingKind.UNEVEN, played, cause="oftener") for played in range(5)]
    assert [group[0].cause for group in most_urgent([*habit, *oftener])] == ["oftener", "habit"]


def test_what_is_alike_goes_by_when_it_was_heard() -> None:
    """One cause in two kinds is two things to learn."""
    found = [finding(TUNE, FindingKind.WRONG_NOTE, played, cause=str(played)) for played in (7, 3, 5)]
    assert [group[0].played for group in most_urgent(found)] == [3, 5, 7]
    both = [finding(TUNE, FindingKind.WRONG_NOTE, 1), finding(TUNE, FindingKind.MISSING_NOTE, 2)]
    assert len(most_urgent(both)) == 2


def test_the_worst_is_the_longest_and_of_those_alike_the_first() -> None:
    """To the millisecond; what has no length is the least."""
    found = [finding(TUNE, FindingKind.CROSSING, rank, ms) for rank, ms in enumerate((None, 20.2, 20.4, 12.0))]
    assert worst_of(found) is found[1]
    assert worst_of(found[:1]) is found[0]
    assert worst_of([finding(TUNE, FindingKind.CROSSING, 0, 0.4), found[0]]).ms == 0.4


def test_many_late_notes_are_named_while_they_are_few() -> None:
    """Up to four of them."""
    found = [finding(TUNE, FindingKind.LATE, played, 60.0 + played) for played in range(6)]
    assert said_of(found[:4]) == "You were late four times, by 60 to 63 ms: low A, B, C and D, in bar 1."
    assert said_of(found) == "You were late six times, by 60 to 65 ms, in bars 1 and 2."


def test_what_is_said_of_one_thing_heard_several_times() -> None:
    """The worst, how often, and where."""
    breaks = [finding(TUNE, FindingKind.BREAK, played, 300.0) for played in (4, 8)]
    assert said_of(breaks) == "The sound stopped twice, for 300 ms, in bars 2 and 3."
    even = [finding(TUNE, FindingKind.POINTING, played, ms) for played, ms in ((0, 70.0), (4, 90.0), (8, 80.0))]
    assert said_of(even) == "pointing at 4. Three pairs in all were too even, in bars 1 to 3."
    assert said_of(even[:1]) == "pointing at 0."
    crossings = [finding(TUNE, FindingKind.CROSSING, played, 20.0) for played in (0, 1)]
    assert said_of(crossings) == "crossing at 0. Twice in all, in bar 1."
