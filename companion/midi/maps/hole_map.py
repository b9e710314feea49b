"""Instruments with a sensor in each hole: a note or a controller tells of each, learnt hole by hole."""

from __future__ import annotations

from dataclasses import dataclass

from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Control, NoteOff, NoteOn, NotesOff, VoiceMessage
from fingering.errors import UserError
from fingering.holes import NONE_CLOSED, Finger, HoleState

SWITCH_ON = 64
"""A controller at or above this value is on, as for the pedals: 0 to 63 off, 64 to 127 on (from memory)."""


@dataclass(frozen=True, slots=True)
class NoteSwitch:
    """A hole's sensor that sends a note: on while the hole is closed."""

    channel: int
    number: int


@dataclass(frozen=True, slots=True)
class ControlSwitch:
    """A hole's sensor that sends a controller: at SWITCH_ON or above while the hole is closed."""

    channel: int
    controller: int


Switch = NoteSwitch | ControlSwitch


@dataclass(frozen=True, slots=True)
class HoleMap:
    """The sensors of the eight holes, thumb first, no two alike."""

    switches: tuple[Switch, ...]

    def __post_init__(self) -> None:
        if len(self.switches) != len(Finger) or len(set(self.switches)) != len(Finger):
            raise UserError("a map of hole sensors needs eight different sensors", "learn the holes again one by one")

    def finger(self, switch: Switch) -> Finger | None:
        """The finger whose hole a sensor is in; None for a sensor outside the map."""
        return Finger(self.switches.index(switch)) if switch in self.switches else None


def switched(message: VoiceMessage) -> tuple[Switch, bool] | None:
    """The sensor that a message comes from and whether it is on; None for messages of another sort."""
    match message:
        case NoteOn(channel, number):
            return NoteSwitch(channel, number), True
        case NoteOff(channel, number):
            return NoteSwitch(channel, number), False
        case Control(channel, controller, value):
            return ControlSwitch(channel, controller), value >= SWITCH_ON
    return None


class HoleSensors:
    """Follows the hole state through messages. Before the first one every hole is taken to be open."""

    def __init__(self, hole_map: HoleMap) -> None:
        self._map = hole_map
        self._state = NONE_CLOSED

    @property
    def state(self) -> HoleState:
        """The hole state in force."""
        return self._state

    def hear(self, message: VoiceMessage) -> HoleState | None:
        """The new hole state if the message changes it, else None."""
        before = self._state
        self._state = self._after(message)
        return None if self._state == before else self._state

    def _after(self, message: VoiceMessage) -> HoleState:
        if isinstance(message, NotesOff):
            return NONE_CLOSED
        told = switched(message)
        finger = self._map.finger(told[0]) if told else None
        if told is None or finger is None:
            return self._state
        return self._state.dropping(finger) if told[1] else self._state.lifting(finger)


class HoleLearning:
    """Learns a hole map as the holes are closed one by one, thumb first: each new sensor that comes on is the next."""

    def __init__(self) -> None:
        self._learnt: list[Switch] = []

    @property
    def learnt(self) -> tuple[Switch, ...]:
        """The sensors learnt so far, thumb first."""
        return tuple(self._learnt)

    @property
    def wanted(self) -> Finger | None:
        """The finger to put down next; None when all eight are learnt."""
        return Finger(len(self._learnt)) if len(self._learnt) < len(Finger) else None

    @property
    def learnt_map(self) -> HoleMap | None:
        """The finished map, None before the eighth hole."""
        return None if self.wanted is not None else HoleMap(tuple(self._learnt))

    def hear(self, timed: Timed) -> None:
        """Learn from a message: a sensor that comes on and is not known yet."""
        told = switched(timed.message)
        if told and told[1] and told[0] not in self._learnt and self.wanted is not None:
            self._learnt.append(told[0])

    def pass_time(self, now_s: float) -> None:
        """Do nothing: only messages teach a hole map. (`Calibration` needs the time.)"""
