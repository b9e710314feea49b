"""Guesses the note map from what is played: which transposition and spelling make the likeliest pipe music of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.midi.monophony import Heard
from companion.midi.note_map import DEFAULT_MAP, HIGHEST_NUMBER, NoteMap, Spelling

# How often each note begins, low G first, in parts of a hundred: with gracenotes, among which high G leads by far, and
# melody alone. Rough, from memory of the common repertory, no source; counts of a real tune are fitted well enough.
_GRACED = (9, 15, 10, 9, 15, 15, 6, 17, 4)
_PLAIN = (6, 18, 14, 13, 12, 15, 9, 6, 7)
_STYLES = (_GRACED, _PLAIN)
_OUTSIDE = 0.2  # any one number that is not in the map: a slip, or a drone as it starts
_TRUSTED_ONSETS = 80  # notes of a tune are no independent draws: beyond this many, more of them add no certainty

SURE = 0.95
"""A map inferred with at least this confidence may be taken without asking."""


@dataclass(frozen=True, slots=True)
class Inferred:
    """The likeliest map and the probability that it is right, 0 to 1."""

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


def _log_likelihoods(candidates: tuple[NoteMap, ...]) -> NDArray[np.float64]:
    """Of each number (axis 0) beginning, in each style (axis 1), by each candidate (axis 2)."""
    shares = np.full((HIGHEST_NUMBER + 1, len(_STYLES), len(candidates)), _OUTSIDE)
    for c, candidate in enumerate(candidates):
        for s, style in enumerate(_STYLES):
            shares[candidate.numbers, s, c] = style
    return np.log(shares / 100.0)


_CANDIDATES = _candidates()
_LOG_LIKELIHOODS = _log_likelihoods(_CANDIDATES)


class MapInference:
    """Listens to what sounds and says which map is the likeliest."""

    def __init__(self) -> None:
        self._onsets = 0
        self._scores = np.zeros(_LOG_LIKELIHOODS.shape[1:])

    def hear(self, heard: Heard) -> None:
        """A note began (silence tells nothing)."""
        if heard.number is not None:
            self._onsets += 1
            self._scores += _LOG_LIKELIHOODS[heard.number]

    @property
    def best(self) -> Inferred:
        """The likeliest map so far; the default one, hardly trusted, before anything was played."""
        if not self._onsets:
            return Inferred(DEFAULT_MAP, 1.0 / len(_CANDIDATES))
        trusted = self._scores * min(1.0, _TRUSTED_ONSETS / self._onsets)
        by_candidate = np.logaddexp.reduce(trusted, axis=0)
        top = int(by_candidate.argmax())
        confidence = float(np.exp(by_candidate[top] - np.logaddexp.reduce(by_candidate)))
        return Inferred(_CANDIDATES[top], confidence)
