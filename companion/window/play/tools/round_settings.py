"""How what is repeated goes round: the settings, in words and from one choice to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from companion.schedule.practice.ladder import STEP, Ladder, goal_of, heard_tempo
from companion.schedule.practice.rounds import Echo, Rest
from companion.schedule.timing import Timing
from companion.score.model import Tune

REST_WORDS: Mapping[Rest, str] = MappingProxyType(
    {
        Rest.NONE: "no rest between rounds",
        Rest.BEAT: "a beat of rest between rounds",
        Rest.BAR: "a bar of rest between rounds",
        Rest.STRETCH: "a rest as long as the round",
    }
)
ECHO_WORDS: Mapping[Echo, str] = MappingProxyType(
    {
        Echo.OFF: "no echo",
        Echo.AGAIN: "echo, the same again",
        Echo.ON: "echo, then the next",
    }
)
_LADDER_WORDS: Mapping[Ladder, str] = MappingProxyType(
    {
        Ladder.EACH: f"{STEP:g} beats faster each round",
        Ladder.FOURTH: f"{STEP:g} beats faster every 4 rounds",
        Ladder.CLEAN: f"{STEP:g} beats faster if clean",
    }
)


def ladder_words(ladder: Ladder) -> str:
    """How the tempo rises, in words."""
    return _LADDER_WORDS.get(ladder, "tempo does not rise")


def rung_words(tune: Tune, timing: Timing) -> str:
    """Where a tempo that rises stands: "52 of 80 beats a minute"."""
    return f"{round(heard_tempo(tune, timing), 1):g} of {round(goal_of(tune), 1):g} beats a minute"


@dataclass(frozen=True, slots=True)
class RoundSettings:
    """rest: between two rounds. echo: whether each round is left to the learner as well, and what comes after that.

    ladder: after which rounds the tempo rises.
    """

    rest: Rest = Rest.NONE
    echo: Echo = Echo.OFF
    ladder: Ladder = Ladder.OFF
