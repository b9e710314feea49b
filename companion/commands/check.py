"""`eightholes check`: reports everything that is wrong, or looks wrong, in tune files."""

from __future__ import annotations

import argparse
import json
import os
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from companion.commands.shared.library import find_file
from companion.commands.shared.progress import Progress
from companion.files.lines import one_line
from companion.score.checks import check
from companion.score.formats.books import holds_score, read_tunes
from companion.score.formats.kinds import ENDINGS
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind, RefusedScore, Severity
from companion.score.writing import check_writing
from fingering.errors import UserError

_NAMED_IN_SUMMARY = 8
_ANY_XML = ".xml"
"""The ending of scores, and of much else that is in folders."""

_STATUS = "Exit status: 0 without errors, 1 with errors, 2 where there is nothing to check."


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.epilog = _STATUS
    parser.add_argument("files", metavar="FILE", nargs="+", help="files of tunes, folders of them, or tunes of ours")
    parser.add_argument(
        "--json", action="store_true", help="print JSON: file, line, column, severity, name, what, remedy of each"
    )


def run(options: argparse.Namespace) -> int:
    """Print every problem, then a summary. Raises UserError where no file is found."""
    paths = list(_paths(options.files))
    progress = Progress("checked", len(paths))
    checked = CheckedFiles()
    rows = _rows(paths, checked, progress)
    if options.json:
        _print_json(rows)
    else:
        for problem in rows:
            print(f"{problem.place}: {problem.severity.value} {problem.kind.label}: {problem.what}; {problem.remedy}")
        print("\n".join(checked.summary()))
    return 1 if checked.severities[Severity.ERROR] else 0


@dataclass(slots=True)
class CheckedFiles:
    """The counts so far: files, those with errors, tunes, problems by severity and by kind."""

    files: int = 0
    with_errors: int = 0
    tunes: int = 0
    severities: Counter[Severity] = field(default_factory=Counter)
    kinds: Counter[ProblemKind] = field(default_factory=Counter)

    def add(self, problems: Sequence[Problem], tunes: int) -> None:
        """Count the problems of one more file."""
        self.files += 1
        self.tunes += tunes
        self.with_errors += any(problem.severity is Severity.ERROR for problem in problems)
        self.severities.update(problem.severity for problem in problems)
        self.kinds.update(problem.kind for problem in problems)

    def summary(self) -> Iterator[str]:
        """The counts in words, line by line."""
        errors, warnings = self.severities[Severity.ERROR], self.severities[Severity.WARNING]
        looked_at = f"{_count(self.files, 'file')} with {_count(self.tunes, 'tune')}"
        in_files = f"{_count(errors, 'error')} in {_count(self.with_errors, 'file')}"
        yield f"{looked_at}: {in_files}, {_count(warnings, 'warning')}"
        for kind, count in self.kinds.most_common(_NAMED_IN_SUMMARY):
            yield f"  {count:>6}  {kind.label}: {kind.meaning}"


def problems_in(path: Path) -> tuple[tuple[Problem, ...], int]:
    """Every problem of a file, in the order of their places, and how many tunes it holds."""
    try:
        book = read_tunes(path)
    except RefusedScore as refusal:
        return (refusal.problem,), 0
    except UserError as error:
        place = Place(error.where or one_line(str(path)), 1, 1)
        return (Problem(place, ProblemKind.FILE_UNREADABLE, error.what, error.remedy),), 0
    found = dict.fromkeys(book.problems)
    for tune, told in book.with_problems():
        # A tune that lost notes is not looked at as a piper would: its neighbours are not those that were meant.
        if all(problem.severity is Severity.WARNING for problem in told):
            found.update(dict.fromkeys((*check(tune), *check_writing(tune))))
    return tuple(sorted(found, key=lambda problem: problem.place)), len(book.tunes)


def _rows(paths: Sequence[Path], checked: CheckedFiles, progress: Progress) -> Iterator[Problem]:
    for path in paths:
        problems, tunes = problems_in(path)
        checked.add(problems, tunes)
        progress.step()
        yield from problems
    progress.end()


def _print_json(problems: Iterable[Problem]) -> None:
    """Print the problems as a JSON list, a row at a time: there may be a million of them."""
    opening = "["
    for problem in problems:
        print(f"{opening}\n {json.dumps(_as_data(problem))}", end="")
        opening = ","
    print("[]" if opening == "[" else "\n]")


def _as_data(problem: Problem) -> dict[str, str | int]:
    return {
        "file": problem.place.source,
        "line": problem.place.line,
        "column": problem.place.column,
        "severity": problem.severity.value,
        "name": problem.kind.label,
        "what": problem.what,
        "remedy": problem.remedy,
    }


def _paths(names: Sequence[str]) -> Iterator[Path]:
    """The files that the names stand for: a folder stands for all files of tunes in it and below."""
    for name in names:
        if os.path.isdir(name):
            files = sorted(_files_below(Path(name)))
            if not files:
                raise UserError("there is no file of tunes in this folder", "name another one", one_line(name))
            yield from files
        elif os.path.lexists(name):
            yield Path(name)
        else:
            yield find_file(name)


def _files_below(folder: Path) -> Iterator[Path]:
    for root, _, files in os.walk(folder):
        for file in files:
            path, name = Path(root, file), file.lower()
            if name.endswith(ENDINGS) and (not name.endswith(_ANY_XML) or holds_score(path)):
                yield path


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
