"""`eightholes ports`: lists the MIDI ports and microphones that are here, and what is known of each port."""

from __future__ import annotations

import argparse
import sys

from companion.commands.shared.playing_options import add_backend_option
from companion.files.folders import data_folder
from companion.files.lines import one_line
from companion.hearing.microphone.microphones import Microphones
from companion.midi.maps.hole_map import HoleMap
from companion.midi.maps.memory import KnownPort, PortMemory, read_memory
from companion.midi.ports.driver import Backend
from companion.midi.ports.system import MidiSystem
from companion.midi.stream.port_names import stable_name
from fingering.errors import UserError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_backend_option(parser)


def run(options: argparse.Namespace) -> int:
    """Print the ports and microphones. Raises UserError where there is no MIDI."""
    memory = _remembered()
    system = MidiSystem(Backend(options.backend))
    microphones = Microphones()
    try:
        microphones.ask()
        system.wait()
        microphones.wait()
    finally:
        system.close()
        microphones.close()
    if not system.trouble:
        _print_ports(system, memory)
    _print_group("microphones", microphones.names or [f"none: {microphones.trouble}"])
    if system.trouble:
        raise system.trouble
    return 0


def _print_ports(system: MidiSystem, memory: PortMemory) -> None:
    inputs, outputs = system.inputs, system.outputs
    _print_group("to play in from", [f"{name}: {_told(memory.about(name))}" for name in inputs])
    _print_group("to send out to", outputs)
    here = {stable_name(name) for name in inputs}
    away = [f"{name}: {_told(port)}" for name, port in memory.ports.items() if name not in here]
    if away:
        _print_group("known, but not here now", away)


def _remembered() -> PortMemory:
    """What is known of the ports; where its file cannot be read, a line on standard error and nothing known."""
    try:
        return read_memory(data_folder())
    except UserError as error:
        print(f"eightholes: {one_line(str(error))}", file=sys.stderr)
        return PortMemory()


def _print_group(title: str, lines: list[str] | tuple[str, ...]) -> None:
    print(f"{title}:")
    for line in lines or ("none",):
        print(f"  {one_line(line)}")


def _told(port: KnownPort) -> str:
    if port.known is None:
        kind = "its notes are not learnt yet"
    elif isinstance(port.known, HoleMap):
        kind = "a sensor in each hole"
    else:
        kind = str(port.known)
    channel = "" if port.channel is None else f", channel {port.channel + 1}"
    used = f", last used {port.last_used:%Y-%m-%d}" if port.last_used else ""
    return f"{kind}{channel}{used}"
