"""What is known of the MIDI ports while the window is open, kept without the window waiting for the disk."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial, reduce
from pathlib import Path

from companion.files.worker import Done, Failed, Worker, fault_line
from companion.midi.maps.memory import PortMemory, change_memory, read_memory
from fingering.errors import UserError

Change = Callable[[PortMemory], PortMemory]

TRIED_AGAIN = "it is tried again when the window closes"


class MemoryKeeper:
    """The memory in force. Changes of it go to the disk in threads of their own. For one thread.

    forgotten: the line for the screen where what was known could not be read. trouble: the one where it cannot be kept;
    the changes that could not be written go to the disk with the next one, or when the window closes.
    """

    def __init__(self, folder: Path) -> None:
        self.forgotten = ""
        self.trouble = ""
        self.memory = PortMemory()
        self._folder = folder
        self._waiting: list[Change] = []
        self._refused: tuple[Change, ...] = ()
        self._writing: tuple[tuple[Change, ...], Worker[PortMemory]] | None = None
        try:
            self.memory = read_memory(folder)
        except UserError as error:
            self.forgotten = str(error)

    def change(self, change: Change) -> None:
        """Change the memory, at once; it is on the disk some time later."""
        self.memory = change(self.memory)
        self._waiting.append(change)
        self.refresh()

    def refresh(self) -> None:
        """Once a frame: see what became of the last changes, and begin to write the next ones."""
        self._see()
        if self._waiting and self._writing is None:
            self._write()

    def close(self) -> None:
        """Returns when all changes are on the disk, or cannot be."""
        self._finish()
        if self._waiting or self._refused:
            self._write()
            self._finish()

    def _finish(self) -> None:
        if self._writing:
            self._writing[1].join()
            self._see()

    def _see(self) -> None:
        if self._writing is None:
            return
        changes, worker = self._writing
        match worker.outcome:
            case Done(memory):  # with what other windows have learnt
                self.memory, self.trouble = _changed(memory, self._waiting), ""
            case Failed(error):
                self.trouble = fault_line("what is known of the MIDI ports cannot be kept", error, TRIED_AGAIN)
                self._refused = changes
            case _:
                return
        self._writing = None

    def _write(self) -> None:
        changes = (*self._refused, *self._waiting)
        self._waiting.clear()
        self._refused = ()
        work = partial(change_memory, self._folder, partial(_changed, changes=changes), self.memory)
        worker = Worker(work, "port memory writer", daemon=False)
        worker.start()
        self._writing = changes, worker


def _changed(memory: PortMemory, changes: Iterable[Change]) -> PortMemory:
    return reduce(lambda changed, change: change(changed), changes, memory)
