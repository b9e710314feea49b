"""Reads and writes what is carried of a learner: takes as they were heard, and the steps of lessons that are done."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from datetime import datetime

from companion.lesson.model.known import Skill, SkillHeard, SkillKind
from companion.lesson.model.steps import StepKey, StepKind
from companion.lesson.progress.carrying import StepDone
from companion.lesson.progress.heard import KeptFinding, PlayedTake
from companion.lesson.progress.taking import skill_row
from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.evidence import Share
from companion.midi.takes.heading import TuneIdentity


def names_in(connection: sqlite3.Connection) -> tuple[str, ...]:
    """The names of all learners, in the order of the alphabet."""
    return tuple(name for (name,) in connection.execute("SELECT name FROM learners ORDER BY name"))


def row_of(connection: sqlite3.Connection, name: str) -> int | None:
    """The row of a learner; None for somebody who is not there."""
    found = connection.execute("SELECT id FROM learners WHERE name = ?", (name,)).fetchone()
    return None if found is None else int(found[0])


def takes_of(connection: sqlite3.Connection, learner: int) -> Iterator[PlayedTake]:
    """All takes of a learner, the oldest first."""
    tunes = {
        row: TuneIdentity(*identity)
        for row, *identity in connection.execute(
            "SELECT id, title, file, reference, content FROM tunes WHERE learner = ?", (learner,)
        )
    }
    for (
        file,
        began,
        tune,
        tempo,
        right,
        notes,
        graces_right,
        graces,
        clean,
        moves,
        skills,
        findings,
    ) in connection.execute(
        "SELECT file, began, tune, tempo, notes_right, notes, gracenotes_right, gracenotes, movements_right,"
        " movements, skills, findings FROM takes JOIN take_details ON take = id WHERE learner = ? ORDER BY day, id",
        (learner,),
    ):
        yield PlayedTake(
            file,
            datetime.fromisoformat(began),
            tunes.get(tune),
            tempo,
            Share(right, notes),
            Share(graces_right, graces),
            Share(clean, moves),
            tuple(SkillHeard(Skill(SkillKind(kind), key), *times) for kind, key, *times in json.loads(skills)),
            tuple(KeptFinding(FindingKind(kind), *rest) for kind, *rest in json.loads(findings)),
        )


def write_step(connection: sqlite3.Connection, learner: int, each: StepDone) -> None:
    """Keep that a step was done; when it was first done stays."""
    kind, (first, last), skill = each.step
    row = 0 if skill is None else skill_row(connection, skill)
    values = (learner, each.content, kind.value, first, last, row, each.done.isoformat())
    connection.execute("INSERT OR IGNORE INTO steps VALUES (?, ?, ?, ?, ?, ?, ?)", values)


def write_aside(connection: sqlite3.Connection, learner: int, content: str, step: StepKey, times: int) -> None:
    """Keep how often a step of the tune with that content was set aside; what another window counted more stays."""
    kind, (first, last), skill = step
    row = 0 if skill is None else skill_row(connection, skill)
    connection.execute(
        "INSERT INTO steps_aside VALUES (?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT DO UPDATE SET times = max(times, excluded.times)",
        (learner, content, kind.value, first, last, row, times),
    )


def aside_of(connection: sqlite3.Connection, learner: int, content: str) -> Iterator[tuple[StepKey, int]]:
    """How often each step of a tune was set aside that was."""
    for kind, first, last, skill_kind, key, times in connection.execute(
        "SELECT steps_aside.kind, first_bar, last_bar, skills.kind, key, times FROM steps_aside"
        " LEFT JOIN skills ON skills.id = skill WHERE learner = ? AND content = ?",
        (learner, content),
    ):
        skill = None if key is None else Skill(SkillKind(skill_kind), key)
        yield StepKey(StepKind(kind), (first, last), skill), times


def steps_of(connection: sqlite3.Connection, learner: int) -> Iterator[StepDone]:
    """All steps that a learner has done."""
    for content, kind, first, last, skill_kind, key, done in connection.execute(
        "SELECT content, steps.kind, first_bar, last_bar, skills.kind, key, done FROM steps"
        " LEFT JOIN skills ON skills.id = skill WHERE learner = ? ORDER BY done",
        (learner,),
    ):
        skill = None if key is None else Skill(SkillKind(skill_kind), key)
        yield StepDone(content, StepKey(StepKind(kind), (first, last), skill), datetime.fromisoformat(done))
