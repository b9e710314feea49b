"""How the settled part of a way becomes notes that are told at once."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.live.teller import LiveTeller
from companion.hearing.live.way import LAG_FRAMES, LaggedPathFinder, live_change_costs, names_of
from companion.hearing.path import NO_PITCH, HeardStretch
from fingering.notes import Note
from tests.companion.hearing.live.made import voice


def stretch(pitch: int, first: int, stop: int, near: int | None = None) -> HeardStretch:
    """A stretch that is likest to its pitch, and next to `near`. The rank of what is unlike all is -2."""
    costs = np.full(len(voice().voice.pitches) + 2, 10.0 * (stop - first))
    costs[pitch] = 0.0
    if near is not None:
        costs[near] = 1.0
    rank = pitch if pitch != -2 else len(voice().voice.pitches)
    return HeardStretch(rank, first, stop, tuple(costs.tolist()))


def told(stretches: list[HeardStretch]) -> list[tuple[Note | None, int]]:
    """The notes told of stretches, with the frames that they begin at."""
    teller = LiveTeller(voice())
    grid = voice().grid
    return [(each.note, round((each.at_s - grid.centre_s(-0.5)) / grid.hop_s)) for each in teller.tell(stretches, None)]


@pytest.mark.same_everywhere
def test_a_note_is_told_while_it_goes_on_and_once() -> None:
    """As soon as it is 12 ms long, with when it began; a pitch of the same name is no other note."""
    teller = LiveTeller(voice())
    assert list(teller.tell([], stretch(Note.B, 100, 104))) == []
    (note,) = teller.tell([], stretch(Note.B, 100, 105))
    assert (note.note, note.at_s) == (Note.B, voice().grid.centre_s(99.5))
    assert note.confidence > 0.9
    assert list(teller.tell([stretch(Note.B, 100, 160)], stretch(Note.B, 160, 200))) == []


@pytest.mark.same_everywhere
@pytest.mark.parametrize(
    ("between", "expected"),
    [
        ([stretch(Note.D, 50, 53, near=Note.B)], [(Note.B, 0), (Note.C, 53)]),  # too short, and like what was before
        ([stretch(Note.D, 50, 53, near=Note.C)], [(Note.B, 0), (Note.C, 50)]),  # or like what comes
        ([stretch(NO_PITCH, 50, 70, near=Note.E)], [(Note.B, 0), (Note.E, 50), (Note.C, 70)]),  # a veiled gracenote
        ([stretch(-2, 50, 70, near=Note.E)], [(Note.B, 0), (Note.E, 50), (Note.C, 70)]),  # one that was never heard
        ([stretch(-2, 50, 70, near=Note.B)], [(Note.B, 0), (Note.C, 70)]),  # noise while a note goes on
        ([stretch(-2, 50, 56, near=Note.E)], [(Note.B, 0), (Note.C, 53)]),  # two notes in one window: no third
        (  # a gracenote of 25 ms, half of whose window holds its neighbours
            [stretch(-2, 50, 54), stretch(Note.D, 54, 58), stretch(-2, 58, 62)],
            [(Note.B, 0), (Note.D, 52), (Note.C, 60)],
        ),
        ([stretch(NO_PITCH, 50, 90)], [(Note.B, 0), (None, 50), (Note.C, 90)]),  # a silence that lasts
    ],
)
def test_what_lies_between_two_notes(between: list[HeardStretch], expected: list[tuple[Note | None, int]]) -> None:
    """Short ones go to the neighbour that they are likest to, short gaps are notes, long ones silence."""
    after = stretch(Note.C, between[-1].stop, between[-1].stop + 50)
    assert told([stretch(Note.B, 0, 50), *between, after]) == expected


@pytest.mark.same_everywhere
def test_what_is_unlike_all_between_a_note_and_itself_is_a_gracenote() -> None:
    """One note is not heard as two at once, so that 20 ms are enough."""
    again = stretch(Note.B, 58, 100)
    assert told([stretch(Note.B, 0, 50), stretch(-2, 50, 58, near=Note.D), again]) == [
        *((Note.B, 0), (Note.D, 50), (Note.B, 58))
    ]


@pytest.mark.same_everywhere
def test_a_way_is_settled_soon_where_it_is_clear_and_after_40_ms_where_not() -> None:
    """Clear frames are settled within two frames; where two pitches cost the same, within the lag."""
    pitches = voice().voice.pitches
    finder = LaggedPathFinder(*live_change_costs(pitches), names_of(pitches))
    clear = np.full((40, len(pitches) + 2), 20.0, np.float32)
    clear[:, Note.D] = 0.0
    list(finder.go_on(clear))
    assert finder.open is not None
    assert finder.open.pitch == Note.D
    assert finder.open.stop >= 38
    unclear = np.full((60, len(pitches) + 2), 20.0, np.float32)
    unclear[:, Note.D] = unclear[:, Note.E] = 1.0
    list(finder.go_on(unclear))
    assert finder.open.stop >= 100 - LAG_FRAMES


@pytest.mark.same_everywhere
def test_fingerings_of_one_note_keep_nothing_waiting() -> None:
    """A way that is a false high G and one that is the chart's agree on the note."""
    pitches = voice().voice.pitches
    false = next(rank for rank, each in enumerate(pitches) if each.note is Note.HIGH_G and not each.plain)
    finder = LaggedPathFinder(*live_change_costs(pitches), names_of(pitches))
    alike = np.full((10, len(pitches) + 2), 20.0, np.float32)
    alike[:, [Note.HIGH_G, false]] = 1.0
    list(finder.go_on(alike))
    assert finder.open is not None
    assert pitches[finder.open.pitch].note is Note.HIGH_G
    assert finder.open.stop >= 8


@pytest.mark.same_everywhere
def test_a_note_that_the_best_way_has_held_for_40_ms_is_settled_as_far_as_it_is_told() -> None:
    """E, where F is hardly less likely: no frame of it before, then at once the 18 ms of it that a room asks for."""
    pitches = voice().voice.pitches
    finder = LaggedPathFinder(*live_change_costs(pitches), names_of(pitches))
    costs = np.full((56, len(pitches) + 2), 20.0, np.float32)
    costs[:40, Note.D] = costs[40:, Note.E] = 0.0
    costs[40:, Note.F] = 0.1
    list(finder.go_on(costs[:55]))
    assert finder.open is not None
    assert (finder.open.pitch, finder.open.stop) == (Note.D, 40)
    list(finder.go_on(costs[55:]))
    assert (finder.open.pitch, finder.open.first, finder.open.stop) == (Note.E, 40, 47)
