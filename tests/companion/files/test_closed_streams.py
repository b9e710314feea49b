"""Nobody listens on standard error, or there is none: no command ends by that, nor does the window."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from companion.commands.shared.progress import Progress
from companion.files.streams import quiet_libraries, standard_error_is_watched
from tests.companion.loaded import Loaded

ROOT = Path(__file__).resolve().parents[3]
TUNE = "X:1\nT:A\nM:4/4\nL:1/8\nQ:1/4=240\nK:HP\nA2 {g}c2 e2 a2|]\n"

MAIN = "import sys\nfrom companion.__main__ import main\nsys.exit(main())\n"
WITHOUT_CONSOLE = "import sys\nsys.stdout = sys.stderr = None\n" + MAIN  # as pythonw runs a program
TEN_FRAMES = """
import os
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"  # as the program does before it imports pygame
from companion.window import shell
really, frames = shell.Shell.frame, []
def frame(self):
    frames.append(1)
    return really(self) and len(frames) < 10
shell.Shell.frame = frame
"""
COMMANDS = (
    (1, ("check", "a.abc", "spoilt.abc", "a.abc")),
    (0, ("sound", "a.abc", "-o", "x.wav")),
    (0, ("picture", "a.abc", "-o", "x.png")),
    (2, ("judge", "a.abc", "spoilt.abc", "no.mid")),
    (0, ("take", "list", "--folder", ".")),
    (0, ("log",)),
    (2, ("read", "nowhere.abc")),
    (0, ("show", "--paused")),
)


def furnish(folder: Path) -> dict[str, str]:
    """Put a tune into a folder; the environment of a program in it, on a screen that nobody sees."""
    (folder / "a.abc").write_text(TUNE)
    (folder / "spoilt.abc").write_text("X:1\nK:HP\n{A")
    (folder / "spoilt.mid").write_bytes(b"MThd")
    environment = {**os.environ, "EIGHTHOLES_DATA": str(folder), "XDG_CONFIG_HOME": str(folder)}
    return environment | {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "no such driver", "PYTHONPATH": str(ROOT)}


def script_for(words: tuple[str, ...], script: str) -> str:
    """A window that the script opens is closed after ten frames."""
    return (TEN_FRAMES if words[0] == "show" else "") + script


def run_unheard(words: tuple[str, ...], folder: Path) -> tuple[int, str]:
    """The program, begun without a standard error: its status, and what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", script_for(words, MAIN), *words],
        cwd=folder,
        env=furnish(folder),
        stdout=subprocess.PIPE,
        text=True,
        timeout=120,
        preexec_fn=lambda: os.close(2),
    )
    return done.returncode, done.stdout


@pytest.mark.parametrize(("status", "words"), COMMANDS, ids=lambda each: each[0] if isinstance(each, tuple) else "")
def test_a_closed_standard_error_changes_nothing_else(
    tmp_path: Path, loaded: Loaded, status: int, words: tuple[str, ...]
) -> None:
    """``2>&-``: the same status, and the same on standard output as where standard error is heard."""
    folders = [tmp_path / name for name in ("heard", "unheard")]
    for folder in folders:
        folder.mkdir()
    heard = loaded.run(*words, script=script_for(words, MAIN), folder=folders[0], env=furnish(folders[0]))
    assert "Traceback" not in heard.told
    assert heard.status == status
    assert run_unheard(words, folders[1]) == (status, heard.out)
    made = [sorted(each.name for each in folder.iterdir()) for folder in folders]
    assert made[0] == made[1]


@pytest.mark.parametrize(("status", "words"), COMMANDS, ids=lambda each: each[0] if isinstance(each, tuple) else "")
def test_a_program_without_a_console_does_its_work(
    tmp_path: Path, loaded: Loaded, status: int, words: tuple[str, ...]
) -> None:
    """Python's streams are None then."""
    script = script_for(words, WITHOUT_CONSOLE)
    assert loaded.run(*words, script=script, folder=tmp_path, env=furnish(tmp_path)).status == status


def test_what_libraries_write_is_hidden_where_python_has_no_stream(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """They write to the number 2, whatever Python knows of it."""
    monkeypatch.setattr(sys, "stderr", None)
    with quiet_libraries():
        os.write(2, b"a dozen lines")
    os.write(2, b"ours")
    assert capfd.readouterr().err == "ours"


def test_progress_is_for_those_who_watch(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a standard error there is nobody."""
    monkeypatch.setattr(sys, "stderr", None)
    assert not standard_error_is_watched()
    progress = Progress("checked", 2)
    progress.step()
    progress.end()
