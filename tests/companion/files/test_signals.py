"""What a signal does to the program."""

from __future__ import annotations

import gc
import os
import signal
import sys
import time
import weakref

import pytest

from companion.files.signals import Terminated, signals_end_the_program, signals_held

SLEEPS_S = 20.0


class _Thing:
    """Something that can be gone."""


def told_to_end(_: object) -> None:
    """Called as a thing goes, where Python drops what is raised."""
    os.kill(os.getpid(), signal.SIGTERM)
    sum(range(1000))  # a signal's handler runs between two steps of the interpreter


def end_a_run() -> None:
    """A run that is told to end."""
    with signals_end_the_program():
        told_to_end(None)


def open_a_window() -> None:
    """A run that is told to end where Python drops what is raised, and then shows its first frame."""
    with signals_end_the_program():
        thing = _Thing()
        gone = weakref.ref(thing, told_to_end)
        del thing
        gc.collect()
        assert gone() is None
        with signals_held() as raise_what_came:
            raise_what_came()


def test_a_signal_whose_exception_was_dropped_ends_the_window_all_the_same() -> None:
    """It came in a weak reference's callback, as when a module is imported; the window ends before its first frame, or
    before it is opened, on a machine that is held up until the signal is raised again."""
    with pytest.raises(Terminated, match="15"):
        open_a_window()


def test_a_signal_that_ended_one_run_does_not_end_the_next() -> None:
    """Of two in one process."""
    with pytest.raises(Terminated):
        end_a_run()
    with signals_end_the_program(), signals_held() as raise_what_came:
        raise_what_came()


def wait_for_the_end() -> None:
    """A run that is told to end where Python drops what is raised, and has nothing else to do."""
    with signals_end_the_program():
        thing = _Thing()
        gone = weakref.ref(thing, told_to_end)
        del thing
        assert gone() is None
        time.sleep(SLEEPS_S)


def test_a_signal_whose_exception_was_dropped_is_raised_again_without_a_word(capfd: pytest.CaptureFixture[str]) -> None:
    """And at once: what the run waits in is interrupted."""
    began_s = time.monotonic()
    with pytest.raises(Terminated, match="15"):
        wait_for_the_end()
    assert time.monotonic() - began_s < SLEEPS_S
    assert capfd.readouterr().err == ""


def test_whatever_else_python_drops_is_told_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[type[BaseException]] = []
    monkeypatch.setattr(sys, "unraisablehook", lambda dropped: told.append(dropped.exc_type))
    thing = _Thing()
    gone = weakref.ref(thing, lambda _: int("no number"))
    with signals_end_the_program():
        del thing
    assert (gone(), told) == (None, [ValueError])
