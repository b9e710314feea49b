"""Whatever stands at a path is read or refused, soon and with a word."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from companion.files.reading import read_limited
from fingering.errors import UserError


def refusal(path: Path, most_bytes: int = 100) -> str:
    """What is said of the thing at a path."""
    with pytest.raises(UserError) as caught:
        read_limited(path, most_bytes, "split it")
    return f"{caught.value.what}; {caught.value.remedy}"


def test_a_file_is_read_whole(tmp_path: Path) -> None:
    """Up to the very limit."""
    path = tmp_path / "a"
    path.write_bytes(b"x" * 100)
    assert read_limited(path, 100, "split it") == b"x" * 100


def test_a_larger_one_is_refused(tmp_path: Path) -> None:
    """One byte is enough."""
    path = tmp_path / "a"
    path.write_bytes(b"x" * 2001)
    assert refusal(path, 2000) == "the file is larger than 2 kB; split it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no such pipes here")
def test_a_pipe_that_nobody_writes_to_does_not_hang(tmp_path: Path) -> None:
    """It is refused at once."""
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert refusal(path) == "this is a device or a pipe, not a file; copy what it holds into a file"


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no such device here")
def test_a_device_that_never_ends_is_refused() -> None:
    """At once, and without a byte of it."""
    assert refusal(Path("/dev/zero")) == "this is a device or a pipe, not a file; copy what it holds into a file"


def test_a_folder_is_named(tmp_path: Path) -> None:
    """Rather than 'cannot be read'."""
    assert refusal(tmp_path) == "this is a folder; name a file in it"


def test_what_is_not_there(tmp_path: Path) -> None:
    """A plain word."""
    assert refusal(tmp_path / "nowhere") == "there is no such file; check its name and folder"


@pytest.mark.parametrize("name", ["n" * 300, "a\0b"], ids=["too long", "with a zero byte"])
def test_a_name_that_no_file_can_have(tmp_path: Path, name: str) -> None:
    """The system's own reason."""
    assert refusal(tmp_path / name).startswith("the file cannot be read (")


def test_the_place_is_one_line(tmp_path: Path) -> None:
    """Whatever the name holds."""
    with pytest.raises(UserError) as caught:
        read_limited(tmp_path / "a\nb\x1b[2J", 9, "split it")
    assert str(caught.value.where).endswith("a<0A>b<1B>[2J")
