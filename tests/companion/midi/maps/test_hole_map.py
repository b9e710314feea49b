"""Hole sensors: one note or one controller for each hole."""

from __future__ import annotations

import pytest

from companion.midi.maps.hole_map import ControlSwitch, HoleLearning, HoleMap, HoleSensors, NoteSwitch, Switch
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Control, NoteOff, NoteOn, NotesOff, VoiceMessage
from fingering.errors import UserError
from fingering.holes import ALL_CLOSED, Finger, HoleState

BY_NOTES = HoleMap(tuple(NoteSwitch(0, 40 + 3 * finger) for finger in Finger))
BY_CONTROLLERS = HoleMap(tuple(ControlSwitch(2, 20 + finger) for finger in Finger))


def told(switch: Switch, closed: HoleState, finger: Finger) -> VoiceMessage:
    """What an instrument sends of one hole in a state."""
    if isinstance(switch, ControlSwitch):
        return Control(switch.channel, switch.controller, 127 if closed.closed(finger) else 0)
    kind = NoteOn if closed.closed(finger) else NoteOff
    return kind(switch.channel, switch.number)


@pytest.mark.parametrize("hole_map", [BY_NOTES, BY_CONTROLLERS])
def test_every_hole_state_comes_in(hole_map: HoleMap) -> None:
    """All 256 of them, hole by hole."""
    for bits in range(256):
        sensors = HoleSensors(hole_map)
        for finger, switch in zip(Finger, hole_map.switches, strict=True):
            sensors.hear(told(switch, HoleState(bits), finger))
        assert sensors.state == HoleState(bits)


@pytest.mark.parametrize("hole_map", [BY_NOTES, BY_CONTROLLERS])
def test_the_holes_are_learnt_one_by_one(hole_map: HoleMap) -> None:
    """Each hole closed in turn from the thumb's down, the ones before it still closed or opened again."""
    learning = HoleLearning()
    for finger, switch in zip(Finger, hole_map.switches, strict=True):
        assert learning.wanted is finger
        learning.hear(Timed(0.0, told(switch, ALL_CLOSED, finger)))
        learning.hear(Timed(0.0, told(hole_map.switches[0], ALL_CLOSED, Finger.THUMB)))
        learning.hear(Timed(0.0, told(switch, HoleState(0), finger)))
    assert learning.learnt == hole_map.switches
    assert learning.learnt_map == hole_map


def test_what_changes_nothing_tells_nothing() -> None:
    """A hole closed twice, a note outside the map and a message of another sort."""
    sensors = HoleSensors(BY_NOTES)
    closed = NoteOn(0, 40)
    assert sensors.hear(closed) == HoleState.of_closed([Finger.THUMB])
    assert [sensors.hear(message) for message in (closed, NoteOn(0, 41), NoteOn(1, 43), Control(0, 43, 127))] == [
        None
    ] * 4


def test_all_notes_off_opens_every_hole() -> None:
    """The sender let go of everything."""
    sensors = HoleSensors(BY_NOTES)
    sensors.hear(NoteOn(0, 40))
    assert sensors.hear(NotesOff(0)) == HoleState.of_closed(())


def test_a_map_needs_eight_different_sensors() -> None:
    """Two holes told by one note could not be told apart."""
    with pytest.raises(UserError, match="eight different sensors"):
        HoleMap((NoteSwitch(0, 60),) * 8)
