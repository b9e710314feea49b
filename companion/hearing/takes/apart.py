"""Hears a recording in a process of its own, so that a window goes on drawing: what was heard is kept in the cache.

Run as a module, with the file's path, it tells on its standard output the share that was heard, a number a line.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

from companion.files.child import set_aside_output, start_module, write_all
from companion.hearing.takes.recordings import hear_recording
from fingering.errors import UserError

NICENESS = 5
"""Whoever plays on meanwhile, and is listened to, comes first."""


def hear_apart(path: Path, progress: Callable[[float], None] = lambda share: None) -> bool:
    """Hear a recording, and wait for it; returns whether a chanter was heard in it.

    What was heard is what `hear_recording` then returns at once, where there is a cache. progress: is told the share.
    """
    with start_module("companion.hearing.takes.apart", str(path)) as child:
        try:
            assert child.stdout is not None
            for line in child.stdout:
                progress(float(line))
            return child.wait() == 0
        except BaseException:  # an interruption leaves no process behind
            child.kill()
            raise


def main(path: Path) -> int:
    """Hear it; the status is 0 where a chanter was heard."""
    ours = set_aside_output()
    with contextlib.suppress(AttributeError, OSError):  # Windows has no such thing
        os.nice(NICENESS)
    try:
        hear_recording(path, lambda share: write_all(ours, f"{share:.3f}\n".encode()))
    except (UserError, BrokenPipeError):
        return 1
    return 0


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the window's to hear
    sys.exit(main(Path(sys.argv[1])))
