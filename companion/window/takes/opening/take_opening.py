"""Opens a take of the list in a thread: a recording may need a library that takes a while to load, and its tune may be
in a file of many tunes. The window goes on meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from companion.files.lines import one_line
from companion.files.worker import RUNNING, Done, Failed, Worker, fault_line
from companion.hearing.takes.recordings import RecordingFile
from companion.hearing.takes.sound_take import recorded_take
from companion.midi.takes.reading import Summary, Take, read_take
from companion.score.model import Tune
from companion.window.core.screen import Screen
from companion.window.takes.opening.tunes_near import TunesNear
from fingering.errors import UserError

AT_ONCE_S = 0.04
"""The window waits so long for a take: nearly all are open by then, without a word about it."""

Listable = Summary | Take | RecordingFile
"""A take that the folder holds, one that only this program holds, or a recording from elsewhere."""


@dataclass(frozen=True, slots=True)
class TakeAndTune:
    """A take, and its tune where that was found; None for free play as well."""

    take: Take
    tune: Tune | None


def open_listed(chosen: Listable, near: TunesNear) -> TakeAndTune:
    """Read what was chosen, and find its tune. Raises UserError for a file that cannot be read."""
    if isinstance(chosen, RecordingFile):
        tune = near.of_recording(chosen.path)
        return TakeAndTune(recorded_take(chosen.path, tune), tune)
    take = chosen if isinstance(chosen, Take) else read_take(chosen.path)
    return TakeAndTune(take, near.of_identity(take.heading.tune) if take.heading.tune else None)


class TakeOpening:
    """A take that is being opened; once it is, `then` makes the screen that shows it."""

    def __init__(self, chosen: Listable, near: TunesNear, then: Callable[[TakeAndTune], Screen]) -> None:
        self._name = _name_of(chosen)
        self._then = then
        self._worker = Worker(lambda: open_listed(chosen, near), "opening a take")
        self._worker.start()
        self._worker.join(AT_ONCE_S)

    @property
    def words(self) -> str:
        """What goes on."""
        return f"opening {self._name}"

    @property
    def is_over(self) -> bool:
        """Whether there is an answer."""
        return self._worker.outcome is not RUNNING

    def answer(self) -> Screen | str:
        """The screen, or one line that says why there is none."""
        try:
            match self._worker.outcome:
                case Done(opened):
                    return self._then(opened)
                case Failed(UserError() as error):
                    return one_line(str(error))
                case Failed(error):
                    return fault_line(f"{self._name} cannot be opened", error, "choose another")
        except UserError as error:  # of what `then` makes of it
            return one_line(str(error))
        return self.words


def _name_of(chosen: Listable) -> str:
    path: Path | None = chosen.path
    return one_line(path.name) if path else "the take"
