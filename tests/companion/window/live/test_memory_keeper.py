"""What is learnt of ports reaches the disk without the window waiting for it, or the window says why it does not."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest

from companion.midi.maps.memory import FILE_NAME, PortMemory, change_memory, read_memory, write_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports.driver import Backend
from companion.window.live import memory_keeper
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.memory_keeper import MemoryKeeper
from companion.window.live.sound import LiveSound
from tests.companion.faults import DISK_ERRORS, Fault, break_call, break_writes, system_error
from tests.companion.sound.loudspeaker import wait_until


def learns(name: str) -> Callable[[PortMemory], PortMemory]:
    """A map is learnt for a port."""
    return lambda memory: memory.learning(name, DEFAULT_MAP)


def test_what_is_learnt_holds_at_once_and_is_there_the_next_time(tmp_path: Path) -> None:
    """Several changes in one frame as well."""
    keeper = MemoryKeeper(tmp_path)
    for name in ("one", "two", "three"):
        keeper.change(learns(name))
        assert keeper.memory.about(name).known == DEFAULT_MAP
    keeper.close()
    assert keeper.trouble == ""
    kept = read_memory(tmp_path)
    assert [kept.about(name).known for name in ("one", "two", "three")] == [DEFAULT_MAP] * 3


def test_a_frame_does_not_wait_for_a_disk_that_hangs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Changes go on meanwhile, and none is lost when the disk goes on."""
    goes_on = threading.Event()

    def hangs(folder: Path, change: Callable[[PortMemory], PortMemory], known: PortMemory) -> PortMemory:
        assert goes_on.wait(20.0)
        return change_memory(folder, change, known)

    monkeypatch.setattr(memory_keeper, "change_memory", hangs)
    keeper = MemoryKeeper(tmp_path)
    keeper.change(learns("one"))
    keeper.change(learns("two"))
    keeper.refresh()
    assert not (tmp_path / FILE_NAME).exists()
    assert keeper.memory.about("two").known == DEFAULT_MAP
    goes_on.set()
    keeper.close()
    assert {*read_memory(tmp_path).ports} == {"one", "two"}


@pytest.mark.parametrize("number", DISK_ERRORS)
def test_a_disk_that_refuses_is_told_and_all_is_tried_again(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In one line; what is learnt is in force meanwhile, and is written with the next change."""
    keeper = MemoryKeeper(tmp_path)
    with monkeypatch.context() as broken:
        break_call(broken, "replace", lambda: system_error(number))
        keeper.change(learns("one"))
        keeper.close()
        assert keeper.trouble
        assert "\n" not in keeper.trouble
        assert keeper.memory.about("one").known == DEFAULT_MAP
    keeper.change(lambda memory: memory.using("two", datetime(2026, 11, 28, tzinfo=UTC)))
    keeper.close()
    assert keeper.trouble == ""
    assert {*read_memory(tmp_path).ports} == {"one", "two"}


def test_a_change_that_raises_is_told_by_the_window_and_not_by_a_thread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error that nobody foresaw."""

    def broken(*what: object) -> PortMemory:
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(memory_keeper, "change_memory", broken)
    keeper = MemoryKeeper(tmp_path)
    keeper.change(learns("one"))
    keeper.close()
    what, remedy = "what is known of the MIDI ports cannot be kept", "it is tried again when the window closes"
    assert keeper.trouble == f"{what} (ZeroDivisionError: nought); {remedy}"


def test_what_other_windows_have_learnt_is_taken_over(tmp_path: Path) -> None:
    """Two windows, each with an instrument of its own."""
    ours, theirs = MemoryKeeper(tmp_path), MemoryKeeper(tmp_path)
    theirs.change(learns("theirs"))
    theirs.close()
    ours.change(learns("ours"))
    ours.close()
    assert {*ours.memory.ports} == {"ours", "theirs"}


def test_a_memory_that_cannot_be_read_is_told_once_and_begun_anew(tmp_path: Path) -> None:
    """It is set aside, and the next change makes another."""
    (tmp_path / FILE_NAME).write_text("nonsense")
    keeper = MemoryKeeper(tmp_path)
    assert "cannot be read" in keeper.forgotten
    keeper.change(learns("one"))
    keeper.close()
    assert {*read_memory(tmp_path).ports} == {"one"}


UNFORESEEN: tuple[Fault, ...] = (MemoryError, partial(RuntimeError, "nobody foresaw it"), partial(SystemExit, 1))


@pytest.mark.parametrize("fault", [*(partial(system_error, number) for number in DISK_ERRORS), *UNFORESEEN])
def test_the_window_tells_what_cannot_be_written_and_keeps_it(
    fault: Fault, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Among what failed behind its back. The file stays as it was until all can be written, with the next change."""
    before = PortMemory().learning("old", DEFAULT_MAP)
    write_memory(before, tmp_path)
    live, instruments = window_on(tmp_path)
    with monkeypatch.context() as broken:
        break_writes(broken, fault)
        instruments.learn("new", DEFAULT_MAP)
        wait_until(lambda: bool(told(live)))
        assert read_memory(tmp_path) == before
        assert instruments.known("new") == DEFAULT_MAP
    instruments.learn("newer", DEFAULT_MAP)
    wait_until(lambda: not told(live))
    assert {*read_memory(tmp_path).ports} == {"old", "new", "newer"}
    live.close()


def test_what_cannot_be_written_as_the_window_closes_is_told_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what the program asks for then, as for the settings."""
    live, instruments = window_on(tmp_path)
    break_writes(monkeypatch, partial(system_error, DISK_ERRORS[0]))
    instruments.learn("new", DEFAULT_MAP)
    live.close()
    assert among_troubles(live)


def window_on(folder: Path) -> tuple[LiveInput, Instruments]:
    """What a window plays in on, with what it knows of the ports in this folder."""
    live, instruments = LiveInput(None, LiveSound()), Instruments(folder, Backend.SYSTEM)
    live.open(instruments, None)
    return live, instruments


def told(live: LiveInput) -> list[str]:
    """What is told of the memory in the frame after this one."""
    live.gather(None)
    return among_troubles(live)


def among_troubles(live: LiveInput) -> list[str]:
    """What is told of it now."""
    return [line for line in live.troubles if "what is known of the MIDI ports cannot be kept" in line]
