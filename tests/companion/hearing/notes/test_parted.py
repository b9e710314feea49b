"""High Gs in a room within which an F was not heard, parted by pitches that are given. In cents above F."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.notes.high_g_places import HighGPlaces
from companion.hearing.notes.parted import parted
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

pytestmark = pytest.mark.same_everywhere

GRID = learnt(1000).grid
F, G = Note.F, Note.HIGH_G
PLACES = HighGPlaces(
    over=dict.fromkeys(Note, 85.0), known=frozenset(), plain=85.0, spread=5.0, apart=20.0, apart_from_high=20.0
)
SHORTEST_S = 0.015
FIRST = 400


def after_e(*parts: tuple[int, float], before: Note = Note.E) -> list[Note]:
    """What is told of a high G before F, of so many frames at each of these pitches."""
    frames = sum(count for count, _ in parts)
    at_s, stop_s = (GRID.centre_s(frame - 0.5) for frame in (FIRST, FIRST + frames))
    notes = [HeardNote(at_s - 0.2, at_s, before), HeardNote(at_s, stop_s, G), HeardNote(stop_s, stop_s + 0.3, F)]
    cents = [each for count, pitch in parts for each in [pitch] * count]
    return named(notes, cents)


def named(notes: Sequence[HeardNote], cents: Sequence[float]) -> list[Note]:
    """The names of the notes without the first and last, where each F that was found is sure and as long as it is."""
    out, surely = parted(notes, dict(enumerate(cents, FIRST)), PLACES, GRID, SHORTEST_S)
    assert [each.heard for each in surely] == [each for each in out[:-1] if each.note is F]
    assert all(one.stop_s == pytest.approx(other.at_s) for one, other in pairwise(out))
    return [each.note for each in out[1:-1]]


def test_an_f_between_two_high_gs_is_found_by_its_pitch() -> None:
    """A doubling on F that was heard as one long gracenote."""
    assert after_e((10, 84.0), (8, 2.0), (9, 86.0)) == [G, F, G]
    assert after_e((10, 84.0), (8, 2.0), (9, 86.0), (7, -3.0), (9, 85.0)) == [G, F, G, F, G]


@pytest.mark.parametrize(
    "parts",
    [
        ((10, 84.0), (4, 2.0), (9, 86.0)),  # 10 ms
        ((10, 84.0), (8, 40.0), (9, 86.0)),  # of no place
        ((4, 84.0), (8, 2.0), (9, 86.0)),  # too near the beginning
        ((10, 84.0), (8, 2.0), (4, 86.0)),  # and the end
        ((10, 84.0), (8, 2.0), (9, 2.0)),  # no high G after it
        ((10, 200.0), (8, 2.0), (9, 86.0)),  # nor before it
    ],
)
def test_what_is_no_f_for_long_enough_between_two_high_gs_parts_nothing(parts: tuple[tuple[int, float], ...]) -> None:
    assert after_e(*parts) == [G]


@pytest.mark.parametrize(("frames", "names"), [(8, [G, F, G]), (7, [G])])
def test_within_a_long_high_g_an_f_lasts_20_ms(frames: int, names: list[Note]) -> None:
    """What is shorter may be the echo of an F before it."""
    assert after_e((12, 84.0), (frames, 2.0), (100, 86.0)) == names


def test_in_the_echo_of_a_high_g_nothing_is_parted() -> None:
    """An F may begin what was heard, under that."""
    at_s = GRID.centre_s(FIRST - 0.5)
    stop_s = GRID.centre_s(FIRST + 27 - 0.5)
    notes = [HeardNote(at_s - 0.5, at_s - 0.04, G), HeardNote(at_s - 0.04, at_s, Note.HIGH_A)]
    notes += [HeardNote(at_s, stop_s, G), HeardNote(stop_s, stop_s + 0.3, F)]
    assert named(notes, [*[84.0] * 10, *[2.0] * 8, *[86.0] * 9]) == [Note.HIGH_A, G]
