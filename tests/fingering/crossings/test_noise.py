"""The likeliest crossing noise of each change of note."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings

from fingering.acoustics.sounding import soundings
from fingering.chart import sounded
from fingering.crossings import noise as module
from fingering.crossings.analysis import analyse
from fingering.crossings.noise import (
    HANDS_APART_MS,
    USUAL_LATE_MS,
    WEAK_FINGER_LATE_MS,
    NoiseKind,
    likely_noises,
)
from fingering.crossings.telling import cause, noise_phrases
from fingering.crossings.timing import AUDIBLE_MS, OWN_NOTE_MS, heard
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.fingering.crossings.strategies import transitions

PAIRS = tuple(permutations(Note, 2))


@pytest.mark.parametrize(
    ("start", "end", "note", "kind"),
    [
        (Note.D, Note.E, Note.LOW_A, NoiseKind.LOWER),
        (Note.E, Note.C, Note.LOW_A, NoiseKind.LOWER),
        (Note.LOW_G, Note.B, Note.LOW_A, NoiseKind.BETWEEN),
        (Note.C, Note.HIGH_A, Note.LOW_A, NoiseKind.LOWER),
        (Note.E, Note.HIGH_G, Note.F, NoiseKind.BETWEEN),
        (Note.HIGH_A, Note.E, Note.LOW_A, NoiseKind.LOWER),
        (Note.LOW_A, Note.D, Note.LOW_G, NoiseKind.LOWER),
        (Note.HIGH_A, Note.LOW_A, Note.HIGH_G, NoiseKind.VEIL),
    ],
)
def test_the_noises_that_teachers_name_come_first(start: Note, end: Note, note: Note, kind: NoiseKind) -> None:
    """D to E, E to C and high A to E blip low A, low G to B rolls it; the others too are common practice, no source."""
    first = likely_noises(Transition.between(start, end))[0]
    assert (first.note, first.kind) == (note, kind)


def test_high_a_to_e_blips_low_a_where_the_ring_finger_is_late() -> None:
    """By that finger (common practice, no source); where an index finger is late it is high G, which comes second."""
    first, second, *_ = likely_noises(Transition.between(Note.HIGH_A, Note.E))
    assert [(slip.finger, slip.ms) for slip in first.slips] == [(Finger.UPPER_RING, WEAK_FINGER_LATE_MS)]
    assert (second.note, [slip.finger for slip in second.slips]) == (Note.HIGH_G, [Finger.UPPER_INDEX])


@pytest.mark.parametrize("pair", PAIRS)
def test_a_noise_is_told_where_one_can_sound_and_nowhere_else(pair: tuple[Note, Note]) -> None:
    """As the analysis of all orders of the fingers has it: 56 changes of note have one, 16 none."""
    crossing = analyse(Transition.between(*pair))
    assert bool(likely_noises(crossing.transition)) == bool(crossing.foreign)


@pytest.mark.parametrize("pair", PAIRS)
def test_the_slips_that_are_blamed_make_the_noise_for_as_long_as_it_says(pair: tuple[Note, Note]) -> None:
    """Played so, by the timing of states, the note is heard, and lasts so long."""
    transition = Transition.between(*pair)
    for noise in likely_noises(transition):
        (state,) = heard(transition, {slip.finger: slip.ms for slip in noise.slips})
        assert state.sounding.note is noise.note
        assert state.lasts_ms == noise.lasts_ms


@settings(deadline=None, max_examples=60)
@given(transitions)
def test_the_shares_add_up_and_fall(transition: Transition) -> None:
    """Between any two hole states: each note once, the likeliest first, neither of the two ends among them."""
    noises = likely_noises(transition)
    shares = [noise.share for noise in noises]
    assert shares == sorted(shares, reverse=True)
    assert not noises or sum(shares) == pytest.approx(1.0)
    assert len({noise.note for noise in noises}) == len(noises)


def test_a_false_fingering_without_a_clear_pitch_is_a_veil() -> None:
    """High G to low A with the upper middle finger late: F with the index and ring closed hardly speaks."""
    first = likely_noises(Transition.between(Note.HIGH_G, Note.LOW_A))[0]
    assert first.kind is NoiseKind.VEIL
    assert soundings()[HoleState.parse("x xox xxxo")].veil > module.VEILED


def test_no_state_between_two_notes_is_near_the_limit_of_a_veil() -> None:
    """So that the limit parts two sorts: below a quarter, or 0.4 and more."""
    found = [each.sounding.veil for pair in PAIRS for each in analyse(Transition.between(*pair)).foreign]
    assert all(veil < 0.25 or veil > 0.4 for veil in found)
    assert 0.25 < module.VEILED < 0.4


@settings(deadline=None, max_examples=60)
@given(transitions)
def test_no_noise_lies_above_both_notes(transition: Transition) -> None:
    """The topmost open hole decides what sounds (the chart), and no finger above both topmost ones moves."""
    highest = max(sounded(transition.start), sounded(transition.end))
    for noise in likely_noises(transition):
        assert noise.note < highest


def test_how_late_is_usual() -> None:
    """A note of its own is heard from 20 ms on (Hirsh 1959); the rest is common practice, no source."""
    assert AUDIBLE_MS < OWN_NOTE_MS <= USUAL_LATE_MS < WEAK_FINGER_LATE_MS < HANDS_APART_MS
    assert likely_noises(Transition.between(Note.E, Note.HIGH_G))[0].lasts_ms == USUAL_LATE_MS
    assert likely_noises(Transition.between(Note.LOW_G, Note.B))[0].lasts_ms == WEAK_FINGER_LATE_MS
    assert likely_noises(Transition.between(Note.D, Note.E))[0].lasts_ms == HANDS_APART_MS


@pytest.mark.parametrize(
    ("start", "end", "full", "short", "why"),
    [
        (Note.D, Note.E, "low A flashes below both, for 30 ms", "low A", "the upper ring finger comes late"),
        (Note.E, Note.C, "low A flashes below both, for 30 ms", "low A", "the lower hand comes late"),
        (Note.LOW_G, Note.B, "low A flashes in between, for 25 ms", "low A", "the lower ring finger comes late"),
        (Note.HIGH_G, Note.LOW_A, "a veil, no clear note, for 20 ms", "a veil", "the upper middle finger comes late"),
    ],
)
def test_a_noise_in_words(start: Note, end: Note, full: str, short: str, why: str) -> None:
    """The fullest wording and the shortest, and who usually makes it."""
    transition = Transition.between(start, end)
    noise = likely_noises(transition)[0]
    phrases = noise_phrases(transition, noise)
    assert (phrases[0], phrases[-1]) == (full, short)
    assert cause(transition, noise) == why


def test_where_nothing_can_flash_the_words_say_so() -> None:
    """One finger, or several in any order."""
    for end, words in ((Note.LOW_A, "one finger, always clean"), (Note.B, "low A flashes in between, for 25 ms")):
        transition = Transition.between(Note.LOW_G, end)
        assert noise_phrases(transition, next(iter(likely_noises(transition)), None))[0] == words
    assert noise_phrases(Transition.between(Note.B, Note.C), None)[0] == "clean in any order"
