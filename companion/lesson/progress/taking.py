"""Writes what was played into the tables: a take, and what it adds to the sums of its day and to the cards."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date

from companion.lesson.model.known import Skill, SkillHeard
from companion.lesson.progress.heard import KeptFinding, PlayedTake
from companion.lesson.progress.review import FIRST_TIMES, FirstTimes, Memory, day_of, reviewed_all
from companion.midi.takes.heading import TuneIdentity

IN_TIME_SHARE = 0.9
"""A tempo counts as reached by a take with so many of its notes right: our choice, no source."""


def learner_of(connection: sqlite3.Connection, name: str) -> int:
    """The row of a learner, made where there is none yet."""
    connection.execute("INSERT OR IGNORE INTO learners (name) VALUES (?)", (name,))
    row: int = connection.execute("SELECT id FROM learners WHERE name = ?", (name,)).fetchone()[0]
    return row


def take_in_all(connection: sqlite3.Connection, learner: int, takes: Iterable[PlayedTake], today: int) -> int:
    """Take in all takes that are not there yet; returns how many that were. today: no take is dated later."""
    first_days: dict[int, int] = {}
    count = 0
    for take in takes:
        day = min(day_of(take.began), today)
        if _write_take(connection, learner, take, day):
            count += 1
            for heard in take.skills:
                skill = _add_skill(connection, learner, heard, day)
                first_days[skill] = min(day, first_days.get(skill, day))
    for skill, day in first_days.items():
        _review(connection, learner, skill, day)
    return count


def look_at_file(connection: sqlite3.Connection, name: str) -> None:
    """Remember that a take's file was looked at, so that it is not again."""
    connection.execute("INSERT OR IGNORE INTO known_files VALUES (?)", (_hash_of(name),))


def was_looked_at(connection: sqlite3.Connection, name: str) -> bool:
    """Whether a take's file was looked at."""
    return connection.execute("SELECT 1 FROM known_files WHERE hash = ?", (_hash_of(name),)).fetchone() is not None


def _hash_of(name: str) -> bytes:
    return hashlib.sha256(name.encode("utf-8", "surrogateescape")).digest()


def _write_take(connection: sqlite3.Connection, learner: int, take: PlayedTake, day: int) -> bool:
    tune = None if take.tune is None else _tune_of(connection, learner, take.tune)
    shares = [part for each in (take.notes, take.gracenotes, take.movements) for part in (each.right, each.of)]
    written = connection.execute(
        "INSERT OR IGNORE INTO takes (learner, file, began, day, tune, tempo, notes_right, notes, gracenotes_right,"
        " gracenotes, movements_right, movements) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (learner, take.file, take.began.isoformat(), day, tune, take.tempo, *shares),
    )
    if not written.rowcount:
        return False
    skills, findings = skills_to_text(take.skills), findings_to_text(take.findings)
    connection.execute("INSERT INTO take_details VALUES (?, ?, ?)", (written.lastrowid, skills, findings))
    if take.file:
        look_at_file(connection, take.file)
    connection.execute("INSERT INTO days VALUES (?, ?, 1) ON CONFLICT DO UPDATE SET takes = takes + 1", (learner, day))
    if tune is not None:
        tempo = take.tempo if take.notes.right >= IN_TIME_SHARE * take.notes.of else None
        connection.execute(
            "INSERT INTO tune_days VALUES (?, ?, ?, 1, ?) ON CONFLICT DO UPDATE SET takes = takes + 1,"
            " tempo = max(coalesce(tempo, excluded.tempo), coalesce(excluded.tempo, tempo))",
            (learner, tune, day, tempo),
        )
    return True


def _tune_of(connection: sqlite3.Connection, learner: int, tune: TuneIdentity) -> int:
    """The row of a tune, with its title and file as they were last."""
    connection.execute(
        "INSERT INTO tunes (learner, content, title, file, reference) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO UPDATE"
        " SET title = excluded.title, file = excluded.file, reference = excluded.reference",
        (learner, tune.content, tune.title, tune.file, tune.reference),
    )
    sought = "SELECT id FROM tunes WHERE learner = ? AND content = ?"
    row: int = connection.execute(sought, (learner, tune.content)).fetchone()[0]
    return row


def skill_row(connection: sqlite3.Connection, skill: Skill) -> int:
    """The row of a skill, made where there is none yet."""
    parts = skill.kind.value, skill.key
    connection.execute("INSERT OR IGNORE INTO skills (kind, key) VALUES (?, ?)", parts)
    row: int = connection.execute("SELECT id FROM skills WHERE kind = ? AND key = ?", parts).fetchone()[0]
    return row


def _add_skill(connection: sqlite3.Connection, learner: int, heard: SkillHeard, day: int) -> int:
    skill = skill_row(connection, heard.skill)
    figures = heard.asked, heard.clean, heard.uneven
    connection.execute(
        "INSERT INTO skill_days VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET asked = asked +"
        " excluded.asked, clean = clean + excluded.clean, uneven = uneven + excluded.uneven, first_asked = first_asked"
        " + CASE WHEN first_asked < ? THEN excluded.asked ELSE 0 END, first_clean = first_clean + CASE WHEN"
        " first_asked < ? THEN excluded.clean ELSE 0 END",
        (learner, skill, day, *figures, heard.asked, heard.clean, FIRST_TIMES, FIRST_TIMES),
    )
    connection.execute(
        "INSERT INTO skill_months VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET asked = asked + excluded.asked,"
        " clean = clean + excluded.clean, uneven = uneven + excluded.uneven",
        (learner, skill, month_of(day), *figures),
    )
    return skill


def month_of(day: int) -> int:
    """The first day of the month of a day."""
    return date.fromordinal(day).replace(day=1).toordinal()


def _review(connection: sqlite3.Connection, learner: int, skill: int, day: int) -> None:
    """Bring a card up to date after something was played on `day`, and perhaps later."""
    since, first_day = _card_before(connection, learner, skill, day)
    rows = connection.execute(
        "SELECT day, first_asked, first_clean FROM skill_days WHERE learner = ? AND skill = ? AND day >= ?"
        " ORDER BY day",
        (learner, skill, first_day),
    )
    now, before = reviewed_all((FirstTimes(*row) for row in rows), since)
    if now is None or now is since:
        return
    old = (None,) * 4 if before is None else _columns(before)
    connection.execute(
        "REPLACE INTO cards VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (learner, skill, *_columns(now), *old)
    )


def _card_before(connection: sqlite3.Connection, learner: int, skill: int, day: int) -> tuple[Memory | None, int]:
    """The card from which reviews are made anew, and the day of the first of them.

    Mostly that is today's alone. What is taken in from before the card's last two reviews has all of them made again.
    """
    row = connection.execute(
        "SELECT day, stability, difficulty, due, before_day, before_stability, before_difficulty, before_due"
        " FROM cards WHERE learner = ? AND skill = ?",
        (learner, skill),
    ).fetchone()
    if row is not None and day > row[0]:
        return Memory(*row[:4]), row[0] + 1
    if row is not None and row[4] is not None and day > row[4]:
        return Memory(*row[4:]), row[4] + 1
    return None, 0


def _columns(memory: Memory) -> tuple[int, float, float, int]:
    return memory.day, memory.stability, memory.difficulty, memory.due


def skills_to_text(skills: Sequence[SkillHeard]) -> str:
    """What was heard of skills as JSON: [kind, key, asked, clean, uneven] each."""
    return json.dumps([[each.skill.kind.value, each.skill.key, each.asked, each.clean, each.uneven] for each in skills])


def findings_to_text(findings: Sequence[KeptFinding]) -> str:
    """Findings as JSON: [kind, bar, note, ms] each."""
    rows = [[each.kind.value, each.bar, each.note, each.ms and round(each.ms, 1)] for each in findings]
    return json.dumps(rows)
