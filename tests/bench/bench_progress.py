"""How long ten years of progress take to open and to be told, beside bare scans of the same file by SQLite.

Run: python3 -m tests.bench.bench_progress
"""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from companion.lesson.model.known import Skill, SkillHeard
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.heard import KeptFinding, PlayedTake
from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.evidence import Share
from companion.midi.takes.heading import TuneIdentity
from fingering.embellishments import catalogue
from fingering.notes import Note

TAKES = 20_000
YEARS = 10
TUNES = 60
SKILLS_IN_TAKE = 30
FINDINGS = 8
OPEN_GOAL_S, ACCOUNT_GOAL_S = 0.2, 0.5
BEGAN = datetime(2016, 1, 1, 19, tzinfo=UTC)


def main() -> None:
    """Print what it takes."""
    with tempfile.TemporaryDirectory() as folder:
        path, now = Path(folder) / "progress.sqlite", BEGAN + timedelta(days=365 * YEARS)
        took_s = _timed(lambda: _fill(path, now))
        print(f"{TAKES} takes over {YEARS} years: {path.stat().st_size / 1e6:.0f} MB, taken in within {took_s:.0f} s")
        bare_s = min(_timed(lambda: _scan(path)) for _ in range(5))
        open_s = min(_timed(lambda: ProgressBook(path).close()) for _ in range(5))
        book = ProgressBook(path)
        account_s = min(_timed(lambda: book.account("", now)) for _ in range(5))
        known_s = min(_timed(lambda: book.known("", now)) for _ in range(5))
        one = next(_takes(1, now))
        take_s = _timed(lambda: book.take_in("", one, now))
        book.close()
    print(f"a bare scan of takes and skill_days: {bare_s:.3f} s")
    for what, each_s, goal in (("opened", open_s, OPEN_GOAL_S), ("account", account_s, ACCOUNT_GOAL_S)):
        print(f"  {what:8} {each_s:.3f} s (goal {goal} s), {each_s / bare_s:.2f} times the scan")
    print(f"  known    {known_s:.3f} s, {known_s / bare_s:.2f} times; one more take {take_s:.3f} s")


def _fill(path: Path, now: datetime) -> None:
    book = ProgressBook(path)
    book.take_in_all("", _takes(TAKES, now), now)
    book.close()


def _takes(count: int, now: datetime) -> Iterator[PlayedTake]:
    random = Random(1)
    embellishments = [entry.embellishment for entry in catalogue()]
    graces = sorted({Skill.of_embellishment(each) for each in embellishments}, key=str)[:150]
    changes = [Skill.of_change(one, other) for one in Note for other in Note if one is not other]
    tunes = [TuneIdentity(f"Tune {n}", f"{n}.abc", "1", f"{n:064}") for n in range(TUNES)]
    asks = [random.sample(graces, SKILLS_IN_TAKE // 2) + random.sample(changes, SKILLS_IN_TAKE // 2) for _ in tunes]
    for n in range(count):
        began = now if count == 1 else BEGAN + (now - BEGAN) * n / count
        tune = random.randrange(TUNES)
        skills = tuple(SkillHeard(skill, 4, random.randint(1, 4)) for skill in asks[tune])
        kinds = [random.choice(list(FindingKind)) for _ in range(FINDINGS)]
        findings = tuple(KeptFinding(kind, 3, random.randrange(200), 30.0) for kind in kinds)
        share = Share(95, 100)
        tempo = 60.0 + 20.0 * random.random()
        yield PlayedTake(f"{n}.mid", began, tunes[tune], tempo, share, share, share, skills, findings)


def _scan(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        for table in ("takes", "skill_days"):
            connection.execute(f"SELECT * FROM {table}").fetchall()


def _timed(work: Callable[[], object]) -> float:
    began_s = time.perf_counter()
    work()
    return time.perf_counter() - began_s


if __name__ == "__main__":
    main()
