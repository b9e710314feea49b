"""A note of melody and the gracenotes over which it is reached."""

from __future__ import annotations

from dataclasses import dataclass

from fingering.embellishments import Family
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Approached:
    """A note of melody, `at`, reached from the one before, `before` (None: it is the first), over gracenotes.

    Both are ranks of sounding notes; the gracenotes are those between. noises: those among them that are crossing
    noises. cost: how unlikely that is by what the gracenotes are and how long, as a negative logarithm. spelt: the
    gracenotes as they are taken to be where what was heard is not sure, None for as they were told; otherwise: what
    else they may be, likeliest first.
    """

    before: int | None
    at: int
    graces: tuple[int, ...]
    family: Family | None
    cost: float
    noises: tuple[int, ...] = ()
    spelt: tuple[Note, ...] | None = None
    otherwise: tuple[tuple[Note, ...], ...] = ()
