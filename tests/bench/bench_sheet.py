"""Seconds for a book of a hundred tunes: engraved alone, and set as PDF; beside abcm2ps on the same file."""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.handout.make import tunes_handout
from companion.handout.model import HandoutStyle, TuneExtent
from companion.handout.setting import set_handout
from companion.handout.typesetting import PageFormat
from companion.score.abc import read_abc
from companion.score.engrave.pages import engrave
from companion.score.model import Tune
from tests.referees import require_program

TUNES = Path(__file__).parents[2] / "tunes"
COUNT = 100
ROUNDS = 3
_TITLE = re.compile(r"^T:(.*)$", re.MULTILINE)
_NUMBER = re.compile(r"^X:.*$", re.MULTILINE)


def book_of(count: int) -> str:
    """An ABC file of so many tunes: ours but the drills, over and over, each with a number and a title of its own."""
    paths = [path for path in sorted(TUNES.glob("*.abc")) if path.stem != "drills"]
    texts = [path.read_text(encoding="utf-8") for path in paths]
    numbered = (_TITLE.sub(rf"T:\1 {i}", _NUMBER.sub(f"X:{i}", texts[i % len(texts)])) for i in range(1, count + 1))
    return "\n\n".join(text.strip() for text in numbered) + "\n"


def taken(work: Callable[[], object], rounds: int = 1) -> tuple[float, float]:
    """The least time that some work took, by the clock and of this process's processor, in seconds."""
    walls, cpus = [], []
    for _ in range(rounds):
        wall, cpu = time.perf_counter(), time.process_time()
        work()
        walls.append(time.perf_counter() - wall)
        cpus.append(time.process_time() - cpu)
    return min(walls), min(cpus)


def main() -> None:
    """Print the times of a book, then those of one page beside abcm2ps."""
    with TemporaryDirectory() as name:
        path, one = Path(name, "book.abc"), Path(name, "one.abc")
        path.write_text(book_of(COUNT), encoding="utf-8")
        one.write_text(book_of(1), encoding="utf-8")
        tunes = read_abc(path).tunes
        engrave(tunes[0])  # what is loaded once is no part of it
        engraved = taken(lambda: [engrave(tune) for tune in tunes])
        _tell(f"{COUNT} tunes engraved, as SVG", engraved)
        for extent in (TuneExtent.WHOLE, TuneExtent.LESSON):
            _tell(f"{COUNT} tunes as a PDF, {extent.value}", taken(partial(_set, tunes, extent)))
        ours, _ = taken(lambda: engrave(tunes[0]), ROUNDS)
        peer_book, _ = taken(lambda: _abcm2ps(path), ROUNDS)
        peer_page, _ = taken(lambda: _abcm2ps(one), ROUNDS)
    ratio = engraved[1] / peer_book  # of our processor: it depends less on what else runs
    print(f"{'abcm2ps, the book as PostScript':36}{peer_book:.2f} s: engraving takes {ratio:.0f} times as long")
    print(f"{'a page engraved':36}{ours * 1000:.0f} ms, {ours / peer_page:.1f} times as long as abcm2ps with its start")


def _set(tunes: Sequence[Tune], extent: TuneExtent) -> None:
    style = HandoutStyle(extent=extent)
    set_handout(tunes_handout(tunes, style, "Book"), style, PageFormat.PDF)


def _tell(what: str, times: tuple[float, float]) -> None:
    print(f"{what:36}{times[0]:.2f} s, of the processor {times[1]:.2f} s")


def _abcm2ps(path: Path) -> None:
    command = [require_program("abcm2ps"), path.name, "-O", "out.ps"]
    subprocess.run(command, cwd=path.parent, check=True, capture_output=True)


if __name__ == "__main__":
    main()
