"""What a whole take shows of how its player's tempo wanders."""

from __future__ import annotations

from random import Random
from statistics import mean

import pytest

from companion.listen.rhythm.tempo_wander import (
    FEWEST_NOTES,
    TEMPO_WANDERS,
    USUAL_TEMPO_WANDER,
    Followed,
    fitted_tempo_wander,
)

STEP_S, OWN_S = 0.5, 0.015


def take(
    player: int, tempo: float = 0.0, pulse_s: float = 0.0, faults: float = 0.0, notes: int = 200
) -> list[Followed]:
    """Notes half a second apart by a player whose tempo wanders by that share in a second, whose pulse strays by
    `pulse_s` at each note, and who plays some of them 0.2 s late."""
    random, followed, at_s, ratio = Random(player), [], 0.0, 1.0
    for rank in range(notes):
        came_s = at_s + random.gauss(0.0, OWN_S) + 0.2 * (random.random() < faults)
        followed.append(Followed(STEP_S if rank else 0.0, came_s, OWN_S**2, 0.0, OWN_S**2, believed=rank > 0))
        ratio += random.gauss(0.0, tempo * STEP_S**0.5)
        at_s += ratio * STEP_S + random.gauss(0.0, pulse_s)
    return followed


@pytest.mark.parametrize("tempo", [0.01, 0.02, 0.03])
def test_how_a_tempo_wanders_is_found(tempo: float) -> None:
    """To within a third, on the average of some players."""
    found = mean(fitted_tempo_wander([take(player, tempo)], 1.0, 0.05) for player in range(12))
    assert found == pytest.approx(tempo, rel=0.33)


def test_a_pulse_whose_errors_add_up_is_not_taken_for_a_tempo_that_wanders() -> None:
    """One that strays from note to note by as much as the notes do: the least that is tried, nearly."""
    found = mean(fitted_tempo_wander([take(player, pulse_s=OWN_S)], 1.0, 0.05) for player in range(12))
    assert found < 1.5 * TEMPO_WANDERS[0]


def test_faults_do_not_make_a_tempo_wander() -> None:
    """Each counts as one three standard deviations off: of one in ten notes that is 0.2 s late little is seen."""
    found = mean(fitted_tempo_wander([take(player, faults=0.1)], 1.0, 0.05) for player in range(12))
    assert found < 2.0 * TEMPO_WANDERS[0]


def test_of_too_few_notes_nothing_is_fitted() -> None:
    """In runs that have nothing to do with each other they count together."""
    few, half = take(1, 0.03, notes=FEWEST_NOTES - 1), take(1, 0.03, notes=FEWEST_NOTES // 2)
    assert fitted_tempo_wander([few], 1.0, 0.05) == USUAL_TEMPO_WANDER
    assert fitted_tempo_wander([half, half], 1.0, 0.05) != USUAL_TEMPO_WANDER


def test_a_note_that_was_left_out_tells_nothing_and_one_with_which_the_pulse_moved_no_more() -> None:
    """However late it was: what is fitted stays as it was, nearly."""
    notes = take(3, 0.02)
    left = [*notes[:99], notes[99]._replace(at_s=notes[99].at_s + 0.3, believed=False, left=True), *notes[100:]]
    later = [each._replace(at_s=each.at_s + 0.3) for each in notes[99:]]
    moved = [*notes[:99], later[0]._replace(believed=False), *later[1:]]
    plain, *others = (fitted_tempo_wander([each], 1.0, 0.05) for each in (notes, left, moved))
    assert others == [pytest.approx(plain, rel=0.1)] * 2
