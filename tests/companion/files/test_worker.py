"""A thread's outcome is never lost: running, done with a value, or failed with whatever ended it."""

from __future__ import annotations

import errno
import os
import threading

import pytest

from companion.files.worker import RUNNING, Done, Failed, Worker, fault_line
from fingering.errors import UserError

ERRORS = (
    UserError("the disk is full", "make room"),
    OSError(errno.EIO, os.strerror(errno.EIO)),
    MemoryError(),
    ZeroDivisionError("what nobody foresaw"),
    KeyboardInterrupt(),
    SystemExit(3),
    GeneratorExit(),
)


def raising(error: BaseException) -> Worker[None]:
    """A worker that was ended by an error."""

    def work() -> None:
        raise error

    worker = Worker(work, "raising")
    worker.start()
    worker.join()
    return worker


def test_it_is_running_and_then_done_with_a_value() -> None:
    """In a thread of that name."""
    go_on = threading.Event()

    def work() -> str:
        go_on.wait()
        return threading.current_thread().name

    worker = Worker(work, "somebody")
    seen: list[object] = [worker.outcome]
    worker.start()
    seen.append(worker.outcome)
    go_on.set()
    worker.join()
    assert [*seen, worker.outcome] == [RUNNING, RUNNING, Done("somebody")]
    assert worker.error is None


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_whatever_ends_it_is_kept(error: BaseException) -> None:
    """Also what would end a thread without a word; nothing reaches Python's own hook, which would print a traceback."""
    worker = raising(error)
    assert worker.outcome == Failed(error)
    assert worker.error is error


def test_one_that_never_began_can_be_waited_for() -> None:
    """As where a window closes before it opened its sound."""
    worker = Worker(lambda: None, "never")
    worker.join()
    assert worker.outcome is RUNNING


def test_where_there_is_no_thread_to_be_had_the_work_has_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's own refusal, and not an exception for who starts it."""

    def refuse(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", refuse)
    worker = Worker(lambda: None, "refused")
    worker.start()
    worker.join()
    assert isinstance(worker.error, RuntimeError)


def test_starting_it_twice_is_a_mistake_of_the_caller() -> None:
    """A second start raises for the caller; the outcome of the work stays as it was."""
    worker = Worker(lambda: 1, "once")
    worker.start()
    worker.join()
    with pytest.raises(RuntimeError):
        worker.start()
    assert worker.outcome == Done(1)


@pytest.mark.parametrize(
    ("error", "line"),
    [
        (ERRORS[0], "the disk is full; make room"),
        (ERRORS[1], "it failed (input/output error); try again"),
        (OSError("a reason\nin lines"), "it failed (a reason<0A>in lines); try again"),
        (OSError(), "it failed (the system refused it); try again"),
        (ERRORS[2], "it failed (there is not enough memory); try again"),
        (ERRORS[3], "it failed (ZeroDivisionError: what nobody foresaw); try again"),
        (ERRORS[6], "it failed (GeneratorExit); try again"),
    ],
)
def test_a_fault_is_told_in_one_line(error: BaseException, line: str) -> None:
    """What it was, why, and what to do."""
    assert fault_line("it failed", error, "try again") == line
