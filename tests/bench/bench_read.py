"""Bars read per second, beside music21 and abc2midi reading the same tunes in the same run."""

from __future__ import annotations

import math
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.score.abc import read_abc_text
from tests.referees import require_module, require_program

TUNES = Path(__file__).parents[2] / "tunes"
ROUNDS = 40
MUSIC21_ROUNDS = 3
GOAL_BARS_PER_SECOND = 60_000
GOAL_TIMES_MUSIC21 = 40


def shortest_s(work: Callable[[], object], rounds: int) -> float:
    """The least time that `work` took: what disturbs a measurement only ever makes it longer."""
    least = math.inf
    for _ in range(rounds):
        start = time.perf_counter()
        result = work()
        least = min(least, time.perf_counter() - start)
        del result  # taking the tunes apart again is no part of reading them
    return least


def bars_in(text: str) -> int:
    """How many bars a text holds."""
    return sum(len(tune.bars) for tune in read_abc_text(text).tunes)


def music21_reader(text: str) -> Callable[[], object]:
    """Reads `text` with music21."""
    converter = require_module("music21.converter")
    return lambda: converter.parse(text, format="abc", forceSource=True)


def abc2midi_reader(program: str, text: str, folder: Path) -> Callable[[], object]:
    """Runs abc2midi on `text`: it starts, reads, and writes a MIDI file for each tune."""
    (folder / "all.abc").write_text(text, encoding="utf-8")
    return lambda: subprocess.run([program, "all.abc"], cwd=folder, check=True, capture_output=True)


def main() -> None:
    """Print bars a second for each reader, and how many times the others we are."""
    program = require_program("abc2midi")
    text = "\n\n".join(path.read_text(encoding="utf-8") for path in sorted(TUNES.glob("*.abc")))
    bars = bars_in(text)
    ours = bars / shortest_s(lambda: read_abc_text(text), ROUNDS)
    music21 = bars / shortest_s(music21_reader(text), MUSIC21_ROUNDS)
    with TemporaryDirectory() as folder:
        abc2midi = bars / shortest_s(abc2midi_reader(program, text, Path(folder)), ROUNDS)
    print(f"eightholes  {ours:>9,.0f} bars/s, the {bars} bars of our tunes (goal {GOAL_BARS_PER_SECOND:,})")
    print(f"music21     {music21:>9,.0f} bars/s: we are {ours / music21:.0f} times as fast (goal {GOAL_TIMES_MUSIC21})")
    print(f"abc2midi    {abc2midi:>9,.0f} bars/s, MIDI files written: we are {ours / abc2midi:.2f} times as fast")


if __name__ == "__main__":
    main()
