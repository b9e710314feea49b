"""What the commands write: over nothing that stands there unless asked to, over no input ever, whole or not at all."""

from __future__ import annotations

import os
import resource
from collections.abc import Callable
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.score.bundled import bundled_files
from tests.companion.commands.program import TUNE, is_one_line, run
from tests.companion.commands.test_judge import ABC, write_take

OLD = b"somebody's work"


class Writer:
    """A command that writes, its words apart from its output, and the files that it reads."""

    def __init__(self, folder: Path, name: str) -> None:
        self.tune = folder / "tune.abc"
        self.tune.write_text(ABC)
        self.take = Path(write_take(folder / "take.mid"))
        tune, take = str(self.tune), str(self.take)
        self.words, self.flag, self.output, self.inputs = {
            "sound": (["sound", tune], "-o", folder / "out.wav", [self.tune]),
            "film": (["film", tune, "--bars", "1-1", "--tempo", "400"], "-o", folder / "out.mp4", [self.tune]),
            "picture": (["picture", tune, "--take", take], "-o", folder / "out.png", []),
            "cross": (["cross", "a", "e"], "-o", folder / "out.wav", []),
            "sheet": (["sheet", tune, "--whole"], "-o", folder / "out.pdf", [self.tune]),
            "judge": (["judge", tune, take, "--low-a", "69"], "--html", folder / "out.html", [self.tune, self.take]),
        }[name]

    def write(self, output: Path | str, *more: str) -> int:
        """Run it; its exit status."""
        return main([*self.words, self.flag, str(output), *more])


@pytest.fixture(params=["sound", "film", "picture", "cross", "sheet", "judge"])
def writer(tmp_path: Path, request: pytest.FixtureRequest, capsys: pytest.CaptureFixture[str]) -> Writer:
    """Each command that writes."""
    writer = Writer(tmp_path, request.param)
    capsys.readouterr()
    return writer


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Callable[[int, str], None]:
    """Whether a command has refused in one line with these words."""

    def check(status: int, words: str) -> None:
        told = capsys.readouterr().err
        assert status == 2
        assert is_one_line(told)
        assert words in told

    return check


@pytest.mark.same_everywhere
def test_a_file_that_is_there_stays_unless_force_is_given(writer: Writer, refused: Callable[[int, str], None]) -> None:
    """The words say how to write over it."""
    writer.output.write_bytes(OLD)
    refused(writer.write(writer.output), "--force")
    assert writer.output.read_bytes() == OLD
    assert writer.write(writer.output, "--force") == 0
    assert writer.output.read_bytes() != OLD


@pytest.mark.same_everywhere
def test_the_first_time_needs_no_force_and_leaves_nothing_beside(writer: Writer, tmp_path: Path) -> None:
    """Only the file that was asked for is new."""
    before = set(tmp_path.iterdir())
    assert writer.write(writer.output) == 0
    assert set(tmp_path.iterdir()) - before == {writer.output}


def test_no_input_is_written_over(writer: Writer, tmp_path: Path, refused: Callable[[int, str], None]) -> None:
    """Not by its name, another spelling, a link of either kind, nor with --force."""
    for number, file in enumerate(writer.inputs):
        before = file.read_bytes()
        soft, hard = tmp_path / f"soft{number}", tmp_path / f"hard{number}"
        (tmp_path / "folder").mkdir(exist_ok=True)
        soft.symlink_to(file)
        hard.hardlink_to(file)
        for path in (file, soft, hard, f"{tmp_path}/folder/../{file.name}"):
            refused(writer.write(path, "--force"), "is read here")
        assert file.read_bytes() == before


def test_a_picture_is_not_drawn_over_its_take(tmp_path: Path, refused: Callable[[int, str], None]) -> None:
    """Through a link with the ending of a picture."""
    writer = Writer(tmp_path, "picture")
    link = tmp_path / "x.png"
    link.symlink_to(writer.take)
    refused(writer.write(link, "--force"), "is read here")


def test_no_tune_of_ours_is_written_over(tmp_path: Path, refused: Callable[[int, str], None]) -> None:
    """Whatever tune is read, and whatever the file is called here."""
    ours = bundled_files()[0]
    link = tmp_path / "x.wav"
    link.symlink_to(ours)
    before = ours.read_bytes()
    for path in (ours, link):
        refused(Writer(tmp_path, "sound").write(path, "--force"), "comes with the program")
    assert ours.read_bytes() == before


def test_a_link_is_followed(tmp_path: Path) -> None:
    """What it leads to is written over with --force, and it stays a link."""
    target, link = tmp_path / "target.wav", tmp_path / "link.wav"
    target.write_bytes(OLD)
    link.symlink_to(target)
    assert Writer(tmp_path, "sound").write(link, "--force") == 0
    assert link.is_symlink()
    assert target.read_bytes()[:4] == b"RIFF"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("folder.png", "this is a folder"),
        ("/dev/full", "a device or a pipe"),
        ("pipe.png", "a device or a pipe"),
        ("nowhere/x.png", "there is no folder"),
        ("tune.abc/x.png", "tune.abc"),
        ("/sys/x.png", "cannot be written"),
        ("loop.png", "cannot be written"),
        (f"{'x' * 300}.png", "file name too long"),
    ],
)
def test_a_place_that_cannot_be_written_is_one_line(
    writer: Writer, tmp_path: Path, name: str, words: str, refused: Callable[[int, str], None]
) -> None:
    """Before any work, with --force as without."""
    (tmp_path / "folder.png").mkdir()
    os.mkfifo(tmp_path / "pipe.png")
    (tmp_path / "loop.png").symlink_to(tmp_path / "loop.png")
    if "picture" in writer.words and not name.endswith(".png"):
        words = "not a PNG file"
    for more in ((), ("--force",)):
        refused(writer.write(tmp_path / name, *more), words)


def test_the_place_is_looked_at_before_the_work(tmp_path: Path, refused: Callable[[int, str], None]) -> None:
    """A tune that would take half an hour to render is refused at once; its own faults are not even read."""
    writer = Writer(tmp_path, "sound")
    writer.tune.write_text("no tune at all\n")
    writer.output.write_bytes(OLD)
    refused(writer.write(writer.output), "--force")


@pytest.mark.parametrize("name", ["out.wav", "out.ogg"])
def test_a_disk_that_is_full_leaves_nothing(tmp_path: Path, name: str) -> None:
    """As a limit on the size of files stands for it here: neither half a file nor a trace, and the old one stays."""
    (tmp_path / "tune.abc").write_text(TUNE)
    output = tmp_path / name

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000))

    words = ("sound", "tune.abc", "-o", name, "--force")
    status, _, told = run(*words, folder=tmp_path, preexec_fn=limit)
    assert (status, is_one_line(told)) == (2, True)
    assert "file too large" in told
    assert not output.exists()
    output.write_bytes(OLD)
    assert run(*words, folder=tmp_path, preexec_fn=limit)[0] == 2
    assert output.read_bytes() == OLD
    assert {path.name for path in tmp_path.iterdir()} == {"tune.abc", name}
