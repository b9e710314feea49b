"""The tables in which progress is kept, and the steps from one version of them to the next.

takes are the truth; what is summed by days, and the cards, could be made again from them, and are kept so that ten
years open at once. Days are ordinals of `datetime.date`, moments text in ISO 8601. What is heard of a take in detail
stands in a table of its own, since nearly nothing asks for it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

_FIRST = """
CREATE TABLE learners (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
CREATE TABLE skills (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, key TEXT NOT NULL, UNIQUE (kind, key));
CREATE TABLE tunes (
    id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, title TEXT NOT NULL,
    file TEXT NOT NULL, reference TEXT NOT NULL, UNIQUE (learner, content));
CREATE TABLE takes (
    id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learners, file TEXT NOT NULL, began TEXT NOT NULL,
    day INTEGER NOT NULL, tune INTEGER REFERENCES tunes, tempo REAL, notes_right INTEGER NOT NULL,
    notes INTEGER NOT NULL, gracenotes_right INTEGER NOT NULL, gracenotes INTEGER NOT NULL,
    movements_right INTEGER NOT NULL, movements INTEGER NOT NULL, UNIQUE (learner, began, file));
CREATE TABLE take_details (take INTEGER PRIMARY KEY REFERENCES takes, skills TEXT NOT NULL, findings TEXT NOT NULL);
CREATE TABLE known_files (hash BLOB PRIMARY KEY) WITHOUT ROWID;
CREATE TABLE skill_days (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills, day INTEGER NOT NULL,
    asked INTEGER NOT NULL, clean INTEGER NOT NULL, uneven INTEGER NOT NULL, first_asked INTEGER NOT NULL,
    first_clean INTEGER NOT NULL, PRIMARY KEY (learner, skill, day)) WITHOUT ROWID;
CREATE TABLE skill_months (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills, day INTEGER NOT NULL,
    asked INTEGER NOT NULL, clean INTEGER NOT NULL, uneven INTEGER NOT NULL, PRIMARY KEY (learner, skill, day))
    WITHOUT ROWID;
CREATE TABLE tune_days (
    learner INTEGER NOT NULL REFERENCES learners, tune INTEGER NOT NULL REFERENCES tunes, day INTEGER NOT NULL,
    takes INTEGER NOT NULL, tempo REAL, PRIMARY KEY (learner, tune, day)) WITHOUT ROWID;
CREATE TABLE days (
    learner INTEGER NOT NULL REFERENCES learners, day INTEGER NOT NULL, takes INTEGER NOT NULL,
    PRIMARY KEY (learner, day)) WITHOUT ROWID;
CREATE TABLE cards (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills,
    day INTEGER NOT NULL, stability REAL NOT NULL, difficulty REAL NOT NULL, due INTEGER NOT NULL,
    before_day INTEGER, before_stability REAL, before_difficulty REAL, before_due INTEGER,
    PRIMARY KEY (learner, skill)) WITHOUT ROWID;
CREATE TABLE steps (
    learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, kind TEXT NOT NULL, first_bar INTEGER NOT NULL,
    last_bar INTEGER NOT NULL, skill INTEGER NOT NULL, done TEXT NOT NULL,
    PRIMARY KEY (learner, content, kind, first_bar, last_bar, skill)) WITHOUT ROWID;
"""
"""known_files: of every take's file that was looked at, the SHA-256 of its name, so that a take is not taken in again
once its learner is deleted. cards: before_... is the card before the review of its last day. steps.skill: 0 for
none."""

_STEPS_ASIDE = """
CREATE TABLE steps_aside (
    learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, kind TEXT NOT NULL, first_bar INTEGER NOT NULL,
    last_bar INTEGER NOT NULL, skill INTEGER NOT NULL, times INTEGER NOT NULL,
    PRIMARY KEY (learner, content, kind, first_bar, last_bar, skill)) WITHOUT ROWID;
"""
"""How often each step of a lesson was set aside until another sitting; its columns as in steps."""

OF_A_LEARNER = (
    ("take_details", "take IN (SELECT id FROM takes WHERE learner = ?)"),
    *((table, "learner = ?") for table in ("takes", "tune_days", "tunes", "skill_days", "skill_months", "days")),
    *((table, "learner = ?") for table in ("cards", "steps", "steps_aside")),
    ("learners", "id = ?"),
)
"""Every table that holds something of a learner, in the order in which it can be deleted, with what tells it."""

STEPS = (_FIRST, _STEPS_ASIDE)
"""What makes of each version the next one; the first makes all of an empty file. A step that was released stays as it
is for ever."""

VERSION = len(STEPS)


def migrate(connection: sqlite3.Connection, steps: Sequence[str] = STEPS) -> None:
    """Bring a database to the last version, each step whole or not at all. It is in autocommit."""
    for target, step in enumerate(steps, start=1):
        # executescript would commit between statements without a BEGIN of its own.
        if version_of(connection) < target:
            connection.executescript(f"BEGIN IMMEDIATE;\n{step}\nPRAGMA user_version = {target};\nCOMMIT;")


def version_of(connection: sqlite3.Connection) -> int:
    """The version of a database; 0 for an empty one."""
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return version
