"""A step of a lesson, round after round: it plays, listens, says what was heard, and goes on by itself.

Whoever plays has both hands on the chanter: so the next round begins without a key, after time to read what was said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.lesson.model.steps import Step
from companion.lesson.steps.heard import RoundHeard, round_heard, round_refused
from companion.lesson.steps.sitting import Course, Sitting, after
from companion.window.core.actions import Action, HearAlone, Intent, LetGo, Scrub, Seek
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, Screen, ScreenResult
from companion.window.lanes.told import NOTHING_TOLD, Told
from companion.window.lesson.step_kept import leaves_take
from companion.window.lesson.step_keys import STEP_TABLE
from companion.window.lesson.step_state import RoundPhase, StepState, moved_step, play_of_step
from companion.window.lesson.step_view import StepView
from companion.window.live.second_hearing import HeardRun, SecondHearing
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from companion.window.play.ways import StagedScreen

READ_S, READ_NEW_S = 2.5, 5.0
"""How long what was said of a round can be read before the next one begins, and what another step wants."""

ENOUGH = 0.5
"""The share of the notes asked for that must be played for a round to count: less is a look, not a try."""

_ALL_TO_STAGE = frozenset(
    {
        Action.CHANTER,
        Action.DRONES,
        Action.METRONOME,
        Action.VOICE,
        Action.PITCH_DOWN,
        Action.PITCH_UP,
        Action.BACK,
        Action.ON,
        Action.PLAY_KEYS,
        Action.LIVE_LEVEL,
        Action.STRICTNESS,
        Action.INSTRUMENT,
    }
)

Keep = Callable[[Step, HeardRun, Course, Sitting], None]
"""What is done with a round that was heard: its step, what was heard, what was done before, and the sitting after."""


class StepScreen(StagedScreen):
    """Plays and hears the steps of a sitting on a playing screen of its own, which is never shown itself.

    stage: that playing screen. keep: called with each round that was heard. let_go: called with the last state of the
    stage and the sitting when the screen closes.
    """

    def __init__(
        self, sitting: Sitting, stage: PlayScreen, keep: Keep, let_go: Callable[[PlayState, Sitting], None]
    ) -> None:
        super().__init__(stage)
        self.sitting = sitting
        self.phase = RoundPhase.READY
        self._keep = keep
        self._let_go = let_go
        self._view: StepView | None = None
        self._hearing: SecondHearing | None = None
        self._latest = stage.live.ear.before
        self._marked: HeardRun | None = None
        self._read_until_s = 0.0

    @property
    def state(self) -> StepState:
        """What is shown."""
        return StepState(self.sitting, self.stage.state, self.phase)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return STEP_TABLE.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self.stage.live.of_use(STEP_TABLE.on_sheet(self.state, display))

    def listen_in(self) -> None:
        """Take in what was played since the last frame, and see what was heard of the round that is over."""
        run = self.stage.run_now()
        kept = self.sitting.practice is not None and leaves_take(self.sitting.practice.step)
        self.stage.gather(replace(run, kept=kept) if run else None)
        before = self.stage.live.ear.before
        if before is not self._latest:
            self._latest = self._hearing = before
        if self._hearing and self._hearing.is_over:
            self._hear(self._hearing.heard)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent; all that is not about the lesson is the stage's."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.PLAY:
                self._play_or_pause()
            case Action.STEP_BACK | Action.STEP_ON:
                self._show(moved_step(self.sitting, 1 if intent is Action.STEP_ON else -1))
            case Action() if intent in _ALL_TO_STAGE:
                return self.stage.act(intent)
            case Seek() | HearAlone() | Scrub() | LetGo():
                self.phase = RoundPhase.READY
                return self.stage.act(intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Stop at the end of a round, and begin the next once what was said could be read."""
        sounded = self.stage.state.playing
        self.stage.tick()
        if self.phase is RoundPhase.SOUNDING and sounded and not self.stage.state.playing:
            self.phase = RoundPhase.HEARING
            self.listen_in()
            if self._hearing is None:  # nothing was played: it is shown once more
                self._read(READ_S)
        if self.phase is RoundPhase.READING and self.stage.live.clock() >= self._read_until_s:
            self._play()

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        self.stage.hold_with(canvas.display.upper_hand)
        now_s = self.stage.shown_s()
        played, count = self.stage.live.beside(now_s), self.stage.count_now()
        return self._view_for(canvas).picture(
            self.state, canvas, now_s, played, self._told(), self._hovered, count, self.stage.staff
        )

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes and the names below them, as on the playing screen."""
        now_s = self.stage.shown_s()
        played, staff = self.stage.live.beside(now_s), self.stage.staff
        return self._view_for(canvas).grab_at(self.state, canvas, (x, y), now_s, played, staff)

    def close(self) -> None:
        """Give the player and what is played in back."""
        self._let_go(self.stage.state, self.sitting)

    def _told(self) -> Told:
        """What was found in the last round, marked in the lanes while it is read."""
        heard = self._marked
        if self.phase is not RoundPhase.READING or heard is None or heard.run.timing != self.stage.state.timing:
            return NOTHING_TOLD
        is_of_this = heard.run.tune is self.stage.state.tune and not heard.doubt
        return Told(marked=heard.findings) if is_of_this else NOTHING_TOLD

    def _play_or_pause(self) -> None:
        if self.stage.state.playing:
            self.stage.act(Action.PLAY)
            self.phase = RoundPhase.READY
        elif self.sitting.practice:
            self._play()

    def _play(self) -> None:
        """Begin a round, from the beginning of what is asked."""
        ends = self.stage.state.ends
        if ends:
            self.stage.act(Seek(ends.start_s))
        self.stage.act(Action.PLAY)
        self.phase = RoundPhase.SOUNDING

    def _read(self, time_s: float) -> None:
        self.phase = RoundPhase.READING
        self._read_until_s = self.stage.live.clock() + time_s

    def _hear(self, heard: HeardRun) -> None:
        """Take in what was heard of the round that is over."""
        self._hearing = None
        practice = self.sitting.practice
        if practice is None or heard.run.tune is not self.stage.state.tune:
            return
        self._marked = heard
        counts = len(heard.sounded_s) >= ENOUGH * len(heard.asked.tokens)
        if counts:
            step, sitting = practice.step, after(self.sitting, _round_of(practice.step, heard))
            self._keep(step, heard, self.sitting.course, sitting)
            self._show(sitting)
        if self.phase is RoundPhase.HEARING:
            new = self.sitting.practice is None or self.sitting.practice.step is not practice.step
            self._read(READ_NEW_S if new else READ_S)
            if self.sitting.practice is None:
                self.phase = RoundPhase.READY

    def _show(self, sitting: Sitting) -> None:
        """Go on with a sitting: where its step or its pace is another, that is what plays next."""
        before, self.sitting = self.sitting, sitting
        practice = sitting.practice
        if practice is None or (
            before.practice and (practice.step, practice.pace) == (before.practice.step, before.practice.pace)
        ):
            return
        if self.stage.state.playing:
            self.stage.act(Action.PLAY)
            self.phase = RoundPhase.READY
        self.stage.resume(play_of_step(sitting.course.lesson, practice, self.stage.state))

    def _view_for(self, canvas: Canvas) -> StepView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = StepView(canvas.measure)
        return self._view


def _round_of(step: Step, heard: HeardRun) -> RoundHeard:
    """What was heard of a round, as a lesson counts it."""
    if heard.judged is None:
        return round_refused(heard.doubt or "That did not sound like what was asked.", step)
    return round_heard(step, heard.judged)
