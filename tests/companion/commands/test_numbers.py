"""Every option of every command that takes a number, given numbers that are none, or far too large."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.__main__ import COMMANDS, build_parser, main
from companion.commands.shared.numbers import finite, whole
from companion.files.lines import LONGEST_QUOTED
from tests.companion.commands.program import is_one_line
from tests.companion.commands.workplace import furnish

LONG = "9" * 1000
LONGER = "9" * 5000
"""More digits than Python turns into a number."""

LONGEST_LINE = 1000
"""A list of all embellishments takes 800 characters."""

VALUES = ("nan", "inf", "-inf", "1e308", "-1e308", "1e-308", "-1", "0", "0x10", "", "½", LONG, f"-{LONG}", LONGER)
WRITTEN = {
    "--at": ("{}", "1.{}", "1.1.{}"),
    "--size": ("{}x600", "800x{}"),
    "--late": ("upper ring={}", "{}=40"),
    "--bars": ("{}", "1-{}"),
}
"""Options that read numbers of their own, and how."""

WORDS = {
    "show": ["tune.abc", "--crossing", "a", "e"],
    "picture": ["-o", "out.png", "--force"],
    "sound": ["tune.abc", "-o", "out.wav", "--force"],
    "film": ["tune.abc", "-o", "out.mp4", "--embellishment", "grip"],
    "read": ["tune.abc"],
    "lesson": ["tune.abc"],
    "sheet": ["tune.abc", "--whole", "-o", "out.svg", "--force"],
    "convert": ["tune.abc", "out.mid", "--force"],
    "log": ["--list"],
    "check": ["tune.abc"],
    "holes": ["tune.abc"],
    "cross": ["a", "e"],
    "hear": ["take.wav"],
    "judge": ["judged.abc", "take.mid"],
    "ports": ["--backend", "jack"],
    "take": ["list"],
    "write": ["take.mid"],
    "pack": ["tune.abc", "take.wav", "-o", "out.zip", "--force"],
}
"""What makes each command run; `picture` needs what its options are about. `film`, which takes seconds, is asked for
two things at once, so that it stops once all numbers are read."""

PICTURED = {"--second": ["--take", "take.mid"], "--finding": ["--take", "take.mid"], "--late": ["--crossing", "a", "e"]}


def parsers(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """A parser and those of its own commands."""
    yield parser
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield from parsers(below)


def options_of(command: str) -> Iterator[argparse.Action]:
    """All that a command's line may hold."""
    for parser in parsers(build_parser(command)):
        yield from parser._actions


def cases() -> Iterator[tuple[str, str, str]]:
    """Each command with each of its options of numbers, and how a value is written in it."""
    for command in COMMANDS:
        for action in options_of(command):
            flag = action.option_strings[-1] if action.option_strings else ""
            if action.type in (finite, whole):
                yield command, flag, "{}"
            yield from ((command, flag, written) for written in WRITTEN.get(flag, ()))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tune and a take, without a screen to open a window on."""
    furnish(tmp_path, monkeypatch)
    return tmp_path


def test_no_option_takes_pythons_own_numbers() -> None:
    """float reads nan, int a number of any length: `finite` and `whole` are there instead."""
    for command in COMMANDS:
        assert not [action.dest for action in options_of(command) if action.type in (float, int)]


def test_the_commands_with_numbers_are_all_tried() -> None:
    """The walk over the options finds numbers in all commands but five, so these tests are not empty."""
    assert {command for command, _, _ in cases()} >= {*COMMANDS} - {"ports", "take", "check", "log", "hear"}
    assert WORDS.keys() == COMMANDS.keys()


@pytest.mark.parametrize(("command", "flag", "written"), list(cases()))
def test_a_number_is_taken_or_told_in_one_line(
    folder: Path, command: str, flag: str, written: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Never a traceback, nor a thousand digits said again; where it is taken the command works as always."""
    words = WORDS[command]
    if command == "picture":
        words = [*words, *PICTURED.get(flag, ["tune.abc"])]
    for value in VALUES:
        status = main([command, *words, f"{flag}={written.format(value)}"])
        printed = capsys.readouterr()
        assert status in (0, 2), value
        if status == 2:
            lines = printed.err.splitlines()  # what a transposition leaves of a tune takes two
            assert 1 <= len(lines) <= 2, value
            assert all(line.isprintable() and "; " in line for line in lines), (value, lines)
            assert not re.search(rf"\d{{{LONGEST_QUOTED + 1}}}", printed.err), value
        if value in ("nan", "inf", "-inf", LONG, LONGER, "", "½"):
            assert status == 2, value


@pytest.mark.parametrize(
    "words",
    [
        ["read", "tune.abc", LONG],
        ["read", "tune.abc", f"--{LONG}"],
        ["read", f"--json={LONG}", "tune.abc"],
        ["sound", "tune.abc", "-o", "x.wav", "--voice", LONG],
        ["sound", "tune.abc", "-o", "x.wav", f"--voice={LONG}"],
        ["take", LONG],
        [LONG],
        ["cross", LONG, "e"],
        ["cross", "a", "e", "--late", f"{LONG}=1"],
        ["show", "--embellishment", LONG],
        ["show", "--embellishment", "taorluath", "--onto", LONG],
        ["holes", LONG],
        ["holes", "tune.abc", "--tempo", f"1\n{LONG}"],
        ["holes", "tune.abc", "--tempo", "1\n2\x1b[31m"],
        ["holes", "tune.abc", "--\x1b]0;x\x07\n"],
        ["holes", "tune.abc", *map(str, range(1000))],
        ["holes", "tune.abc", "a b " * 500],
    ],
    ids=lambda words: " ".join(words)[:40].encode("unicode-escape").decode(),
)
def test_what_the_command_line_does_not_know_is_told_in_a_line_that_can_be_read(
    folder: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """What argparse says too: its words repeat the user's own, whole and with their line ends."""
    assert main(words) == 2
    told = capsys.readouterr().err
    assert is_one_line(told), told
    assert len(told) < LONGEST_LINE
