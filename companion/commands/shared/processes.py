"""Spreads work over processes that end with the program, however it ends."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

from companion.files.signals import leave_signals_to_the_parent
from fingering.errors import UserError

Given = TypeVar("Given")
Made = TypeVar("Made")


def in_processes(work: Callable[[Given], Made], given: Sequence[Given]) -> Iterator[Made]:
    """Yield the result of `work` for each of `given`, in their order. Raises UserError where a process is ended."""
    pool = ProcessPoolExecutor(
        max_workers=min(len(given), os.cpu_count() or 1), initializer=leave_signals_to_the_parent
    )
    try:
        for future in _begun(pool, work, given):
            yield future.result()
    except BrokenProcessPool:
        what = "the system ended a process that worked on this"
        raise UserError(what, "close other programs, so that there is memory for it") from None
    except BaseException:
        for worker in multiprocessing.active_children():  # one that works on would hold the program up
            worker.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _begun(pool: ProcessPoolExecutor, work: Callable[[Given], Made], given: Sequence[Given]) -> list[Future[Made]]:
    """Submit all the work, with signals held back until the new processes can handle them."""
    with _signals_held():
        return [pool.submit(work, each) for each in given]


@contextlib.contextmanager
def _signals_held() -> Iterator[None]:
    if not hasattr(signal, "pthread_sigmask"):  # on Windows
        yield
        return
    held = {signal.SIGINT, signal.SIGTERM}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, held)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
