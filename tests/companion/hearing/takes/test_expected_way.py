"""Who knows the tune hears it wherever it is likely enough, and nothing of it where it is not."""

from __future__ import annotations

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.expected_way import WayStep, expected_way, without_short
from companion.hearing.takes.reading.tune_reading import with_names_in_doubt
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, change_costs, costs_of_notes, evidence_of

pytestmark = pytest.mark.same_everywhere

B, C, D, HIGH_G = Note.B, Note.C, Note.D, Note.HIGH_G
LOW_A = Note.LOW_A


def short(asked: list[Note]) -> list[bool]:
    """Which of these notes are gracenotes: high G is."""
    return [each is HIGH_G for each in asked]


def way(notes: list[HeardNote], asked: list[Note]) -> list[tuple[int, int, int, int | None]]:
    """The steps through what these notes say."""
    steps = expected_way(costs_of_notes(notes, notes[-1].stop_s), asked, short(asked))
    return [(each.name, each.first, each.stop, each.asked) for each in steps]


def test_what_is_played_as_asked_is_heard_as_that() -> None:
    """When each note began, too."""
    played = [HeardNote(0.0, 0.2, B), HeardNote(0.2, 0.23, HIGH_G), HeardNote(0.23, 0.4, C)]
    assert way(played, [B, HIGH_G, C]) == [(B, 0, 80, 0), (HIGH_G, 80, 92, 1), (C, 92, 160, 2)]


def test_a_gracenote_that_is_clearly_not_there_is_left_out() -> None:
    """Eight moments of it would cost 32 nats; where they cost 16 it was played."""
    played = [HeardNote(0.0, 0.2, B), HeardNote(0.2, 0.4, C)]
    asked = [B, HIGH_G, C]
    assert way(played, asked) == [(B, 0, 80, 0), (C, 80, 160, 2)]
    costs = costs_of_notes(played, 0.4)
    costs[:, HIGH_G] /= 2.0
    assert [each.name for each in expected_way(costs, asked, short(asked))] == asked


def test_what_is_clearly_put_in_is_told() -> None:
    """30 ms of it, between two notes and within one; 10 ms are not enough."""
    for length_s, heard in ((0.03, [B, D, B, LOW_A, C]), (0.01, [B, C])):
        played = [HeardNote(0.0, 0.1, B), HeardNote(0.1, 0.1 + length_s, D), HeardNote(0.1 + length_s, 0.2, B)]
        played += [HeardNote(0.2, 0.2 + length_s, LOW_A), HeardNote(0.2 + length_s, 0.4, C)]
        found = way(played, [B, C])
        assert [name for name, *_ in found] == heard
        assert [asked for *_, asked in found if asked is not None] == ([0, 0, 1] if len(heard) > 2 else [0, 1])


def test_of_two_gracenotes_that_sound_alike_each_is_short() -> None:
    """A gracenote on F, of which hardly anything is heard, comes where it leaves the others short."""
    played = [HeardNote(0.0, 0.2, C), HeardNote(0.2, 0.8, Note.F), HeardNote(0.8, 1.0, HIGH_G), HeardNote(1.0, 1.2, B)]
    costs = costs_of_notes(played, 1.2)
    costs[100:110, HIGH_G] = 1.0  # some 45 ms after F began
    costs[300:310, HIGH_G] = 0.5  # and once more before it ends, where the next note's beginning is
    asked = [C, Note.F, HIGH_G, Note.F, HIGH_G, B]
    found = expected_way(costs, asked, [False, True, True, False, False, False])
    assert [each.name for each in found] == asked
    assert found[1].stop - found[1].first < 40


def test_another_note_may_sound_instead_and_notes_may_be_begun_again() -> None:
    """A wrong note costs no more than one put in, nearly; going back costs more."""
    wrong = [HeardNote(0.0, 0.1, B), HeardNote(0.1, 0.3, D), HeardNote(0.3, 0.4, LOW_A)]
    assert [each[0] for each in way(wrong, [B, C, LOW_A])] == [B, D, LOW_A]
    again = [HeardNote(0.1 * rank, 0.1 * rank + 0.1, note) for rank, note in enumerate([B, C, D, B, C, D, LOW_A])]
    assert [asked for *_, asked in way(again, [B, C, D, LOW_A])] == [0, 1, 2, 0, 1, 2, 3]


def test_a_short_note_is_the_other_one_that_it_could_as_well_be_and_a_long_one_is_not() -> None:
    """A gracenote of 40 ms between F and high G is what was asked; a melody note of 200 ms what it sounded as."""
    for length_s, heard in ((0.04, HIGH_G), (0.2, Note.F)):
        between = HeardNote(0.2, 0.2 + length_s, Note.F, others=frozenset({HIGH_G}))
        played = [HeardNote(0.0, 0.2, B), between, HeardNote(0.2 + length_s, 0.6, C)]
        costs = costs_of_notes(played, 0.6)
        in_doubt = with_names_in_doubt(costs, evidence_of(costs), played)
        assert [each.name for each in expected_way(in_doubt, [B, HIGH_G, C], [False, True, False])] == [B, heard, C]
        assert [each.name for each in expected_way(costs, [B, HIGH_G, C], [False, True, False])] == [B, Note.F, C]


def test_what_is_put_in_for_too_short_a_time_is_its_neighbour() -> None:
    """That of the two as which it costs less; what was asked for stays however short."""
    costs = costs_of_notes([HeardNote(0.0, 0.1, B), HeardNote(0.1, 0.2, C)], 0.2)
    costs[36:40, [B, C]] = [1.0, 0.0]
    steps = [WayStep(B, 0, 36, 0), WayStep(D, 36, 40, None), WayStep(C, 40, 80, 1)]
    assert without_short(steps, costs, 5) == [WayStep(B, 0, 36, 0), WayStep(C, 36, 80, 1)]
    assert without_short(steps, costs, 4) == steps
    asked = [steps[0], WayStep(D, 36, 40, 1), WayStep(C, 40, 80, 2)]
    assert without_short(asked, costs, 5) == asked
    assert without_short(steps, costs, 5, {38}) == steps  # in whose middle a sure note sounds
    assert without_short(steps, costs, 5, {36}) == without_short(steps, costs, 5)


def test_notes_begin_where_the_sound_changes() -> None:
    """A gracenote that would have been heard for 20 ms was not played where spectra stay as they are, and one that an
    echo seems to lengthen ended where they change."""
    asked = [B, HIGH_G, C]
    held = [HeardNote(0.0, 0.2, B), HeardNote(0.2, 0.4, C)]
    costs = costs_of_notes(held, 0.4)
    costs[:, HIGH_G] = 2.0
    assert [each.name for each in expected_way(costs, asked, short(asked))] == asked
    found = expected_way(costs, asked, short(asked), change_costs(held, 0.4))
    assert [each.name for each in found] == [B, C]
    played = [HeardNote(0.0, 0.2, B), HeardNote(0.2, 0.24, HIGH_G), HeardNote(0.24, 0.4, C)]
    costs = costs_of_notes(played, 0.4)
    costs[96:108, [HIGH_G, C]] = costs[96:108, [C, HIGH_G]] / 5.0
    for changing, stop_s in ((None, 0.27), (change_costs(played, 0.4), 0.24)):
        stop = expected_way(costs, asked, short(asked), changing)[1].stop
        assert stop * HOP_S == pytest.approx(stop_s, abs=1.1 * HOP_S)


def test_what_sounds_on_for_too_short_a_time_after_another_is_its_neighbour() -> None:
    """A note between two others, of which the first was put in within it."""
    costs = costs_of_notes([HeardNote(0.0, 0.1, B), HeardNote(0.1, 0.15, D), HeardNote(0.15, 0.3, C)], 0.3)
    steps = [WayStep(B, 0, 40, 0), WayStep(D, 40, 60, None), WayStep(B, 60, 62, 0), WayStep(C, 62, 120, 1)]
    assert without_short(steps, costs, 5) == [*steps[:2], WayStep(C, 60, 120, 1)]
    assert without_short(steps, costs, 2) == steps


def test_a_note_is_not_the_one_that_it_touches() -> None:
    """F between high G and E, which may as well be high G by its pitch, is another sound; in a room high G fades so."""
    played = [
        HeardNote(0.0, 0.2, HIGH_G),
        HeardNote(0.2, 0.23, Note.F, others=frozenset({HIGH_G})),
        HeardNote(0.23, 0.5, Note.E),
    ]
    costs = costs_of_notes(played, 0.5)
    for blurred, heard in ((False, [HIGH_G, Note.F, Note.E]), (True, [HIGH_G, Note.E])):
        in_doubt = with_names_in_doubt(costs, evidence_of(costs), played, blurred=blurred)
        found = expected_way(in_doubt, [HIGH_G, Note.E], [False, False])
        assert [each.name for each in found] == heard


@pytest.mark.parametrize(("shortest", "asked"), [((), None), ((20, 8, 20), 1)])
def test_a_melody_note_may_be_as_short_as_a_gracenote_where_that_is_said(
    shortest: tuple[int, ...], asked: int | None
) -> None:
    """20 ms of B: else it is another that was put in for the asked one."""
    played = [HeardNote(0.0, 0.2, C), HeardNote(0.2, 0.22, B), HeardNote(0.22, 0.4, LOW_A)]
    costs = costs_of_notes(played, 0.4)
    found = expected_way(costs, [C, B, LOW_A], [False, False, False], shortest=shortest)
    assert [each for each in found if each.name == B] == [WayStep(B, 80, 88, asked)]
