"""What is said of an embellishment that was played time after time."""

from __future__ import annotations

import pytest

from companion.window.embellishments.rounds import Attempt, tally
from companion.window.embellishments.subject import named_subject
from fingering.holes import Finger
from fingering.notes import Note

TAORLUATH = named_subject("taorluath", Note.LOW_A, Note.C).embellishment
GRACENOTE = named_subject("G gracenote", Note.LOW_A, Note.C).embellishment
EVEN = Attempt()
RING = Attempt(frozenset({Finger.UPPER_RING}))
BOTH = Attempt(frozenset({Finger.UPPER_RING, Finger.LOWER_INDEX}))
LEFT_OUT = Attempt(faults=frozenset({"a gracenote was left out"}))


def said(*attempts: Attempt) -> str:
    """What is said of a taorluath."""
    return " ".join(tally(attempts, TAORLUATH))


@pytest.mark.parametrize(
    ("attempts", "words"),
    [
        ((), ""),
        ((EVEN,), "The first was even."),
        ((RING,), "The first was not even. The upper ring finger was late."),
        ((EVEN, EVEN), "Both were even."),
        ((EVEN,) * 4, "All of the last four were even."),
        ((EVEN,) * 7 + (RING,) * 3, "Seven of the last ten were even. The upper ring finger was late three times."),
        ((EVEN, RING, LEFT_OUT), "One of the last three was even. The upper ring finger was late once."),
        ((LEFT_OUT, LEFT_OUT), "None of the last two were even. A gracenote was left out twice."),
        (
            (EVEN, BOTH, BOTH),
            "One of the last three was even. The upper ring finger and the lower index finger were late twice.",
        ),
        ((EVEN, BOTH, RING), "One of the last three was even. The upper ring finger was late twice."),
    ],
)
def test_how_many_of_the_last_were_even_and_which_finger_was_late(attempts: tuple[Attempt, ...], words: str) -> None:
    """A finger before any other fault, the one that was late most often."""
    assert said(*attempts) == words


def test_no_more_than_the_last_ten_are_told_of() -> None:
    """What was amiss before is forgotten."""
    assert said(*(RING,) * 20, *(EVEN,) * 10) == "All of the last ten were even."


def test_one_gracenote_cannot_be_uneven() -> None:
    """It is clean or not."""
    assert tally((EVEN, EVEN), GRACENOTE) == ("Both were clean.",)
