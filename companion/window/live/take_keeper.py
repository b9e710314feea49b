"""Keeps what is played in while a tune runs: one take for each run, from its start to its pause, jump or end; in free
play one for each piece.

A run of hours becomes several takes. What is played on a microphone has its sound beside it.
"""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from companion.files.worker import Done, Failed, Running, Worker, fault_line
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.midi.maps.map_text import Map
from companion.midi.stream.held import Held
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import VoiceMessage
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.reading import Take
from companion.midi.takes.recorder import Recorder
from companion.window.live.microphone.run_sound import BEFORE_S, RECORDED_WITHIN_S, RunSound
from companion.window.live.source_choice import Came
from companion.window.live.tune_run import FreeRun, TuneRun

SETTLED_S = 0.125
"""A take's file is begun this long after its run: by then the loudspeaker, whose queue holds 21 ms, has told where the
tune truly stands, and what was played since is still on the disk within 0.25 s."""

TOLD_EARLY_S = 0.1
"""What is told in a run, but was played longer before it began, is no part of it: a microphone may tell that late."""

LOOKED_AT_EVERY_S = 0.005


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
    """What a take is played on: its name, and its map where it is known. learner: who of a class plays, else "".
    heard_by: what keeps its sound, None for what has none."""

    source: str
    known: Map | None
    learner: str = ""
    heard_by: HeardBy | None = None


@dataclass(frozen=True, slots=True)
class _Ending:
    """A take that is over, when it was, and the thread that brings the last of it to the disk."""

    recorder: Recorder
    end_s: float
    worker: Worker[Take | None]
    sound: RunSound | None


def _finished(recorder: Recorder, end_s: float, sound: RunSound | None) -> Take | None:
    """End a take, and keep beside it the voice that its sound was heard by."""
    if sound and sound.is_untold:
        return recorder.finish_untold(end_s)
    take = recorder.finish(end_s)
    if sound:
        sound.end_voice(take.path if take else None)
    return take


def _begins_s(run: TuneRun | FreeRun) -> float:
    """When a run that is followed from now on began, on the clock of what is played."""
    return run.began_s if isinstance(run, FreeRun) else run.at_s


def _held_at(at_s: float, came: Came) -> tuple[VoiceMessage, ...]:
    """What was held at a moment, known what was before a frame and what came in it."""
    held = Held()
    for message in (*came.held, *(each.message for each in came.messages if each.at_s < at_s)):
        held.hear(message)
    return held.messages


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
        self._sound: RunSound | None = None
        self._last_sound: RunSound | None = None
        self._ending: list[_Ending] = []
        self._sounds_ending: list[RunSound] = []
        self._unkept: list[Take] = []
        self._unheard = ""

    @property
    def keeping(self) -> bool:
        """Whether a take is being kept now."""
        return self._recorder is not None

    @property
    def trouble(self) -> str:
        """The line for the screen when the take in hand, or the last one, cannot be written or made out."""
        sound = self._last_sound.trouble if self._last_sound else ""
        return (self._last.trouble if self._last else None) or sound or self._unheard

    @property
    def sound(self) -> RunSound | None:
        """The sound beside the take in hand; None while there is no take, and where it has none."""
        return self._sound

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
        self._follow_sounds()
        if self._run and not (run and self._goes_on(run)):
            # What came since the last frame, which may have been held up, was played in the run before.
            from_s, to_s = self._began_s - TOLD_EARLY_S, _begins_s(run) - TOLD_EARLY_S if run else math.inf
            self._waiting += [each for each in came.messages if from_s <= each.at_s < to_s]
            self._end(player)
        if run is None:
            return
        if self._run is None:
            self._began_s = _begins_s(run)
            self._held = _held_at(self._began_s - TOLD_EARLY_S, came)
        self._run = run
        fresh = [timed for timed in came.messages if timed.at_s >= self._began_s - TOLD_EARLY_S]
        if fresh and self._recorder is None and not self._waiting:
            self._waiting += [Timed(self._began_s, message) for message in self._held]
        self._waiting += fresh
        will_be_told = self._recorder is None and player.heard_by is not None and player.heard_by.learns
        if (self._waiting or will_be_told) and run.at_s - self._began_s >= SETTLED_S:
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
        for ending in self._ending:
            ending.worker.join()
        self._see_to_ended()
        self._wait_for_sounds(RECORDED_WITHIN_S)

    def wait_for_ended(self, most_s: float) -> None:
        """Until the takes that are over are whole on the disk, `most_s` seconds for each at most."""
        for ending in self._ending:
            ending.worker.join(most_s)
        self._see_to_ended()
        self._wait_for_sounds(most_s)

    def _wait_for_sounds(self, most_s: float) -> None:
        """The process that writes them tells when they are whole."""
        gives_up_s = time.monotonic() + most_s
        while self._sounds_ending and time.monotonic() < gives_up_s:
            self._follow_sounds()
            time.sleep(LOOKED_AT_EVERY_S)

    def _follow_sounds(self) -> None:
        for sound in (*([self._sound] if self._sound else ()), *self._sounds_ending):
            sound.follow()
        self._sounds_ending = [each for each in self._sounds_ending if not each.is_whole]

    def _write(self, run: TuneRun | FreeRun, player: PlayedOn) -> None:
        if self._folder is None:
            return
        recorder = self._recorder
        if recorder is None:
            self._unheard = ""
            heard_by = player.heard_by
            sound_from_s = max(self._began_s, run.at_s - BEFORE_S, heard_by.since_s) if heard_by else None
            recorder = Recorder(self._folder, self._heading(run, player, sound_from_s), began_s=self._began_s)
            self._recorder = self._last = recorder
            if heard_by and sound_from_s is not None:
                self._sound = self._last_sound = RunSound(heard_by.microphone, recorder, sound_from_s)
        for timed in self._waiting:
            recorder.add(timed)
        self._waiting.clear()

    def _heading(self, run: TuneRun | FreeRun, player: PlayedOn, sound_from_s: float | None) -> Heading:
        began = self._now() - timedelta(seconds=run.at_s - self._began_s)
        sound_starts_s = None if sound_from_s is None else self._began_s - sound_from_s
        if isinstance(run, FreeRun):
            held = bool(self._held)
            return Heading(
                began, player.source, player.known, held=held, learner=player.learner, sound_starts_s=sound_starts_s
            )
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
            sound_starts_s=sound_starts_s,
        )

    def _end(self, player: PlayedOn) -> None:
        """The last of it goes to the disk in a thread, since a frame must not wait for that."""
        run, self._run = self._run, None
        if run is None:
            return
        end_s = max([run.at_s, *(each.at_s for each in self._waiting)])
        if self._waiting:
            self._write(run, player)
        recorder, self._recorder = self._recorder, None
        sound, self._sound = self._sound, None
        if recorder:
            if sound:
                sound.end(end_s)
                self._sounds_ending.append(sound)
            ending = Worker(partial(_finished, recorder, end_s, sound), "take ending", daemon=False)
            ending.start()
            self._ending.append(_Ending(recorder, end_s, ending, sound))

    def _rescue(self, recorder: Recorder, end_s: float) -> None:
        with contextlib.suppress(Exception):  # what cannot be made out at all is told already
            if take := recorder.rescue(end_s):
                self._unkept.append(take)

    def _see_to_ended(self) -> None:
        """Keep what only memory holds of the takes that have ended, and what went wrong."""
        going_on = []
        for ending in self._ending:
            match ending.worker.outcome:
                case Running():
                    going_on.append(ending)
                case Failed(error):
                    self._rescue(ending.recorder, ending.end_s)
                    self._unheard = fault_line("the last take did not end well", error, "R shows what there is")
                    if ending.sound:
                        ending.sound.settle(None)
                case Done(take):
                    self._see_to(ending, take)
        self._ending = going_on

    def _see_to(self, ending: _Ending, take: Take | None) -> None:
        if take and ending.recorder.trouble:
            self._unkept.append(take)
        if ending.sound and take:
            ending.sound.settle(take)
        elif ending.sound:
            ending.sound.drop()
