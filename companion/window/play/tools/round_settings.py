"""How what is repeated goes round: the settings, in words and from one choice to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from companion.schedule.practice.rounds import Echo, Rest

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


@dataclass(frozen=True, slots=True)
class RoundSettings:
    """rest: between two rounds. echo: whether each round is left to the learner as well, and what comes after that."""

    rest: Rest = Rest.NONE
    echo: Echo = Echo.OFF
