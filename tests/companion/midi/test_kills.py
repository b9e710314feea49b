"""SIGKILL while a take is kept from real MIDI: no note that had ended 0.25 s before is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.kills import PROMISED_S, kill_takes
from tests.referees import require_module, require_program

KILLS = 20
"""A tenth of what `python -m tests.kills` does, which takes a minute and a half."""


@pytest.mark.same_everywhere
def test_no_note_that_had_ended_is_lost(tmp_path: Path) -> None:
    """At moments by chance, from the first note to 1.2 s after it."""
    require_program("jackd")
    require_module("rtmidi")
    kills = kill_takes(KILLS, tmp_path)
    assert len(kills) == KILLS
    assert sum(each.promised for each in kills) > KILLS
    assert sum(each.broken for each in kills) == 0
    assert max(each.waiting_s for each in kills) <= PROMISED_S
