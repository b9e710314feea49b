"""The order to teach, in groups, and the sentence for it."""

from __future__ import annotations

from itertools import permutations

import pytest

from fingering.crossings.teaching import finger_name, teach
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.notes import Note


@pytest.mark.parametrize(
    ("start", "end", "groups"),
    [
        (Note.LOW_A, Note.E, 1),
        (Note.B, Note.C, 1),
        (Note.D, Note.E, 2),
        (Note.HIGH_A, Note.E, 2),
        (Note.LOW_G, Note.B, 2),
    ],
)
def test_there_are_as_few_groups_as_can_be(start: Note, end: Note, groups: int) -> None:
    """What has to lead leads alone; all others go together as they like."""
    assert len(teach(Transition.between(start, end)).groups) == groups


def test_among_fingers_that_may_go_in_any_order_the_top_one_opens_first_and_the_bottom_one_closes_first() -> None:
    """So that nothing rolls (common practice, no source): B to C lifts before it closes."""
    for start, end in permutations(Note, 2):
        transition = Transition.between(start, end)
        lesson = teach(transition)
        for group in lesson.groups:
            opens = [finger for finger in group if finger in transition.lifts]
            closes = [finger for finger in group if finger in transition.drops]
            if len(lesson.groups) == 1:
                assert list(group) == [*sorted(opens), *sorted(closes, reverse=True)]


@pytest.mark.parametrize(
    ("start", "end", "sentence"),
    [
        ("x xxx xxxx", "x xxx xxxo", "lower little finger up: one finger, nothing to cross"),
        ("o xxx xxxx", "x xxx xxxx", "thumb down: one finger, nothing to cross"),
    ],
)
def test_one_finger_has_nothing_to_cross(start: str, end: str, sentence: str) -> None:
    """It is named with the way it goes."""
    assert teach(Transition(HoleState.parse(start), HoleState.parse(end))).sentence == sentence


@pytest.mark.parametrize(
    ("start", "end", "sentence"),
    [
        (Note.LOW_A, Note.D, "lower index finger up first, then lower middle and ring up and lower little finger down"),
        (Note.LOW_A, Note.HIGH_A, "thumb up first, then the upper hand up"),
        (Note.E, Note.HIGH_A, "thumb up first, then the upper hand"),
        (Note.E, Note.D, "lower index finger up first, then all the others"),
        (Note.LOW_G, Note.HIGH_G, "upper index finger up first, then upper middle, ring and lower little up"),
        (Note.HIGH_G, Note.HIGH_A, "thumb up and upper ring finger down: in any order, no crossing noise can sound"),
        (Note.F, Note.C, "upper middle finger down last, after all the others"),
        (Note.HIGH_A, Note.LOW_A, "upper middle and index down first, then thumb down"),
    ],
)
def test_hands_are_named_where_all_of_one_moves_and_up_to_three_fingers_by_name(
    start: Note, end: Note, sentence: str
) -> None:
    """ "Up" or "down" where a whole hand goes one way; more than three fingers are "all the others"."""
    assert teach(Transition.between(start, end)).sentence == sentence


def test_fingers_are_named_as_pipers_name_them() -> None:
    """The thumb is no finger."""
    assert finger_name(Finger.THUMB) == "thumb"
    assert finger_name(Finger.LOWER_LITTLE) == "lower little finger"
