"""One embellishment alone: watched round and round, slowed down, played back and heard."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.score.exercise import exercise_of
from companion.window.core.actions import Action, HearAlone, Intent, LetGo, RepeatBetween, Scrub, Seek
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, Screen, ScreenResult
from companion.window.embellishments.practice_keys import PRACTICE_KEYS, PracticeState
from companion.window.embellishments.practice_view import PracticeView
from companion.window.embellishments.rounds import Rounds, tally
from companion.window.embellishments.subject import Subject
from companion.window.lanes.told import Told
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from companion.window.play.ways import StagedScreen
from fingering.notes import Note

_NOT_HERE = frozenset({Action.TUNES, Action.PHRASE_BACK, Action.PHRASE_ON})


class PracticeScreen(StagedScreen):
    """Plays the exercise of an embellishment on a playing screen of its own, which is never shown itself.

    stage: that playing screen, with the exercise of `subject`. catalogue: makes the list to choose another from, which
    calls `show`. let_go: called with the last state of the stage when the screen closes.
    """

    def __init__(
        self,
        subject: Subject,
        stage: PlayScreen,
        catalogue: Callable[[PracticeScreen], Screen],
        let_go: Callable[[PlayState], None],
    ) -> None:
        super().__init__(stage)
        self.subject = subject
        self._catalogue = catalogue
        self._let_go = let_go
        self._view: PracticeView | None = None
        self.rounds = Rounds(stage.state.tune, stage.live.ear.before)

    @property
    def state(self) -> PracticeState:
        """What is shown."""
        return PracticeState(self.subject, self.stage.state)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return PRACTICE_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self.stage.live.of_use(PRACTICE_KEYS.on_sheet(self.state, display))

    def listen_in(self) -> None:
        """Take in what was played since the last frame. Each time round is heard, and none is kept as a take."""
        run = self.stage.run_now()
        self.stage.gather(replace(run, kept=False) if run else None)
        self.rounds.follow(self.stage.live.ear.before)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent; all that is not about the embellishment itself is the stage's."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.FIRST_NOTE:
                self.show(self.subject.coming_from(_next(self.subject.befores, self.subject.before)))
            case Action.SECOND_NOTE:
                self.show(self.subject.leading_onto(_next(self.subject.ontos, self.subject.embellishment.onto)))
            case Action.CATALOGUE:
                if self.stage.state.playing:
                    self.stage.act(Action.PLAY)
                return self._catalogue(self)
            case Action() if intent not in _NOT_HERE:
                return self.stage.act(intent)
            case Seek() | HearAlone() | Scrub() | RepeatBetween() | LetGo():
                return self.stage.act(intent)
        return ScreenResult.STAY

    def show(self, subject: Subject) -> ScreenResult:
        """Show another embellishment, or this one between other notes; tells a list that chose it to close."""
        if subject != self.subject:
            self.subject = subject
            self.stage.exchange(self.stage.state.tune, exercise_of(subject.embellishment, subject.before))
            self.rounds = Rounds(self.stage.state.tune, self.stage.live.ear.before)
        return ScreenResult.CLOSE

    def tick(self) -> None:
        """Stop at the end of a note that is heard alone; the player repeats the exercise by itself."""
        self.stage.tick()

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        self.stage.hold_with(canvas.display.upper_hand)
        now_s = self.stage.shown_s()
        lines = tally(self.rounds.attempts(), self.subject.embellishment)
        marked = self.rounds.marked(self.stage.state.timing)
        played = self.stage.live.beside(now_s)
        told, count, turn = Told(lines, marked), self.stage.count_now(), self.stage.turn_now()
        return self._view_for(canvas).picture(self.state, canvas, now_s, played, told, self._hovered, count, turn)

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes and the names below them, as on the playing screen."""
        now_s = self.stage.shown_s()
        return self._view_for(canvas).grab_at(self.state, canvas, (x, y), now_s, self.stage.live.beside(now_s))

    def close(self) -> None:
        """Give the player and what is played in back."""
        self._let_go(self.stage.state)

    def _view_for(self, canvas: Canvas) -> PracticeView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = PracticeView(canvas.measure)
        return self._view


def _next(notes: Sequence[Note], current: Note) -> Note:
    """The note after `current` among `notes`, after the last the first."""
    return notes[(notes.index(current) + 1) % len(notes)]
