"""Marks that send the player elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from companion.score.place import Place

FINE = "fine"
DA_CAPO = frozenset({"D.C.", "dacapo", "D.C.alfine"})
JUMPS = DA_CAPO | {FINE, "D.S.", "dacoda", "D.C.alcoda", "D.S.alcoda", "D.S.alfine"}


@dataclass(frozen=True, slots=True)
class Jump:
    """A mark by its decoration's name, where it stands, and the index of the bar that it ends."""

    name: str
    place: Place
    bar: int
