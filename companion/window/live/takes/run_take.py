"""The take of one run in the making: from the run's start to its pause, jump or end, and a moment longer for what comes
late."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

from companion.files.worker import Worker
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.midi.maps.map_text import Map
from companion.midi.stream.held import Held
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import VoiceMessage
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.reading import Take
from companion.midi.takes.recorder import Recorder
from companion.window.live.microphone.run_sound import BEFORE_S, RunSound
from companion.window.live.source_choice import Came
from companion.window.live.tune_run import FreeRun, TuneRun

SETTLED_S = 0.125
"""A take's file is begun this long after its run: by then the loudspeaker, whose queue holds 21 ms, has told where the
tune truly stands, and what was played since is still on the disk within 0.25 s."""

TOLD_EARLY_S = 0.1
"""A note that is told in a run, but was played longer before it began, is no part of it: a microphone may tell that
late."""

LATE_S = 0.5
"""The last that is played on a port may come so long after the run that it was played in: on a busy machine its process
is held up, as the window is. A choice, no source."""


@dataclass(frozen=True, slots=True)
class HeardBy:
    """The microphone that a take is heard by, and since when there is sound from it, on the clock of the messages."""

    microphone: MicrophoneSource
    since_s: float

    @property
    def learns(self) -> bool:
        """Whether something sounds that will be told once its chanter is known."""
        return self.microphone.state is MicrophoneState.LEARNING


@dataclass(frozen=True, slots=True)
class PlayedOn:
    """The thing that a take is played on: its name, and its map where it is known. learner: who of a class plays, else
    "". heard_by: what keeps its sound, None for what has none."""

    source: str
    known: Map | None
    learner: str = ""
    heard_by: HeardBy | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """A take that is over, when it was, and the thread that brings the last of it to the disk."""

    recorder: Recorder
    end_s: float
    worker: Worker[Take | None]
    sound: RunSound | None


def begins_s(run: TuneRun | FreeRun) -> float:
    """When a run that is followed from now on began, on the clock of what is played."""
    return run.began_s if isinstance(run, FreeRun) else run.at_s


def told_from_s(run: TuneRun | FreeRun) -> float:
    """From when on what was played belongs to a run that is followed from now on."""
    return begins_s(run) - TOLD_EARLY_S


class RunTake:
    """One take in the making: a file from its first message on. For one thread.

    to_s: what was played from then on is no part of it, on the clock of what is played; infinity while the run goes on.
    `recorder` and `sound` are None before they are begun.
    """

    def __init__(self, folder: Path, run: TuneRun | FreeRun, player: PlayedOn, now: datetime) -> None:
        """Begin one for a run that is followed from now on; now: by the calendar."""
        self.recorder: Recorder | None = None
        self.sound: RunSound | None = None
        self.to_s = math.inf
        self._folder = folder
        self._run = run
        self._player = player
        self._began_s = begins_s(run)
        self._began = now - timedelta(seconds=run.at_s - self._began_s)
        self._from_s = told_from_s(run)
        self._end_s = run.at_s
        self._held: tuple[VoiceMessage, ...] = ()
        self._waiting: list[Timed] = []

    def is_all_told(self, now_s: float) -> bool:
        """Whether nothing that was played in it is to be waited for any more."""
        return now_s - self.to_s >= LATE_S

    def goes_on(self, run: TuneRun | FreeRun) -> bool:
        """Whether a run is this one, a moment later."""
        if isinstance(run, TuneRun):
            return isinstance(self._run, TuneRun) and run.goes_on(self._run)
        return run.goes_on(self._run)

    def full_at(self, now_s: float) -> bool:
        """Whether another take is to begin, since this one is as long as can still be read."""
        return self.recorder is not None and self.recorder.full_at(now_s)

    def take_in(self, came: Came) -> None:
        """Take in, of what came in a frame, what was played in this run."""
        if self.recorder is None and not self._waiting:
            self._held = _held_at(self._from_s, came)
        self._waiting += [each for each in came.messages if self._from_s <= each.at_s < self.to_s]

    def follow(self, run: TuneRun | FreeRun, player: PlayedOn) -> None:
        """The run goes on: write what waits, once the run is settled."""
        self._run, self._player = run, player
        self._end_s = run.at_s
        will_be_told = self.recorder is None and player.heard_by is not None and player.heard_by.learns
        if (self._waiting or will_be_told) and run.at_s - self._began_s >= SETTLED_S:
            self._write()

    def end(self, player: PlayedOn) -> None:
        """The run is over, and so is its sound; what was played in it may still come."""
        self._player = player
        self._write_what_waits()
        if self.sound:
            self.sound.end(self._end_s)

    def finish(self) -> Ending | None:
        """Nothing more comes: bring the last of it to the disk in a thread. None where nothing was played."""
        self._player = replace(self._player, heard_by=None)  # its sound is over
        self._write_what_waits()
        if self.recorder is None:
            return None
        work = partial(_finished, self.recorder, self._end_s, self.sound)
        worker = Worker(work, "take ending", daemon=False)
        worker.start()
        return Ending(self.recorder, self._end_s, worker, self.sound)

    def _write_what_waits(self) -> None:
        if self._waiting:
            self._end_s = max([self._end_s, *(each.at_s for each in self._waiting)])
            self._write()

    def _write(self) -> None:
        if self.recorder is None:
            heard_by = self._player.heard_by
            sound_from_s = max(self._began_s, self._run.at_s - BEFORE_S, heard_by.since_s) if heard_by else None
            held = self._held if self._waiting else ()
            heading = self._heading(sound_from_s, held=bool(held))
            self.recorder = Recorder(self._folder, heading, began_s=self._began_s)
            if heard_by and sound_from_s is not None:
                self.sound = RunSound(heard_by.microphone, self.recorder, sound_from_s)
            for message in held:
                self.recorder.add(Timed(self._began_s, message))
        for timed in self._waiting:
            self.recorder.add(timed)
        self._waiting.clear()

    def _heading(self, sound_from_s: float | None, *, held: bool) -> Heading:
        run, player = self._run, self._player
        sound_starts_s = None if sound_from_s is None else self._began_s - sound_from_s
        heading = Heading(
            self._began, player.source, player.known, held=held, learner=player.learner, sound_starts_s=sound_starts_s
        )
        if isinstance(run, FreeRun):
            return heading
        position_s = run.position_at(self._began_s)
        return replace(
            heading,
            tune=TuneIdentity.of(run.tune),
            timing=run.timing,
            stretch=run.stretch,
            tune_starts_s=-position_s,
            counted_s=0.0 if run.starts_s is None else max(0.0, run.starts_s - position_s),
            crotchet_s=crotchet_s(run.tune, run.timing),
            metronome=run.metronome,
        )


def _held_at(at_s: float, came: Came) -> tuple[VoiceMessage, ...]:
    """The notes held at a moment, known what was before a frame and what came in it."""
    held = Held()
    for message in (*came.held, *(each.message for each in came.messages if each.at_s < at_s)):
        held.hear(message)
    return held.messages


def _finished(recorder: Recorder, end_s: float, sound: RunSound | None) -> Take | None:
    """End a take, and keep beside it the voice that its sound was heard by."""
    if sound and sound.is_untold:
        return recorder.finish_untold(end_s)
    take = recorder.finish(end_s)
    if sound:
        sound.end_voice(take.path if take else None)
    return take
