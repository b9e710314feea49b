"""Says of a take what was made, what was told, and what of it was missed or false.

python3 -m tests.learners.show TRIAL GROUP DRAW, for instance `"every fault" steady 12`.
"""

from __future__ import annotations

import sys
from itertools import pairwise

from tests.learners.groups import LearnerGroup
from tests.learners.learner import Made, Simulated
from tests.learners.score import Case, Score
from tests.learners.trials import TRIALS

BEFORE_S, AFTER_S = 1.5, 2.0


def wrongly_told(case: Case) -> list[str]:
    """One line for each fault that was missed and for each false finding."""
    score = Score()
    group = LearnerGroup(case.group)
    TRIALS[case.trial].score(score, case, group)
    return lines_of(score)


def lines_of(score: Score) -> list[str]:
    """One line for each fault that was missed and for each false finding of a score, with what was played around it."""
    lines: list[str] = []
    for missed in score.missed:
        take = _take(missed.case)
        made = missed.made
        where = f"{_command(missed.case)}: MISSED {made.kind.value} at {_place(take, made.played)}, {made.at_s:.2f} s"
        lines.append(f"{where}{_ms(made)}: {_around(take, made.at_s)}")
    for alarm in score.alarms:
        take, found = _take(alarm.case), alarm.finding
        where = f"{_command(alarm.case)}: FALSE {found.kind.value} at bar {found.bar}, note {found.note}"
        lines.append(
            f"{where} (played {found.played}), {found.at_s:.2f} s: “{found.text}” "
            f"{_around(take, found.at_s)}; made near: {_made_near(take, found.at_s)}"
        )
    return lines


def _take(case: Case) -> Simulated:
    return TRIALS[case.trial].play(LearnerGroup(case.group), case.draw)[1]


def _command(case: Case) -> str:
    return f'show "{case.trial}" {case.group} {case.draw}'


def _place(take: Simulated, played: int) -> str:
    notes = [(bar.number, note) for at in take.tune.order for bar in (take.tune.bars[at],) for note in bar.notes]
    bar, note = notes[played]
    graces = "".join(each.letter for each in note.gracenotes)
    asked = f"{{{graces}}}" * bool(graces) + ("rest" if note.note is None else note.note.letter)
    return f"bar {bar}, note {note.rank} (played {played}, {take.tune.title}, asked {asked})"


def _ms(made: Made) -> str:
    return "" if made.ms is None else f", {made.ms:.0f} ms"


def _around(take: Simulated, at_s: float) -> str:
    """The notes that sound about that time with their lengths in ms; the one that begins nearest in brackets."""
    sounds = [
        ("-" if one.note is None else one.note.letter, one.at_s, 1000.0 * (two.at_s - one.at_s))
        for one, two in pairwise(take.notes)
    ]
    if not sounds:
        return ""
    nearest = min(sounds, key=lambda each: abs(each[1] - at_s))
    return "played " + " ".join(
        f"{'[' * (each is nearest)}{each[0]}:{each[2]:.0f}{']' * (each is nearest)}"
        for each in sounds
        if at_s - BEFORE_S < each[1] < at_s + AFTER_S
    )


def _made_near(take: Simulated, at_s: float) -> str:
    near = [each for each in take.made if abs(each.at_s - at_s) < AFTER_S]
    return (
        ", ".join(f"{each.kind.value} at {_place(take, each.played)} {each.at_s:.2f} s" for each in near) or "nothing"
    )


def main() -> None:
    """Say it of one take."""
    trial, group, draw = sys.argv[1:4]
    case = Case(trial, group, int(draw))
    print("\n".join(wrongly_told(case)) or "all was told, and nothing else")


if __name__ == "__main__":
    main()
