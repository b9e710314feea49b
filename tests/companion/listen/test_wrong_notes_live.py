"""A wrong note is told while it is of use: within a quarter of a second of the next note's onset, in a take's own time.

Whether it is one is settled later, once nothing else may be right; what is told before that may be given up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from companion.listen.find.listener import Listener
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, heard, index_of, played_as

pytestmark = pytest.mark.same_everywhere

FRAME_S = 1.0 / 60.0
WITHIN_S = 0.25
LEAST_HELD_S = 0.3
"""A gracenote as long as this is held for the time of its note (see `costs.HELD_TO_S`)."""

TUNE = asked_of(FOUR_BARS)
NOTES = range(4, len(TUNE.schedule.played) - 1)
RATIOS = (0.8, 1.0, 1.7)
"""75, 60 and 35 crotchets a minute."""


def told_live(asked: Asked, take: list[Sounded]) -> Iterator[tuple[float, Finding]]:
    """Each finding with each frame at which it is told, the time running in frames as in the window."""
    listener, settled, waiting = Listener(asked), list[Finding](), list(take)
    for frame in range(int(take[-1].at_s / FRAME_S) + 1):
        while waiting and waiting[0].at_s <= frame * FRAME_S:
            settled += listener.feed(waiting.pop(0))
        settled += listener.advance(frame * FRAME_S)
        yield from ((frame * FRAME_S, each) for each in (*settled, *listener.likely))


def wait_s(take: list[Sounded], wrong: int, played: int) -> float:
    """How long after the next note's onset it is told that the event `wrong` is another note than the one asked for."""
    note, following_s = take[wrong].note, take[wrong + 1].at_s
    assert note is not None
    return next(
        now_s - following_s
        for now_s, each in told_live(TUNE, take)
        if (each.kind, each.played, each.heard) == (FindingKind.WRONG_NOTE, played, note.letter)
    )


def with_another(played: int, note: Note, ratio: float) -> tuple[list[Sounded], int]:
    """The tune with another melody note in that one's place, and which event that is."""
    take, wrong = played_as(TUNE, ratio), index_of(TUNE, played)
    return [*take[:wrong], replace(take[wrong], note=note), *take[wrong + 1 :]], wrong


def sounds_beside(played: int) -> tuple[Note | None, Note | None]:
    """What sounds just before and just after a melody note."""
    take, melody = played_as(TUNE), index_of(TUNE, played)
    return take[melody - 1].note, take[melody + 1].note


def melody(played: int) -> Note:
    """A melody note of the tune."""
    return TUNE.schedule.events[index_of(TUNE, played)].note


def parted_neighbours() -> list[tuple[int, int]]:
    """Notes with the one before or after them, where something else parts the two, so that both can be heard."""
    pairs = [(played, played + away) for played in NOTES for away in (-1, 1)]
    return [(played, other) for played, other in pairs if melody(other) not in (melody(played), *sounds_beside(played))]


def with_held_gracenote(played: int, ratio: float) -> tuple[list[Sounded], int]:
    """The tune with a note's last gracenote held for the time of the note, and which event that is."""
    take, wrong = played_as(TUNE, ratio), index_of(TUNE, played)
    return [*take[:wrong], *take[wrong + 1 :]], wrong - 1


def held_gracenotes() -> list[tuple[int, float]]:
    """Notes with a tempo at which one held in their place is no gracenote, and parted from the next sound."""
    found = []
    for played in (each for each in NOTES if TUNE.played(each).note.gracenotes):
        for ratio in RATIOS:
            take, wrong = with_held_gracenote(played, ratio)
            lasts_s = take[wrong + 1].at_s - take[wrong].at_s
            if take[wrong].note is not take[wrong + 1].note and lasts_s >= LEAST_HELD_S:
                found.append((played, ratio))
    return found


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("played", NOTES)
def test_another_melody_note_is_told_with_the_next_note(played: int, ratio: float) -> None:
    """Whatever note it is, as long as it is none of those around it."""
    around = {melody(each) for each in (played - 1, played, played + 1)} | set(sounds_beside(played))
    for note in set(Note) - around:
        assert wait_s(*with_another(played, note, ratio), played) <= WITHIN_S, note


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize(("played", "other"), parted_neighbours())
def test_the_note_of_its_neighbour_is_told_with_the_next_note(played: int, other: int, ratio: float) -> None:
    """The melody note before it or after it."""
    assert wait_s(*with_another(played, melody(other), ratio), played) <= WITHIN_S


@pytest.mark.parametrize(("played", "ratio"), held_gracenotes())
def test_a_held_gracenote_is_told_with_the_next_note(played: int, ratio: float) -> None:
    """The finger stays where the last gracenote put it, for the time of the melody note."""
    assert wait_s(*with_held_gracenote(played, ratio), played) <= WITHIN_S


@pytest.mark.parametrize("ratio", RATIOS)
def test_what_is_told_of_one_wrong_note_is_what_is_found_in_the_end(ratio: float) -> None:
    """Nothing else was told meanwhile."""
    for played in NOTES[::5]:
        take, _ = with_another(played, Note.LOW_G if melody(played) is not Note.LOW_G else Note.HIGH_A, ratio)
        told = {each for _, each in told_live(TUNE, take) if each.kind is FindingKind.WRONG_NOTE}
        assert told == {each for each in heard(TUNE, take) if each.kind is FindingKind.WRONG_NOTE}
