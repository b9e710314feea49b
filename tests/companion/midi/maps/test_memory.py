"""What is known of the ports is kept between sessions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.midi.maps.hole_map import ControlSwitch, HoleMap, NoteSwitch
from companion.midi.maps.memory import FILE_NAME, PortMemory, read_memory, write_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from fingering.errors import UserError

AT = datetime(2026, 1, 1, tzinfo=UTC)
HOLES = HoleMap((*(NoteSwitch(0, 40 + rank) for rank in range(4)), *(ControlSwitch(3, rank) for rank in range(4))))


def test_what_was_learnt_is_known_again(tmp_path: Path) -> None:
    """Both sorts of map, and the port used last, under whatever number it comes back."""
    memory = PortMemory().learning("Chanter:MIDI 20:0", DEFAULT_MAP).learning("Sensors:MIDI 24:0", HOLES)
    memory = memory.using("Sensors:MIDI 24:0", datetime(2026, 1, 2, tzinfo=UTC))
    memory = memory.using("Chanter:MIDI 20:0", datetime(2026, 1, 1, tzinfo=UTC))
    write_memory(memory, tmp_path / "new")
    again = read_memory(tmp_path / "new")
    assert again == memory
    assert again.about("Chanter:MIDI 28:0").known == DEFAULT_MAP
    assert again.about("Sensors:MIDI 28:0").known == HOLES
    assert again.last_used == "Sensors:MIDI"


def test_who_of_a_class_plays_on_a_port_is_known_again(tmp_path: Path) -> None:
    """Beside its map; where nobody plays, the file is as it was before there were classes."""
    memory = PortMemory().learning("Chanter:MIDI 20:0", DEFAULT_MAP).seating("Chanter:MIDI 20:0", "Anna")
    write_memory(memory, tmp_path)
    again = read_memory(tmp_path).about("Chanter:MIDI 28:0")
    assert (again.learner, again.known) == ("Anna", DEFAULT_MAP)
    write_memory(memory.seating("Chanter:MIDI 28:0", ""), tmp_path)
    assert "learner" not in (tmp_path / FILE_NAME).read_text()


def test_nothing_is_known_at_first(tmp_path: Path) -> None:
    """No file is no mistake."""
    memory = read_memory(tmp_path)
    assert memory.last_used is None
    assert memory.about("Chanter:MIDI 28:0").known is None


@pytest.mark.parametrize("text", ["", "[]", '{"ports": 3}', '{"ports": {"a": {"map": {"notes": [1]}}}}', "\x00"])
def test_a_spoilt_file_is_told_in_one_line(tmp_path: Path, text: str) -> None:
    """The error names the file that cannot be understood."""
    (tmp_path / FILE_NAME).write_text(text)
    with pytest.raises(UserError, match=FILE_NAME):
        read_memory(tmp_path)


def test_a_folder_that_cannot_be_made_is_told_in_one_line(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(UserError, match="what is known of the MIDI ports cannot be kept"):
        write_memory(PortMemory(), tmp_path / "taken")


def test_a_microphone_used_last_is_the_one_to_open_again(tmp_path: Path) -> None:
    """Until a port is used after it; a file of before there were microphones has none."""
    memory = PortMemory().using("Chanter:MIDI", AT).using_microphone("Desk", AT + timedelta(hours=1))
    memory = memory.using_microphone("Head", AT + timedelta(minutes=1))
    write_memory(memory, tmp_path)
    again = read_memory(tmp_path)
    assert again == memory
    assert again.last_microphone == "Desk"
    later = again.using("Chanter:MIDI", AT + timedelta(hours=2))
    assert (later.last_microphone, later.last_used) == (None, "Chanter:MIDI")
    assert PortMemory().last_microphone is None
