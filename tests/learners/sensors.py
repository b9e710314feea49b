"""What instruments tell of a take: one its notes, another its holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from companion.listen.model.played import Fingered, Played, Sounded
from tests.learners.learner import Sound

LEAD_S = 0.004
"""Fingers that open lead those that close, as teachers ask."""


def as_notes(sounds: Sequence[Sound], end_s: float) -> tuple[Sounded, ...]:
    """The take as notes; two equal ones in a row are one."""
    told: list[Sounded] = []
    for sound in sounds:
        if sound.silence_s:
            told.append(Sounded(sound.at_s - sound.silence_s, None))
        if not told or told[-1].note is not sound.note:
            told.append(Sounded(sound.at_s, sound.note))
    return (*told, Sounded(end_s, None))


def as_holes(sounds: Sequence[Sound], end_s: float) -> tuple[Played, ...]:
    """The take as hole states; in a silence the fingers find the next note."""
    told: list[Played] = [Fingered(sounds[0].at_s, sounds[0].state)]
    for before, after in pairwise(sounds):
        if after.silence_s:
            told.append(Sounded(after.at_s - after.silence_s, None))
            told.append(Fingered(after.at_s, after.state))
        else:
            told += _movement(before, after)
    return (*sorted(told, key=lambda event: event.at_s), Sounded(end_s, None))


def _movement(before: Sound, after: Sound) -> Iterator[Played]:
    """What is heard changes on the note's own time, whichever of the two sorts of fingers does it."""
    lifts, drops = before.state.lifts_to(after.state), before.state.drops_to(after.state)
    rises = after.note > before.note
    if lifts and drops:
        between = before.state.lifting(*lifts)
        yield Fingered(after.at_s if rises else after.at_s - LEAD_S, between)
        yield Fingered(after.at_s + LEAD_S if rises else after.at_s, after.state)
    elif lifts or drops:
        yield Fingered(after.at_s, after.state)
