"""Crossings to be shown, and the pictures of them."""

from __future__ import annotations

from functools import cache
from itertools import permutations

from companion.schedule.crossing import NamedTransition
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.core.marks import (
    Picture,
)
from companion.window.crossing.crossing_state import CrossingState, noise_middle_s, open_crossing
from companion.window.crossing.crossing_view import CrossingView
from fingering.crossings.analysis import Crossing, all_pairs
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

PAIRS = tuple(permutations(Note, 2))
# One finger and seven, few rows and all, the longest sentence, the longest names.
SHOWN = (
    (Note.D, Note.E),
    (Note.HIGH_A, Note.E),
    (Note.HIGH_G, Note.D),
    (Note.D, Note.HIGH_A),
    (Note.D, Note.LOW_A),
    (Note.LOW_A, Note.B),
    (Note.HIGH_G, Note.HIGH_A),
    (Note.E, Note.C),
)
WIDE = (1280, 720)


@cache
def crossings() -> dict[tuple[Note, Note], Crossing]:
    """All pairs."""
    return all_pairs()


def opened(start: Note = Note.D, end: Note = Note.E) -> CrossingState:
    """The screen as it opens on two notes."""
    return open_crossing(NamedTransition.between(start, end), SoundSettings())


def shown(
    state: CrossingState, at_s: float | None = None, size: tuple[int, int] = WIDE, display: Display | None = None
) -> Picture:
    """Its picture, in the middle of the noise unless told otherwise."""
    look = display or Display()
    now_s = noise_middle_s(state) if at_s is None else at_s
    return CrossingView(lettering_for(size, look)).picture(state, look, now_s, *size)


def words(picture: Picture) -> list[str]:
    """All that can be read."""
    return [label.text for label in scenes.labels(picture)]
