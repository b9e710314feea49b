"""`Scene`: what a film shows and sounds, as a function of its time."""

from __future__ import annotations

from typing import Protocol

from companion.sound.renderer import Renderer
from companion.window.core.marks import Picture

STILL_S = 1.0
"""How long a film stands still at its start: time to read the title, and for a player's own controls to go."""

FLOW_IN_S = 2.0
"""How long the lanes flow in before the first note where nothing is counted."""

LONGEST_COUNT_S = 8.0
"""A count-in that would take longer than that, as of a tune much slowed down, is left away: nobody waits for it."""

END_S = 2.0
"""How long the last picture stands. The drones need 0.4 s of it to fade; the rest is a calm end."""


class Scene(Protocol):
    """A tune or a take that is filmed. Times are seconds of the film, from 0 to `length_s`."""

    @property
    def title(self) -> str:
        """What players of films show."""

    @property
    def length_s(self) -> float:
        """How long it is."""

    @property
    def renderer(self) -> Renderer:
        """Renders the sound, and stands at the film's beginning."""

    def picture(self, at_s: float) -> Picture:
        """What is to be seen at a moment."""
