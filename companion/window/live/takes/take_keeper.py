"""Keeps what is played in while a tune runs: one take for each run, from its start to its pause, jump or end; in free
play one for each piece.

A run of hours becomes several takes. What is played on a microphone has its sound beside it.
"""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from companion.files.worker import Done, Failed, Running, fault_line
from companion.midi.takes.reading import Take
from companion.midi.takes.recorder import Recorder
from companion.window.live.microphone.run_sound import RECORDED_WITHIN_S, RunSound
from companion.window.live.source_choice import Came
from companion.window.live.takes.run_take import Ending, PlayedOn, RunTake, told_from_s
from companion.window.live.tune_run import FreeRun, TuneRun

LOOKED_AT_EVERY_S = 0.005


class TakeKeeper:
    """Begins a take with the first message of a run, and ends it with the run. For one thread."""

    def __init__(self, folder: Path | None, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._folder = folder
        self._now = now
        self._in_hand: RunTake | None = None
        self._over: list[RunTake] = []
        self._ending: list[Ending] = []
        self._last: Recorder | None = None
        self._last_sound: RunSound | None = None
        self._sounds_ending: list[RunSound] = []
        self._unkept: list[Take] = []
        self._unheard = ""

    @property
    def keeping(self) -> bool:
        """Whether a take is being kept now."""
        return self._in_hand is not None and self._in_hand.recorder is not None

    @property
    def trouble(self) -> str:
        """The line for the screen when the take in hand, or the last one, cannot be written or made out."""
        sound = self._last_sound.trouble if self._last_sound else ""
        return (self._last.trouble if self._last else None) or sound or self._unheard

    @property
    def sound(self) -> RunSound | None:
        """The sound beside the take in hand; None while there is no take, and where it has none."""
        return self._in_hand.sound if self._in_hand else None

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
        over = tuple(self._over)
        if self._in_hand and not (run and self._in_hand.goes_on(run)):
            # What came since the last frame, which may have been held up, was played in the run before.
            self._in_hand.to_s = told_from_s(run) if run else math.inf
            self._in_hand.take_in(came)
            self._end(player)
        if run and self._in_hand is None:
            self._in_hand = RunTake(self._folder, run, player, self._now())
            for each in over:
                each.to_s = min(each.to_s, told_from_s(run))
        for each in over:
            each.take_in(came)
        if run and self._in_hand:
            self._in_hand.take_in(came)
            self._in_hand.follow(run, player)
            self._note_last()
            if self._in_hand.full_at(run.at_s):
                self._end(player)  # the next frame begins another
        self._finish([each for each in self._over if run is None or each.is_all_told(run.at_s)])

    def end(self, player: PlayedOn) -> None:
        """End any take; returns when it is on the disk."""
        if self._in_hand:
            self._end(player)
        self._finish(self._over)
        for ending in self._ending:
            ending.worker.join()
        self._see_to_ended()
        self._wait_for_sounds(RECORDED_WITHIN_S)

    def wait_for_ended(self, most_s: float) -> None:
        """Until the takes that are over are whole on the disk, `most_s` seconds for each at most."""
        self._finish(self._over)
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
        for sound in (*([self.sound] if self.sound else ()), *self._sounds_ending):
            sound.follow()
        self._sounds_ending = [each for each in self._sounds_ending if not each.is_whole]

    def _end(self, player: PlayedOn) -> None:
        """The run is over, but what was played in it may come late."""
        take, self._in_hand = self._in_hand, None
        if take is None:
            return
        take.end(player)
        self._over.append(take)
        self._note_last()
        if take.sound:
            self._sounds_ending.append(take.sound)

    def _finish(self, takes: Sequence[RunTake]) -> None:
        """The last of them goes to the disk in threads, since a frame must not wait for that."""
        endings = [each.finish() for each in takes]
        self._note_last()
        self._ending += [each for each in endings if each]
        self._over = [each for each in self._over if each not in takes]

    def _note_last(self) -> None:
        """Keep in mind which take was begun last, whose troubles are told."""
        begun = [each for each in (*self._over, self._in_hand) if each and each.recorder]
        if not begun or begun[-1].recorder is self._last:
            return
        self._unheard = ""
        self._last = begun[-1].recorder
        self._last_sound = begun[-1].sound or self._last_sound

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

    def _see_to(self, ending: Ending, take: Take | None) -> None:
        if take and ending.recorder.trouble:
            self._unkept.append(take)
        if ending.sound and take:
            ending.sound.settle(take)
        elif ending.sound:
            ending.sound.drop()
