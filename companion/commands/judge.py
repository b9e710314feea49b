"""`eightholes judge`: says of a take, or of several, what a good teacher would say."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from companion.commands.hearing import hear_take
from companion.commands.options import add_tune_options, tune_from
from companion.listen.judgement import Judgement, judge, judgement_to_data
from companion.listen.page import page_of
from companion.listen.report import table_text, verdict_text
from companion.listen.strictness import Strictness
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE
from companion.score.model import Tune
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Judged:
    """One take's name with its judgement, or why there is none."""

    name: str
    judgement: Judgement | None
    refusal: UserError | None = None


def configure(parser: argparse.ArgumentParser) -> None:
    """Fill in the parser of the command."""
    add_tune_options(parser)
    low, high = BEATS_PER_MINUTE_RANGE
    parser.add_argument("takes", metavar="TAKE", nargs="+", help="takes of ours, or any Standard MIDI Files")
    parser.add_argument(
        "--strict",
        choices=[each.value for each in Strictness],
        default=Strictness.USUAL.value,
        help="how strict a teacher (default: usual)",
    )
    parser.add_argument(
        "--low-a", metavar="N", type=int, help="the MIDI note of low A (default: the take's own, else 69)"
    )
    parser.add_argument(
        "--tempo",
        metavar="N",
        type=float,
        help=f"a metronome kept N beats a minute, {low:g} to {high:g} (default: the learner's own pulse is judged)",
    )
    parser.add_argument("--json", action="store_true", help="print JSON: tempo, findings, summary")
    parser.add_argument(
        "--html", metavar="FILE", type=Path, help="write a page for a teacher: no scripts, opens anywhere"
    )


def run(options: argparse.Namespace) -> int:
    """Judge the takes asked for. Raises UserError, for several takes only when none of them could be judged."""
    tune = tune_from(options)
    judged = list(_judge_all(options, tune))
    for each in judged:
        if each.refusal is not None:
            if len(judged) == 1:
                raise each.refusal
            print(f"eightholes: {each.refusal}", file=sys.stderr)
    good = [(each.name, each.judgement) for each in judged if each.judgement is not None]
    if not good:
        raise UserError("none of these takes could be judged", "see the lines above")
    if options.html:
        _write_page(options.html, good)
    print(_as_json(judged) if options.json else _as_text(good))
    return 0


def judge_file(path: str, tune: Tune, strictness: Strictness, low_a: int | None, tempo: float | None) -> Judged:
    """Judge one file."""
    try:
        take = hear_take(path, low_a)
        judgement = judge(tune, take.events, strictness, metronome_bpm=tempo, turns=take.turns, where=path)
    except UserError as refusal:
        return Judged(path, None, refusal)
    return Judged(path, judgement)


def _judge_all(options: argparse.Namespace, tune: Tune) -> Iterator[Judged]:
    paths: Sequence[str] = options.takes
    work = partial(
        judge_file, tune=tune, strictness=Strictness(options.strict), low_a=options.low_a, tempo=options.tempo
    )
    if len(paths) == 1:
        yield work(paths[0])
        return
    with ProcessPoolExecutor(max_workers=min(len(paths), os.cpu_count() or 1)) as pool:
        for done, each in enumerate(pool.map(work, paths), start=1):
            print(f"\r{done} of {len(paths)} takes judged", end="", file=sys.stderr, flush=True)
            yield each
    print(file=sys.stderr)


def _as_json(judged: Sequence[Judged]) -> str:
    """One take: its object. Several: {"takes": [{"take", ...}]}, refused ones with "refused"."""
    if len(judged) == 1 and judged[0].judgement is not None:
        return json.dumps(judgement_to_data(judged[0].judgement), indent=1)
    rows = []
    for each in judged:
        data = {"refused": str(each.refusal)} if each.judgement is None else judgement_to_data(each.judgement)
        rows.append({"take": each.name, **data})
    return json.dumps({"takes": rows}, indent=1)


def _as_text(good: Sequence[tuple[str, Judgement]]) -> str:
    return verdict_text(good[0][1]) if len(good) == 1 else table_text(good)


def _write_page(path: Path, good: Sequence[tuple[str, Judgement]]) -> None:
    try:
        path.write_text(page_of([(Path(name).name, judgement) for name, judgement in good]), encoding="utf-8")
    except OSError as error:
        raise UserError(
            f"the page cannot be written ({error.strerror})", "choose another place for it", str(path)
        ) from error
