"""Fs and high Gs that touch in a room, named by pitches that are given. In cents above F."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.notes.high_g_places import HighGPlaces
from companion.hearing.notes.settled_pitches import ECHO_FRAMES, begun_after_other, settled_pitches
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

pytestmark = pytest.mark.same_everywhere

GRID = learnt(1000).grid
E, F, G = Note.E, Note.F, Note.HIGH_G
PLACES = HighGPlaces(
    over=dict.fromkeys(Note, 85.0), known=frozenset(), plain=85.0, spread=5.0, apart=20.0, apart_from_high=20.0
)
SHORTEST_S = 0.015
FIRST = 400
OF_F, OF_G = 2.0, 86.0


def in_a_row(*parts: tuple[Note, int]) -> list[HeardNote]:
    """Notes of so many frames each; what is F or high G may be the other."""
    notes, frame = [], FIRST
    for note, frames in parts:
        others = frozenset({F, G}) - {note} if note in (F, G) else frozenset[Note]()
        notes.append(HeardNote(GRID.centre_s(frame - 0.5), GRID.centre_s(frame + frames - 0.5), note, others=others))
        frame += frames
    return notes


def settled(
    notes: Sequence[HeardNote], *pitches: tuple[int, float], begins: int = FIRST
) -> tuple[list[tuple[Note, int]], list[SureName]]:
    """The notes with their frames, and what is sure of them, where so many frames lie at each of these pitches."""
    cents = [cents for frames, cents in pitches for _ in range(frames)]
    out, sure = settled_pitches(notes, dict(enumerate(cents, begins)), PLACES, GRID, SHORTEST_S)
    return [(each.note, round(each.length_s / GRID.hop_s)) for each in out], sure


def test_what_lies_at_f_for_longer_than_any_echo_is_no_high_g() -> None:
    """It is sure of it once an echo of the F before would have gone."""
    found, sure = settled(in_a_row((F, 20), (G, 42), (E, 100)), (62, OF_F))
    assert found == [(F, 62), (E, 100)]
    (only,) = sure
    assert only.no_other == {G}
    assert only.heard.at_s == pytest.approx(GRID.centre_s(FIRST + 20 + ECHO_FRAMES - 0.5))


def test_a_high_g_in_the_echo_of_an_f_is_left() -> None:
    """Which lies in the place of that F for 90 ms at most, if it is followed by another."""
    assert settled(in_a_row((F, 20), (G, 36), (F, 100)), (56, OF_F)) == ([(F, 20), (G, 36), (F, 100)], [])


def test_an_f_that_goes_on_as_a_high_g_is_parted_where_that_lasts() -> None:
    """70 ms and more; what is shorter may be how an echo and a note beat."""
    assert settled(in_a_row((F, 60), (E, 100)), (20, OF_F), (40, OF_G))[0] == [(F, 20), (G, 40), (E, 100)]
    assert settled(in_a_row((F, 45), (E, 100)), (20, OF_F), (25, OF_G))[0] == [(F, 45), (E, 100)]


def test_what_is_left_of_a_note_is_no_shorter_than_a_note() -> None:
    """An end of 10 ms belongs to the other one."""
    assert settled(in_a_row((G, 60), (E, 100)), (20, OF_G), (36, OF_F), (4, OF_G))[0] == [(G, 20), (F, 40), (E, 100)]


@pytest.mark.parametrize(
    ("before", "frames", "sure"),
    [
        (((E, 100), (G, 100)), 4, True),
        (((E, 100), (G, 100)), 3, False),  # too few
        (((F, 100), (G, 10)), 4, False),  # the echo of an F
        (((F, 100), (G, 60)), 4, True),  # of one that is long gone
        (((G, 100), (E, 10)), 4, False),  # after another note
    ],
)
def test_an_f_after_a_high_g_is_none_where_no_other_f_can_echo(
    before: tuple[tuple[Note, int], ...], frames: int, *, sure: bool
) -> None:
    """The echo of the high G hides it for a while; once it shows at its own pitch it has begun."""
    notes = in_a_row(*before, (F, 24), (E, 100))
    begins = FIRST + sum(count for _, count in before)
    looks = dict(enumerate([*[OF_G] * 12, *[OF_F] * frames, *[OF_G] * (12 - frames)], begins))
    out, surely = begun_after_other(notes, looks, PLACES, GRID)
    assert (out[len(before)].others == frozenset()) is sure
    assert [round(each.heard.length_s / GRID.hop_s) for each in surely] == ([frames] if sure else [])
