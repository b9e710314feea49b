"""Long Fs and high Gs, known by every look at them."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.notes.long_names import EDGE_S, LongNotes, long_names
from companion.hearing.notes.short_pitches import LongPitch
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

pytestmark = pytest.mark.same_everywhere

CHANTER = learnt(1000)
F, G = Note.F, Note.HIGH_G
F_LOOKS = (-4.0, 0.0, 5.0, 2.0, -1.0, 3.0, 0.0, -2.0)
G_LOOKS = tuple(85.0 + each for each in F_LOOKS)


def surely(told: Note, *looks: Sequence[float]) -> list[Note]:
    """The names that a note of half a second surely has not, told to be this, after looks at each of its stretches."""
    note = HeardNote(1.0, 1.5, told)
    first = round((1.0 - CHANTER.grid.centre_s(0)) / CHANTER.grid.hop_s)
    lasting = [
        LongPitch(told, first + 50 * rank, first + 50 * (rank + 1), tuple(each)) for rank, each in enumerate(looks)
    ]
    other = LongPitch(told, 0, 60, (40.0,) * 8)
    found = long_names([note], [other, *lasting], LongNotes(0.0, 85.0, 3.0), CHANTER)
    assert all((each.heard.at_s, each.heard.stop_s) == (1.0 + EDGE_S, 1.5 - EDGE_S) for each in found)
    return [name for each in found for name in each.no_other]


def test_where_all_looks_agree_it_is_surely_that() -> None:
    """But near its ends, where a gracenote may hide."""
    assert surely(F, F_LOOKS) == [G]
    assert surely(G, G_LOOKS, G_LOOKS) == [F]


@pytest.mark.parametrize("looks", [G_LOOKS, (*F_LOOKS[:7], 30.0), F_LOOKS[:5], ()])
def test_else_it_is_not(looks: tuple[float, ...]) -> None:
    """It looks like the other one; one look is between both; too few looks; none."""
    assert surely(F, looks) == []


def test_where_they_lie_is_measured_if_they_were_heard_for_long_enough() -> None:
    """Else it is as it was learnt."""
    lasting = [LongPitch(F, 0, 100, tuple(7.0 + each for each in F_LOOKS))] * 3
    long = LongNotes.of(lasting, CHANTER)
    assert long.f_cents == pytest.approx(7.0)
    assert long.high_g_cents == pytest.approx(84.5, abs=0.1)  # 21:20, the harmonic tuning
    assert LongNotes.of(lasting[:1], CHANTER).f_cents == 0.0


@pytest.mark.parametrize("high_g_cents", [0.0, 20.0, -10.0])
def test_where_both_seem_to_lie_at_one_place_none_is_sure(high_g_cents: float) -> None:
    """One of them was mostly the other, misheard."""
    assert LongNotes(0.0, high_g_cents, 3.0).name((0.0,) * 8) is None
