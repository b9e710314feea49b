"""Seconds that `read` takes for a megabyte: of our own tunes beside abc2midi, of hostile things beside the tunes."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.companion.commands.hostile import HOSTILE, SIZE
from tests.referees import require_program

TUNES = Path(__file__).parents[2] / "tunes"
GOAL_S = 2.0
ROUNDS = 3
SHOWN = 8


def _taken_s(words: list[str], folder: Path) -> float:
    """The least time that a program took, started and ended."""
    taken: list[float] = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        subprocess.run(words, cwd=folder, capture_output=True, check=False)
        taken.append(time.perf_counter() - begun)
    return min(taken)


def _read_s(text: str, folder: Path) -> float:
    path = folder / "a.abc"
    path.write_text(text, encoding="utf-8")
    return _taken_s([sys.executable, "-m", "companion", "read", str(path)], folder)


def main() -> None:
    """Print the tunes, then the hostile things that take longest."""
    peer_program = require_program("abc2midi")
    ours = "\n\n".join(path.read_text(encoding="utf-8") for path in sorted(TUNES.glob("*.abc"))) + "\n\n"
    with TemporaryDirectory() as name:
        folder = Path(name)
        tunes_s = _read_s(ours * (SIZE // len(ours)), folder)
        peer_s = _taken_s([peer_program, "a.abc"], folder)
        hostile = sorted(((_read_s(text, folder), name) for name, text in HOSTILE.items()), reverse=True)
    peer = f"abc2midi {peer_s:.2f} s, we are {peer_s / tunes_s:.2f} times as fast"
    print(f"{tunes_s:.2f} s for a megabyte of our tunes (goal {GOAL_S:g}); {peer}")
    for taken_s, name in hostile[:SHOWN]:
        print(f"{taken_s:.2f} s, {taken_s / tunes_s:.2f} times the tunes: {name}")


if __name__ == "__main__":
    main()
