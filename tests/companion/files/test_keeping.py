"""The program's own small files: whole or not at all, set aside where they are spoilt, never written over."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.files.keeping import LARGEST_BYTES, read_kept, write_kept
from companion.files.kept_json import Table
from fingering.errors import UserError

ROOT = Path(__file__).resolve().parents[3]


def number(data: Table) -> int:
    """What these tests keep."""
    return data.whole("n", 0, 9)


def kept(path: Path) -> int | None:
    """What a file keeps."""
    return read_kept(path, number, "the number")


def write(path: Path, value: int) -> None:
    """Keep a number."""
    write_kept(path, {"n": value}, number, "the number")


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """In a folder that is made; nothing else is left in it."""
    path = tmp_path / "new" / "a.json"
    assert kept(path) is None
    write(path, 3)
    write(path, 4)
    assert kept(path) == 4
    assert os.listdir(path.parent) == ["a.json"]


SPOILT = {
    "nothing": b"",
    "no JSON": b"{",
    "another kind": b'{"n": "3"}',
    "out of range": b'{"n": 10}',
    "not a number": b'{"n": NaN}',
    "too deep": b'{"n": ' + b"[" * 100_000,
    "too large": b" " * (LARGEST_BYTES + 1),
    "no text": bytes(range(256)),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_file_is_set_aside_with_a_word(name: str, tmp_path: Path) -> None:
    """Byte for byte as it was, and told once only."""
    path = tmp_path / "a.json"
    path.write_bytes(SPOILT[name])
    with pytest.raises(UserError, match=r"the number cannot be read \(.*\); .* kept as a\.json\.unreadable") as caught:
        kept(path)
    assert str(caught.value).isprintable()
    assert (tmp_path / "a.json.unreadable").read_bytes() == SPOILT[name]
    assert kept(path) is None


def test_what_was_set_aside_before_is_not_written_over(tmp_path: Path) -> None:
    """Each has a name of its own."""
    for text in ("one", "two", "three"):
        (tmp_path / "a.json").write_text(text)
        with pytest.raises(UserError, match=r"kept as a\.json\.unreadable"):
            kept(tmp_path / "a.json")
    assert sorted(each.read_text() for each in tmp_path.iterdir()) == ["one", "three", "two"]


def test_writing_sets_a_spoilt_file_aside_as_well(tmp_path: Path) -> None:
    """It may have come there since it was read."""
    path = tmp_path / "a.json"
    path.write_text("spoilt")
    write(path, 5)
    assert kept(path) == 5
    assert (tmp_path / "a.json.unreadable").read_text() == "spoilt"


def test_what_cannot_be_set_aside_is_not_written_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As where the folder is another's: reading and writing both say so."""

    def refuse(self: Path, target: Path) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "a.json"
    path.write_text("spoilt")
    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(UserError, match="move that file"):
        kept(path)
    with pytest.raises(UserError, match="move that file"):
        write(path, 5)
    assert path.read_text() == "spoilt"


def test_a_folder_in_its_place_is_set_aside(tmp_path: Path) -> None:
    """With all that is in it."""
    (tmp_path / "a.json" / "within").mkdir(parents=True)
    with pytest.raises(UserError, match="this is a folder"):
        kept(tmp_path / "a.json")
    assert (tmp_path / "a.json.unreadable" / "within").is_dir()


def test_a_pipe_in_its_place_is_not_waited_for(tmp_path: Path) -> None:
    """Nobody writes into it."""
    os.mkfifo(tmp_path / "a.json")
    with pytest.raises(UserError, match="a pipe"):
        kept(tmp_path / "a.json")


def test_no_place_is_told_in_one_line(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(UserError, match="the number cannot be kept"):
        write(tmp_path / "taken" / "a.json", 1)


_WRITER = """
import sys
from pathlib import Path
from companion.files.keeping import write_kept
print("on", flush=True)
while True:
    for value in range(10):
        write_kept(Path(sys.argv[1]), {"n": value, "padding": "x" * 4000}, lambda data: data.whole("n", 0, 9), "it")
"""


def test_a_program_killed_while_it_writes_leaves_a_whole_file(tmp_path: Path) -> None:
    """The old one or the new one."""
    path = tmp_path / "a.json"
    for _ in range(3):
        words = [sys.executable, "-c", _WRITER, str(path)]
        with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE) as writer:
            assert writer.stdout is not None
            writer.stdout.readline()
            while not path.exists():
                pass
            writer.send_signal(signal.SIGKILL)
        assert kept(path) in range(10)


@given(st.binary(max_size=100))
def test_any_bytes_are_a_value_or_a_user_error(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    """Nothing is lost of them in either case."""
    folder = tmp_path_factory.mktemp("kept")
    (folder / "a.json").write_bytes(data)
    told = ""
    try:
        assert kept(folder / "a.json") in range(10)
    except UserError as error:
        told = str(error)
    assert "\n" not in told
    (left,) = folder.iterdir()
    assert left.read_bytes() == data
