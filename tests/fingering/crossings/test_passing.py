"""What sounds between two notes, each value derived from the model."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given

from fingering.acoustics.sounding import soundings
from fingering.chart import chart, sounded
from fingering.crossings.passing import FOREIGN_CENTS, PassingKind, Sort, passings
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.movement import gracenote_states
from fingering.notes import TUNINGS, Note, Tuning
from tests.fingering.crossings.strategies import transitions

LOWER_HAND = {Finger.LOWER_INDEX, Finger.LOWER_MIDDLE, Finger.LOWER_RING, Finger.LOWER_LITTLE}


def foreign_notes(start: Note, end: Note) -> set[Note]:
    """The notes of all foreign states between two notes."""
    return {each.sounding.note for each in passings(Transition.between(start, end)) if each.kind is PassingKind.FOREIGN}


def test_d_to_e_with_the_lower_hand_first_sounds_low_a_low_g_b_or_c() -> None:
    """By the order of its fingers (common practice names low A and low G; the model adds B and C)."""
    transition = Transition.between(Note.D, Note.E)
    before_ring = [
        each
        for each in passings(transition)
        if each.state.closed(Finger.UPPER_RING)
        and each.kind is not PassingKind.FROM
        and sounded(each.state) is not Note.D
    ]
    assert {each.sounding.note for each in before_ring} == {Note.LOW_G, Note.LOW_A, Note.B, Note.C}
    assert {each.kind for each in before_ring} == {PassingKind.FOREIGN}
    assert {each.sort for each in before_ring} == {Sort.LIFT_DROP}


def test_d_to_e_with_the_ring_finger_first_is_clean() -> None:
    """`x xxo ooox` sounds E about 10 cents sharp, and so do all the rest until the lower hand has come."""
    transition = Transition.between(Note.D, Note.E)
    after_ring = [each for each in passings(transition) if not each.state.closed(Finger.UPPER_RING)]
    assert PassingKind.FOREIGN not in {each.kind for each in after_ring}
    first = next(each for each in after_ring if each.state == HoleState.parse("x xxo ooox"))
    assert first.sounding.note is Note.E
    assert first.sounding.off_note_cents == pytest.approx(10.0, abs=2.0)
    assert first.sort is Sort.PHANTOM


def test_e_to_c_with_the_ring_finger_first_blips_low_a() -> None:
    """Common practice, no source."""
    transition = Transition.between(Note.E, Note.C)
    state = transition.path((Finger.UPPER_RING,))[-1]
    each = passings(transition)[transition.moved([Finger.UPPER_RING])]
    assert (each.state, each.sounding.note, each.sort) == (state, Note.LOW_A, Sort.LIFT_DROP)


def test_high_a_to_e_with_the_ring_finger_late_blips_low_a() -> None:
    """Common practice, no source; the state is the low A fingering itself."""
    transition = Transition.between(Note.HIGH_A, Note.E)
    others = [finger for finger in transition.movers if finger is not Finger.UPPER_RING]
    each = passings(transition)[transition.moved(others)]
    assert each.state == chart(Note.LOW_A)
    assert (each.kind, each.sort, each.sounding.note) == (PassingKind.FOREIGN, Sort.LIFT_DROP, Note.LOW_A)


def test_low_g_to_b_rolled_blips_low_a() -> None:
    """Common practice, no source: the little finger opens before the ring finger."""
    transition = Transition.between(Note.LOW_G, Note.B)
    each = passings(transition)[transition.moved([Finger.LOWER_LITTLE])]
    assert (each.kind, each.sort, each.sounding.note) == (PassingKind.FOREIGN, Sort.ROLLING, Note.LOW_A)


@pytest.mark.parametrize("pair", [(Note.B, Note.C), (Note.HIGH_G, Note.HIGH_A)])
def test_no_foreign_note_is_ever_heard_there(pair: tuple[Note, Note]) -> None:
    """B to C and high G to high A, and back: one of the two sounds whatever the order."""
    assert not foreign_notes(*pair)
    assert not foreign_notes(*reversed(pair))


def test_between_b_and_c_one_of_them_sounds_within_four_cents() -> None:
    """The model's own finding."""
    for each in passings(Transition.between(Note.B, Note.C)):
        assert each.sounding.note in (Note.B, Note.C)
        assert abs(each.sounding.off_note_cents) < 4.5


def test_28_of_36_pairs_can_sound_a_foreign_pitch_15_below_both_none_above() -> None:
    """By the model, more than 60 cents from either note."""
    foreign = below = above = 0
    for pair in combinations(Note, 2):
        ends = [soundings()[chart(note)].cents for note in pair]
        heard = [
            each.sounding.cents for each in passings(Transition.between(*pair)) if each.kind is PassingKind.FOREIGN
        ]
        foreign += bool(heard)
        below += any(cents < min(ends) - FOREIGN_CENTS for cents in heard)
        above += any(cents > max(ends) + FOREIGN_CENTS for cents in heard)
    assert (foreign, below, above) == (28, 15, 0)


@pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)
def test_the_fifteen_that_sound_below_are_lift_drops(tuning: Tuning) -> None:
    """They are pairs that move fingers both ways."""
    found = set()
    for pair in combinations(Note, 2):
        transition = Transition.between(*pair)
        if any(each.sort is Sort.LIFT_DROP for each in passings(transition, tuning)):
            found.add(pair)
            assert transition.lifts
            assert transition.drops
    assert len(found) == 15


@given(transitions)
def test_the_ends_are_from_and_to_and_never_foreign(transition: Transition) -> None:
    """Every other state has a sort; what moves one way only rolls."""
    first, *between, last = passings(transition)
    assert (first.kind, first.sort, last.kind, last.sort) == (PassingKind.FROM, None, PassingKind.TO, None)
    assert {each.kind for each in between} <= {PassingKind.CLEAN, PassingKind.FOREIGN}
    if not (transition.lifts and transition.drops):
        assert {each.sort for each in between} <= {Sort.ROLLING}


@given(transitions)
def test_a_foreign_state_is_far_from_both_ends(transition: Transition) -> None:
    """More than 60 cents; a clean one is nearer to one of them."""
    heard = passings(transition)
    for each in heard[1:-1]:
        nearest = min(abs(each.sounding.cents - end.sounding.cents) for end in (heard[0], heard[-1]))
        assert (each.kind is PassingKind.FOREIGN) == (nearest > FOREIGN_CENTS)


def test_a_step_inside_a_taorluath_moves_one_finger() -> None:
    """From the D gracenote to low G onto low A: gracenotes are fingered from what they decorate."""
    low_g, d_gracenote, _, e_gracenote = gracenote_states((Note.LOW_G, Note.D, Note.LOW_G, Note.E), Note.LOW_A)
    assert Transition(low_g, d_gracenote).movers == (Finger.LOWER_INDEX,)
    assert Transition(e_gracenote, chart(Note.LOW_A)).movers == (Finger.UPPER_RING,)
