"""Remembers what is known of MIDI ports, and when microphones were used, in one small JSON file of the data folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

from companion.files.keeping import read_kept, write_kept
from companion.files.kept_json import Table
from companion.files.locking import locked
from companion.midi.maps.map_text import HIGHEST_CHANNEL, Map, map_from_table, map_to_data
from companion.midi.stream.port_names import stable_name
from fingering.errors import UserError

FILE_NAME = "ports.json"
_WHAT = "what is known of the MIDI ports"


@dataclass(frozen=True, slots=True)
class KnownPort:
    """What is known of one port. channel: the one to listen to, None for all; last_used: with its time zone.

    learner: who of a class plays on it, "" for nobody.
    """

    known: Map | None = None
    channel: int | None = None
    last_used: datetime | None = None
    learner: str = ""


@dataclass(frozen=True, slots=True)
class PortMemory:
    """The known ports, by the part of their names that stays the same, and when each microphone was used last."""

    ports: Mapping[str, KnownPort] = field(default_factory=lambda: MappingProxyType({}))
    microphones: Mapping[str, datetime] = field(default_factory=lambda: MappingProxyType({}))

    def about(self, name: str) -> KnownPort:
        """What is known of the port called `name`; an empty KnownPort for one never seen."""
        return self.ports.get(stable_name(name), KnownPort())

    def learning(self, name: str, known: Map) -> PortMemory:
        """A copy of this memory with a map learnt for a port."""
        return self._with(name, replace(self.about(name), known=known))

    def using(self, name: str, at: datetime) -> PortMemory:
        """A copy of this memory with a port used at a time."""
        return self._with(name, replace(self.about(name), last_used=at))

    def using_microphone(self, name: str, at: datetime) -> PortMemory:
        """A copy of this memory with a microphone used at a time."""
        return replace(self, microphones=MappingProxyType({**self.microphones, name: at}))

    def without_microphones(self) -> PortMemory:
        """A copy of this memory in which no microphone was used, so that none is opened without being asked for."""
        return replace(self, microphones=MappingProxyType({}))

    def seating(self, name: str, learner: str) -> PortMemory:
        """A copy of this memory in which that learner of a class plays on a port; "" for nobody."""
        return self._with(name, replace(self.about(name), learner=learner))

    @property
    def last_used(self) -> str | None:
        """The name of the port used last, to be opened again without asking; None if none was."""
        used = self._ports_used
        return max(used, key=lambda name: used[name].timestamp(), default=None)

    @property
    def last_microphone(self) -> str | None:
        """The name of the microphone used last, likewise; None if none was, or a port was used later."""
        name = max(self.microphones, key=lambda each: self.microphones[each].timestamp(), default=None)
        later = [at for at in self._ports_used.values() if name and at > self.microphones[name]]
        return None if later else name

    @property
    def _ports_used(self) -> Mapping[str, datetime]:
        return {name: port.last_used for name, port in self.ports.items() if port.last_used}

    def _with(self, name: str, port: KnownPort) -> PortMemory:
        return replace(self, ports=MappingProxyType({**self.ports, stable_name(name): port}))


def read_memory(folder: Path) -> PortMemory:
    """Read the memory from a data folder; an empty one where there is none.

    A file that cannot be understood is renamed, so that nothing is lost. Raises UserError after that.
    """
    return read_kept(folder / FILE_NAME, _from_table, _WHAT) or PortMemory()


def write_memory(memory: PortMemory, folder: Path) -> None:
    """Write the memory to a data folder, made if need be, whole or not at all. Raises UserError."""
    data: dict[str, Any] = {"ports": {name: _port_to_data(port) for name, port in memory.ports.items()}}
    if memory.microphones:
        data["microphones"] = {name: at.isoformat() for name, at in memory.microphones.items()}
    write_kept(folder / FILE_NAME, data, _from_table, _WHAT)


def change_memory(folder: Path, change: Callable[[PortMemory], PortMemory], known: PortMemory) -> PortMemory:
    """Apply a change to the memory in a data folder and return the result; what other windows wrote is kept.

    known: what is changed where the file is gone, or cannot be understood any more. Raises UserError where it cannot be
    written.
    """
    with locked(folder / FILE_NAME):
        try:
            kept = read_memory(folder) if (folder / FILE_NAME).exists() else known
        except UserError:  # it was set aside, and is told when it is read next
            kept = known
        changed = change(kept)
        write_memory(changed, folder)
    return changed


def _port_to_data(port: KnownPort) -> dict[str, Any]:
    last_used = port.last_used.isoformat() if port.last_used else None
    learner = {"learner": port.learner} if port.learner else {}
    return {"map": map_to_data(port.known), "channel": port.channel, "last_used": last_used, **learner}


def _from_table(data: Table) -> PortMemory:
    ports = data.table("ports")
    known = MappingProxyType({name: _port_from_table(ports.table(name)) for name in ports.keys})
    if not data.has("microphones"):
        return PortMemory(known)
    used = data.table("microphones")
    return PortMemory(known, MappingProxyType({name: used.moment(name) for name in used.keys}))


def _port_from_table(data: Table) -> KnownPort:
    return KnownPort(
        known=map_from_table(data, "map"),
        channel=data.whole("channel", 0, HIGHEST_CHANNEL) if data.has("channel") else None,
        last_used=data.moment("last_used") if data.has("last_used") else None,
        learner=data.text("learner") if data.has("learner") else "",
    )
