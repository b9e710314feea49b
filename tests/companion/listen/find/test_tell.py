"""What is said of a note that did not sound since another was held."""

from __future__ import annotations

from companion.listen.model.findings import FindingKind
from tests.companion.listen.playing import FOUR_BARS, asked_of, heard, index_of, played_as

ASKED = asked_of(FOUR_BARS)
LAST = next(rank for rank, each in enumerate(ASKED.schedule.played) if each.bar.number == 3) - 1


def test_a_note_left_out_since_the_one_before_was_held_is_told_so() -> None:
    """The last note of bar 2, C after B."""
    left_out = index_of(ASKED, LAST)
    events = played_as(ASKED)
    (found,) = heard(ASKED, [*events[:left_out], *events[left_out + 1 :]])
    assert found.kind is FindingKind.MISSING_NOTE
    assert found.text == "Bar 2: B was held through C, which did not sound."


def test_a_note_left_out_while_the_rest_came_earlier_was_left_out() -> None:
    """What follows comes at once."""
    left_out = index_of(ASKED, LAST)
    events = played_as(ASKED)
    earlier_s = events[left_out + 1].at_s - events[left_out].at_s
    rest = [type(each)(each.at_s - earlier_s, each.note) for each in events[left_out + 1 :]]
    (found,) = heard(ASKED, [*events[:left_out], *rest])
    assert found.text == "Bar 2: C was left out."


def test_a_gracenote_held_for_all_of_its_note_is_told_so() -> None:
    """Its own G gracenote, on the second note of bar 1."""
    melody = index_of(ASKED, 1)
    events = played_as(ASKED)
    found = heard(ASKED, [*events[:melody], *events[melody + 1 :]])
    wrong = [each for each in found if each.kind is FindingKind.WRONG_NOTE]
    assert [each.text for each in wrong] == ["Bar 1: the G gracenote was held on, and B did not sound."]
