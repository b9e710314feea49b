"""Pictures with the staff from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.__main__ import main
from companion.score.engrave import verovio_toolkit
from companion.window.staff import drawing
from fingering.errors import UserError

TUNE = ("picture", "the-ropewalk-cat", "--at", "2.1", "--size", "800x600")


def drawn(path: Path, *words: str) -> bytes:
    """A picture of a tune."""
    assert main([*TUNE, *words, "--force", "-o", str(path)]) == 0
    return path.read_bytes()


def test_a_tune_has_its_staff_unless_it_is_left_out(tmp_path: Path) -> None:
    """Another picture without; in both the same each time."""
    path = tmp_path / "x.png"
    with_staff, without = drawn(path), drawn(path, "--no-staff")
    assert with_staff != without
    assert (drawn(path), drawn(path, "--no-staff")) == (with_staff, without)


def test_where_nothing_engraves_one_line_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The picture is that without a staff."""

    def missing() -> None:
        raise UserError("Verovio cannot be loaded (it is not here)", "install it")

    without = drawn(tmp_path / "x.png", "--no-staff")
    monkeypatch.setattr(drawing, verovio_toolkit.load_verovio.__name__, missing)
    capsys.readouterr()
    assert drawn(tmp_path / "x.png") == without
    assert capsys.readouterr().err == "eightholes: Verovio cannot be loaded (it is not here); install it\n"
