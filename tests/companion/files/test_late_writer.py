"""Whoever changes something never waits for the disk, and the last change is written."""

from __future__ import annotations

from functools import partial
from threading import Event

import pytest

from companion.files.late_writer import LateWriter
from fingering.errors import UserError

pytestmark = pytest.mark.same_everywhere


def writer() -> LateWriter:
    """One that has nothing to write."""
    return LateWriter("writer", "it cannot be kept", "change it")


def test_of_what_waits_only_the_last_is_written() -> None:
    """While the first write is held up, the second is replaced by the third."""
    goes_on, written = Event(), list[int]()

    def write(number: int) -> None:
        assert goes_on.wait(10.0)
        written.append(number)

    late = writer()
    for number in (1, 2, 3):
        late.write(partial(write, number))
    goes_on.set()
    late.close()
    assert written == [1, 3]
    assert late.trouble == ""


def test_what_fails_is_told_until_something_is_written() -> None:
    """A sentence of ours without its place, any other fault with what to do; then what the write says besides."""

    def fail(error: Exception) -> None:
        raise error

    late = writer()
    for error, told in (
        (UserError("the disk is full", "make room", "file.json"), "the disk is full; make room"),
        (ValueError("odd"), "it cannot be kept"),
    ):
        late.write(partial(fail, error))
        late.close()
        assert late.trouble.startswith(told)
        assert "file.json" not in late.trouble
    late.write(lambda: "the old one was set aside")
    late.close()
    assert late.trouble == "the old one was set aside"
    late.write(lambda: None)
    late.close()
    assert late.trouble == ""
