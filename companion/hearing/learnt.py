"""A recording's chanter as it was learnt, as data."""

from __future__ import annotations

from dataclasses import dataclass

from companion.hearing.echoes.beginnings import Beginnings
from companion.hearing.echoes.room import RoomEcho
from companion.hearing.scale_fit import ScaleFit
from companion.hearing.spectra import Floats, FrameGrid
from companion.hearing.voice import LearntVoice

SHORTEST_S, SHORTEST_IN_ROOM_S = 0.012, 0.018

ENOUGH_FRAMES = 40
ENOUGH_TO_SEE = 120
"""In how many frames a note must be heard to be learnt from at all, and for its spectrum to be taken as it was seen."""


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """A recording's chanter as it was learnt. ground: the power that sounds all the time, by bin. own_db: by how much a
    bin strays from its template. heard: frames in which each note was learnt from."""

    scale: ScaleFit
    grid: FrameGrid
    voice: LearntVoice
    ground: Floats
    own_db: float
    heard: tuple[int, ...]
    echo: RoomEcho | None = None
    noise_db: float = 0.0
    unlike_share: float = 0.0
    beginnings: Beginnings | None = None

    @property
    def shortest_s(self) -> float:
        """The shortest note that is told: before one has settled, and in a room's echo, anything may seem to sound."""
        return SHORTEST_S if self.echo is None else SHORTEST_IN_ROOM_S
