"""Keeps what is played in while a tune runs: one take for each run, from its start to its pause, jump or end; in free
play one for each piece.

A run of hours becomes several takes.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from companion.files.worker import Done, Failed, Running, Worker, fault_line
from companion.midi.maps.map_text import Map
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import VoiceMessage
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.reading import Take
from companion.midi.takes.recorder import Recorder
from companion.window.live.source_choice import Came
from companion.window.live.tune_run import FreeRun, TuneRun

SETTLED_S = 0.125
"""A take's file is begun this long after its run: by then the loudspeaker, whose queue holds 21 ms, has told where the
tune truly stands, and what was played since is still on the disk within 0.25 s."""


@dataclass(frozen=True, slots=True)
class PlayedOn:
    """What a take is played on: its name, and its map where it is known. learner: who of a class plays, else ""."""

    source: str
    known: Map | None
    learner: str = ""


class TakeKeeper:
    """Begins a take with the first message of a run, and ends it with the run. For one thread."""

    def __init__(self, folder: Path | None, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._last: Recorder | None = None
        self._folder = folder
        self._now = now
        self._began_s = 0.0
        self._held: tuple[VoiceMessage, ...] = ()
        self._run: TuneRun | FreeRun | None = None
        self._waiting: list[Timed] = []
        self._recorder: Recorder | None = None
        self._ending: list[tuple[Recorder, float, Worker[Take | None]]] = []
        self._unkept: list[Take] = []
        self._unheard = ""

    @property
    def keeping(self) -> bool:
        """Whether a take is being kept now."""
        return self._recorder is not None

    @property
    def trouble(self) -> str:
        """The line for the screen when the take in hand, or the last one, cannot be written or made out."""
        return (self._last.trouble if self._last else None) or self._unheard

    @property
    def unkept(self) -> tuple[Take, ...]:
        """The takes that are over and could not be written: only this program holds them whole."""
        self._see_to_ended()
        return tuple(self._unkept)

    @property
    def last_path(self) -> Path | None:
        """The file of the take in hand, or of the last one."""
        return self._last.path if self._last else None

    def follow(self, run: TuneRun | FreeRun | None, player: PlayedOn, came: Came) -> None:
        """One frame: where the tune stands now, None while it does not run, and what came since the last one."""
        if self._folder is None:
            return
        self._see_to_ended()
        if self._run and not (run and self._goes_on(run)):
            self._end(player)
        if run is None:
            return
        if self._run is None:
            self._began_s = run.began_s if isinstance(run, FreeRun) else run.at_s
            self._held = came.held
        self._run = run
        if came.messages and self._recorder is None and not self._waiting:
            self._waiting += [Timed(self._began_s, message) for message in self._held]
        self._waiting += came.messages
        if self._waiting and run.at_s - self._began_s >= SETTLED_S:
            self._write(run, player)
        if self._recorder and self._recorder.full_at(run.at_s):
            self._end(player)  # the next frame begins another

    def _goes_on(self, run: TuneRun | FreeRun) -> bool:
        """Whether it is the run that is kept, a moment later."""
        if isinstance(run, TuneRun):
            return isinstance(self._run, TuneRun) and run.goes_on(self._run)
        return run.goes_on(self._run)

    def end(self, player: PlayedOn) -> None:
        """End any take; returns when it is on the disk."""
        if self._run:
            self._end(player)
        for *_, ending in self._ending:
            ending.join()
        self._see_to_ended()

    def wait_for_ended(self, most_s: float) -> None:
        """Until the takes that are over are whole on the disk, `most_s` seconds for each at most."""
        for *_, ending in self._ending:
            ending.join(most_s)
        self._see_to_ended()

    def _write(self, run: TuneRun | FreeRun, player: PlayedOn) -> None:
        if self._folder is None:
            return
        recorder = self._recorder
        if recorder is None:
            self._unheard = ""
            recorder = Recorder(self._folder, self._heading(run, player), began_s=self._began_s)
            self._recorder = self._last = recorder
        for timed in self._waiting:
            recorder.add(timed)
        self._waiting.clear()

    def _heading(self, run: TuneRun | FreeRun, player: PlayedOn) -> Heading:
        began = self._now() - timedelta(seconds=run.at_s - self._began_s)
        if isinstance(run, FreeRun):
            return Heading(began, player.source, player.known, held=bool(self._held), learner=player.learner)
        return Heading(
            began=began,
            source=player.source,
            known=player.known,
            learner=player.learner,
            tune=TuneIdentity.of(run.tune),
            timing=run.timing,
            stretch=run.stretch,
            tune_starts_s=-run.position_at(self._began_s),
            counted_s=0.0 if run.starts_s is None else max(0.0, run.starts_s - run.position_at(self._began_s)),
            crotchet_s=crotchet_s(run.tune, run.timing),
            metronome=run.metronome,
            held=bool(self._held),
        )

    def _end(self, player: PlayedOn) -> None:
        """The last of it goes to the disk in a thread, since a frame must not wait for that."""
        run, self._run = self._run, None
        if run and self._waiting:
            self._write(run, player)
        recorder, self._recorder = self._recorder, None
        if recorder and run:
            ending = Worker(partial(recorder.finish, run.at_s), "take ending", daemon=False)
            ending.start()
            self._ending.append((recorder, run.at_s, ending))

    def _rescue(self, recorder: Recorder, end_s: float) -> None:
        with contextlib.suppress(Exception):  # what cannot be made out at all is told already
            if take := recorder.rescue(end_s):
                self._unkept.append(take)

    def _see_to_ended(self) -> None:
        """Keep what only memory holds of the takes that have ended, and what went wrong."""
        going_on = []
        for recorder, end_s, ending in self._ending:
            match ending.outcome:
                case Running():
                    going_on.append((recorder, end_s, ending))
                case Failed(error):
                    self._rescue(recorder, end_s)
                    self._unheard = fault_line("the last take did not end well", error, "R shows what there is")
                case Done(Take() as take) if recorder.trouble:
                    self._unkept.append(take)
        self._ending = going_on
