"""A thread's outcome is never lost: running, done with a value, or failed with whatever ended it."""

from __future__ import annotations

import errno
import os
import threading

import pytest

from companion.files.worker import RUNNING, Done, Failed, StandingWorker, Worker, fault_line
from fingering.errors import UserError
from tests.companion.sound.loudspeaker import wait_until

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


def test_a_standing_worker_does_its_work_whenever_it_is_asked() -> None:
    """In one thread, and a fault ends only the one time; before it is asked it has no outcome."""
    answers: list[int | BaseException] = [1, *ERRORS, 2]
    threads = set()

    def work() -> int:
        threads.add(threading.current_thread())
        answer = answers.pop(0)
        if isinstance(answer, BaseException):
            raise answer
        return answer

    standing = StandingWorker(work, "standing")
    assert standing.outcome is None
    outcomes: list[object] = []
    while answers:
        standing.ask()
        wait_until(lambda: standing.outcome is not RUNNING)
        outcomes.append(standing.outcome)
    assert outcomes == [Done(1), *map(Failed, ERRORS), Done(2)]
    standing.close()
    (thread,) = threads
    thread.join(10.0)
    assert not thread.is_alive()


def test_a_standing_worker_without_a_thread_has_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    """And does its work once there is one to be had."""

    def none_left(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    standing = StandingWorker(lambda: 1, "standing")
    with monkeypatch.context() as patched:
        patched.setattr(threading.Thread, "start", none_left)
        standing.ask()
    assert isinstance(standing.outcome, Failed)
    standing.ask()
    wait_until(lambda: standing.outcome == Done(1))
    standing.close()
