"""Note maps and hole maps as plain data for JSON, and back: the one form in which takes and known ports keep them."""

from __future__ import annotations

from typing import Any

from companion.midi.hole_map import ControlSwitch, HoleMap, NoteSwitch, Switch
from companion.midi.note_map import NoteMap

Map = NoteMap | HoleMap


def map_to_data(known: Map | None) -> dict[str, Any] | None:
    """``{"notes": [67, ...]}``, ``{"holes": [{"channel": 0, "note": 60}, ...]}`` or None."""
    match known:
        case NoteMap(numbers):
            return {"notes": list(numbers)}
        case HoleMap(switches):
            return {"holes": [_switch_to_data(switch) for switch in switches]}
    return None


def map_from_data(data: dict[str, Any] | None) -> Map | None:
    """What `map_to_data` made. Raises KeyError, TypeError, ValueError or UserError for anything else."""
    if data is None:
        return None
    if "notes" in data:
        return NoteMap(tuple(int(number) for number in data["notes"]))
    return HoleMap(tuple(_switch_from_data(switch) for switch in data["holes"]))


def _switch_to_data(switch: Switch) -> dict[str, int]:
    if isinstance(switch, NoteSwitch):
        return {"channel": switch.channel, "note": switch.number}
    return {"channel": switch.channel, "controller": switch.controller}


def _switch_from_data(data: dict[str, int]) -> Switch:
    if "note" in data:
        return NoteSwitch(int(data["channel"]), int(data["note"]))
    return ControlSwitch(int(data["channel"]), int(data["controller"]))
