"""Infers the note map from what is played: the transposition and spelling that make the likeliest pipe music of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from companion.midi.maps.likely_music import OUTSIDE, graced, plain
from companion.midi.maps.note_map import DEFAULT_MAP, HIGHEST_NUMBER, NoteMap, Spelling
from companion.midi.stream.monophony import SoundingNumber
from fingering.notes import Note

_TRUSTED_STEPS = 60  # steps of a tune are no independent draws: beyond this many, more of them add no certainty

# Most chanters count from the usual numbers: these are held to be twenty times likelier than any other map until what
# is played speaks against them, which a tune does within a bar. Common practice, no source.
_USUAL_ODDS = 20.0

SURE = 0.95
"""A map inferred with at least this confidence may be taken without asking."""


@dataclass(frozen=True, slots=True)
class Inferred:
    """The likeliest map, and the probability that it is right, 0 to 1."""

    note_map: NoteMap
    confidence: float

    @property
    def sure(self) -> bool:
        """Whether the confidence reaches SURE."""
        return self.confidence >= SURE


def _candidates() -> tuple[NoteMap, ...]:
    room_below, room_above = -min(Spelling.SHARPS.steps), max(Spelling.SHARPS.steps)
    low_as = range(room_below, HIGHEST_NUMBER - room_above + 1)
    return tuple(NoteMap.of(low_a, spelling) for low_a in low_as for spelling in Spelling)


def _ranks(candidates: tuple[NoteMap, ...]) -> NDArray[np.intp]:
    """Which note each number (axis 0) is by each candidate (axis 1), OUTSIDE where it is none."""
    ranks = np.full((HIGHEST_NUMBER + 1, len(candidates)), OUTSIDE)
    for column, candidate in enumerate(candidates):
        ranks[candidate.numbers, column] = range(len(Note))
    return ranks


_CANDIDATES = _candidates()
_HEAD_START = np.array([np.log(_USUAL_ODDS) if each == DEFAULT_MAP else 0.0 for each in _CANDIDATES])
_RANKS = _ranks(_CANDIDATES)


@cache
def _styles() -> NDArray[np.float64]:
    """Log probabilities, shape (styles, notes, notes): by style, from a note to the next."""
    return np.stack((graced(), plain()))


class MapInference:
    """Takes in the note numbers that sound and tells which map is the likeliest."""

    def __init__(self) -> None:
        self._scores = np.zeros((len(_styles()), len(_CANDIDATES)))
        self._steps = 0
        self._last: int | None = None

    def hear(self, heard: SoundingNumber) -> None:
        """Take in that a note began; silence tells nothing."""
        if heard.number is None or heard.number == self._last:
            return
        before = OUTSIDE if self._last is None else _RANKS[self._last]
        self._scores += _styles()[:, before, _RANKS[heard.number]]
        self._steps += 1
        self._last = heard.number

    @property
    def best(self) -> Inferred:
        """The likeliest map so far; before anything was played the default one, with low confidence."""
        if not self._steps:
            return Inferred(DEFAULT_MAP, 1.0 / len(_CANDIDATES))
        trusted = self._scores * min(1.0, _TRUSTED_STEPS / self._steps)
        by_candidate = np.logaddexp.reduce(trusted, axis=0) + _HEAD_START
        top = int(by_candidate.argmax())
        confidence = float(np.exp(by_candidate[top] - np.logaddexp.reduce(by_candidate)))
        return Inferred(_CANDIDATES[top], confidence)
