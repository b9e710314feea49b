"""What is known of each port, kept between sessions in one small JSON file of the data folder."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

from companion.midi.map_text import Map, map_from_data, map_to_data
from companion.midi.port_names import stable_name
from fingering.errors import UserError

FILE_NAME = "ports.json"


@dataclass(frozen=True, slots=True)
class KnownPort:
    """What is known of a port. channel: the one to listen to, None for all; last_used: with its time zone."""

    known: Map | None = None
    channel: int | None = None
    last_used: datetime | None = None


@dataclass(frozen=True, slots=True)
class PortMemory:
    """Known ports by the part of their names that stays."""

    ports: Mapping[str, KnownPort] = field(default_factory=lambda: MappingProxyType({}))

    def about(self, name: str) -> KnownPort:
        """What is known of the port called `name`; nothing, for one never seen."""
        return self.ports.get(stable_name(name), KnownPort())

    def learning(self, name: str, known: Map) -> PortMemory:
        """This memory with a map learnt for a port."""
        return self._with(name, replace(self.about(name), known=known))

    def using(self, name: str, at: datetime) -> PortMemory:
        """This memory with a port used at a time."""
        return self._with(name, replace(self.about(name), last_used=at))

    @property
    def last_used(self) -> str | None:
        """The name of the port used last, to be opened again without asking; None before the first."""
        used = {name: port.last_used for name, port in self.ports.items() if port.last_used}
        return max(used, key=lambda name: used[name].timestamp(), default=None)

    def _with(self, name: str, port: KnownPort) -> PortMemory:
        return PortMemory(MappingProxyType({**self.ports, stable_name(name): port}))


def read_memory(folder: Path) -> PortMemory:
    """What was kept in a data folder; nothing where nothing was. Raises UserError for a file that cannot be read."""
    path = folder / FILE_NAME
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        ports = {str(name): _port_from_data(port) for name, port in data["ports"].items()}
    except FileNotFoundError:
        return PortMemory()
    except (OSError, ValueError, TypeError, LookupError, AttributeError, UserError) as error:
        what = f"what was known of the MIDI ports cannot be read ({error})"
        raise UserError(what, "delete the file and learn the ports again", str(path)) from error
    return PortMemory(MappingProxyType(ports))


def write_memory(memory: PortMemory, folder: Path) -> None:
    """Keep it in a data folder, made if need be; the old file stays until the new one is whole. Raises UserError."""
    data = {"ports": {name: _port_to_data(port) for name, port in memory.ports.items()}}
    path = folder / FILE_NAME
    fresh = path.with_suffix(f".{os.getpid()}.new")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh.write_text(json.dumps(data, indent=1), encoding="utf-8")
        fresh.replace(path)
    except OSError as error:
        what = f"what is known of the MIDI ports cannot be kept ({error.strerror})"
        raise UserError(what, "see that there is room and that the folder is yours", str(folder)) from error


def _port_to_data(port: KnownPort) -> dict[str, Any]:
    last_used = port.last_used.isoformat() if port.last_used else None
    return {"map": map_to_data(port.known), "channel": port.channel, "last_used": last_used}


def _port_from_data(data: dict[str, Any]) -> KnownPort:
    last_used = datetime.fromisoformat(data["last_used"]) if data["last_used"] else None
    return KnownPort(map_from_data(data["map"]), data["channel"], last_used)
