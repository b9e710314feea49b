"""What is known of an embellishment as its gracenotes are heard one by one."""

from __future__ import annotations

import pytest

from companion.listen.find.gracenotes.group import GraceHeard, GroupHeard
from companion.listen.model.segments import Segment
from fingering.notes import Note
from tests.companion.listen.playing import asked_of

G, E, F = asked_of("A2{gef}e2|").schedule.events[1:4]
GROUP = GroupHeard(1)


def heard(note: Note, onset_s: float) -> Segment:
    """A note of 40 ms."""
    return Segment(0, note, onset_s, end_s=onset_s + 0.04)


def test_a_group_begins_with_its_first_gracenote_or_noise() -> None:
    """Without any with the melody note; each one not heard may have taken 60 ms before that."""
    assert GROUP.begins_s(10.0) == 10.0
    first = GROUP.with_grace(GraceHeard(G, heard(Note.HIGH_G, 9.8), True))
    second = first.with_grace(GraceHeard(E, heard(Note.E, 9.84), True))
    assert second.begins_s(10.0) == 9.8
    assert GROUP.disturbed(9.7).with_grace(GraceHeard(G, heard(Note.HIGH_G, 9.8), True)).begins_s(10.0) == 9.7
    assert GROUP.with_lost(E, None).with_lost(F, None).begins_s(10.0) == pytest.approx(9.88)
    assert first.with_swallowed_by(heard(Note.E, 9.9)).begins_s(10.0) == pytest.approx(9.74)


def test_the_first_gracenote_is_swallowed_by_an_equal_note_and_no_other_is() -> None:
    """What is swallowed cannot be heard and was not asked for; what is missing was."""
    swallowed = GROUP.with_lost(E, Note.E)
    assert (swallowed.swallowed, swallowed.missing, swallowed.asked_count) == (1, (), 0)
    assert GROUP.with_lost(E, Note.D).missing == (E,)
    assert GROUP.with_lost(G, Note.E).with_lost(E, Note.E).missing == (G, E)
    after_g = GROUP.with_grace(GraceHeard(G, heard(Note.HIGH_G, 1.0), True))
    assert after_g.with_lost(E, Note.E).missing == (E,)
    assert after_g.with_lost(E, Note.E).asked_count == 2


def test_a_gracenote_is_right_if_it_is_the_one_asked_for_and_apart_from_the_melody_note() -> None:
    """One that the melody note swallowed was not heard by itself."""
    melody = heard(Note.E, 2.0)
    right, wrong = GraceHeard(G, heard(Note.HIGH_G, 1.0), True), GraceHeard(F, heard(Note.D, 1.1), True)
    with_melody = GraceHeard(E, melody, False)
    assert GROUP.with_grace(right).with_grace(wrong).with_grace(with_melody).right_count(melody) == 1


def test_a_group_is_plain_if_nothing_was_missing_swallowed_or_between() -> None:
    """Only then does its rhythm tell of the player's custom."""
    whole = GROUP.with_grace(GraceHeard(G, heard(Note.HIGH_G, 1.0), True))
    assert GROUP.plain
    assert whole.plain
    assert not whole.with_lost(E, None).plain
    assert not whole.with_swallowed_by(heard(Note.E, 1.1)).plain
    assert not whole.disturbed(0.9).plain


def test_a_gracenote_that_sounds_on_as_the_next_one_is_not_alone() -> None:
    """Its length then tells nothing."""
    segment = heard(Note.E, 1.0)
    group = GROUP.with_grace(GraceHeard(E, segment, True))
    assert [each.alone for each in group.with_swallowed_by(segment).graces] == [False]
    assert [each.alone for each in group.with_swallowed_by(heard(Note.E, 1.2)).graces] == [True]


def test_before_a_wrong_melody_note_a_missing_gracenote_like_it_counts_as_swallowed() -> None:
    """It could not have been heard apart from it."""
    lost = GROUP.with_lost(E, None).with_lost(F, None)
    assert lost.before_other_note(Note.F).missing == (E,)
    assert lost.before_other_note(Note.F).swallowed == 1
    assert lost.before_other_note(Note.E) == lost
    assert GROUP.before_other_note(Note.E) == GROUP
