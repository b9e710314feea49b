"""The frozen tables and most of the crossings load without numpy: the first frame does not wait for it."""

from __future__ import annotations

import subprocess
import sys

LIGHT = (
    "fingering.acoustics.sounding",
    "fingering.crossings.blame",
    "fingering.crossings.orders",
    "fingering.crossings.passing",
    "fingering.crossings.teaching",
    "fingering.crossings.timing",
)


def test_what_sounds_is_known_without_numpy() -> None:
    """Only computing anew, and the difficulty's integrals, need it."""
    script = (
        f"import sys\nfor name in {LIGHT!r}: __import__(name)\n"
        "from fingering.acoustics.sounding import pitch_ratios, veils\n"
        "assert len(pitch_ratios()) == len(veils()) == 256\n"
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
