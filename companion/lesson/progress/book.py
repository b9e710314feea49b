"""All that is kept of learners: what they played, what they know, which steps of lessons they have done.

>>> book = ProgressBook.at_home()
>>> book.take_in("Ann", played_take(judgement, tune, "a.mid", began), now)
>>> book.known("Ann", now).due
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path

from companion.files.folders import data_folder
from companion.files.lines import quoted
from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.steps import StepKey
from companion.lesson.progress.account import Account
from companion.lesson.progress.asking import account_of, empty_account, known_of
from companion.lesson.progress.carrying import Carried, StepDone
from companion.lesson.progress.database import Database, open_database
from companion.lesson.progress.heard import PlayedTake
from companion.lesson.progress.names import checked_name
from companion.lesson.progress.review import day_of
from companion.lesson.progress.rows import aside_of, names_in, row_of, steps_of, takes_of, write_aside, write_step
from companion.lesson.progress.schema import OF_A_LEARNER
from companion.lesson.progress.taking import learner_of, look_at_file, take_in_all, was_looked_at
from companion.midi.takes.heading import content_hash
from companion.score.model import Tune
from fingering.errors import UserError

FILE = "progress.sqlite"

AT_ONCE = 500
"""Takes that are carried in by one transaction: a second at most, for which another window waits with its own."""


class ProgressBook:
    """Learners by their names, "" for whoever never said one. Every moment is told by the caller, with its time zone.

    What a method has written is on the disk when it returns. All of them may be called from any thread, and raise
    UserError where the disk refuses, or where a name is none. `trouble` is set where the file could not be opened as it
    was: the book works all the same, and `is_kept` tells whether it outlasts the program.
    """

    def __init__(self, path: Path | None) -> None:
        """path: of the file, made where there is none; None for a book in memory."""
        self._database: Database = open_database(path)

    @classmethod
    def at_home(cls) -> ProgressBook:
        """The book in the user's own folder; without a home it is in memory."""
        try:
            return cls(data_folder() / FILE)
        except UserError:
            return cls(None)

    @property
    def trouble(self) -> UserError | None:
        """What was wrong with the file, None for nothing."""
        return self._database.trouble

    @property
    def is_kept(self) -> bool:
        """Whether what is written outlasts the program."""
        return self._database.is_kept

    def close(self) -> None:
        """Close the file. Nothing depends on it."""
        self._database.close()

    def learners(self) -> tuple[str, ...]:
        """The names of all of whom anything is kept, in the order of the alphabet."""
        with self._database.reading() as connection:
            return names_in(connection)

    def take_in(self, learner: str, take: PlayedTake, now: datetime) -> bool:
        """Take a take in; one that is there already stays as it is, and False is returned."""
        return self.take_in_all(learner, (take,), now) == 1

    def take_in_all(self, learner: str, takes: Iterable[PlayedTake], now: datetime) -> int:
        """Take in several at once, all or none; returns how many were new."""
        with self._database.writing() as connection:
            row = learner_of(connection, checked_name(learner))
            return take_in_all(connection, row, takes, day_of(now))

    def known(self, learner: str, now: datetime) -> Known:
        """What a learner knows, and what of it is due again."""
        with self._database.reading() as connection:
            row = row_of(connection, checked_name(learner))
            return NOTHING_KNOWN if row is None else known_of(connection, row, day_of(now))

    def account(self, learner: str, now: datetime) -> Account:
        """What has become of a learner's practice."""
        name = checked_name(learner)
        with self._database.reading() as connection:
            row = row_of(connection, name)
            return empty_account(name, day_of(now)) if row is None else account_of(connection, row, name, day_of(now))

    def step_done(self, learner: str, tune: Tune, step: StepKey, now: datetime) -> None:
        """Keep that a learner has done a step of a tune's lesson."""
        with self._database.writing() as connection:
            row = learner_of(connection, checked_name(learner))
            write_step(connection, row, StepDone(content_hash(tune), step, now))

    def steps_done(self, learner: str, tune: Tune) -> frozenset[StepKey]:
        """The steps of a tune's lesson that a learner has done."""
        content = content_hash(tune)
        with self._database.reading() as connection:
            row = row_of(connection, checked_name(learner))
            done = () if row is None else steps_of(connection, row)
            return frozenset(each.step for each in done if each.content == content)

    def step_set_aside(self, learner: str, tune: Tune, step: StepKey, times: int) -> None:
        """Keep how often a learner has set a step of a tune's lesson aside until another sitting."""
        with self._database.writing() as connection:
            row = learner_of(connection, checked_name(learner))
            write_aside(connection, row, content_hash(tune), step, times)

    def steps_aside(self, learner: str, tune: Tune) -> Mapping[StepKey, int]:
        """How often each step of a tune's lesson was set aside that was."""
        with self._database.reading() as connection:
            row = row_of(connection, checked_name(learner))
            return {} if row is None else dict(aside_of(connection, row, content_hash(tune)))

    def was_looked_at(self, file: str) -> bool:
        """Whether a take's file of that name was taken in, whoever played it, or was found to hold nothing to be."""
        with self._database.reading() as connection:
            return was_looked_at(connection, file)

    def look_at_file(self, file: str) -> None:
        """Remember that a take's file holds nothing to be taken in."""
        with self._database.writing() as connection:
            look_at_file(connection, file)

    def carried(self, learner: str) -> Carried:
        """All of one learner, to be written into a file. Raises UserError for somebody who is not there."""
        name = checked_name(learner)
        with self._database.reading() as connection:
            row = _row_that_is_there(connection, name)
            return Carried(name, tuple(takes_of(connection, row)), tuple(steps_of(connection, row)))

    def carry_in(self, carried: Carried, now: datetime, *, learner: str | None = None) -> int:
        """Add all of one learner from a file to what is there, under another name if one is given; returns how many
        takes were new. Where it is interrupted, what was added stays, and the rest is added another time."""
        name = checked_name(carried.learner if learner is None else learner)
        with self._database.writing() as connection:
            row = learner_of(connection, name)
            for each in carried.steps:
                write_step(connection, row, each)
        takes = carried.takes
        batches = (takes[first : first + AT_ONCE] for first in range(0, len(takes), AT_ONCE))
        return sum(self.take_in_all(name, batch, now) for batch in batches)

    def delete(self, learner: str) -> None:
        """Delete a learner for good: no byte of the name, nor of what was played, is left on the disk. Files of takes
        stay. Raises UserError for somebody who is not there."""
        name = checked_name(learner)
        with self._database.writing() as connection:
            row = _row_that_is_there(connection, name)
            for table, where in OF_A_LEARNER:
                connection.execute(f"DELETE FROM {table} WHERE {where}", (row,))
        self._database.wipe()


def _row_that_is_there(connection: sqlite3.Connection, name: str) -> int:
    row = row_of(connection, name)
    if row is None:
        there = ", ".join(each or "the one without a name" for each in names_in(connection)) or "nobody yet"
        raise UserError(f"nothing is kept of {quoted(name) if name else 'you'}", f"give one of those who are: {there}")
    return row
