"""The command line: finds the command, runs it, and turns every user's mistake into one line and exit status 2."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from companion.files.lines import one_line
from fingering.errors import UserError

# Each command is a module of companion.commands with `configure(parser)` and `run(options) -> int`. Only the one that
# is asked for is imported: the first frame must not wait for what it does not need.
COMMANDS = {
    "show": "open the window: watch and hear a tune, or one embellishment (what happens with no command)",
    "picture": "draw one moment of a tune into a PNG file",
    "sound": "render a tune into a WAV file",
    "read": "print what an ABC file holds",
    "check": "tell all that is wrong in tune files, or looks wrong to a piper",
    "holes": "print the timed hole states of a tune",
    "cross": "tell what lies between two notes, and what to drill in a tune",
    "judge": "say of a take what a good teacher would say",
    "ports": "list the MIDI ports and what is known of each",
    "take": "list the takes that were kept",
}


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line like all others, where argparse would print its usage above them."""

    def error(self, message: str) -> NoReturn:
        """Raise UserError."""
        raise UserError(message, f"'{self.prog} --help' tells what can be written")


def build_parser(command: str) -> argparse.ArgumentParser:
    """The parser of one command, as its own module fills it in."""
    parser = Parser(prog=f"eightholes {command}", description=COMMANDS[command])
    importlib.import_module(f"companion.commands.{command}").configure(parser)
    return parser


def overview() -> str:
    """What `eightholes --help` prints."""
    width = max(map(len, COMMANDS))
    rows = (f"  {name:<{width}}  {summary}" for name, summary in COMMANDS.items())
    return "\n".join(("eightholes COMMAND --help tells more of each:", *rows))


def _run(words: Sequence[str]) -> int:
    command, *rest = words or ["show"]
    if command in ("-h", "--help", "help"):
        print(overview())
        return 0
    if command not in COMMANDS:
        raise UserError(f"there is no command '{command}'", f"use one of {', '.join(COMMANDS)}")
    options = build_parser(command).parse_args(rest)
    status: int = importlib.import_module(f"companion.commands.{command}").run(options)
    return status


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program; returns the exit status: 0 done, 2 a mistake that the user can mend."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # pygame would greet on standard output, amid our JSON
    try:
        return _run(list(sys.argv[1:] if arguments is None else arguments))
    except UserError as error:
        print(f"eightholes: {one_line(str(error))}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
