"""Which notes pitches are, where few are heard."""

from __future__ import annotations

import pytest

from companion.hearing.intake.placing import other_steps
from fingering.notes import HARMONIC, Note

RANGE_HZ = (415.0, 500.0)


def heard(letters: str, low_a_hz: float) -> dict[Note, float]:
    """The pitches of those notes on a chanter in tune."""
    return {note: low_a_hz * HARMONIC.ratio(note) for note in Note if note.letter in letters}


@pytest.mark.same_everywhere
@pytest.mark.parametrize(
    ("letters", "low_a_hz", "steps"),
    [
        ("A", 470.0, (1,)),
        ("ABc", 470.0, ()),
        ("Ae", 480.0, (1,)),
        ("ABce", 440.0, (-1,)),
        ("GABde", 480.0, (1,)),
        ("cd", 440.0, ()),
        ("GABcdefga", 470.0, ()),
        ("", 470.0, ()),
    ],
)
def test_few_notes_may_be_others(letters: str, low_a_hz: float, steps: tuple[int, ...]) -> None:
    """One note, a fifth, five that lie alike from low G and from low A: where the low A that it makes is one that there
    may be. All nine are never others."""
    assert other_steps(heard(letters, low_a_hz), RANGE_HZ) == steps
