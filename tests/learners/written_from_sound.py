"""Prints how right what is written down of simulated recordings is: tunes as `tests.learners.written_down` has them
played, sounded as `tests.hearing` does, heard by `companion.hearing`.

python3 -m tests.learners.written_from_sound [TAKES] [--from DRAW] [--source WORD ...] [--condition WORD ...]
[--misses]: TAKES (4) of each source under each condition, every other one of a tune that comes with the program, the
rest of made-up ones; the metre not given.
"""

from __future__ import annotations

import argparse
import math
import time
from random import Random

from companion.hearing.hear import hear_samples
from companion.notate.from_sound import notate_heard
from fingering.errors import UserError
from tests.hearing.conditions.condition import CONDITIONS, RecordingCondition, recorded
from tests.hearing.recording import TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.player import simulate
from tests.learners.written_down import TUNED_BELOW, Figures, compared, learner, tune_of_draw

USUAL_CONDITIONS = ("dry", "white 15 dB", "mp3 96", "room 0.4 s")


def is_ours(draw: int) -> bool:
    """Whether the tune of a draw is one that comes with the program."""
    return draw % 2 == 0


def dry_take(draw: int, source: SoundSource) -> TrueRecording:
    """The recording of a draw as a source sounds it: played as steadily as most do, all of the tune."""
    tune = tune_of_draw(draw // 2, ours=is_ours(draw))
    take = simulate(tune, learner(draw, 0.0), draw)
    return sounding(cut(f"written {draw}", take, math.inf, Random(draw)), source, draw)


def measured(source: SoundSource, condition: RecordingCondition, draws: range, *, misses: bool) -> Figures:
    """Measure the takes of these draws from a source under a condition."""
    total = Figures()
    for draw in draws:
        tune = tune_of_draw(draw // 2, ours=is_ours(draw))
        sound = recorded(dry_take(draw, source), condition, draw)
        try:
            written = notate_heard(hear_samples(sound.samples, sound.rate_hz), title=tune.title)
        except UserError as error:
            print(f"  {draw} {tune.title}: {error}", flush=True)
            continue
        figures = compared(tune, written.tune)
        total.add(figures)
        if misses and any(figures.right[what] < figures.of[what] for what in figures.of):
            bpm = learner(draw, 0.0).beats_per_minute
            metres = f"{tune.meter.text} as {written.tune.meter.text}"
            print(
                f"  {draw} {tune.title}, {metres}, {bpm:.0f}: {figures.row()}; {len(written.doubts)} unsure", flush=True
            )
    return total


def _chosen(words: list[str] | None, names: list[str], usual: tuple[str, ...]) -> list[int]:
    if not words:
        return [rank for rank, name in enumerate(names) if name in usual]
    return [rank for rank, name in enumerate(names) if any(word in name for word in words)]


def main() -> None:
    """Measure, and print as it goes."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.learners.written_from_sound")
    parser.add_argument("takes", type=int, nargs="?", default=4)
    parser.add_argument("--from", dest="first", type=int, default=TUNED_BELOW)
    parser.add_argument("--source", nargs="*")
    parser.add_argument("--condition", nargs="*")
    parser.add_argument("--misses", action="store_true")
    asked = parser.parse_args()
    sources = list(SoundSource)
    names = [each.value for each in sources]
    draws = range(asked.first, asked.first + asked.takes)
    headed = False
    for rank in _chosen(asked.source, names, tuple(names)):
        for each in _chosen(asked.condition, [one.name for one in CONDITIONS], USUAL_CONDITIONS):
            began = time.perf_counter()
            total = measured(sources[rank], CONDITIONS[each], draws, misses=asked.misses)
            took = (time.perf_counter() - began) / asked.takes
            if not headed:
                print(f"| source | condition | {' | '.join(total.of)} | s a take |")
                headed = True
            print(f"| {names[rank]} | {CONDITIONS[each].name} | {total.row()} | {took:.1f} |", flush=True)


if __name__ == "__main__":
    main()
