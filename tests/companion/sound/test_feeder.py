"""The thread that keeps a loudspeaker fed."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.sound.feeder import Feeder
from tests.companion.sound.loudspeaker import open_loudspeaker, wait_until

BLOCK_FRAMES = 256
LATE_S = 0.25


def test_running_dry_while_a_block_is_made_is_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One of 5 ms that takes a quarter of a second to make; it is known by the time that the next one is asked for."""
    late, counts = False, list[int]()

    def pull(frames: int) -> NDArray[np.int16]:
        nonlocal late
        if late or counts:
            counts.append(feeder.underruns)
        if late:
            late = False
            time.sleep(LATE_S)
        return np.full((frames, 2), 1_000, np.int16)

    with open_loudspeaker(tmp_path, monkeypatch) as speaker:
        feeder = Feeder(speaker.device.channel(0), pull, BLOCK_FRAMES)
        feeder.start()
        speaker.play_on(20 * BLOCK_FRAMES)
        late = True
        wait_until(lambda: len(counts) > 1)
        feeder.close()
    assert counts[1] > counts[0]
