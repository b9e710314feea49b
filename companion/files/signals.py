"""Ends the program well on SIGINT and SIGTERM: what is open is closed, and nothing half written is left."""

from __future__ import annotations

import contextlib
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from types import FrameType

_AGAIN_S = 0.01  # until a signal whose exception Python dropped is raised again: long enough to be out of what drops it

_BY_NAME = ("SIGINT", "SIGTERM", "SIGHUP")  # Ctrl-C, a shutdown, a terminal that is closed; Windows lacks the last


class Terminated(BaseException):
    """Raised when the user or the system asks the program to end. No Exception, so that no handler goes on after it.

    It also stands for Ctrl-C: Python remembers a KeyboardInterrupt that passed through an `exec`, as of a dataclass
    that is being made, and then ends itself by that signal, whatever status it is given.
    """

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


@contextlib.contextmanager
def signals_end_the_program() -> Iterator[None]:
    """Raise Terminated on the first SIGINT or SIGTERM, so that all that is open is closed; a second one ends at once.

    What is raised in a weak reference's callback, as an import has them, or in a `__del__` Python drops, with a
    traceback on stderr: such a Terminated is raised again a moment later, without a word. Signals that were ignored
    stay so, as under nohup. For the main thread.
    """
    before = {}
    timers: list[threading.Timer] = []
    dropped_before = sys.unraisablehook

    def raise_again(dropped: sys.UnraisableHookArgs) -> None:
        if not isinstance(dropped.exc_value, Terminated):
            dropped_before(dropped)
            return
        _held.number = dropped.exc_value.number
        signal.signal(_held.number, _end)
        timer = threading.Timer(_AGAIN_S, _raise_what_is_held)
        timer.daemon = True
        timers.append(timer)
        timer.start()

    sys.unraisablehook = raise_again
    for name in _BY_NAME:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) in (signal.SIG_DFL, signal.default_int_handler):
            before[number] = signal.signal(number, _end)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        sys.unraisablehook = dropped_before
        _held.number = None
        for timer in timers:  # who comes after us is not to be ended by what came to us
            timer.cancel()


class _Held:
    """Which signal is to be raised yet, None for none; `holding`: whether none may interrupt now."""

    holding = False
    number: int | None = None


_held = _Held()


def _raise_what_is_held() -> None:
    number, _held.number = _held.number, None  # None: it was raised already, between two small steps
    if number is None:
        return
    main = threading.main_thread().ident
    if main is not None and hasattr(signal, "pthread_kill"):
        signal.pthread_kill(main, number)  # to that thread: what it sleeps or waits in must be interrupted
    else:
        signal.raise_signal(number)


def _end(number: int, frame: FrameType | None) -> None:
    signal.signal(number, signal.SIG_DFL)
    if not _held.holding:
        raise Terminated(number)
    _held.number = number


@contextlib.contextmanager
def signals_held() -> Iterator[Callable[[], None]]:
    """Hold signals back; the function that is handed out raises what has come, to be called between small steps.

    pygame's C code can drop an exception that is raised while it calls Python, as when a window is opened, which then
    went on for good.
    """

    def raise_what_came() -> None:
        number, _held.number = _held.number, None
        if number is not None:
            raise Terminated(number)

    _held.holding = True
    try:
        yield raise_what_came
    finally:
        _held.holding = False


@contextlib.contextmanager
def signals_raised_after() -> Iterator[None]:
    """Raise what comes within the block once it is over, also where an error ends it; also to decorate a function with.

    For small steps of a C library that calls Python and drops what that raises, without even a word to Python: PyAV
    does as it makes its own errors, and makes one for each frame. In other threads than the main one no signal is
    raised, and where signals are held already they stay so.
    """
    if _held.holding or threading.current_thread() is not threading.main_thread():
        yield
        return
    with signals_held() as raise_what_came:
        try:
            yield
        finally:
            _held.holding = False
            raise_what_came()


def leave_signals_to_the_parent() -> None:
    """In a worker process, ignore Ctrl-C, which the parent handles, and let the parent's SIGTERM end it at once."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):  # the parent holds them back while it makes a process
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT, signal.SIGTERM})
