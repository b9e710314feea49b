"""One learner as one JSON file, to be taken to another computer: all takes as they were heard, and the steps done.

Sums and cards are not in it: they are made again from the takes, so that a file can be read beside what is there.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from companion.files.kept_json import Table, Unfit, parse_table
from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.lesson.model.known import ONTO, Skill, SkillHeard, SkillKind
from companion.lesson.model.steps import StepKey, StepKind
from companion.lesson.progress.heard import KeptFinding, PlayedTake
from companion.lesson.progress.names import LONGEST_NAME, checked_name
from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.evidence import Share
from companion.midi.takes.heading import TuneIdentity
from fingering.errors import UserError
from fingering.notes import Note

FORMAT = "eightholes learner 1"
LARGEST_BYTES = 100_000_000
"""Some 100,000 takes of a long tune: an hour of takes a day for half a life."""

_MOST = 1_000_000
"""Of rows of one sort, and of anything that is counted in a take."""

_FASTEST = 10_000.0
_LONGEST_MS = 1e9
_LONGEST_GROUP = 64
_REMEDY = "give a file that was made with --export"
_GROUPS = {SkillKind.EMBELLISHMENT: "embellishments", SkillKind.CHANGE: "changes"}


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step of a lesson that was done: of which tune, by its content, and when."""

    content: str
    step: StepKey
    done: datetime


@dataclass(frozen=True, slots=True)
class Carried:
    """All that a file holds of one learner."""

    learner: str
    takes: tuple[PlayedTake, ...]
    steps: tuple[StepDone, ...]


def carried_to_text(carried: Carried) -> str:
    """A learner as JSON."""
    tunes = list(dict.fromkeys(take.tune for take in carried.takes if take.tune is not None))
    ranks = {tune: rank for rank, tune in enumerate(tunes)}
    data = {
        "format": FORMAT,
        "learner": carried.learner,
        "tunes": [{name: getattr(tune, name) for name in _OF_A_TUNE} for tune in tunes],
        "takes": [_take_to_data(take, ranks) for take in carried.takes],
        "steps": [_step_to_data(each) for each in carried.steps],
    }
    return json.dumps(data, separators=(",", ":"))


_OF_A_TUNE = ("title", "file", "reference", "content")


def _take_to_data(take: PlayedTake, ranks: Mapping[TuneIdentity, int]) -> dict[str, Any]:
    shares = {"notes": take.notes, "gracenotes": take.gracenotes, "movements": take.movements}
    return {
        "file": take.file,
        "began": take.began.isoformat(),
        "tune": None if take.tune is None else ranks[take.tune],
        "tempo": take.tempo,
        **{name: [share.right, share.of] for name, share in shares.items()},
        **{group: _skills_to_data(take.skills, kind) for kind, group in _GROUPS.items()},
        "findings": [
            {"kind": each.kind.value, "bar": each.bar, "note": each.note, "ms": each.ms} for each in take.findings
        ],
    }


def _skills_to_data(skills: Iterable[SkillHeard], kind: SkillKind) -> dict[str, list[int]]:
    return {each.skill.key: [each.asked, each.clean, each.uneven] for each in skills if each.skill.kind is kind}


def _step_to_data(each: StepDone) -> dict[str, Any]:
    skill = each.step.skill
    return {
        "tune": each.content,
        "kind": each.step.kind.value,
        "bars": list(each.step.bars),
        "skill": skill and {"kind": skill.kind.value, "key": skill.key},
        "done": each.done.isoformat(),
    }


def read_carried(path: Path) -> Carried:
    """Read such a file. Raises UserError for any other one."""
    try:
        return _carried(parse_table(read_limited(path, LARGEST_BYTES, _REMEDY), LARGEST_BYTES))
    except Unfit as error:
        what = f"this is no learner's file ({one_line(str(error))})"
        raise UserError(what, _REMEDY, one_line(str(path))) from None


def _carried(data: Table) -> Carried:
    data.one_of("format", {FORMAT: FORMAT})
    try:
        learner = checked_name(data.text("learner"))
    except UserError:
        raise Unfit(f"'learner' is not a name of {LONGEST_NAME} letters at most") from None
    tunes = [TuneIdentity(*map(each.text, _OF_A_TUNE)) for each in data.tables_up_to("tunes", _MOST)]
    takes = tuple(_take(each, tunes) for each in data.tables_up_to("takes", _MOST))
    return Carried(learner, takes, tuple(map(_step, data.tables_up_to("steps", _MOST))))


def _take(data: Table, tunes: Sequence[TuneIdentity]) -> PlayedTake:
    return PlayedTake(
        data.text("file"),
        data.moment("began"),
        tunes[data.whole("tune", 0, len(tunes) - 1)] if data.has("tune") else None,
        data.number("tempo", 0.0, _FASTEST) if data.has("tempo") else None,
        _share(data, "notes"),
        _share(data, "gracenotes"),
        _share(data, "movements"),
        tuple(each for kind, group in _GROUPS.items() for each in _skills(data.table(group), kind)),
        tuple(map(_finding, data.tables_up_to("findings", _MOST))),
    )


def _share(data: Table, name: str) -> Share:
    right, of = data.wholes(name, 2, 0, _MOST)
    if right > of:
        raise Unfit(f"'{name}' has more right than there are")
    return Share(right, of)


def _skills(data: Table, kind: SkillKind) -> Iterable[SkillHeard]:
    for key in data.keys:
        asked, clean, uneven = data.wholes(key, 3, 0, _MOST)
        if asked < 1 or clean + uneven > asked:
            raise Unfit("a skill has more times clean or uneven than asked for")
        yield SkillHeard(skill_from(kind, key), asked, clean, uneven)


def skill_from(kind: SkillKind, key: str) -> Skill:
    """The skill of that key. Raises Unfit where it is none."""
    before, sign, onto = key.partition(ONTO)
    fits = sign and len(onto) == 1 and (len(before) == 1 or kind is SkillKind.EMBELLISHMENT)
    letters = {note.letter for note in Note}
    if not fits or not 0 < len(before) <= _LONGEST_GROUP or not letters.issuperset(before + onto):
        raise Unfit(f"'{one_line(key[:_LONGEST_GROUP])}' is no skill")
    return Skill(kind, key)


def _finding(data: Table) -> KeptFinding:
    kind = data.one_of("kind", {each.value: each for each in FindingKind})
    ms = data.number("ms", -_LONGEST_MS, _LONGEST_MS) if data.has("ms") else None
    return KeptFinding(kind, data.whole("bar", 0, _MOST), data.whole("note", 0, _MOST), ms)


def _step(data: Table) -> StepDone:
    kind = data.one_of("kind", {each.value: each for each in StepKind})
    first, last = data.wholes("bars", 2, 0, _MOST)
    skill = None
    if data.has("skill"):
        told = data.table("skill")
        skill = skill_from(told.one_of("kind", {each.value: each for each in SkillKind}), told.text("key"))
    return StepDone(data.text("tune"), StepKey(kind, (first, last), skill), data.moment("done"))
