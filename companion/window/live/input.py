"""What is played in, for the whole window: gathered once a frame into trails and takes, and sounded at once."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from companion.hearing.microphone.source import MicrophoneSource
from companion.listen.model.played import Played
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.stream.monophony import stuck_after_s
from companion.midi.takes.heading import crotchet_s
from companion.midi.takes.reading import Take
from companion.window.core.actions import Action
from companion.window.core.hints import Hint
from companion.window.lanes.played_in import PlayedIn
from companion.window.lanes.trail import REST, Moment, Trail, moment_after
from companion.window.live.ear import LiveEar, at_tune_time
from companion.window.live.instruments import Instruments
from companion.window.live.microphone.leak import tap_for
from companion.window.live.microphone.words import HEADPHONES, HEADPHONES_FOR_S, SaidOnce
from companion.window.live.played_keys import PlayedKeys
from companion.window.live.sound import LiveSound
from companion.window.live.source_choice import Came, SourceChoice
from companion.window.live.takes.run_take import TOLD_EARLY_S, HeardBy, PlayedOn
from companion.window.live.takes.take_keeper import TakeKeeper
from companion.window.live.tune_run import FreePieces, FreeRun, TuneRun

SHOWN_S = 20.0
"""More than the lanes show at any slow-down."""

ENDS_WITHIN_S = 0.25
"""How long the list of takes waits for takes that are over to be whole on the disk; then it opens all the same."""

FREE_KEPT_S = 60.0
BESIDE_KEPT_S = 3600.0


class LiveInput:
    """Everything that is played in. One thread, the window's, may call; the sound does not wait for it.

    takes: the folder of the takes, None to keep none. learner: who of a class plays, "" where there is no class.
    """

    def __init__(
        self,
        takes: Path | None,
        sound: LiveSound,
        clock: Callable[[], float] = time.perf_counter,
        learner: str = "",
    ) -> None:
        self.sound = sound
        self.clock = clock
        self.learner = learner
        self.takes = takes
        self.choice = SourceChoice(sound.sound, clock)
        self.played_s = float("-inf")  # when something was played in last, on that clock
        self._now = REST
        self._last: Played | None = None
        self._free = Trail(FREE_KEPT_S)
        self._beside = Trail(BESIDE_KEPT_S)
        self._run: TuneRun | None = None
        self._run_began_s = 0.0
        self._pieces: FreePieces | None = None
        self._keeper = TakeKeeper(takes)
        self._adopted: list[Take] = []
        self._rests = False
        self._headphones = SaidOnce(HEADPHONES, HEADPHONES_FOR_S)
        self._told: MicrophoneSource | None = None
        self.ear = LiveEar()

    def open(self, instruments: Instruments, wanted: str | None) -> None:
        """The ports are there: listen to what is asked for, else quietly to the port or microphone used last."""
        self.choice.open(instruments, wanted)

    def of_use(self, hints: Sequence[Hint]) -> tuple[Hint, ...]:
        """The rows of a sheet without that for how loud your playing sounds, where a microphone is listened to: what it
        hears is never sounded."""
        return tuple(hint for hint in hints if not (self.choice.microphone and Action.LIVE_LEVEL in hint.actions))

    def listen_to(self, wanted: str | None) -> None:
        """Listen to a port, else a microphone, by its name or a part of it, or to nothing."""
        self._let_go()
        self.choice.wanted = None
        if wanted is not None:
            self.choice.listen_to(wanted)

    def listen_to_microphone(self, name: str) -> None:
        """Listen to the microphone of that name."""
        self._let_go()
        self.choice.listen_to_microphone(name)

    def listen_to_nothing(self) -> None:
        """Listen to nothing, and to no microphone when the program is started again, until one is chosen; nor to one
        that rests now."""
        self._rests = False
        self.listen_to(None)
        if self.choice.instruments:
            self.choice.instruments.forget_used_microphone()

    def sounds_beside(self) -> None:
        """A tune sounds: if a microphone may hear that from the loudspeaker, headphones are asked for, once."""
        if self.choice.microphone and self.sound.has_loudspeaker:
            self._headphones.hold(self.clock())

    def play_keys(self, keys: PlayedKeys | None) -> None:
        """Play on the computer's keys; None goes back to the port or microphone, if there was one."""
        self._let_go()
        if keys:
            self.choice.follow(keys, KEYS_MAP)
        else:
            self.choice.take_up()

    def rest(self) -> Callable[[], None]:
        """Let go of whatever is played on, and return what takes it up again: a microphone with the voice that its
        chanter was heard by."""
        keys, wanted, port = self.choice.keys, self.choice.wanted, self.choice.port
        voice = self.choice.microphone.voice if self.choice.microphone else None
        self.listen_to(None)
        self._rests = True

        def go_on() -> None:
            if not self._rests and wanted and wanted.microphone:
                return  # closed meanwhile
            self._rests = False
            self.choice.wanted = wanted
            if port and not keys:
                self.choice.await_port(port.name)
            else:
                self.play_keys(keys)
            if voice and self.choice.microphone:
                self.choice.microphone.use_kept(voice)

        return go_on

    def keep_learnt(self) -> None:
        """Remember what was learnt, and hear and sound what is played on by it."""
        self.choice.keep_learnt()
        if self.choice.microphone is None:  # which hears by it already
            self.forget_learnt()

    def forget_learnt(self) -> None:
        """Hear what is played on by what is remembered of it."""
        self._let_go()
        self.choice.take_up()

    def gather(self, run: TuneRun | None) -> None:
        """One frame. `run` tells where the tune stands now, None while it does not run."""
        self.choice.look_for_ports()
        self._take_in(run)

    def gather_in_class(self, run: TuneRun | None) -> None:
        """One frame of one of several who play in, where the ports have been looked for already."""
        self.choice.came()
        self._take_in(run)

    def keep_free_play(self) -> None:
        """From now on what is played without a tune is kept as well, each piece as a take."""
        self._pieces = FreePieces()

    def end_free_play(self) -> None:
        """What is played without a tune is not kept any more."""
        self._pieces = None

    @property
    def free_piece(self) -> tuple[Played, ...]:
        """What was played freely last; nothing unless free play is kept."""
        return self._pieces.piece(self.clock()) if self._pieces else ()

    def forget_beside(self) -> None:
        """End the run of the tune that was played along with, and show no more of it: another tune is shown."""
        self.gather(None)
        self._beside.cut(float("-inf"))

    def beside(self, now_s: float) -> PlayedIn:
        """What was played beside the tune in the seconds before `now_s`, in the tune's time."""
        return self._shown(self._beside.between(now_s - SHOWN_S, now_s))

    def freely(self, now_s: float, shown_s: float = SHOWN_S) -> PlayedIn:
        """What was played in the `shown_s` seconds before `now_s`, on the clock of the messages."""
        return self._shown(self._free.between(now_s - shown_s, now_s))

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back, "" for each that did not."""
        instruments = self.choice.instruments
        unwritten = instruments.unwritten if instruments else ""
        return self._keeper.trouble, self.sound.unheard, unwritten, self.ear.trouble

    @property
    def keeping(self) -> bool:
        """Whether a take is being kept now."""
        return self._keeper.keeping

    @property
    def unkept(self) -> tuple[Take, ...]:
        """The takes of this session that could not be written."""
        return (*self._adopted, *self._keeper.unkept)

    def adopt(self, unkept: Iterable[Take]) -> None:
        """Hold takes that others who played in could not have written, until the program ends."""
        self._adopted += unkept

    def finish_takes(self) -> None:
        """Wait a moment for the takes that are over, so that whoever opens one finds all of it."""
        self._keeper.wait_for_ended(ENDS_WITHIN_S)

    def close(self) -> None:
        """The window closes: end the take well, fall silent, let every port go."""
        self.leave()
        self.sound.close()
        if self.choice.instruments:
            self.choice.instruments.close()

    def leave(self) -> None:
        """Let the source go and end the take well; the other ports stay as they are."""
        self._let_go()
        self._keeper.end(self._player())

    def _let_go(self) -> None:
        """Let the source go, take in what it still brought, and end the take: one take is played on one thing."""
        self.choice.let_go()
        self._take_in(self._run)
        self._keeper.follow(None, self._player(), Came())
        if self._pieces:
            self._pieces.end()
        self.choice.leave()
        self.sound.sound(None)

    def _take_in(self, run: TuneRun | None) -> None:
        self._tell_what_sounds()
        came = self.choice.fetch()
        self._follow_run(run)
        self._hear(came.played)
        if run:
            self.ear.pass_time(run.position_at(min(run.at_s, self.choice.heard_until_s)))
        free = self._free_run(came) if run is None else None
        self._keeper.follow(self._run if self._run and self._run.kept else free, self._player(), came)
        self.ear.sound = self._keeper.sound

    def _free_run(self, came: Came) -> FreeRun | None:
        """The piece of free play that goes on, where such is kept."""
        if self._pieces is None:
            return None
        return self._pieces.follow(self.clock(), came.played, quiet_since_s=self.played_s)

    def _tell_what_sounds(self) -> None:
        """The microphone in hand is told what the loudspeaker plays, from when it is there."""
        microphone = self.choice.microphone
        if microphone is not self._told:
            self._told = microphone
            self.sound.tell(tap_for(microphone) if microphone else None)

    def _hear(self, events: Iterable[Played]) -> None:
        for played in events:
            self._now, self._last = moment_after(self._now, played), played
            self.played_s = max(self.played_s, played.at_s)
            self._free.add(self._now)
            if self._run and played.at_s >= self._run_began_s - TOLD_EARLY_S:
                at_s = self._run.position_at(played.at_s)
                self._beside.add(replace(self._now, at_s=at_s))
                self.ear.hear(at_tune_time(played, at_s))

    def _follow_run(self, run: TuneRun | None) -> None:
        """Where a run begins, what was played there before gives way; where it ends, nothing is held on."""
        before, self._run = self._run, run
        if before and run and run.goes_on(before):
            self._run = run.following(before)
            return
        self.choice.allow(stuck_after_s(crotchet_s(run.tune, run.timing) if run else None))
        if run:
            self._run_began_s = run.at_s
            self.ear.begin(run, self._held_now(run))
        elif before:
            self.ear.end()
        if before:
            self._beside.add(Moment(before.position_s, self._now.state))
        if before and run and (run.tune is not before.tune or run.timing != before.timing):
            self._beside.cut(float("-inf"))
        if run:
            self._beside.cut(run.position_s)
            self._beside.add(replace(self._now, at_s=run.position_s))

    def _held_now(self, run: TuneRun) -> Played | None:
        """What sounds as a run begins; None for nothing."""
        if self._last is None or self._now.note is None:
            return None
        return at_tune_time(self._last, run.position_s)

    def _player(self) -> PlayedOn:
        microphone = self.choice.microphone
        heard = HeardBy(microphone, self.choice.there_since_s) if microphone else None
        return PlayedOn(self.choice.name, self.choice.known, self.learner, heard)

    def _shown(self, moments: tuple[Moment, ...]) -> PlayedIn:
        heard = self._now is not REST
        faults = (*self.choice.faults(heard=heard), self.sound.trouble)
        path = self._keeper.last_path
        return PlayedIn(
            moments=moments,
            now=self._now,
            light=self.choice.light(),
            tells=self.choice.tells,
            words=self.choice.words(),
            news=self._headphones.said(self.clock()),
            problem=next(filter(None, faults), ""),
            kept=f"kept as {path.name}" if self._keeper.keeping and path and not self._keeper.trouble else "",
            caps=self.choice.keys.caps if self.choice.keys else (),
            level=self.choice.level,
        )
