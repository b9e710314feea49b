"""The voice that lies beside a sound is what that is heard by, again and again."""

from __future__ import annotations

from pathlib import Path

import pytest
import soundfile

from companion.hearing.takes.kept_hearing import kept_path
from companion.hearing.takes.recordings import hear_recording, voice_of_sound
from companion.midi.takes.reading import voice_beside
from tests.companion.hearing.drills import drill, kept_voice
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource

pytestmark = pytest.mark.same_everywhere

PIPE = SoundSource.PIPE_VOICE


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder of the program's own."""
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "home"))


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """A drill as a microphone's take has it."""
    path = tmp_path / "a.flac"
    soundfile.write(path, drill(PIPE).samples, RATE_HZ)
    return path


def test_a_sound_with_its_voice_is_heard_by_it_and_kept_apart(sound: Path) -> None:
    """Without it something else is heard, and with it again, from what was kept."""
    alone = hear_recording(sound)
    voice_beside(sound).write_bytes(kept_voice(PIPE))
    by_voice = hear_recording(sound)
    assert by_voice.heard.notes != alone.heard.notes
    assert kept_path(sound) != kept_path(sound, kept_voice(PIPE))
    shares: list[float] = []
    assert hear_recording(sound, shares.append) == by_voice
    assert shares == [1.0]
    voice_beside(sound).unlink()
    assert hear_recording(sound) == alone


@pytest.mark.parametrize("damage", [b"", b"no voice", "cut", "bit"])
def test_one_that_is_spoilt_is_as_good_as_none(sound: Path, damage: bytes | str) -> None:
    """The sound is heard as by itself."""
    voice = kept_voice(PIPE)
    flipped = voice[:-9] + bytes([voice[-9] ^ 1]) + voice[-8:]
    spoilt = {"cut": voice[:-9], "bit": flipped}[damage] if isinstance(damage, str) else damage
    voice_beside(sound).write_bytes(spoilt)
    assert voice_of_sound(sound) is None
    voice_beside(sound).write_bytes(voice)
    assert voice_of_sound(sound) == voice


def test_a_folder_of_its_name_is_none(sound: Path) -> None:
    """Nothing is read of it."""
    voice_beside(sound).mkdir()
    assert voice_of_sound(sound) is None
