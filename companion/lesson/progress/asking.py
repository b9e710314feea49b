"""Reads from the tables what a learner knows and what has become of the practice."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from companion.lesson.model.known import Known, Skill, SkillKind
from companion.lesson.progress.account import Account, SkillPoint, SkillSeries, TempoPoint, TuneSeries
from companion.lesson.progress.review import LATELY_TIMES, Memory, is_sure
from companion.lesson.progress.taking import month_of

_MONTHS_BY_DAYS = 2
"""Months before this one that are told day by day."""


def known_of(connection: sqlite3.Connection, learner: int, day: int) -> Known:
    """What a learner knows on a day; what is due of things never known is no more than new."""
    skills = _skills(connection)
    sure: set[Skill] = set()
    due: set[Skill] = set()
    for row, memory in _cards(connection, learner).items():
        if _is_sure(memory, _lately(connection, learner, row)):
            sure.add(skills[row])
            if memory.is_due(day):
                due.add(skills[row])
    return Known(frozenset(sure), frozenset(due))


def _is_sure(memory: Memory, lately: _Lately) -> bool:
    return is_sure(memory, lately.asked, lately.clean)


def account_of(connection: sqlite3.Connection, learner: int, name: str, day: int) -> Account:
    """What has become of a learner's practice by a day."""
    takes, days = connection.execute(
        "SELECT coalesce(sum(takes), 0), count(*) FROM days WHERE learner = ?", (learner,)
    ).fetchone()
    series = tuple(_series(connection, learner, day))
    embellishments = tuple(each for each in series if each.skill.is_embellishment)
    changes = tuple(each for each in series if not each.skill.is_embellishment)
    tunes = tuple(_tunes(connection, learner))
    return Account(name, date.fromordinal(day), takes, days, embellishments, changes, tunes)


def empty_account(name: str, day: int) -> Account:
    """The account of somebody who has not played yet."""
    return Account(name, date.fromordinal(day))


def _skills(connection: sqlite3.Connection) -> dict[int, Skill]:
    rows = connection.execute("SELECT id, kind, key FROM skills")
    return {row: Skill(SkillKind(kind), key) for row, kind, key in rows}


def _cards(connection: sqlite3.Connection, learner: int) -> dict[int, Memory]:
    rows = connection.execute("SELECT skill, day, stability, difficulty, due FROM cards WHERE learner = ?", (learner,))
    return {skill: Memory(*card) for skill, *card in rows}


class _Lately(NamedTuple):
    """The last day on which a skill was asked for; on as many last days as make LATELY_TIMES how often, and how often
    it was clean."""

    last: int
    asked: int
    clean: int


def _lately(connection: sqlite3.Connection, learner: int, skill: int) -> _Lately:
    sought = "SELECT day, asked, clean FROM skill_days WHERE learner = ? AND skill = ? ORDER BY day DESC LIMIT ?"
    last = asked = clean = 0
    for day, more_asked, more_clean in connection.execute(sought, (learner, skill, LATELY_TIMES)):
        last, asked, clean = max(last, day), asked + more_asked, clean + more_clean
        if asked >= LATELY_TIMES:
            break
    return _Lately(last, asked, clean)


def _series(connection: sqlite3.Connection, learner: int, day: int) -> Iterator[SkillSeries]:
    skills, cards = _skills(connection), _cards(connection, learner)
    points = _points(connection, learner, day)
    for row in sorted(points, key=lambda row: (-sum(each.asked for each in points[row]), skills[row].key)):
        memory, lately = cards.get(row), _lately(connection, learner, row)
        sure, due = memory is not None and _is_sure(memory, lately), memory is not None and memory.is_due(day)
        last, asked, clean = lately
        yield SkillSeries(skills[row], tuple(points[row]), date.fromordinal(last), asked, clean, sure, due)


def _points(connection: sqlite3.Connection, learner: int, day: int) -> dict[int, list[SkillPoint]]:
    """The points of each skill, in order of time."""
    by_days = month_of(day)
    for _ in range(_MONTHS_BY_DAYS):
        by_days = month_of(by_days - 1)
    points: dict[int, list[SkillPoint]] = defaultdict(list)
    for table, which in (("skill_months", "<"), ("skill_days", ">=")):
        rows = connection.execute(
            f"SELECT skill, day, asked, clean, uneven FROM {table} WHERE learner = ? AND day {which} ?"
            " ORDER BY skill, day",
            (learner, by_days),
        )
        for skill, first, asked, clean, uneven in rows:
            points[skill].append(SkillPoint(date.fromordinal(first), asked, clean, uneven))
    return points


def _tunes(connection: sqlite3.Connection, learner: int) -> Iterator[TuneSeries]:
    points: dict[int, list[TempoPoint]] = defaultdict(list)
    for tune, day, tempo in connection.execute(
        "SELECT tune, day, tempo FROM tune_days WHERE learner = ? AND tempo IS NOT NULL ORDER BY tune, day", (learner,)
    ):
        points[tune].append(TempoPoint(date.fromordinal(day), tempo))
    for tune, title, content, takes, last in connection.execute(
        "SELECT tunes.id, title, content, sum(takes), max(day) AS last FROM tunes JOIN tune_days"
        " ON tune_days.learner = tunes.learner AND tune_days.tune = tunes.id WHERE tunes.learner = ?"
        " GROUP BY tunes.id ORDER BY last DESC, title",
        (learner,),
    ):
        yield TuneSeries(title, content, takes, date.fromordinal(last), tuple(points[tune]))
