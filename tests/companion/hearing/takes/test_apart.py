"""A recording is heard by a process of its own, which leaves what it heard for others."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.hearing.takes.apart import hear_apart
from companion.hearing.takes.kept_hearing import kept_path
from companion.hearing.takes.recordings import hear_recording
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import plain_take

pytestmark = pytest.mark.same_everywhere


def test_what_another_process_heard_is_there_at_once(tmp_path: Path) -> None:
    """Its progress is told, up to the whole; nothing is heard again here."""
    path, shares = tmp_path / "tune.flac", [0.0]
    soundfile.write(path, sounding(plain_take(1, 6.0), SoundSource.PRACTICE_VOICE, 3).samples, RATE_HZ)
    assert hear_apart(path, shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    kept = kept_path(path)
    assert kept is not None
    assert kept.exists()
    assert len(hear_recording(path).heard.notes) > 8


def test_where_no_chanter_is_heard_that_is_told(tmp_path: Path) -> None:
    """Silence, and what is no sound at all."""
    soundfile.write(tmp_path / "silence.wav", np.zeros(RATE_HZ), RATE_HZ)
    (tmp_path / "words.wav").write_text("no sound")
    assert not hear_apart(tmp_path / "silence.wav")
    assert not hear_apart(tmp_path / "words.wav")
