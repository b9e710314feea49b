"""Feet of two or of three, whichever a take is likelier in."""

from __future__ import annotations

from companion.notate.pulse.feet import FootKind
from companion.notate.pulse.likeliest import likeliest_reading
from companion.notate.pulse.sounds import sounding_notes
from tests.learners.melodies import make_melody
from tests.learners.player import simulate
from tests.learners.written_down import learner

DRAW = 11004


def test_a_jig_of_an_unsteady_player_is_no_tune_of_triplets() -> None:
    """Thirds of feet and pairs of 2:1, 35 ms of jitter: as triplets and blunt dotted pairs they cost hardly more."""
    take = simulate(make_melody(DRAW), learner(DRAW, 0.035), DRAW)
    found = likeliest_reading(sounding_notes(take.notes[:200]))
    assert found is not None
    assert found.habits.kind is FootKind.THREE
