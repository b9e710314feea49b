"""`PlayedIn`: what a picture shows of what is played in, gathered once a frame."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.window.lanes.trail import REST, Moment

LEVEL_STEPS = 6
"""How loud a microphone is, is shown in so many steps."""


class Light(enum.Enum):
    """The input light. OFF: nothing is listened to. AWAY: what was chosen is not there. QUIET, ARRIVING: it is."""

    OFF = "off"
    AWAY = "away"
    QUIET = "quiet"
    ARRIVING = "arriving"


class Tells(enum.Enum):
    """Whether an instrument tells the holes themselves, or notes whose holes are then taken from the chart."""

    HOLES = "holes"
    NOTES = "notes"


@dataclass(frozen=True, slots=True)
class PlayedIn:
    """What is played in, as a picture shows it.

    moments: those of the last seconds, on the clock of the picture; now: the one in force. words: what is listened to.
    problem: what is wrong and what to do, "" for nothing. kept: where the take goes, "" for nowhere. caps: the eight
    keys that play, thumb first; none where they do not. news: what is new, as what was read again, which for a while
    stands in the place of those words, "" for nothing. level: how loud it is at the microphone, 0 to LEVEL_STEPS; None
    where none is listened to.
    """

    moments: tuple[Moment, ...] = ()
    now: Moment = REST
    light: Light = Light.OFF
    tells: Tells = Tells.HOLES
    words: str = ""
    problem: str = ""
    kept: str = ""
    caps: tuple[str, ...] = ()
    news: str = ""
    level: int | None = None


NOTHING_PLAYED = PlayedIn()
