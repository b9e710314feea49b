"""Writes note maps and hole maps as plain data for JSON, and reads them back."""

from __future__ import annotations

from typing import Any

from companion.files.kept_json import Table
from companion.midi.maps.hole_map import ControlSwitch, HoleMap, NoteSwitch, Switch
from companion.midi.maps.note_map import HIGHEST_NUMBER, NoteMap
from fingering.holes import Finger
from fingering.notes import Note

Map = NoteMap | HoleMap

HIGHEST_CHANNEL = 15  # channels count from 0 in code


def map_to_data(known: Map | None) -> dict[str, Any] | None:
    """A map for JSON: ``{"notes": [67, ...]}``, ``{"holes": [{"channel": 0, "note": 60}, ...]}`` or None."""
    match known:
        case NoteMap(numbers):
            return {"notes": list(numbers)}
        case HoleMap(switches):
            return {"holes": [_switch_to_data(switch) for switch in switches]}
    return None


def map_from_table(table: Table, key: str) -> Map | None:
    """Read what `map_to_data` made, under a key of a table. Raises Unfit or UserError for anything else."""
    if not table.has(key):
        return None
    data = table.table(key)
    if data.has("notes"):
        return NoteMap(data.wholes("notes", len(Note), 0, HIGHEST_NUMBER))
    return HoleMap(tuple(_switch_from_table(switch) for switch in data.tables("holes", len(Finger))))


def _switch_to_data(switch: Switch) -> dict[str, int]:
    if isinstance(switch, NoteSwitch):
        return {"channel": switch.channel, "note": switch.number}
    return {"channel": switch.channel, "controller": switch.controller}


def _switch_from_table(data: Table) -> Switch:
    channel = data.whole("channel", 0, HIGHEST_CHANNEL)
    if data.has("note"):
        return NoteSwitch(channel, data.whole("note", 0, HIGHEST_NUMBER))
    return ControlSwitch(channel, data.whole("controller", 0, HIGHEST_NUMBER))
