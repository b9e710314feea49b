"""The marks that send the player elsewhere, such as da capo and fine."""

from __future__ import annotations

from dataclasses import dataclass

from companion.score.place import Place

FINE = "fine"
DA_CAPO = frozenset({"D.C.", "dacapo", "D.C.alfine"})
JUMPS = DA_CAPO | {FINE, "D.S.", "dacoda", "D.C.alcoda", "D.S.alcoda", "D.S.alfine"}


@dataclass(frozen=True, slots=True)
class Jump:
    """A mark, named by its decoration: its place, and the index of the bar after which it stands."""

    name: str
    place: Place
    bar: int
