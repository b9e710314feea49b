"""The process that engraves lines of staff: Verovio and resvg keep Python's lock for longer than a frame lasts.

It obeys orders on its standard input and answers on its standard output, both as `send` writes them and `receive` reads
them. First it says None once it can engrave, or a UserError why it cannot, and ends. An order is a Tune, of which the
bars are that follow, and is not answered, or a pair (StaffCut, StaffRoom), which is answered by an EngravedLine or by a
UserError. The end of the orders ends the process. `companion.window.staff.maker` is the other end; nobody else has
either of the pipes, so what comes is trusted.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import struct
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from companion.files.child import set_aside_output, write_all
from companion.score.engrave.single.resvg_pixels import load_resvg
from companion.score.engrave.verovio_toolkit import load_verovio
from companion.score.model import Tune
from companion.window.paint.quick_pygame import load_pygame
from fingering.errors import UserError

_LENGTH = struct.Struct("<Q")


def send(number: int, value: Any) -> None:
    """Write a value to the file of that number. Raises OSError."""
    data = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
    write_all(number, _LENGTH.pack(len(data)) + data)


def receive(number: int) -> Any:
    """Read the next value from the file of that number; waits for it. Raises EOFError once there will be none."""
    return pickle.loads(_bytes(number, *_LENGTH.unpack(_bytes(number, _LENGTH.size))))


def _bytes(number: int, count: int) -> bytearray:
    data = bytearray()
    while len(data) < count:
        more = os.read(number, count - len(data))
        if not more:
            raise EOFError
        data += more
    return data


def serve(orders: int, answers: int, fonts: list[Path]) -> None:
    """Obey orders until they end. orders, answers: numbers of open files."""
    load_pygame()
    from companion.window.staff.drawing import draw_line

    tune: Tune | None = None
    with contextlib.suppress(EOFError, BrokenPipeError):
        try:
            load_verovio()
            load_resvg()
        except UserError as error:
            send(answers, error)
            return
        send(answers, None)
        while True:
            match receive(orders):
                case Tune() as tune:
                    pass
                case (cut, room) if tune is not None:
                    send(answers, _answer(partial(draw_line, tune, cut, room, fonts)))


def _answer(draw: Callable[[], Any]) -> Any:
    try:
        return draw()
    except UserError as error:
        return error
    except Exception as error:
        return UserError(f"some bars cannot be engraved ({type(error).__name__})", "the rest of the tune can")


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the window's to hear, which then ends this
    serve(0, set_aside_output(), [Path(each) for each in sys.argv[1:]])
