"""Feet of two or of three, whichever a take is likelier in."""

from __future__ import annotations

from fractions import Fraction

from companion.notate.notating import notate
from companion.notate.pulse.feet import FootKind
from companion.notate.pulse.likeliest import likeliest_reading
from companion.notate.pulse.sounds import sounding_notes
from tests.learners.melodies import make_melody
from tests.learners.player import simulate
from tests.learners.written_down import compared, learner, tune_of_draw

DRAW = 11004

GRIPS_LATE, GRIPS_LATE_TUNE = 27005, 13502
"""A slip jig whose grips come after its first 160 sounding notes, all its gracenotes on the beat."""

SHORT_GRIPS = 28023
"""A march whose player has 18 ms for the gracenotes of a grip and 45 ms and more for a single one."""


def test_a_jig_of_an_unsteady_player_is_no_tune_of_triplets() -> None:
    """Thirds of feet and pairs of 2:1, 35 ms of jitter: as triplets and blunt dotted pairs they cost hardly more."""
    take = simulate(make_melody(DRAW), learner(DRAW, 0.035), DRAW)
    found = likeliest_reading(sounding_notes(take.notes[:200]))
    assert found is not None
    assert found.habits.kind is FootKind.THREE


def test_a_grip_tells_the_school_of_a_player_however_late_it_comes() -> None:
    """Doublings and single gracenotes are placed alike by pipers and by one who begins them all on the beat; who took
    the grips for early ones wrote the notes after them a semiquaver late."""
    tune = tune_of_draw(GRIPS_LATE_TUNE, ours=False)
    take = simulate(tune, learner(GRIPS_LATE, 0.0), GRIPS_LATE)
    figures = compared(tune, notate(take.notes).tune)
    assert figures.right["lengths"] == figures.of["lengths"]


def test_single_gracenotes_of_one_whose_grips_are_short_are_no_notes_of_melody() -> None:
    """They are twice as long as the shortest, all of them: as cuts they made a march in 2/4 a strathspey."""
    tune = tune_of_draw(SHORT_GRIPS, ours=True)
    written = notate(simulate(tune, learner(SHORT_GRIPS, 0.0), SHORT_GRIPS).notes).tune
    assert written.meter.bar_length == Fraction(1, 2)
    assert compared(tune, written).right["embellishments"] >= 0.95 * compared(tune, written).of["embellishments"]
