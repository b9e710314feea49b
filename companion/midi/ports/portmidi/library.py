"""Loads and initialises pygame.midi, in a process of its own: see `ports.service` and `watch`."""

from __future__ import annotations

import atexit
import importlib
import os
import sys
from pathlib import Path
from typing import Any

from companion.files.streams import quiet_libraries
from companion.midi.ports.driver import LibraryErrors
from companion.midi.ports.portmidi.devices import Devices, devices_of

PORTMIDI_ERRORS = LibraryErrors((Exception,))
"""PortMidi's own errors are bare Exceptions."""

_SEQUENCER_ONLY = Path(__file__).with_name("alsa.conf")
"""The ALSA library in pygame's wheel looks for its configuration where it was built, and finds no sequencer without.
What a system may have is for its own ALSA library; PortMidi needs one line of it."""


def load() -> Any:
    """The module pygame.midi, not initialised. Raises ImportError where pygame has none."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    if sys.platform == "linux":
        os.environ.setdefault("ALSA_CONFIG_PATH", str(_SEQUENCER_ONLY))
    return importlib.import_module("pygame.midi")


def renewed(midi: Any) -> Devices:
    """Initialise it anew, which closes what is open, and list the devices there are now. Raises UserError."""
    with PORTMIDI_ERRORS.listing(), quiet_libraries():
        midi.quit()
        atexit.unregister(midi.quit)  # `init` registers it each time
        midi.init()
        return devices_of(midi.get_device_info(number) for number in range(midi.get_count()))
