"""What sounds alike in its surroundings is averaged."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.notate.pulse.alike import averaged
from companion.notate.pulse.feet import FEET_OF_TWO, FootKind
from companion.notate.pulse.gracing import GraceReader
from companion.notate.pulse.likeliest import SCHOOLS, usual_foot_costs
from companion.notate.pulse.search import PlayingManner, read_pulse
from companion.notate.pulse.sounds import SoundingNote
from fingering.notes import Note

PHRASE = (Note.LOW_A, Note.C, Note.E, Note.F, Note.D, Note.B, Note.C, Note.HIGH_A) * 2
FOOT_S = 0.8
MEDIAN_S = 0.04
"""How long this player's gracenotes are."""

MIDDLE = 9
"""A note that has its neighbours on both sides, on a foot's half."""

pytestmark = pytest.mark.same_everywhere


def read_again(strays_s: Callable[[int, int], float]) -> tuple[list[SoundingNote], tuple[SoundingNote, ...]]:
    """Two plays of a phrase in even halves of feet, each note off by so much, as played and as averaged.

    strays_s: of the rank of the play and of the note.
    """
    onsets_s = [
        (play * len(PHRASE) + rank) * FOOT_S / 2 + strays_s(play, rank)
        for play in range(2)
        for rank in range(len(PHRASE))
    ]
    ends_s = [*onsets_s[1:], onsets_s[-1] + FOOT_S / 2]
    notes = [SoundingNote(*each) for each in zip(PHRASE * 2, onsets_s, ends_s, strict=True)]
    manner = PlayingManner(0.03, SCHOOLS[0])
    reading = read_pulse(notes, GraceReader(notes, MEDIAN_S), FEET_OF_TWO, manner, usual_foot_costs(FEET_OF_TWO))
    assert reading is not None
    return notes, averaged(notes, reading, FootKind.TWO, 3.0, MEDIAN_S)


def test_notes_that_come_back_get_the_mean_of_their_places() -> None:
    """One that came 40 ms late and then 40 ms early is as long both times, as it was meant."""
    played, found = read_again(lambda play, rank: 0.04 * (-1) ** play if rank == MIDDLE else 0.0)
    first, second = (each[MIDDLE] for each in (found[: len(PHRASE)], found[len(PHRASE) :]))
    assert abs(played[MIDDLE].length_s - played[MIDDLE + len(PHRASE)].length_s) == pytest.approx(0.08)
    assert first.length_s == pytest.approx(second.length_s, abs=0.005)
    assert first.length_s == pytest.approx(FOOT_S / 2, abs=0.015)
    assert first.plays > 1


def test_what_was_played_in_another_rhythm_is_left_as_it_was() -> None:
    """An even pair that is dotted the second time: a quarter of a foot is no straying."""
    _, found = read_again(lambda play, rank: play * FOOT_S / 4 if rank == MIDDLE else 0.0)
    first, second = (each[MIDDLE] for each in (found[: len(PHRASE)], found[len(PHRASE) :]))
    assert first.length_s - second.length_s == pytest.approx(FOOT_S / 4, abs=0.03)


def are_melody(first_s: float, second_s: float) -> set[bool]:
    """Whether notes that were so long in the first play and in the second are told to be melody."""
    shorter_s = FOOT_S / 2 - first_s, FOOT_S / 2 - second_s
    _, found = read_again(lambda play, rank: shorter_s[play] if rank % 8 == MIDDLE % 8 else 0.0)
    return {note.is_melody for note in found if note.note is PHRASE[MIDDLE] and note.length_s < FOOT_S / 3}


def test_what_is_long_once_is_melody_each_time() -> None:
    """A note of 110 ms is no gracenote of this player's, so neither is the one of 60 ms in the same place."""
    assert True in are_melody(0.11, 0.06)
    assert are_melody(0.045, 0.045) == {False}


def test_what_is_a_gracenote_each_time_is_no_melody() -> None:
    """G gracenotes of 45 and 58 ms on the beats, of a player whose grips have 28 ms for each gracenote: long for one,
    but nowhere read as melody."""
    short_s = 0.028
    notes = []
    for rank, note in enumerate(PHRASE * 2):
        begins_s = rank * FOOT_S / 2
        grace_s = 0.0 if rank % 2 else 0.045 if rank < len(PHRASE) else 0.058
        if grace_s:
            notes.append(SoundingNote(Note.HIGH_G, begins_s, begins_s + grace_s))
        notes.append(SoundingNote(note, begins_s + grace_s, begins_s + FOOT_S / 2))
    manner = PlayingManner(0.03, SCHOOLS[1])
    reading = read_pulse(notes, GraceReader(notes, short_s), FEET_OF_TWO, manner, usual_foot_costs(FEET_OF_TWO))
    assert reading is not None
    found = averaged(notes, reading, FootKind.TWO, 3.0, short_s)
    assert not [each for each in found if each.is_melody and each.note is Note.HIGH_G]


def test_a_wandering_tempo_is_steadied() -> None:
    """A phrase that is played a tenth more slowly the second time lasts as long both times."""
    _, found = read_again(lambda play, rank: 0.1 * rank * FOOT_S / 2 if play else 0.0)
    size = len(PHRASE)
    spans_s = [found[start + size - 3].onset_s - found[start + 2].onset_s for start in (0, size)]
    assert spans_s[0] == pytest.approx(spans_s[1], rel=0.04)
