"""When a note is due by a metronome."""

from __future__ import annotations

import pytest

from companion.listen.rhythm.fitted_spread import LEAST_SPREAD_S
from companion.listen.rhythm.metronome import Metronome
from companion.listen.rhythm.pulse import Onset

STEP_S = 0.5


def onset(rank: int, at_s: float) -> Onset:
    """One of many notes of equal length."""
    return Onset(rank * STEP_S, STEP_S, STEP_S, at_s)


def test_a_metronome_goes_on_whatever_is_played() -> None:
    """Its phase is that of the first note; nothing moves it."""
    metronome = Metronome(1.0, STEP_S)
    late = onset(4, 3.3)
    due = metronome.due(late)
    metronome.heard(late, due)
    metronome.learn_spread(late, due)
    assert due.at_s == metronome.due(late).at_s == 3.0
    assert (metronome.ratio, metronome.running, metronome.settled) == (1.0, True, True)


def test_against_a_metronome_players_stray_by_a_fiftieth() -> None:
    """Of the longer interval beside a note (musicians tapping, Repp 2005, from memory), and by 4 ms at least."""
    metronome = Metronome(0.0, STEP_S)
    for before_s, after_s in ((0.5, 1.0), (1.0, 0.5)):
        due = metronome.due(Onset(0.0, before_s, after_s, 0.0))
        assert due.spread_s == due.noise_s == pytest.approx(0.02)
        assert due.known_s == 0.0
    assert metronome.due(Onset(0.0, 0.1, 0.1, 0.0)).spread_s == LEAST_SPREAD_S


@pytest.mark.parametrize(("at_s", "due_s"), [(4.26, 4.5), (4.24, 4.0), (2.6, 2.5), (3.0, 3.0)])
def test_after_a_stop_a_learner_comes_in_on_the_nearest_beat(at_s: float, due_s: float) -> None:
    """The metronome went on meanwhile."""
    metronome = Metronome(1.0, STEP_S)
    metronome.cut()
    assert not metronome.running
    metronome.begin(onset(4, at_s))
    assert metronome.running
    assert metronome.due(onset(4, at_s)).at_s == pytest.approx(due_s)
    assert metronome.due(onset(5, at_s)).at_s == pytest.approx(due_s + STEP_S)
