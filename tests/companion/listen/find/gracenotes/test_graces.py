"""What is said of an embellishment: left out, in part or wholly, wrong, long, uneven."""

from __future__ import annotations

import pytest

from companion.listen.find.gracenotes.graces import group_findings
from companion.listen.find.gracenotes.group import GraceHeard, GroupHeard
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Strictness
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, heard, played_as

TUNE = asked_of("A2{gef}e2{d}c2B2|{gAGAG}A2B2c2d2|")
DOUBLING, SINGLE = TUNE.schedule.events[1:4], TUNE.schedule.events[5]
MELODY = Segment(9, Note.E, 2.0, end_s=2.9)
ONSET_S = 1.5


def played(*lengths_ms: float, notes: tuple[Note, ...] = (), single: bool = False) -> GroupHeard:
    """A group whose gracenotes have these lengths, one after another, and these notes in place of its own."""
    events = [SINGLE] if single else DOUBLING
    group, at_s = GroupHeard(events[0].played), ONSET_S
    for rank, length_ms in enumerate(lengths_ms):
        note = notes[rank] if notes else events[rank].note
        segment = Segment(rank, note, at_s, end_s=at_s + length_ms / 1000.0)
        group = group.with_grace(GraceHeard(events[rank], segment, True))
        at_s += length_ms / 1000.0
    return group


def said(group: GroupHeard, *, due_s: float | None = None) -> list[Finding]:
    """What there is to say of it."""
    return group_findings(TUNE, Strictness.USUAL.limits, group, MELODY, due_s=due_s)


def texts(group: GroupHeard) -> list[str]:
    """In words."""
    return [each.text for each in said(group)]


def test_what_was_left_out_is_named_if_it_was_not_all() -> None:
    """One by its name, two by their letters, all by the embellishment's name."""
    group = GroupHeard(1)
    g, e, f = DOUBLING
    one = group.with_lost(f, None)
    two = group.with_lost(g, None).with_lost(e, None)
    assert texts(one) == ["Bar 1: the F gracenote was missing from the E doubling."]
    assert texts(two) == ["Bar 1: high G and E were missing from the E doubling."]
    assert texts(two.with_lost(f, None)) == ["Bar 1: the E doubling was left out."]
    assert texts(GroupHeard(2).with_lost(SINGLE, None)) == ["Bar 1: the D gracenote on C was left out."]
    (found,) = said(two)
    assert (found.kind, found.asked, found.at_s) == (FindingKind.MISSING_GRACENOTE, "ge", 2.0)
    assert found.fingers == (Finger.UPPER_INDEX,)


def test_a_wrong_gracenote_is_told_with_what_was_wanted() -> None:
    """Of a single one its place says that."""
    in_doubling = played(40, 40, 40, notes=(Note.HIGH_G, Note.D, Note.F))
    assert texts(in_doubling) == ["Bar 1: D was heard for E in the E doubling."]
    alone = played(40, notes=(Note.F,), single=True)
    assert texts(alone) == ["Bar 1: an F gracenote was heard for the D gracenote on C."]
    (found,) = said(alone)
    assert (found.kind, found.asked, found.heard, found.at_s) == (FindingKind.WRONG_GRACENOTE, "d", "f", ONSET_S)
    assert found.ms == pytest.approx(40.0)


def test_a_long_gracenote_is_told_with_its_length() -> None:
    """And then nothing of unevenness, which it explains."""
    assert texts(played(40, 150, 40)) == [
        "Bar 1: in the E doubling the E lasted 150 ms; lift the finger and be back at once."
    ]
    (found,) = said(played(100, single=True))
    assert found.text == "Bar 1: the D gracenote on C lasted 100 ms; lift the finger and be back at once."
    assert (found.kind, found.fingers, found.at_s) == (FindingKind.LONG_GRACENOTE, (Finger.LOWER_INDEX,), ONSET_S)
    assert found.ms == pytest.approx(100.0)


def test_unevenness_is_told_with_all_lengths() -> None:
    """Of one gracenote twice as long, or half as long, as the mean of its fellows, by 28 ms at least."""
    (found,) = said(played(30, 70, 30))
    assert found.text == "Bar 1: the E doubling was uneven, 30, 70 and 30 ms; make its gracenotes alike."
    assert (found.kind, found.asked, found.heard, found.at_s) == (FindingKind.UNEVEN, "gef", "gef", ONSET_S)
    assert found.ms == pytest.approx(40.0)
    assert found.late == (Finger.UPPER_MIDDLE,)  # the E ends as that finger lifts for the F gracenote (the chart)
    (short,) = said(played(70, 30, 70))
    assert short.ms == pytest.approx(40.0)
    assert short.late == ()
    assert said(played(30, 57, 30)) == []
    assert said(played(20, 45, 20)) == []
    assert said(played(60, 33, 60)) == []
    assert [each.kind for each in said(played(20, 60))] == [FindingKind.UNEVEN]


@pytest.mark.parametrize(("lengths_ms", "told"), [((30, 66), False), ((30, 67), True), ((30, 30, 60), True)])
def test_two_gracenotes_may_differ_by_a_little_more_than_one_from_several(
    lengths_ms: tuple[float, ...], told: bool
) -> None:
    """By chance they do: a mean of two strays less than one of them."""
    assert [each.kind for each in said(played(*lengths_ms))] == [FindingKind.UNEVEN] * told


def test_unevenness_needs_two_gracenotes_and_a_melody_note_that_began() -> None:
    """Of what an equal note held on over, no length is known."""
    assert said(played(80, single=True)) == []
    assert said(played(30, 70, 30), due_s=1.5) == []
    swallowed = played(30, 70).with_swallowed_by(played(30, 70).graces[1].segment)
    assert len(said(swallowed)) == 1


def test_only_a_gracenote_alone_has_a_length() -> None:
    """One in whose sound another note goes on is neither long nor uneven."""
    group = GroupHeard(1).with_grace(GraceHeard(DOUBLING[0], Segment(0, Note.HIGH_G, 1.0, end_s=1.3), False))
    assert said(group) == []
    with_melody = GroupHeard(1).with_grace(GraceHeard(DOUBLING[1], MELODY, True))
    assert said(with_melody) == []


@pytest.mark.parametrize(("letter", "left"), [("G", "Gde"), ("d", "GGe"), ("e", "GGd")])
def test_the_one_gracenote_heard_of_an_embellishment_is_no_other_one(letter: str, left: str) -> None:
    """Of a taorluath one of its four: the rest is missing, and nothing is said of a gracenote too many."""
    asked = asked_of("A2c2B2c2|{GdGe}A2c2e2f2|")
    take = played_as(asked)
    first = next(rank for rank, event in enumerate(asked.schedule.events) if event.grace == 0)
    (found,) = heard(
        asked, [*take[:first], Sounded(take[first + 3].at_s, Note.from_letter(letter)), *take[first + 4 :]]
    )
    assert (found.kind, "".join(sorted(found.asked))) == (FindingKind.MISSING_GRACENOTE, left)
