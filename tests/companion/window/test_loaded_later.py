"""What is not needed for the first frame is loaded after it, so that no key waits for it."""

from __future__ import annotations

import subprocess
import sys

ASK = """
import sys
from companion.window.loaded_later import all_navigation, load_the_rest
load_the_rest()
before = set(sys.modules)
all_navigation()
import companion.window.live.input, companion.window.live.instruments, companion.sound.sounding_player
import companion.window.rereading.rereading
print(sorted(name for name in set(sys.modules) - before if name.startswith(("companion", "fingering"))))
"""


def test_all_is_loaded_that_a_key_can_ask_for() -> None:
    """Once the rest is loaded, no screen, instrument or player that a key can ask for has to be."""
    said = subprocess.run([sys.executable, "-c", ASK], capture_output=True, text=True, check=True).stdout
    assert said.strip().splitlines()[-1] == "[]"
