"""Prints how right the judge is on simulated takes.

python3 -m tests.learners [TAKES] [--misses FILE] [--live] [--only TRIAL]: TAKES (200) of every fault by each group of
learners and of faultless ones, a quarter as many of each trial of one sort of fault. --misses: writes there what was
missed and what was false. --live: judges what is told while a take is played. --only: one trial alone.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from tests.learners.groups import LearnerGroup
from tests.learners.measure import measured, measured_live
from tests.learners.score import Score
from tests.learners.show import lines_of
from tests.learners.trials import DRILLS, EVERY_FAULT, FAULTLESS, HOLES, TRIALS, UNSTEADY, Slips

SHARE_OF_ONE_SORT = 4
MANY = (EVERY_FAULT, FAULTLESS, DRILLS, HOLES)
STEADY_ALONE = (DRILLS, HOLES)


def main() -> None:
    """Measure, and print as it goes."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.learners")
    parser.add_argument("takes", type=int, nargs="?", default=200)
    parser.add_argument("--misses", type=Path)
    parser.add_argument("--live", action="store_true")
    parser.add_argument("--only", choices=TRIALS)
    asked = parser.parse_args()
    if asked.misses:
        asked.misses.write_text("")
    for name in [asked.only] if asked.only else TRIALS:
        takes = asked.takes if name in MANY else max(1, asked.takes // SHARE_OF_ONE_SORT)
        scores = dict(_scores(name, takes, live=asked.live))
        print("\n".join(_lines(name, takes, scores)), flush=True)
        if asked.misses:
            with asked.misses.open("a") as file:
                for score in scores.values():
                    file.writelines(f"{line}\n" for line in lines_of(score))


def _scores(name: str, takes: int, *, live: bool) -> Iterator[tuple[LearnerGroup, Score]]:
    trial = TRIALS[name]
    for group in LearnerGroup:
        if name in STEADY_ALONE and group is not LearnerGroup.STEADY:
            continue
        if not live:
            yield group, measured(name, group, takes)
        elif isinstance(trial, Slips):
            yield group, measured_live(trial, name, group, takes)


def _lines(name: str, takes: int, scores: dict[LearnerGroup, Score]) -> Iterator[str]:
    """A table: for each label and group the faults, recall, precision; what was told of right notes."""
    groups = " | ".join(f"{group.value}: faults | recall | precision" for group in scores)
    yield f"\n| {name}, {takes} takes | {groups} |"
    for label in dict.fromkeys(label for score in scores.values() for label in score.labels):
        if label == FAULTLESS:
            continue
        cells = " | ".join(
            f"{score.made(label)} | {score.recall(label):.3f} | {score.precision(label):.3f}"
            if score.made(label) or score.false_alarms[label]
            else "- | - | -"
            for score in scores.values()
        )
        yield f"| {label} | {cells} |"
    for group, score in scores.items():
        if sum(score.fingers.values()):
            yield f"{group.value}: finger named right: {score.fingers['right']} of {sum(score.fingers.values())}"
        if score.notes and name not in (UNSTEADY, EVERY_FAULT, *STEADY_ALONE):
            share = score.notes / max(1, score.elsewhere)
            yield f"{group.value}: {score.elsewhere} findings on right notes in {score.notes} notes, one in {share:.0f}"


if __name__ == "__main__":
    main()
