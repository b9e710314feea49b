"""Pictures and sounds of crossings from the command line."""

from __future__ import annotations

import struct
import wave
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.schedule.crossing import HOLD_S
from companion.sound.settings import SAMPLE_RATE_HZ

FORMS = {
    "a late finger": ["--crossing", "d", "e", "--late", "upper ring=40"],
    "as taught": ["--crossing", "high A", "E", "--slow", "8"],
    "all pairs": ["--map", "--theme", "night"],
    "a tune's own": ["the-ropewalk-cat", "--tune-map", "--big-print"],
}


def png_size(path: Path) -> tuple[int, int]:
    """Width and height by the file's own header (PNG, ISO/IEC 15948, 11.2.2)."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    return int(width), int(height)


@pytest.mark.parametrize("form", FORMS)
def test_a_picture_of_each_screen(form: str, tmp_path: Path) -> None:
    """A PNG file of the size that was asked for, another one for each screen."""
    path = tmp_path / "x.png"
    assert main(["picture", *FORMS[form], "--size", "800x600", "-o", str(path)]) == 0
    assert png_size(path) == (800, 600)


def test_the_pictures_differ(tmp_path: Path) -> None:
    """Later is another picture than late, and clean another than faulty."""
    seen = set()
    for rank, late in enumerate(([], ["--late", "upper ring=20"], ["--late", "upper ring=60"])):
        path = tmp_path / f"{rank}.png"
        assert main(["picture", "--crossing", "d", "e", *late, "-o", str(path)]) == 0
        seen.add(path.read_bytes())
    assert len(seen) == 3


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["picture", "-o", "x.png"], "it is not clear what to draw"),
        (["picture", "--map", "--crossing", "d", "e", "-o", "x.png"], "it is not clear what to draw"),
        (["picture", "--map", "--late", "thumb=4", "-o", "x.png"], "--late needs a crossing"),
        (["picture", "--map", "--tune-map", "-o", "x.png"], "--tune-map needs a tune"),
        (["picture", "--crossing", "d", "d", "-o", "x.png"], "D to D is no crossing"),
        (["picture", "--crossing", "d", "h", "-o", "x.png"], "the chanter has no note 'h'"),
        (["picture", "--crossing", "d", "e", "--late", "thumb=4", "-o", "x.png"], "the thumb does not move"),
        (["picture", "--crossing", "d", "e", "--late", "upper ring=-4", "-o", "x.png"], "is out of reach"),
        (["picture", "--crossing", "d", "e", "--slow", "99", "-o", "x.png"], "a slow-down of 99 is out of reach"),
        (
            ["picture", "--crossing", "d", "e", "--late", "upper ring=4", "--late", "lower ring=4", "-o", "x.png"],
            "a picture has one finger late",
        ),
        (["cross", "--all", "-o", "x.wav"], "--output needs two notes"),
        (["cross", "d", "e", "--slow", "99", "-o", "x.wav"], "a slow-down of 99 is out of reach"),
        (["show", "--late", "upper ring=4"], "--late needs a crossing"),
        (["show", "--crossing", "d", "d"], "D to D is no crossing"),
    ],
)
def test_a_mistake_is_one_line(
    words: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong, what to do, status 2, and no file is left behind."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path))
    assert main(words) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert told in line
    assert "; " in line
    assert list(tmp_path.iterdir()) == []


def test_the_sound_of_a_crossing_is_as_slow_as_asked(tmp_path: Path) -> None:
    """The movement is stretched, the two held notes are not."""
    lengths_s = []
    for slow in ("1", "10"):
        path = tmp_path / f"{slow}.wav"
        assert main(["cross", "d", "e", "--late", "upper ring=50", "--slow", slow, "-o", str(path)]) == 0
        with wave.open(str(path)) as file:
            lengths_s.append(file.getnframes() / SAMPLE_RATE_HZ)
    assert lengths_s[0] > 2.0 * HOLD_S
    assert lengths_s[1] - lengths_s[0] == pytest.approx(0.050 * 9.0, abs=0.001)
