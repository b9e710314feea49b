"""The devices that PortMidi lists, as ports by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import count

from companion.midi.ports.driver import PortNames

DeviceInfo = tuple[bytes, bytes, int, int, int]
"""Of one device, as pygame.midi tells it: interface, name, whether it is an input, an output, and open."""


@dataclass(frozen=True, slots=True)
class Devices:
    """The number of each input and of each output by its name; numbers are good until PortMidi lists anew."""

    inputs: Mapping[str, int]
    outputs: Mapping[str, int]

    @property
    def names(self) -> PortNames:
        """The names alone."""
        return PortNames(tuple(self.inputs), tuple(self.outputs))


def devices_of(infos: Iterable[DeviceInfo]) -> Devices:
    """The devices by name, in the order of their numbers.

    PortMidi calls two instruments of one make alike: the second one gets ` [2]`, of which `port_names` knows that it
    may change. Names are UTF-8 but for old Windows drivers, where what is not becomes a replacement character.
    """
    inputs: dict[str, int] = {}
    outputs: dict[str, int] = {}
    for number, (_, name, is_input, is_output, _) in enumerate(infos):
        told = name.decode("utf-8", "replace")
        if is_input:
            inputs[_free(told, inputs)] = number
        if is_output:
            outputs[_free(told, outputs)] = number
    return Devices(inputs, outputs)


def _free(name: str, taken: Mapping[str, int]) -> str:
    if name not in taken:
        return name
    return next(other for n in count(2) if (other := f"{name} [{n}]") not in taken)
