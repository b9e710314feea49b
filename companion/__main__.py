"""The command line: finds the command, runs it, and prints a user's mistake as one line with exit status 2."""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import signal
import sys
from collections.abc import Sequence
from types import ModuleType
from typing import Any, NoReturn

from companion.files.lines import in_brief
from companion.files.signals import Terminated, signals_end_the_program
from companion.files.streams import prepare_streams
from fingering.errors import UserError

# Where a command's module is, for those in a folder of their own.
FOLDERS = {"hear": "takes", "pack": "takes", "write": "takes"}

# Each command is a module of companion.commands, or of one of its folders, with `configure(parser)` and
# `run(options) -> int`. Only the one that is asked for is imported: the first frame must not wait for what it does not
# need.
COMMANDS = {
    "show": "open the window: watch and hear a tune, or one embellishment (what happens with no command)",
    "picture": "draw one moment of a tune into a PNG file",
    "sound": "render a tune, or a stretch of it, into a sound file: WAV, FLAC, MP3 or Opus",
    "film": "write a tune, a stretch of it or a take as a film with its sound",
    "read": "print what a file of tunes holds",
    "check": "tell all that is wrong in tune files, or looks wrong to a piper",
    "convert": "write tunes in another format: ABC, MusicXML, MEI or MIDI",
    "holes": "print the timed hole states of a tune",
    "cross": "tell what lies between two notes, and what to drill in a tune",
    "lesson": "take a tune apart: its phrases, and the steps by which it is learnt",
    "sheet": "print tunes: as hand-outs with plan and finger movements, alone, or as a book",
    "hear": "tell the notes that a chanter plays in a recording",
    "judge": "say of a take what a good teacher would say",
    "write": "write down what was played in a take or a recording, as a tune in ABC",
    "pack": "put a recording with its tune and what was heard into one file, to keep or to give",
    "ports": "list the MIDI ports and microphones that can be played on, and what is known of them",
    "take": "list the takes and recordings that were kept",
    "log": "tell what a learner has played, what has got better, and what to do today",
}


STATUS_OF_SIGNALS = 128  # and the signal's number: what shells report of a program that a signal ended
LONGEST_COMPLAINT = 400
"""Characters of what argparse says: a thousand words that it does not know make it repeat them all."""


class Parser(argparse.ArgumentParser):
    """An argparse parser that raises UserError instead of printing its usage."""

    _words: Sequence[str] = ()

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Parse, and remember the words: an error message repeats no more of them than a reader needs."""
        self._words = tuple(args or ())
        return super().parse_known_args(args, namespace)

    def error(self, message: str) -> NoReturn:
        """Raise argparse's complaint as a UserError."""
        brief = in_brief(message, self._words)
        shown = brief if len(brief) <= LONGEST_COMPLAINT else f"{brief[:LONGEST_COMPLAINT]}…"
        raise UserError(shown, f"'{self.prog} --help' tells what can be written")

    def exit(self, status: int = 0, message: str | None = None) -> NoReturn:
        """End after --help. Raises UserError where the help cannot be printed."""
        _deliver()
        super().exit(status, message)


def _module_of(command: str) -> ModuleType:
    """The module of a command, imported now."""
    within = f"{FOLDERS[command]}." if command in FOLDERS else ""
    return importlib.import_module(f"companion.commands.{within}{command}")


def build_parser(command: str) -> argparse.ArgumentParser:
    """The parser of one command, with the options that its module adds."""
    parser = Parser(prog=f"eightholes {command}", description=COMMANDS[command])
    _module_of(command).configure(parser)
    return parser


def overview() -> str:
    """What `eightholes --help` prints."""
    width = max(map(len, COMMANDS))
    rows = (f"  {name:<{width}}  {summary}" for name, summary in COMMANDS.items())
    opening = "eightholes FILE, or the name of one of our tunes, opens it in the window."
    return "\n".join((opening, "eightholes COMMAND --help tells more of each:", *rows))


def _run(words: Sequence[str]) -> int:
    command, *rest = words or ["show"]
    if command in ("-h", "--help", "help"):
        print(overview())
        return 0
    if command not in COMMANDS:
        opened = importlib.import_module("companion.commands.shared.openable").words_to_open(command, tuple(COMMANDS))
        command, rest = "show", [*opened, *rest]
    options = build_parser(command).parse_args(rest)
    status: int = _module_of(command).run(options)
    return status


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program; returns the exit status: 0 done, 2 a mistake that the user can mend, 130 interrupted."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # pygame would greet on standard output, amid our JSON
    if arguments is not None:
        return _run_and_tell(list(arguments))
    prepare_streams()
    with signals_end_the_program():
        return _run_and_tell(sys.argv[1:])


def _run_and_tell(words: Sequence[str]) -> int:
    """Run the command; every mistake of a user and every error of the system ends in one line."""
    try:
        status = _run(words)
        _deliver()
        return status
    except UserError as error:
        return _complain(error, words)
    except BrokenPipeError:  # whoever reads has read enough
        return 0
    except OSError as error:
        return _complain(_system_error(error), words)
    except MemoryError:
        return _complain(
            UserError("there is not enough memory for this", "ask for less, or close other programs"), words
        )
    except KeyboardInterrupt:
        return STATUS_OF_SIGNALS + signal.SIGINT
    except Terminated as end:
        return STATUS_OF_SIGNALS + end.number


def _deliver() -> None:
    """Flush standard output. Raises UserError where it cannot be written."""
    if sys.stdout is not None:
        sys.stdout.flush()


def _complain(error: UserError, words: Sequence[str]) -> int:
    print(f"eightholes: {in_brief(str(error), words)}", file=sys.stderr)
    with contextlib.suppress(UserError, BrokenPipeError):  # one fault is told already
        _deliver()
    return 2


def _system_error(error: OSError) -> UserError:
    """A system error that no command explains better, as a UserError."""
    why = (error.strerror or str(error)).lower()
    where = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else None
    return UserError(f"the system says: {why}", "see that there is room and that the files are yours", where)


if __name__ == "__main__":
    sys.exit(main())
