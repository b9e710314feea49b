"""One embellishment between two notes: what it is opened from, and which notes may take the places of its own."""

from __future__ import annotations

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.window.embellishments.subject import Subject, named_subject, subject_near, subject_of
from fingering.embellishments import Embellishment, Family, catalogue
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.window import scenes


def test_every_entry_of_the_catalogue_opens_as_it_is_spelled_there() -> None:
    """From a note that its form belongs to, which is among its choices."""
    for entry in catalogue():
        subject = subject_of(entry)
        assert subject.embellishment.gracenotes == entry.embellishment.gracenotes
        assert subject.before in subject.befores
        assert subject.embellishment.onto in subject.ontos
        assert subject.coming_from(subject.before).embellishment.gracenotes == entry.embellishment.gracenotes


def test_every_choice_of_every_entry_exists() -> None:
    """No note is offered that it cannot come from or lead onto."""
    for entry in catalogue():
        subject = subject_of(entry)
        for before in subject.befores:
            assert subject.coming_from(before).before is before
        for onto in subject.ontos:
            other = subject.leading_onto(onto)
            assert other.embellishment.onto is onto
            assert other.before in other.befores


def test_a_taorluath_onto_any_note_but_e() -> None:
    """Onto E its E gracenote would not be heard: common practice, no source."""
    subject = named_subject("taorluath", Note.LOW_A, Note.C)
    assert subject.ontos == tuple(note for note in Note if note is not Note.E)
    assert subject.befores == tuple(Note)


def test_from_d_a_grip_takes_the_form_for_d() -> None:
    """And its usual one again from another note: GBG and GdG, Debian lilypond-data, bagpipe.ly."""
    grip = named_subject("grip", Note.LOW_A, Note.C)
    assert grip.embellishment.spelling == "GdG"
    assert grip.coming_from(Note.D).embellishment.spelling == "GBG"
    assert grip.coming_from(Note.D).coming_from(Note.C) == grip


def test_onto_a_note_where_it_cannot_come_from_here_it_comes_from_another() -> None:
    """A half doubling on C does not come from C."""
    moved = named_subject("half doubling", Note.B, Note.C).leading_onto(Note.C)
    assert moved.before is Note.B
    assert moved.embellishment.spelling == "cd"


def test_an_embellishment_of_no_name_stays_as_it_is() -> None:
    """Nothing tells how it would be played elsewhere."""
    odd = Subject(Embellishment(Family.UNNAMED, "cfe", (Note.C, Note.F, Note.E), Note.B), Note.LOW_A, "")
    assert odd.befores == (Note.LOW_A,)
    assert odd.ontos == (Note.B,)
    assert odd.coming_from(Note.C) == odd
    assert odd.leading_onto(Note.B) == odd


def test_a_name_that_is_not_there_says_which_are() -> None:
    """As `show --embellishment` does."""
    with pytest.raises(UserError, match="curl"):
        named_subject("curl", Note.LOW_A, Note.C)


def near(time_s: float) -> Subject:
    """The embellishment of the scenes' tune at full speed at that time."""
    subject = subject_near(build_schedule(scenes.tune(), Timing()), time_s)
    assert subject is not None
    return subject


def test_in_a_tune_it_is_the_one_at_the_playhead_with_its_own_neighbours() -> None:
    """`A|{gef}e2 {g}a>e {gcd}c2`: the doubling on E comes from the pick-up's low A, that on C from E."""
    doubling = near(0.7)
    assert doubling.embellishment.full_name == "E doubling"
    assert doubling.before is Note.LOW_A
    assert near(2.6).embellishment.full_name == "C doubling"
    assert near(2.6).before is Note.E


def test_before_an_embellishment_it_is_the_next_one_and_past_the_last_that() -> None:
    """In the pick-up none has begun; the tune ends on a G gracenote, which is found from anywhere after it."""
    assert near(0.0).embellishment.full_name == "E doubling"
    last = near(1000.0)
    assert (last.embellishment.full_name, last.before) == ("G gracenote on low A", Note.C)


def test_a_tune_without_gracenotes_has_none() -> None:
    """Nothing is near."""
    plain = scenes.tune("X:1\nT:Plain\nM:4/4\nL:1/4\nK:HP\nABcd|]\n")
    assert subject_near(build_schedule(plain, Timing()), 0.0) is None


def test_at_the_very_beginning_it_comes_from_a_usual_note() -> None:
    """No note stands before it there."""
    tune = scenes.tune("X:1\nT:Plain\nM:4/4\nL:1/4\nK:HP\n{gcd}c B c d|]\n")
    subject = subject_near(build_schedule(tune, Timing()), 0.0)
    assert subject is not None
    assert (subject.embellishment.full_name, subject.before) == ("C doubling", Note.B)
