"""A gracenote that was heard as an F and a high G."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.notes.one_of_two import whole
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

F, G, LOW_A = Note.F, Note.HIGH_G, Note.LOW_A
EITHER = frozenset({F, G})


def heard(notes: Sequence[tuple[Note, int]], *, doubted: bool = True) -> list[HeardNote]:
    """Notes in a row, each so many ms long; F and high G may be each other."""
    out, at_ms = [], 0
    for note, ms in notes:
        others = EITHER - {note} if doubted and note in EITHER else frozenset[Note]()
        out.append(HeardNote(at_ms / 1000.0, (at_ms + ms) / 1000.0, note, 1.0, others))
        at_ms += ms
    return out


def told(notes: Sequence[tuple[Note, int]], *, doubted: bool = True) -> list[tuple[Note, int]]:
    """The notes that they become, and lengths in ms."""
    return [(each.note, round(1000.0 * each.length_s)) for each in whole(heard(notes, doubted=doubted))]


def test_two_pieces_as_short_as_one_gracenote_are_one() -> None:
    """Named as the longer one, and still in doubt."""
    assert told([(LOW_A, 300), (F, 15), (G, 20), (LOW_A, 300)]) == [(LOW_A, 300), (G, 35), (LOW_A, 300)]
    assert [each.others for each in whole(heard([(LOW_A, 300), (F, 20), (G, 15)]))][1] == {G}


@pytest.mark.parametrize(
    "notes",
    [
        [(LOW_A, 300), (F, 35), (G, 40), (LOW_A, 300)],
        [(G, 25), (F, 20), (G, 25), (F, 400)],
        [(LOW_A, 300), (G, 15), (F, 20), (G, 25), (LOW_A, 300)],
    ],
    ids=["longer than one", "a doubling on F", "three of them"],
)
def test_what_can_be_two_stays_two(notes: list[tuple[Note, int]]) -> None:
    assert told(notes) == notes


def test_what_is_sure_stays_too() -> None:
    notes = [(LOW_A, 300), (F, 15), (G, 20), (LOW_A, 300)]
    assert told(notes, doubted=False) == notes
