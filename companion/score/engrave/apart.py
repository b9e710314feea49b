"""Turns MusicXML into MEI in a process of its own: a file that Verovio stumbles over must not end the program.

Run as a module, it reads MusicXML on its standard input and writes MEI on its standard output.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys

from companion.files.child import set_aside_output, start_module, write_all
from companion.score.engrave.verovio_toolkit import mei_of_musicxml
from fingering.errors import UserError

LONGEST_S = 60.0
"""A score that takes longer is given up; one of 4,000 bars takes 2 s."""

MOST_MEMORY = 2_000_000_000
"""Bytes that the process may use, where the system can be told."""


def mei_made_apart(musicxml: str) -> str:
    """The MEI that Verovio makes of a MusicXML document. Raises UserError where it makes none, or not in time."""
    with start_module("companion.score.engrave.apart") as child:
        try:
            mei, _ = child.communicate(musicxml.encode("utf-8"), timeout=LONGEST_S)
        except subprocess.TimeoutExpired:
            child.kill()
            raise UserError("the music takes too long to be read", "save the tune alone") from None
        except BaseException:  # an interruption leaves no process behind
            child.kill()
            raise
    if child.returncode or not mei:
        raise UserError("the music cannot be made out", "save it again in the program that made it")
    return mei.decode("utf-8")


def main() -> int:
    """Read, turn, write; the status is 0 where all went well."""
    ours = set_aside_output()
    _limit_memory()
    try:
        mei = mei_of_musicxml(sys.stdin.buffer.read().decode("utf-8"))
    except UserError:
        return 1
    write_all(ours, mei.encode("utf-8"))
    return 0


def _limit_memory() -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):  # Windows has no such limit
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


if __name__ == "__main__":
    sys.exit(main())
